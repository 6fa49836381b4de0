#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| judges::judge("job", data));

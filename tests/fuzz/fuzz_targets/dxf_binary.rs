#![no_main]

use libfuzzer_sys::{Corpus, fuzz_target};

/// Columns times rows of an array that are read in no time.
const FEW: u32 = 256;
/// One of so many inputs with larger arrays is judged.
const SOME: u32 = 64;

/// The largest array that the bytes may tell of: the counts of columns and rows are group codes 70 and 71, a code of
/// two bytes or of one and two bytes of count (DXF Reference, INSERT and binary DXF files; up to R12 a code is one byte).
fn largest_array(data: &[u8]) -> u32 {
    let pairs = data.strip_prefix(judges::SENTINEL).unwrap_or(data);
    let wide = matches!(pairs, [0, 0, ..] | [0xe7, 3, ..]);
    let most = |code: u8| {
        let code = if wide { &[code, 0][..] } else { &[code] };
        let counts = pairs.windows(code.len() + 2).filter_map(|w| w.strip_prefix(code));
        counts.map(|count| u32::from(u16::from_le_bytes([count[0], count[1]]))).max().unwrap_or(1).max(1)
    };
    most(70).saturating_mul(most(71))
}

// Two random counts make thousands of pieces, all of them alike: without the choice they take nearly all the time.
fuzz_target!(|data: &[u8]| -> Corpus {
    let sum: u32 = data.iter().map(|b| u32::from(*b)).sum();
    if largest_array(data) > FEW && sum % SOME != 0 {
        return Corpus::Reject;
    }
    judges::judge("dxf_binary", data);
    Corpus::Keep
});

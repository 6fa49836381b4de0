#![no_main]

use libfuzzer_sys::{Corpus, fuzz_target};

/// Columns times rows of an array that are read in no time.
const FEW: u32 = 256;
/// One of so many inputs with larger arrays is judged.
const SOME: u32 = 64;

/// The largest array that the bytes may tell of: the counts of columns and rows are group codes 70 and 71, two
/// bytes each (DXF Reference, INSERT; from R13 on the codes are two bytes, too).
fn largest_array(data: &[u8]) -> u32 {
    let most = |code: u8| {
        let counts = data.windows(4).filter(|w| w[..2] == [code, 0]).map(|w| u16::from_le_bytes([w[2], w[3]]));
        counts.max().map_or(1, |n| u32::from(n).max(1))
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

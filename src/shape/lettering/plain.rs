//! Letters beyond ASCII, written with ASCII letters where a reader would still know the name.

/// Latin letters with marks, and signs that often stand in names: each group of letters
/// becomes what stands before the colon. German umlauts follow DIN 5007 variant 2 (ae, oe, ue).
const GROUPS: &[&str] = &[
    "A:ÀÁÂÃÅĀĂĄ",
    "AE:ÄÆ",
    "C:ÇĆĈĊČ",
    "D:ÐĎĐ",
    "E:ÈÉÊËĒĔĖĘĚ",
    "G:ĜĞĠĢ",
    "H:ĤĦ",
    "I:ÌÍÎÏĨĪĬĮİ",
    "J:Ĵ",
    "K:Ķ",
    "L:ĹĻĽĿŁ",
    "N:ÑŃŅŇŊ",
    "O:ÒÓÔÕØŌŎŐ",
    "OE:ÖŒ",
    "R:ŔŖŘ",
    "S:ŚŜŞŠȘ",
    "T:ŢŤŦȚ",
    "TH:Þ",
    "U:ÙÚÛŨŪŬŮŰŲ",
    "UE:Ü",
    "W:Ŵ",
    "Y:ÝŶŸ",
    "Z:ŹŻŽ",
    "SS:ẞ",
    "a:àáâãåāăą",
    "ae:äæ",
    "c:çćĉċč",
    "d:ðďđ",
    "e:èéêëēĕėęě",
    "g:ĝğġģ",
    "h:ĥħ",
    "i:ìíîïĩīĭįı",
    "j:ĵ",
    "k:ķ",
    "l:ĺļľŀł",
    "n:ñńņňŋ",
    "o:òóôõøōŏő",
    "oe:öœ",
    "r:ŕŗř",
    "s:śŝşšș",
    "ss:ß",
    "t:ţťŧț",
    "th:þ",
    "u:ùúûũūŭůűų",
    "ue:ü",
    "w:ŵ",
    "y:ýÿŷ",
    "z:źżž",
    "-:‐‑‒–—−",
    "':‘’‚",
    "\":“”„«»",
    "..:…",
    "x:×",
    "o:°º",
    "a:ª",
    "2:²",
    "3:³",
    "1:¹",
    "u:µμ",
    " :\u{a0}\u{2009}\u{202f}\t",
];

/// What `c` is written as; `None` when nothing in ASCII would be understood.
pub(super) fn plain(c: char) -> Option<&'static str> {
    // Nearly every letter: none of them stands in a group.
    if c.is_ascii_graphic() {
        return None;
    }
    GROUPS.iter().find_map(|group| {
        let (ascii, letters) = group.split_once(':')?;
        letters.contains(c).then_some(ascii)
    })
}

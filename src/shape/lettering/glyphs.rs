//! The letters: a single-line alphabet on a grid, drawn for this program.
//!
//! Every point is two digits, x then y. Capitals stand on y = 1 and reach y = 9; commas and
//! the like hang down to y = 0. Most letters are 4 wide with chamfered corners in place of
//! curves, which a pen draws without hesitation and a reader tells apart: the zero is
//! crossed, the one has a foot, the I has bars.

/// Height of a capital on the grid.
pub(super) const CAPITAL: f64 = 8.0;
/// y of the line that letters stand on.
pub(super) const BASELINE: f64 = 1.0;
/// Space between two letters: half a letter, as narrow letters need more air than wide ones.
pub(super) const SPACING: f64 = 2.0;
/// Height of a small capital, which stands for a lower-case letter, beside a capital.
pub(super) const SMALL: f64 = 0.75;

/// Strokes of a printable ASCII letter that is no lower-case letter.
pub(super) fn glyph(c: char) -> Option<&'static str> {
    Some(match c {
        ' ' => "",
        '!' => "0904 0201",
        '"' => "0907 2927",
        '#' => "1119 3139 0343 0747",
        '$' => "483919080615354442311102 2920",
        '%' => "0149 0809191808 3132424131",
        '&' => "4107192938370402112144",
        '\'' => "0907",
        '(' => "29070321",
        ')' => "09272301",
        '*' => "2327 0446 0644",
        '+' => "0545 2327",
        ',' => "1200",
        '-' => "0535",
        '.' => "0102",
        '/' => "0149",
        '0' => "110208193948423111 1337",
        '1' => "072921 0141",
        '2' => "08193948460141",
        '3' => "08193948463515 354442311102",
        '4' => "31390343",
        '5' => "490906364542311102",
        '6' => "483919080211314244351504",
        '7' => "094911",
        '8' => "190806153546483919 1504021131424435",
        '9' => "021131424839190806153546",
        ':' => "0203 0607",
        ';' => "1200 1617",
        '<' => "480542",
        '=' => "0444 0646",
        '>' => "084502",
        '?' => "081939484624 2221",
        '@' => "4231110208193948443424263634",
        'A' => "0106294641 0444",
        'B' => "01093948463505 3544423101",
        'C' => "4839190802113142",
        'D' => "01092947432101",
        'E' => "49090141 0535",
        'F' => "490901 0535",
        'G' => "48391908021131424525",
        'H' => "0109 4149 0545",
        'I' => "0121 1119 0929",
        'J' => "4942311102",
        'K' => "0109 490541",
        'L' => "090141",
        'M' => "0109356961",
        'N' => "01094149",
        'O' => "110208193948423111",
        'P' => "01093948463505",
        'Q' => "110208193948423111 2341",
        'R' => "01093948463505 2541",
        'S' => "483919080615354442311102",
        'T' => "0949 2921",
        'U' => "090211314249",
        'V' => "092149",
        'W' => "0911365169",
        'X' => "0149 0941",
        'Y' => "092549 2521",
        'Z' => "09490141",
        '[' => "29090121",
        '\\' => "0941",
        ']' => "09292101",
        '^' => "062946",
        '_' => "0040",
        '`' => "0917",
        '{' => "29181605141221",
        '|' => "0900",
        '}' => "09181625141201",
        '~' => "04163446",
        _ => return None,
    })
}

/// Stands for a letter that has no strokes here.
pub(super) const BOX: &str = "0109494101";

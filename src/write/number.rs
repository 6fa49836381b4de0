//! Numbers in files: fixed point, no exponent, no trailing zeros, no negative zero.

use std::fmt::Write;

/// Appends `value` rounded to `decimals` places. `value` must be finite; callers see to it.
pub fn push_fixed(out: &mut String, value: f64, decimals: usize) {
    let start = out.len();
    // Writing into a String cannot fail.
    let _ = write!(out, "{value:.decimals$}");
    if out[start..].contains('.') {
        let kept = out.trim_end_matches('0').trim_end_matches('.').len();
        out.truncate(kept);
    }
    if &out[start..] == "-0" {
        out.replace_range(start.., "0");
    }
}

/// `value` rounded to `decimals` places, as short as it can be written.
pub fn fixed(value: f64, decimals: usize) -> String {
    let mut out = String::new();
    push_fixed(&mut out, value, decimals);
    out
}

/// A share as people read it. A jigsaw that fits within the tolerance wastes a hair less than nothing, which is none.
pub fn percent(value: f64) -> String {
    let text = format!("{value:.2} %");
    if text == "-0.00 %" { "0.00 %".to_owned() } else { text }
}

/// A time as minutes and seconds.
pub fn duration(seconds: f64) -> String {
    // The cast takes what is no number to 0.
    let whole = seconds.round().max(0.0) as u64;
    if whole < 60 { format!("{whole} s") } else { format!("{} min {} s", whole / 60, whole % 60) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_never_carry_an_exponent() {
        let cases = [
            (0.0, "0"),
            (-0.0, "0"),
            (-1e-9, "0"),
            (100.0, "100"),
            (0.5, "0.5"),
            (-12.340, "-12.34"),
            (1e-6, "0.000001"),
            (29999.124, "29999.124"),
            (1e15, "1000000000000000"),
        ];
        for (v, s) in cases {
            assert_eq!(fixed(v, 6), s);
        }
        assert_eq!(fixed(1200.0, 0), "1200");
    }

    #[test]
    fn no_share_is_less_than_nothing_by_rounding_only() {
        assert_eq!(
            [-0.004, -0.0, 0.006, -0.006, 14.963].map(percent),
            ["0.00 %", "0.00 %", "0.01 %", "-0.01 %", "14.96 %"]
        );
    }

    #[test]
    fn times_are_minutes_and_seconds() {
        assert_eq!([59.4, 59.6, 754.0, f64::NAN].map(duration), ["59 s", "1 min 0 s", "12 min 34 s", "0 s"]);
    }
}

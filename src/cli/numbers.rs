//! Numbers as people read them.

use tuckroll::job::Unit;

/// Millimetres in a metre, in which film is bought.
const MM_PER_M: f64 = 1000.0;

/// A length with its unit, as fine as a ruler shows it: tenths of a millimetre, hundredths of an inch.
pub fn length(value: f64, unit: Unit) -> String {
    format!("{} {}", digits(value, unit), unit.name())
}

/// A length in metres, as film is bought.
pub fn metres(value: f64, unit: Unit) -> String {
    format!("{:.2} m", value * unit.in_mm() / MM_PER_M)
}

/// A number with six decimals at most and no trailing zeros.
pub fn short(value: f64) -> String {
    format!("{value:.6}").trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A count with its noun: "1 panel", "12 panels".
pub fn count(n: usize, noun: &str) -> String {
    if n == 1 { format!("1 {noun}") } else { format!("{n} {noun}s") }
}

fn digits(value: f64, unit: Unit) -> String {
    match unit {
        Unit::Millimetre => format!("{value:.1}"),
        Unit::Inch => format!("{value:.2}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_read_like_a_ruler() {
        assert_eq!(length(4218.349, Unit::Millimetre), "4218.3 mm");
        assert_eq!(length(24.0, Unit::Inch), "24.00 in");
        assert_eq!(metres(100.0, Unit::Inch), "2.54 m");
        assert_eq!(
            (short(25.4), short(1.0), short(100.0), short(25.4 / 384.0)),
            ("25.4".into(), "1".into(), "100".into(), "0.066146".into())
        );
        assert_eq!(count(1, "panel"), "1 panel");
        assert_eq!(count(0, "panel"), "0 panels");
    }
}

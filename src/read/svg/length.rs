//! Numbers with CSS units.

/// Millimetres of one CSS pixel; one inch is 96 px (W3C CSS Values and Units 3, section 6.2).
pub(super) const MM_PER_PX: f64 = 25.4 / 96.0;

/// A length as written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Length {
    /// In user units of the place where it stands, which are CSS pixels there. `real` is set when
    /// the unit was one of measurement, such as mm.
    Px {
        /// The number of user units.
        px: f64,
        /// The same in millimetres, as written: 210mm is exactly 210.
        mm: f64,
        /// Whether a unit of measurement was written.
        real: bool,
    },
    /// Per cent of the viewport.
    Percent(f64),
}

impl Length {
    /// Parses a length; `None` when it is none, or its unit depends on a font or a screen.
    pub fn parse(text: &str) -> Option<Self> {
        let (number, unit) = split_number(text.trim())?;
        let (mm_per_unit, real) = match unit.to_ascii_lowercase().as_str() {
            "%" => return Some(Self::Percent(number)),
            "" | "px" => (MM_PER_PX, false),
            "in" => (25.4, true),
            "mm" => (1.0, true),
            "cm" => (10.0, true),
            "q" => (0.25, true),
            "pt" => (25.4 / 72.0, true),
            "pc" => (25.4 / 6.0, true),
            _ => return None,
        };
        let px = if real { number * mm_per_unit / MM_PER_PX } else { number };
        Some(Self::Px { px, mm: number * mm_per_unit, real })
    }

    /// In user units, given what 100 % stands for.
    pub fn resolve(self, whole: Option<f64>) -> Option<f64> {
        match self {
            Self::Px { px, .. } => Some(px),
            Self::Percent(percent) => whole.map(|w| w * percent / 100.0),
        }
    }
}

/// Splits a finite number off the front of `text`.
pub(super) fn split_number(text: &str) -> Option<(f64, &str)> {
    let bytes = text.as_bytes();
    let digits = |mut i: usize| {
        while bytes.get(i).is_some_and(u8::is_ascii_digit) {
            i += 1;
        }
        i
    };
    let sign = usize::from(matches!(bytes.first(), Some(b'+' | b'-')));
    let mut end = digits(sign);
    if bytes.get(end) == Some(&b'.') {
        end = digits(end + 1);
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let exponent = end + 1 + usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
        // Not an exponent but a unit such as em.
        end = if digits(exponent) > exponent { digits(exponent) } else { end };
    }
    let number: f64 = text.get(..end)?.parse().ok()?;
    number.is_finite().then_some((number, text.get(end..)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_of_measurement_follow_the_inch() {
        // W3C CSS Values and Units 3: 1in = 2.54cm = 25.4mm = 101.6Q = 72pt = 6pc = 96px.
        for text in ["1in", "2.54cm", "25.4mm", "101.6Q", "72pt", "6pc", " 1IN "] {
            let Some(Length::Px { px, real: true, .. }) = Length::parse(text) else { panic!("{text}") };
            assert!((px - 96.0).abs() < 1e-12, "{text}");
        }
        assert_eq!(Length::parse("96px"), Some(Length::Px { px: 96.0, mm: 25.4, real: false }));
        assert_eq!(Length::parse("1e1").and_then(|l| l.resolve(None)), Some(10.0));
        assert_eq!(Length::parse(".5%").and_then(|l| l.resolve(Some(10.0))), Some(0.05));
        assert_eq!(Length::parse("5%").and_then(|l| l.resolve(None)), None);
    }

    #[test]
    fn everything_else_is_no_length() {
        for text in ["", "mm", "1em", "1ex", "5 5", "1e999", "nan", "inf", "0x10", "1furlong", "--1", "."] {
            assert_eq!(Length::parse(text), None, "{text}");
        }
    }
}

//! Decimal text as an exact number.

use std::fmt;

/// Most digits after the point: a tenth of a thousandth of a cent for a price, far more than
/// any price list has.
pub const PLACES: u32 = 6;

/// Most digits before the point.
pub const MAX_WHOLE_DIGITS: usize = 9;

const ONE: u64 = 10u64.pow(PLACES);

/// A number of 0 or more with at most [`PLACES`] decimals, exact.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Decimal(u64);

/// Why a text is not such a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DecimalFault {
    /// It has a comma.
    Comma,
    /// It is below zero.
    Negative,
    /// It has too many digits before or after the point.
    TooLong,
    /// It is something else.
    NoNumber,
}

impl Decimal {
    /// Zero.
    pub const ZERO: Self = Self(0);

    /// Reads digits, with a point and more digits where wanted: `4`, `4.20`, `0.005`.
    ///
    /// # Errors
    ///
    /// A sign, an exponent, a comma, blanks or too many digits.
    pub fn parse(text: &str) -> Result<Self, DecimalFault> {
        if text.contains(',') {
            return Err(DecimalFault::Comma);
        }
        let (whole, part) = text.split_once('.').unwrap_or((text, "0"));
        let digits = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
        if let Some(rest) = text.strip_prefix('-')
            && rest.bytes().all(|b| b.is_ascii_digit() || b == b'.')
        {
            return Err(DecimalFault::Negative);
        }
        if !digits(whole) || !digits(part) {
            return Err(DecimalFault::NoNumber);
        }
        if whole.len() > MAX_WHOLE_DIGITS || part.len() > PLACES as usize {
            return Err(DecimalFault::TooLong);
        }
        let number = |s: &str| s.parse::<u64>().map_err(|_| DecimalFault::TooLong);
        let scale = ONE / 10u64.pow(u32::try_from(part.len()).unwrap_or(PLACES));
        Ok(Self(number(whole)? * ONE + number(part)? * scale))
    }

    /// The number in units of its last place.
    pub fn units(self) -> u64 {
        self.0
    }

    /// The share `part` of `whole`, rounded to the last place. `None` when there is no such number.
    pub fn share(self, part: u64, whole: u64) -> Option<Self> {
        let units = super::rounded(u128::from(self.0).checked_mul(u128::from(part))?, u128::from(whole))?;
        u64::try_from(units).ok().map(Self)
    }

    /// How many such units are one.
    pub const UNITS_PER_ONE: u64 = ONE;
}

impl fmt::Display for Decimal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (whole, part) = (self.0 / ONE, self.0 % ONE);
        if part == 0 {
            return write!(f, "{whole}");
        }
        let digits = format!("{part:06}");
        write!(f, "{whole}.{}", digits.trim_end_matches('0'))
    }
}

impl fmt::Display for DecimalFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Comma => "it has a comma",
            Self::Negative => "it is below 0",
            Self::TooLong => "it has too many digits",
            Self::NoNumber => "it is not a plain decimal number",
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn plain_numbers_are_read_exactly() {
        for (text, units) in
            [("0", 0), ("4", 4_000_000), ("4.20", 4_200_000), ("0.000001", 1), ("007.5", 7_500_000)]
        {
            assert_eq!(Decimal::parse(text), Ok(Decimal(units)), "{text}");
        }
    }

    #[test]
    fn everything_else_says_why_not() {
        for (text, fault) in [
            ("4,20", DecimalFault::Comma),
            ("1,000.00", DecimalFault::Comma),
            ("-1", DecimalFault::Negative),
            ("-0.5", DecimalFault::Negative),
            ("1e3", DecimalFault::NoNumber),
            ("", DecimalFault::NoNumber),
            (".", DecimalFault::NoNumber),
            (".5", DecimalFault::NoNumber),
            ("5.", DecimalFault::NoNumber),
            (" 5", DecimalFault::NoNumber),
            ("+5", DecimalFault::NoNumber),
            ("1.2.3", DecimalFault::NoNumber),
            ("nan", DecimalFault::NoNumber),
            ("٣", DecimalFault::NoNumber),
            ("0.0000001", DecimalFault::TooLong),
            ("1234567890", DecimalFault::TooLong),
        ] {
            assert_eq!(Decimal::parse(text), Err(fault), "{text:?}");
        }
    }

    proptest! {
        #[test]
        fn text_goes_round(units in 0u64..1_000_000_000_000_000) {
            let number = Decimal(units);
            prop_assert_eq!(Decimal::parse(&number.to_string()), Ok(number));
        }

        #[test]
        fn no_text_is_too_strange(text in ".*") {
            let _ = Decimal::parse(&text);
        }
    }
}

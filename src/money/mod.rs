//! Money: decimal text in, whole minor units inside, exact at every step.
//!
//! An amount is a count of minor units (cents, where a currency has two decimals). A quantity
//! is first taken to whole micrometres, square micrometres or milliseconds; the product with a price
//! is then an exact integer and is rounded once, a half upwards. What is shared out sums to what
//! was there, to the last minor unit ([`share_out`]).

mod decimal;
mod price;
mod rates;
mod share;

pub use decimal::{Decimal, DecimalFault, MAX_WHOLE_DIGITS, PLACES};
pub use price::{Per, Price};
pub use rates::{Labour, MAX_DECIMALS, Minutes, Rates, WasteRule};
pub use share::share_out;

/// An amount of money in minor units.
pub type Minor = i64;

/// `numerator / denominator` to the nearest whole number, a half upwards; `None` when it is out of
/// range or the denominator is 0. Both are 0 or more.
pub(crate) fn rounded(numerator: u128, denominator: u128) -> Option<Minor> {
    let whole = numerator.checked_div(denominator)?;
    let rest = numerator % denominator;
    let up = rest >= denominator - rest;
    Minor::try_from(whole + u128::from(up)).ok()
}

/// An amount as decimal text, such as `12.05`.
pub fn text(amount: Minor, decimals: u8) -> String {
    let unit = 10u64.pow(u32::from(decimals));
    let (sign, size) = (if amount < 0 { "-" } else { "" }, amount.unsigned_abs());
    match decimals {
        0 => format!("{sign}{size}"),
        n => format!("{sign}{}.{:0width$}", size / unit, size % unit, width = usize::from(n)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_half_is_rounded_upwards() {
        assert_eq!(
            [(0, 2), (1, 2), (3, 2), (1, 3), (2, 3), (5, 1)].map(|(n, d)| rounded(n, d)),
            [0, 1, 2, 0, 1, 5].map(Some)
        );
        assert_eq!(rounded(1, 0), None);
        assert_eq!(rounded(u128::MAX, 1), None);
    }

    #[test]
    fn amounts_have_all_their_decimals() {
        assert_eq!(text(1205, 2), "12.05");
        assert_eq!(text(-7, 2), "-0.07");
        assert_eq!(text(0, 3), "0.000");
        assert_eq!(text(12, 0), "12");
    }
}

//! What a length or an area of something costs.

use super::{Decimal, Minor, rounded};
use serde::{Deserialize, Serialize};

/// What a price is for. Foot and yard are the international ones: 1 ft = 0.3048 m exactly, 1 yd = 3 ft
/// (NIST Special Publication 811, appendix B.6).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Per {
    /// A metre of the roll.
    M,
    /// A foot of the roll.
    Ft,
    /// A yard of the roll.
    Yd,
    /// A square metre.
    M2,
    /// A square foot.
    Ft2,
    /// A square yard.
    Yd2,
}

/// Micrometres in a foot.
const FT: u128 = 304_800;

impl Per {
    /// Whether it is an area.
    pub fn is_area(self) -> bool {
        matches!(self, Self::M2 | Self::Ft2 | Self::Yd2)
    }

    /// The word in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::M => "m",
            Self::Ft => "ft",
            Self::Yd => "yd",
            Self::M2 => "m2",
            Self::Ft2 => "ft2",
            Self::Yd2 => "yd2",
        }
    }

    /// In micrometres or square micrometres.
    fn size(self) -> u128 {
        match self {
            Self::M => 1_000_000,
            Self::Ft => FT,
            Self::Yd => 3 * FT,
            Self::M2 => 1_000_000_000_000,
            Self::Ft2 => FT * FT,
            Self::Yd2 => 9 * FT * FT,
        }
    }
}

/// An amount of money for each unit of length or area.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Price {
    /// The amount, in the major unit of the currency.
    pub amount: Decimal,
    /// What it buys.
    pub per: Per,
}

impl Price {
    /// The cost of a rectangle of film, its sides in micrometres, in minor units. `None` when it is
    /// too much to be counted.
    pub fn of_film(&self, width: u64, length: u64, decimals: u8) -> Option<Minor> {
        let quantity =
            if self.per.is_area() { u128::from(width) * u128::from(length) } else { u128::from(length) };
        self.of(quantity, decimals)
    }

    /// The cost of an area in square micrometres, in minor units. `None` when it is too much to be
    /// counted, or the price is for a length.
    pub fn of_area(&self, area: u128, decimals: u8) -> Option<Minor> {
        if self.per.is_area() { self.of(area, decimals) } else { None }
    }

    /// The price of a strip `part` wide of film `whole` wide, so that all strips together cost what the film costs.
    #[must_use]
    pub fn of_strip(self, part: u64, whole: u64) -> Self {
        if self.per.is_area() {
            return self;
        }
        let amount = self.amount.share(part.min(whole), whole).unwrap_or(self.amount);
        Self { amount, ..self }
    }

    fn of(&self, quantity: u128, decimals: u8) -> Option<Minor> {
        let minor_per_major = 10u128.pow(u32::from(decimals));
        let numerator =
            quantity.checked_mul(u128::from(self.amount.units()))?.checked_mul(minor_per_major)?;
        rounded(numerator, self.per.size() * u128::from(Decimal::UNITS_PER_ONE))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn price(amount: &str, per: Per) -> Price {
        Price { amount: Decimal::parse(amount).unwrap(), per }
    }

    #[test]
    fn film_is_paid_by_its_length_or_by_its_whole_width() {
        // 4.218349 m of a roll 0.61 m wide.
        assert_eq!(price("4.20", Per::M).of_film(610_000, 4_218_349, 2), Some(1772)); // 17.7170658
        assert_eq!(price("6.90", Per::M2).of_film(610_000, 4_218_349, 2), Some(1776)); // 17.7550309...
        assert_eq!(price("3.50", Per::Yd).of_film(1, 914_400, 2), Some(350));
        assert_eq!(price("0.405", Per::Ft2).of_film(304_800, 304_800, 2), Some(41));
        assert_eq!(price("1", Per::Yd2).of_film(914_400, 914_400, 0), Some(1));
    }

    #[test]
    fn a_strip_of_film_has_its_share_of_a_price_for_a_length() {
        assert_eq!(price("10", Per::M).of_strip(102_000, 610_000), price("1.672131", Per::M));
        assert_eq!(price("6", Per::Yd).of_strip(305_000, 610_000), price("3", Per::Yd));
        assert_eq!(price("6", Per::M2).of_strip(305_000, 610_000), price("6", Per::M2));
        assert_eq!(price("6", Per::M).of_strip(1, 0), price("6", Per::M));
    }

    #[test]
    fn a_length_is_no_price_for_an_area() {
        assert_eq!(price("4", Per::M).of_area(5, 2), None);
        assert_eq!(price("4", Per::M2).of_area(1_000_000_000_000, 2), Some(400));
    }

    #[test]
    fn too_much_money_is_refused() {
        assert_eq!(price("999999999", Per::Ft2).of_film(u64::MAX, u64::MAX, 4), None);
    }
}

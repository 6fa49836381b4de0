//! What a shop asks for besides the film, and how the waste is shared.

use super::{Decimal, Minor, Price, rounded};
use serde::{Deserialize, Serialize};

/// Most decimals of a currency; three are the most in use (ISO 4217, from memory).
pub const MAX_DECIMALS: u8 = 4;

const MILLISECONDS_PER_HOUR: u128 = 3_600_000;

/// How the film that is no panel is shared among the kits.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum WasteRule {
    /// In proportion to the area of a kit's panels.
    #[default]
    Area,
    /// In proportion to the area of the upright boxes round a kit's panels as they lie: awkward
    /// shapes carry more.
    Box,
}

impl WasteRule {
    /// The rule in a sentence, for print.
    pub fn words(self) -> &'static str {
        match self {
            Self::Area => "waste is shared in proportion to the area of the panels",
            Self::Box => "waste is shared in proportion to the boxes round the panels as they lie",
        }
    }
}

/// What a shop sets.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Rates {
    /// Name of the currency, as printed; may be empty.
    pub currency: String,
    /// Decimals of an amount.
    pub decimals: u8,
    /// How waste is shared.
    pub waste: WasteRule,
    /// For each area of panel that is printed.
    pub ink: Option<Price>,
    /// For each area of film used: it is laminated over its whole width.
    pub laminate: Option<Price>,
    /// For each area of the boxes round the panels.
    pub transfer_tape: Option<Price>,
    /// For working time.
    pub labour: Option<Labour>,
}

impl Rates {
    /// Where nothing is set but the price of film.
    pub fn plain() -> Self {
        Self { decimals: 2, ..Self::default() }
    }
}

/// Working time and what it costs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Labour {
    /// For an hour.
    pub per_hour: Decimal,
    /// Time for the whole job, shared evenly by its kits.
    pub job: Minutes,
    /// Time for each kit.
    pub kit: Minutes,
    /// Time for each piece cut.
    pub panel: Minutes,
}

/// A time, kept in whole milliseconds.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Minutes {
    /// The milliseconds.
    pub milliseconds: u32,
}

impl Minutes {
    /// As the number in a file.
    pub fn value(self) -> f64 {
        f64::from(self.milliseconds) / 60_000.0
    }
}

impl Labour {
    /// The cost of so many `milliseconds` of work, in minor units.
    pub fn of(&self, milliseconds: u128, decimals: u8) -> Option<Minor> {
        let numerator = milliseconds
            .checked_mul(u128::from(self.per_hour.units()))?
            .checked_mul(10u128.pow(u32::from(decimals)))?;
        rounded(numerator, MILLISECONDS_PER_HOUR * u128::from(Decimal::UNITS_PER_ONE))
    }
}

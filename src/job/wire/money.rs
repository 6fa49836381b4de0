//! The keys of prices, rates and offcuts.

use crate::job::Keep;
use crate::money::{Labour, Minutes, Per, Price, Rates, WasteRule};
use schemars::JsonSchema;
use serde::Serialize;

/// A price: an amount for each unit of length or area.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Price", deny_unknown_fields)]
pub(crate) struct WirePrice {
    /// A decimal number as text, such as "4.20".
    #[schemars(extend("pattern" = "^[0-9]{1,9}([.][0-9]{1,6})?$"))]
    amount: String,
    /// What it buys: metre, foot or yard of the roll, or a square of them.
    per: Per,
}

/// What the shop charges besides the film, and how waste is shared.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Rates", deny_unknown_fields)]
pub(crate) struct WireRates {
    /// Name of the currency, as printed.
    #[serde(skip_serializing_if = "String::is_empty")]
    #[schemars(length(max = 12), default)]
    currency: String,
    /// Decimals of an amount.
    #[schemars(range(min = 0, max = 4), default = "two")]
    decimals: u8,
    /// How waste is shared by the kits: by the `area` of their panels, or by the upright `box` round each.
    #[schemars(default)]
    waste: WasteRule,
    /// For each area of panel.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "WirePrice", default)]
    ink: Option<WirePrice>,
    /// For each area of film used, waste included.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "WirePrice", default)]
    laminate: Option<WirePrice>,
    /// For each area of the upright boxes round the panels.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "WirePrice", default)]
    transfer_tape: Option<WirePrice>,
    /// For working time.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "WireLabour", default)]
    labour: Option<WireLabour>,
}

/// Working time and what it costs.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Labour", deny_unknown_fields)]
pub(crate) struct WireLabour {
    /// A decimal number as text, such as "38.50".
    #[schemars(extend("pattern" = "^[0-9]{1,9}([.][0-9]{1,6})?$"))]
    per_hour: String,
    /// For the whole job, shared evenly by its kits; to the millisecond, like the others.
    #[schemars(range(min = 0.0), default)]
    minutes_per_job: f64,
    /// For each kit.
    #[schemars(range(min = 0.0), default)]
    minutes_per_kit: f64,
    /// For each piece cut.
    #[schemars(range(min = 0.0), default)]
    minutes_per_panel: f64,
}

/// The least offcut worth keeping.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Keep", deny_unknown_fields)]
pub(crate) struct WireKeep {
    /// Along the roll.
    #[schemars(extend("exclusiveMinimum" = 0))]
    length: f64,
    /// Across the roll.
    #[schemars(extend("exclusiveMinimum" = 0))]
    width: f64,
}

fn two() -> u8 {
    2
}

impl From<Price> for WirePrice {
    fn from(price: Price) -> Self {
        Self { amount: price.amount.to_string(), per: price.per }
    }
}

impl From<&Rates> for WireRates {
    fn from(rates: &Rates) -> Self {
        Self {
            currency: rates.currency.clone(),
            decimals: rates.decimals,
            waste: rates.waste,
            ink: rates.ink.map(WirePrice::from),
            laminate: rates.laminate.map(WirePrice::from),
            transfer_tape: rates.transfer_tape.map(WirePrice::from),
            labour: rates.labour.map(WireLabour::from),
        }
    }
}

impl From<Labour> for WireLabour {
    fn from(labour: Labour) -> Self {
        Self {
            per_hour: labour.per_hour.to_string(),
            minutes_per_job: Minutes::value(labour.job),
            minutes_per_kit: labour.kit.value(),
            minutes_per_panel: labour.panel.value(),
        }
    }
}

impl From<Keep> for WireKeep {
    fn from(keep: Keep) -> Self {
        Self { length: keep.length, width: keep.width }
    }
}

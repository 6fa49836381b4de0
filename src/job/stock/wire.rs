//! The keys of the stock format, as they are written and as the JSON Schema states them.

use super::{Cut, FORMAT, Stock};
use crate::job::wire::{WireKeep, WireRoll};
use crate::job::{Notes, Unit};
use schemars::JsonSchema;
use serde::Serialize;

/// The film that a shop has. Lengths are in `unit`.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Stock", deny_unknown_fields)]
pub(super) struct WireStock {
    /// The format and its version.
    #[schemars(extend("const" = "tuckroll-stock-1"))]
    format: &'static str,
    /// Unit of every length in the file.
    unit: Unit,
    /// The least offcut that becomes a piece of the stock when a layout is confirmed cut; without it none does.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "WireKeep", default)]
    keep: Option<WireKeep>,
    /// The pieces of film, each with an `id` of its own; `price` for all or for none.
    rolls: Vec<WireRoll>,
    /// The layouts that were cut from them, written by `tuckroll stock confirm`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    cut: Vec<WireCut>,
    /// Free object, carried along.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Notes", default)]
    notes: Option<Notes>,
}

/// A layout that was confirmed cut.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Cut", deny_unknown_fields)]
struct WireCut {
    /// SHA-256, in hexadecimal, of the layout as this program writes it: that of the `layout.json` that `nest` or
    /// `export` wrote. The same layout in other blanks or another order of keys goes by it, too.
    layout: String,
    /// The piece that it was cut from.
    roll: String,
    /// Film that it took off the piece.
    #[schemars(range(min = 0.0))]
    length: f64,
}

impl From<&Stock> for WireStock {
    fn from(stock: &Stock) -> Self {
        Self {
            format: FORMAT,
            unit: stock.unit,
            keep: stock.keep.map(WireKeep::from),
            rolls: stock.rolls.iter().map(WireRoll::from).collect(),
            cut: stock.cut.iter().map(WireCut::from).collect(),
            notes: stock.notes.clone(),
        }
    }
}

impl From<&Cut> for WireCut {
    fn from(cut: &Cut) -> Self {
        Self { layout: cut.layout.clone(), roll: cut.roll.clone(), length: cut.length }
    }
}

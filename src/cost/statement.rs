//! A bill as text and numbers with their units in the names, for JSON.

use super::{Bill, Costs, FilmCost, KitCost};
use crate::money::text;
use schemars::JsonSchema;
use serde::Serialize;

/// A bill for people and programs: money as decimal text.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct Statement {
    /// Name of the currency; may be empty.
    pub currency: String,
    /// How the waste is shared.
    pub waste_rule: &'static str,
    /// The pieces of film.
    pub films: Vec<FilmLine>,
    /// The kits.
    pub kits: Vec<KitLine>,
    /// The sum.
    pub total: CostLine,
}

/// One piece of film.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct FilmLine {
    /// Id of the piece.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String", default)]
    pub roll: Option<String>,
    /// Which film.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String", default)]
    pub film: Option<String>,
    /// Length used.
    pub length_mm: f64,
    /// Area used, over the whole width.
    pub area_mm2: f64,
    /// Length left on the roll.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64", default)]
    pub left_mm: Option<f64>,
    /// What it costs.
    pub cost: String,
}

/// One kit.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct KitLine {
    /// Its id; absent for panels without one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String", default)]
    pub kit: Option<String>,
    /// Pieces cut.
    pub pieces: u64,
    /// Area of its required panels.
    pub panel_area_mm2: f64,
    /// Film it pays for, waste included.
    pub film_area_mm2: f64,
    /// What it costs.
    #[serde(flatten)]
    pub costs: CostLine,
}

/// Amounts as decimal text.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct CostLine {
    /// Film.
    pub film_cost: String,
    /// Ink.
    pub ink_cost: String,
    /// Laminate.
    pub laminate_cost: String,
    /// Transfer tape.
    pub transfer_tape_cost: String,
    /// Working time.
    pub labour_cost: String,
    /// All of it.
    pub total_cost: String,
}

/// The bill as a statement.
pub fn statement(bill: &Bill) -> Statement {
    let decimals = bill.rates.decimals;
    Statement {
        currency: bill.rates.currency.clone(),
        waste_rule: bill.rates.waste.words(),
        films: bill.films.iter().map(|f| film_line(f, decimals)).collect(),
        kits: bill.kits.iter().map(|k| kit_line(k, decimals)).collect(),
        total: cost_line(&bill.total, decimals),
    }
}

fn film_line(film: &FilmCost, decimals: u8) -> FilmLine {
    FilmLine {
        roll: film.roll.clone(),
        film: film.film.clone(),
        length_mm: film.length_mm,
        area_mm2: film.area_mm2,
        left_mm: film.left_mm,
        cost: text(film.cost, decimals),
    }
}

fn kit_line(kit: &KitCost, decimals: u8) -> KitLine {
    KitLine {
        kit: kit.kit.clone(),
        pieces: kit.pieces,
        panel_area_mm2: kit.panel_area_mm2,
        film_area_mm2: kit.film_area_mm2,
        costs: cost_line(&kit.costs, decimals),
    }
}

fn cost_line(costs: &Costs, decimals: u8) -> CostLine {
    let text = |amount| text(amount, decimals);
    CostLine {
        film_cost: text(costs.film),
        ink_cost: text(costs.ink),
        laminate_cost: text(costs.laminate),
        transfer_tape_cost: text(costs.transfer_tape),
        labour_cost: text(costs.labour),
        total_cost: text(costs.total()),
    }
}

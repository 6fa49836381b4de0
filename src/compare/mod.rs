//! Rolls, gaps and rules side by side: what each takes of film, money and time, over several seeds.
//!
//! A cell is one nest of one variant with one seed, on one piece of film or several. Cells may come
//! from this program or from many machines; the comparison depends on the layouts alone, and the same
//! layouts give the same bytes.

mod check;
mod model;
mod name;
mod panels;
mod sample;
mod variant;

pub use model::{Comparison, Run, Spread, Variant, VariantCost};
pub use name::CellName;

use crate::error::Error;
use crate::layout::Layout;
use model::FORMAT;
use sample::Sample;
use std::collections::BTreeMap;

/// The layouts of one nest and what it is a sample of.
#[derive(Debug, Clone)]
pub struct Cell {
    /// Variant and seed.
    pub name: CellName,
    /// One layout for each piece of film.
    pub layouts: Vec<Layout>,
}

impl Cell {
    /// A cell; the order in which the layouts are given does not matter.
    pub fn new(name: CellName, mut layouts: Vec<Layout>) -> Self {
        layouts.sort_by(|a, b| a.roll.piece.id.cmp(&b.roll.piece.id));
        Self { name, layouts }
    }
}

/// Puts cells side by side, in the order of their variants' numbers and seeds. The cheapest is the one
/// with the least mean cost where every layout says prices, otherwise the one with the least film.
///
/// # Errors
///
/// [`Error::Input`] when there is no cell, a cell occurs twice, is empty, says another seed than its
/// layouts, was interrupted, is of another job than the first or cuts other panels, or lacks a price that others have.
pub fn compare(cells: &[Cell]) -> Result<Comparison, Error> {
    let first = check::first_of(cells)?;
    let mut groups: BTreeMap<u32, Vec<Sample<'_>>> = BTreeMap::new();
    for cell in cells {
        groups.entry(cell.name.variant).or_default().push(Sample::of(cell)?);
    }
    let currency = check::currency(groups.values().flatten())?;
    let mut found: Vec<(Variant, f64)> = groups.into_values().filter_map(variant::of).collect();
    let least = found.iter().map(|(_, price)| *price).fold(f64::INFINITY, f64::min);
    if let Some((best, _)) = found.iter_mut().find(|(_, price)| *price <= least) {
        best.cheapest = true;
    }
    Ok(Comparison {
        format: FORMAT,
        name: first.name.clone(),
        unit: first.unit,
        cheapest_by: if currency.is_some() { "mean cost" } else { "mean film area" },
        currency,
        variants: found.into_iter().map(|(variant, _)| variant).collect(),
    })
}

/// The JSON Schema of the comparison format.
pub fn schema() -> String {
    crate::json::schema::<Comparison>()
}

/// The text of a comparison file.
pub fn write(comparison: &Comparison) -> String {
    crate::json::to_text(comparison)
}

/// Whether the bytes are a comparison file.
pub fn is_comparison(bytes: &[u8]) -> bool {
    crate::json::has_format(bytes, FORMAT)
}

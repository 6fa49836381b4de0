//! Rolls, gaps and rules side by side: what each takes of film, over several seeds.
//!
//! A cell is one nest of one variant with one seed. Cells may come from this program or from many
//! machines; the comparison depends on the layouts alone, and the same layouts give the same bytes.

mod model;
mod name;

pub use model::{Comparison, Run, Spread, Variant};
pub use name::CellName;

use crate::error::{Error, Problems};
use crate::layout::Layout;
use model::FORMAT;
use std::collections::BTreeMap;

/// One layout and what it is a sample of.
#[derive(Debug, Clone)]
pub struct Cell {
    /// Variant and seed.
    pub name: CellName,
    /// The layout.
    pub layout: Layout,
}

/// Puts cells side by side, in the order of their variants' numbers and seeds.
///
/// # Errors
///
/// [`Error::Input`] when there is no cell, a cell occurs twice, says another seed than its layout,
/// or is of another job than the first.
pub fn compare(cells: &[Cell]) -> Result<Comparison, Error> {
    let Some(first) = cells.first() else {
        return Err(Error::input("compare", "there is no layout to compare", "nest some of the cells first"));
    };
    check(cells, &first.layout)?;
    let mut groups: BTreeMap<u32, Vec<&Cell>> = BTreeMap::new();
    for cell in cells {
        groups.entry(cell.name.variant).or_default().push(cell);
    }
    let mut variants: Vec<Variant> = groups.into_values().filter_map(variant).collect();
    let least = variants.iter().map(|v| v.film_area_mm2.mean).fold(f64::INFINITY, f64::min);
    if let Some(best) = variants.iter_mut().find(|v| v.film_area_mm2.mean <= least) {
        best.cheapest = true;
    }
    Ok(Comparison {
        format: FORMAT,
        name: first.layout.name.clone(),
        unit: first.layout.unit,
        cheapest_by: "mean film area",
        variants,
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

/// What would make the table a lie.
fn check(cells: &[Cell], first: &Layout) -> Result<(), Error> {
    let mut problems = Problems::default();
    let mut seen = BTreeMap::new();
    for cell in cells {
        let place = cell.name.folder();
        if seen.insert((cell.name.variant, cell.name.seed), ()).is_some() {
            problems.push(&place, "this variant and seed are there twice", "remove one of the two");
        }
        let seed = cell.layout.made_by.as_ref().map(|m| m.seed);
        if seed != Some(cell.name.seed) {
            problems.push(&place, "its layout was made with another seed", "nest this cell again");
        }
        if (&cell.layout.name, cell.layout.unit) != (&first.name, first.unit) {
            problems.push(&place, "its layout is of another job", "gather one comparison at a time");
        }
    }
    problems.or_ok(())
}

fn variant(mut cells: Vec<&Cell>) -> Option<Variant> {
    cells.sort_by_key(|c| c.name.seed);
    let runs: Vec<Run> = cells.iter().map(|c| run(&c.layout)).collect();
    let first = cells.first()?;
    let mm = first.layout.unit.in_mm();
    Some(Variant {
        number: first.name.variant,
        label: first.name.label(),
        width_mm: first.layout.roll.width * mm,
        gap_mm: first.layout.gap * mm,
        pieces: first.layout.placements.len(),
        length_mm: Spread::of(runs.iter().map(|r| r.length_mm))?,
        waste_percent: Spread::of(runs.iter().map(|r| r.waste_percent))?,
        film_area_mm2: Spread::of(runs.iter().map(|r| r.film_area_mm2))?,
        cheapest: false,
        runs,
    })
}

fn run(layout: &Layout) -> Run {
    let (m, mm) = (&layout.measures, layout.unit.in_mm());
    let made = layout.made_by.as_ref();
    Run {
        seed: made.map_or(0, |m| m.seed),
        rounds: made.map_or(0, |m| m.rounds),
        length_mm: m.length * mm,
        waste_percent: m.waste_percent,
        film_area_mm2: layout.roll.width * m.length * mm * mm,
    }
}

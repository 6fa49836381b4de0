//! What one cell comes to: its pieces of film together.

use super::{Cell, Run};
use crate::cost::{self, Bill};
use crate::error::Error;
use crate::floor::plan::{Options, plan};
use crate::money;

/// A cell, measured.
pub(super) struct Sample<'a> {
    pub cell: &'a Cell,
    pub run: Run,
    pub pieces: usize,
    pub bill: Option<Bill>,
}

impl<'a> Sample<'a> {
    /// Measures the layouts of a cell, plans how they are cut, and reckons what they cost.
    pub fn of(cell: &'a Cell) -> Result<Self, Error> {
        let layouts: Vec<_> = cell.layouts.iter().collect();
        let (mut length, mut film, mut panels, mut time) = (0.0, 0.0, 0.0, 0.0);
        for layout in &layouts {
            let (m, mm) = (&layout.measures, layout.unit.in_mm());
            length += m.length * mm;
            film += layout.roll.width * m.length * mm * mm;
            panels += m.panel_area * mm * mm;
            time += plan(layout, &Options::default())?.totals.time_s;
        }
        let waste = match layouts.as_slice() {
            [one] => one.measures.waste_percent,
            _ if film > 0.0 => 100.0 * (1.0 - panels / film),
            _ => 0.0,
        };
        let bill = cost::bill(&layouts)?;
        let amount = |of: fn(&cost::Costs) -> money::Minor| {
            bill.as_ref().map(|b| money::text(of(&b.total), b.rates.decimals))
        };
        let run = Run {
            seed: cell.name.seed,
            rounds: layouts.iter().filter_map(|l| l.made_by.as_ref()).map(|m| m.rounds).max().unwrap_or(0),
            length_mm: length,
            waste_percent: waste,
            film_area_mm2: film,
            cut_time_s: time,
            film_cost: amount(|c| c.film),
            total_cost: amount(cost::Costs::total),
        };
        Ok(Self { cell, run, pieces: layouts.iter().map(|l| l.placements.len()).sum(), bill })
    }

    /// The full width of its film, where that is one.
    pub fn width_mm(&self) -> Option<f64> {
        match self.cell.layouts.as_slice() {
            [one] => Some(one.roll.width * one.unit.in_mm()),
            _ => None,
        }
    }
}

//! One variant over its seeds.

use super::sample::Sample;
use super::{Run, Spread, Variant, VariantCost};
use crate::cost::Bill;
use crate::money;

/// The line of a variant, and the number by which the cheapest is chosen: its mean cost where there are
/// prices, else its mean film area.
pub(super) fn of(mut samples: Vec<Sample<'_>>) -> Option<(Variant, f64)> {
    samples.sort_by_key(|s| s.run.seed);
    let bills: Vec<&Bill> = samples.iter().filter_map(|s| s.bill.as_ref()).collect();
    let (cost, price) = cost(&bills).unzip();
    let spread = |of: fn(&Run) -> f64| Spread::of(samples.iter().map(|s| of(&s.run)));
    let first = samples.first()?;
    let film_area_mm2 = spread(|r| r.film_area_mm2)?;
    let variant = Variant {
        number: first.cell.name.variant,
        label: first.cell.name.label(),
        width_mm: first.width_mm(),
        gap_mm: first.cell.layouts.first().map_or(0.0, |l| l.gap * l.unit.in_mm()),
        pieces: first.pieces,
        length_mm: spread(|r| r.length_mm)?,
        waste_percent: spread(|r| r.waste_percent)?,
        film_area_mm2,
        cut_time_s: spread(|r| r.cut_time_s)?,
        cost,
        cheapest: false,
        runs: samples.iter().map(|s| s.run.clone()).collect(),
    };
    Some((variant, price.unwrap_or(film_area_mm2.mean)))
}

/// Means over the seeds, and the mean in minor units.
fn cost(bills: &[&Bill]) -> Option<(VariantCost, f64)> {
    let decimals = bills.first()?.rates.decimals;
    // Counts of cents are whole numbers far below 2^53.
    let film = Spread::of(bills.iter().map(|b| b.total.film as f64))?;
    let total = Spread::of(bills.iter().map(|b| b.total.total() as f64))?;
    let text = |amount: f64| money::text(amount.round() as money::Minor, decimals);
    let cost = VariantCost {
        film_cost_mean: text(film.mean),
        total_cost_mean: text(total.mean),
        total_cost_least: text(total.least),
        total_cost_greatest: text(total.greatest),
    };
    Some((cost, total.mean))
}

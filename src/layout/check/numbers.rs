//! Sizes that must be usable, and stated measures that must be true.

use super::{Fault, Placed};
use crate::job::Panel;
use crate::layout::{Layout, measure};
use crate::shape::Ring;

/// Sizes without which nothing can be judged.
pub(super) fn check_sizes(layout: &Layout) -> Vec<Fault> {
    let roll = &layout.roll;
    let at_least_zero = [
        ("gap", layout.gap),
        ("roll.edge_margin[0]", roll.edge_margin[0]),
        ("roll.edge_margin[1]", roll.edge_margin[1]),
        ("roll.lead_margin", roll.lead_margin),
        ("roll.tail_margin", roll.tail_margin),
    ];
    let width = (!(roll.width.is_finite() && roll.width > 0.0)).then_some(("roll.width", roll.width));
    let length = roll.length.filter(|v| !v.is_finite()).map(|v| ("roll.length", v));
    let sizes = at_least_zero.into_iter().filter(|(_, v)| !(v.is_finite() && *v >= 0.0));
    let bad = width.into_iter().chain(length).chain(sizes);
    bad.map(|(what, value)| Fault::UnusableNumber { what: what.into(), value }).collect()
}

/// By how much a stated percentage may be off: the digits that a report prints.
const PERCENT_TOLERANCE: f64 = 1e-3;

/// By which part of itself a stated area may be off, beside what t along every contour makes up.
const AREA_TOLERANCE: f64 = 1e-9;

/// Compares what the layout states with what it measures.
pub(super) fn check_measures(layout: &Layout, placed: &[Placed], faults: &mut Vec<Fault>) {
    let (stated, truth) = (&layout.measures, measure(layout));
    let t = layout.roll.tolerance();
    let rim = t * placed.iter().map(|p| perimeter(p.panel)).sum::<f64>();
    let area_tolerance = |area: f64| rim + AREA_TOLERANCE * area;
    let rows = [
        ("length", stated.length, truth.length, t),
        ("panel_area", stated.panel_area, truth.panel_area, area_tolerance(truth.panel_area)),
        ("filler_area", stated.filler_area, truth.filler_area, area_tolerance(truth.filler_area)),
        ("waste_percent", stated.waste_percent, truth.waste_percent, PERCENT_TOLERANCE),
        ("density_percent", stated.density_percent, truth.density_percent, PERCENT_TOLERANCE),
    ];
    for (what, stated, truth, tolerance) in rows {
        let agrees = (stated - truth).abs() <= tolerance;
        if !agrees {
            faults.push(Fault::Misstated { what, stated, truth });
        }
    }
}

fn perimeter(panel: &Panel) -> f64 {
    panel.parts.iter().flat_map(|part| part.rings()).map(Ring::perimeter).sum()
}

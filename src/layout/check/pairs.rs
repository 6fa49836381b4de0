//! The gap between any two panels, by true distance, or their overlap where no gap is asked.
//!
//! Each panel's own shape must keep clear of what the other wants kept clear: its outline with
//! the holes filled, its hull, or just itself where its holes may be used. A gap no greater
//! than t counts as none: panels may touch, and may overlap no deeper than t.

use super::Fault;
use super::stencil::{Body, Placed, Shape, overlap_depth};
use crate::layout::Layout;
use crate::shape::{common_point, deepest_corner};

/// How many faulty pairs are listed; ten thousand panels in one place would make fifty million.
const MOST_LISTED: usize = 1000;

pub(super) fn check(layout: &Layout, placed: &[Placed], faults: &mut Vec<Fault>) {
    let rule = Rule::of(layout);
    let mut listed = 0;
    visit_neighbours(placed, layout.gap, |(a, body_a), (b, body_b)| {
        let Some(fault) = rule.fault((&a.name, body_a), (&b.name, body_b)) else { return true };
        faults.push(fault);
        listed += 1;
        if listed == MOST_LISTED {
            faults.push(Fault::MorePairs { listed });
        }
        listed < MOST_LISTED
    });
}

/// Sweeps along the roll and calls `judge` with every two copies whose boxes come within `reach`
/// of each other, until it returns `false`. Only copies near the front have their shapes in memory.
fn visit_neighbours(
    placed: &[Placed],
    reach: f64,
    mut judge: impl FnMut((&Placed, &Body), (&Placed, &Body)) -> bool,
) {
    let mut order: Vec<&Placed> = placed.iter().collect();
    order.sort_by(|a, b| a.bounds.min.x.total_cmp(&b.bounds.min.x));
    let mut front: Vec<(&Placed, Body)> = Vec::new();
    for p in order {
        front.retain(|(q, _)| q.bounds.max.x + reach >= p.bounds.min.x);
        let body = p.body();
        for (q, other) in front.iter().filter(|(q, _)| q.bounds.near(&p.bounds, reach)) {
            if !judge((q, other), (p, &body)) {
                return;
            }
        }
        front.push((p, body));
    }
}

/// How two neighbours are judged.
enum Rule {
    /// They keep a distance of more than `least`.
    Apart { gap: f64, least: f64 },
    /// They do not overlap deeper than twice `depth`.
    Touching { depth: f64 },
}

impl Rule {
    fn of(layout: &Layout) -> Self {
        match overlap_depth(layout) {
            Some(depth) => Self::Touching { depth },
            None => Self::Apart { gap: layout.gap, least: layout.gap - layout.roll.tolerance() },
        }
    }

    fn fault(&self, (first, a): (&str, &Body), (second, b): (&str, &Body)) -> Option<Fault> {
        let both = [(&a.solid, b.keep()), (&b.solid, a.keep())];
        let sides = if a.keeps_more() || b.keeps_more() { &both[..] } else { &both[..1] };
        let names = || (String::from(first), String::from(second));
        match *self {
            Self::Apart { gap, least } => {
                let distances = sides.iter().filter_map(|(s, k)| s.contours.distance(&k.contours, least));
                let distance = distances.reduce(f64::min)?;
                let (first, second) = names();
                Some(Fault::TooNear { first, second, distance, gap })
            }
            Self::Touching { depth } => {
                let common = |(s, k): &(&Shape, &Shape)| common_point(s.eroded(depth), k.eroded(depth));
                let near = sides.iter().find_map(common)?;
                let corner = deepest_corner(&a.solid.contours, &b.solid.contours);
                let (first, second) = names();
                let depth = corner.unwrap_or(0.0).max(2.0 * depth);
                Some(Fault::Overlap { first, second, near, depth })
            }
        }
    }
}

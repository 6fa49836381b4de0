//! The check of all rules, from the layout alone.
//!
//! Nothing here knows how a layout was found: every outline is placed anew and every rule is
//! decided again, by exact predicates and distances of its own. One module a rule:
//!
//! * `numbers`: sizes are usable, stated measures are the true ones;
//! * `copies`: every copy of every required panel lies somewhere, once, and nothing else does;
//! * `headings`: grain rules, match groups, mirroring;
//! * `film`: on usable film, clear of flaws, before the end of the roll; fillers' reach;
//! * `pairs`: the gap between any two panels, or their overlap where no gap is asked;
//! * `against`: what a layout and its job must have in common;
//! * `day`: what the layouts of several pieces of film must come to together.
//!
//! All lengths are judged by the roll's one tolerance t, [`Roll::tolerance`](crate::job::Roll::tolerance).

mod against;
mod copies;
mod day;
mod fault;
mod film;
mod headings;
mod numbers;
mod pairs;
mod stencil;
#[cfg(test)]
mod tests;

pub use against::check_against;
pub use day::check_day;
pub use fault::Fault;

use super::Layout;
use stencil::{Placed, Stencil};

/// Every rule that the layout breaks; empty when it is good.
///
/// When a size of the roll cannot be used at all (a width of 0, a number that is not finite),
/// nothing else can be judged and only that is reported.
pub fn check(layout: &Layout) -> Vec<Fault> {
    let mut faults = numbers::check_sizes(layout);
    if !faults.is_empty() {
        return faults;
    }
    let stencils: Vec<Stencil> = layout.panels.iter().map(|p| Stencil::new(p, layout)).collect();
    let placed = copies::check(layout, &stencils, &mut faults);
    headings::check(&placed, &mut faults);
    film::check(layout, &placed, &mut faults);
    pairs::check(layout, &placed, &mut faults);
    if placed.len() == layout.placements.len() {
        numbers::check_measures(layout, &placed, &mut faults);
    }
    faults
}

//! How entangled the closed subpaths of a drawing are: cutting them up takes time and memory for every place where
//! sides meet, and a scribble of ten thousand strokes has ten million such places.

use super::pen::Subpath;
use crate::shape::{Bounds, Contours, Point, on_segment, segments_cross};
use std::ops::ControlFlow;

/// Most places of one drawing where sides are cut: four seconds and 160 MB.
const MOST_PLACES: usize = 1_000_000;
/// Most pairs of sides looked at, those of which the boxes lie over each other: some seconds.
const MOST_PAIRS: usize = 100_000_000;
/// Most pairs of sides in one bin of those into which the overlay sorts them: two seconds.
const MOST_CROWDED: usize = 2_000_000_000;

/// Most pairs of sides looked at to tell whether anything has to be cut up at all: some seconds.
const MOST_SIDES: usize = 500_000_000;

/// What may still be cut up in a drawing.
#[derive(Debug, Clone, Copy)]
pub(super) struct Allowance {
    places: usize,
    pairs: usize,
    crowded: usize,
    /// Pairs of sides that may still be looked at to tell whether subpaths keep clear of themselves and each other.
    pub sides: usize,
}

impl Default for Allowance {
    fn default() -> Self {
        Self { places: MOST_PLACES, pairs: MOST_PAIRS, crowded: MOST_CROWDED, sides: MOST_SIDES }
    }
}

/// Why subpaths are not cut up.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Tangled {
    /// They meet at more places than is allowed.
    Places,
    /// To tell where they meet takes too long.
    Crowded,
}

impl std::fmt::Display for Tangled {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Places => {
                write!(f, "the subpaths of filled paths cross or touch at more than {MOST_PLACES} places")
            }
            Self::Crowded => {
                write!(f, "too many sides of filled paths that cross or touch lie close together")
            }
        }
    }
}

impl Allowance {
    /// Takes what it takes to cut these subpaths up.
    pub fn spend(&mut self, subpaths: &[Subpath]) -> Result<(), Tangled> {
        let sides = Contours::of_rings(subpaths.iter().map(|s| s.points.clone()).collect());
        self.crowded = self.crowded.checked_sub(crowd(&sides)).ok_or(Tangled::Crowded)?;
        let mut refused = Tangled::Places;
        let spent = sides.visit_pairs(&sides, 0.0, &mut |i, j| {
            let meet = i < j && are_cut(sides.edge(i), sides.edge(j));
            match (self.pairs.checked_sub(1), self.places.checked_sub(usize::from(meet))) {
                (Some(pairs), Some(places)) => {
                    *self = Self { places, pairs, ..*self };
                    return ControlFlow::Continue(());
                }
                (None, _) => refused = Tangled::Crowded,
                _ => {}
            }
            ControlFlow::Break(())
        });
        if spent.is_break() { Err(refused) } else { Ok(()) }
    }
}

/// Pairs of sides in one bin, all bins together. The overlay has as many bins along x as the root of the number of sides,
/// so that they are crowded in a few where one side is far away from all others.
fn crowd(sides: &Contours) -> usize {
    let bounds = Bounds::of(sides.points()).filter(|b| b.width() > 0.0);
    let Some(bounds) = bounds else { return sides.len().saturating_mul(sides.len()) };
    let count = sides.len().isqrt().max(1);
    let bin = |x: f64| (((x - bounds.min.x) / bounds.width() * count as f64) as usize).min(count - 1);
    let mut bins = vec![0usize; count];
    for (a, b) in (0..sides.len()).map(|i| sides.edge(i)) {
        let (from, to) = (bin(a.x.min(b.x)), bin(a.x.max(b.x)));
        bins[from..=to].iter_mut().for_each(|n| *n += 1);
    }
    bins.iter().fold(0, |sum, n| sum.saturating_add(n.saturating_mul(*n)))
}

/// Whether one of two sides is cut by the other: they cross, or an end of one lies on the other between its ends.
fn are_cut((a, b): (Point, Point), (c, d): (Point, Point)) -> bool {
    let between = |a: Point, b: Point, p: Point| p != a && p != b && on_segment((a, b), p);
    segments_cross(a, b, c, d) || between(a, b, c) || between(a, b, d) || between(c, d, a) || between(c, d, b)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: f64, y: f64, size: f64) -> Subpath {
        let corners = [(0., 0.), (size, 0.), (size, size), (0., size)];
        Subpath { points: corners.map(|(a, b)| Point { x: x + a, y: y + b }).to_vec(), closed: true }
    }

    fn places(subpaths: &[Subpath]) -> usize {
        let mut allowance = Allowance::default();
        allowance.spend(subpaths).unwrap();
        MOST_PLACES - allowance.places
    }

    #[test]
    fn places_are_where_sides_are_cut() {
        assert_eq!(places(&[square(0., 0., 4.), square(2., 2., 4.)]), 2, "crossing");
        assert_eq!(places(&[square(0., 0., 4.), square(4., 4., 4.)]), 0, "at a corner");
        assert_eq!(places(&[square(0., 0., 4.), square(4., 0., 4.)]), 0, "along a whole side");
        // Both corners of the small one's side lie on the large one's; its other sides end there.
        assert_eq!(places(&[square(0., 0., 4.), square(4., 1., 2.)]), 3, "along a part of a side");
        assert_eq!(places(&[square(0., 0., 4.), square(1., 1., 2.)]), 0, "inside");
    }

    #[test]
    fn what_is_spent_on_one_path_is_gone_for_the_next() {
        let crossing = [square(0., 0., 4.), square(2., 2., 4.)];
        let mut allowance = Allowance { places: 5, ..Allowance::default() };
        assert_eq!(allowance.spend(&crossing), Ok(()));
        assert_eq!(allowance.spend(&crossing), Ok(()));
        assert_eq!(allowance.spend(&crossing), Err(Tangled::Places));
        let mut allowance = Allowance { pairs: 10, ..Allowance::default() };
        assert_eq!(allowance.spend(&crossing), Err(Tangled::Crowded));
    }

    /// Of the sides of one half, each lies in a bin with all others where the other half is far away.
    #[test]
    fn a_side_far_away_makes_a_crowd() {
        let row = |far: f64| -> Vec<Subpath> {
            (0..5000).map(|k| square(f64::from(k), 0., 0.5)).chain([square(far, 0., 1.)]).collect()
        };
        let crowd_of =
            |s: &[Subpath]| crowd(&Contours::of_rings(s.iter().map(|s| s.points.clone()).collect()));
        let (even, far) = (crowd_of(&row(5000.)), crowd_of(&row(1e9)));
        assert!(even < 10_000_000 && far == 20_000 * 20_000 + 4 * 4, "{even} {far}");
        let mut allowance = Allowance { crowded: 2 * even, ..Allowance::default() };
        assert_eq!(allowance.spend(&row(5000.)), Ok(()));
        assert_eq!(allowance.spend(&row(1e9)), Err(Tangled::Crowded));
    }
}

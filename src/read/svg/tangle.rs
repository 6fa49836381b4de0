//! How entangled the closed subpaths of a drawing are: cutting them up takes time and memory for every place where
//! sides meet, and a scribble of ten thousand strokes has ten million such places.

use super::pen::Subpath;
use crate::shape::{Contours, Point, Side, segments_cross, side};
use std::ops::ControlFlow;

/// Most places of one drawing where sides are cut: four seconds and 160 MB.
const MOST_PLACES: usize = 1_000_000;
/// Most pairs of sides looked at, those of which the boxes lie over each other: some seconds.
const MOST_PAIRS: usize = 100_000_000;

/// What may still be cut up in a drawing.
#[derive(Debug, Clone, Copy)]
pub(super) struct Allowance {
    places: usize,
    pairs: usize,
}

impl Default for Allowance {
    fn default() -> Self {
        Self { places: MOST_PLACES, pairs: MOST_PAIRS }
    }
}

/// Subpaths that meet at more places than is allowed.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Tangled;

impl std::fmt::Display for Tangled {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "the subpaths of filled paths cross or touch at more than {MOST_PLACES} places")
    }
}

impl Allowance {
    /// Takes what it takes to cut these subpaths up.
    pub fn spend(&mut self, subpaths: &[Subpath]) -> Result<(), Tangled> {
        let sides = Contours::of_rings(subpaths.iter().map(|s| s.points.clone()).collect());
        let spent = sides.visit_pairs(&sides, 0.0, &mut |i, j| {
            let meet = i < j && are_cut(sides.edge(i), sides.edge(j));
            match (self.pairs.checked_sub(1), self.places.checked_sub(usize::from(meet))) {
                (Some(pairs), Some(places)) => {
                    *self = Self { places, pairs };
                    ControlFlow::Continue(())
                }
                _ => ControlFlow::Break(()),
            }
        });
        if spent.is_break() { Err(Tangled) } else { Ok(()) }
    }
}

/// Whether one of two sides is cut by the other: they cross, or an end of one lies on the other between its ends.
fn are_cut((a, b): (Point, Point), (c, d): (Point, Point)) -> bool {
    let between = |a: Point, b: Point, p: Point| {
        p != a && p != b && side(a, b, p) == Side::On && within(a.x, b.x, p.x) && within(a.y, b.y, p.y)
    };
    segments_cross(a, b, c, d) || between(a, b, c) || between(a, b, d) || between(c, d, a) || between(c, d, b)
}

fn within(a: f64, b: f64, v: f64) -> bool {
    v >= a.min(b) && v <= a.max(b)
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
        assert_eq!(allowance.spend(&crossing), Err(Tangled));
        let mut allowance = Allowance { pairs: 10, ..Allowance::default() };
        assert_eq!(allowance.spend(&crossing), Err(Tangled));
    }
}

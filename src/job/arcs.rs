//! The headings at which a panel fits across the roll, all of them, as arcs of the circle.
//!
//! Between two headings at which a side of the convex hull lies along the roll, the same two
//! corners are the outermost ones, and the extent across the roll is r sin(heading + phase) with
//! r their distance (H. Freeman and R. Shapira, Communications of the ACM 18, 1975). So the
//! headings at which it stays below a width are found in closed form.

use super::{Grain, Panel};
use crate::shape::{Point, convex_hull, dot, length, wrap_degrees};

/// Closed arcs of headings in degrees, in rising order and apart, none across 0.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Arcs(Vec<(f64, f64)>);

/// By how much every arc is widened at both ends, in degrees, so that arcs which meet in one
/// heading are seen to meet in spite of rounding; a panel 100 m long gains 2 um by it.
const BLUR: f64 = 1e-9;

impl Arcs {
    /// Every heading.
    pub fn full() -> Self {
        Self(vec![(0.0, 360.0)])
    }

    /// From pairs in any order and of any winding; each goes up from its first heading.
    fn of(list: impl IntoIterator<Item = (f64, f64)>) -> Self {
        let mut cut = Vec::new();
        for (from, to) in list {
            let span = to - from + 2.0 * BLUR;
            let from = wrap_degrees(from - BLUR);
            if span >= 360.0 {
                return Self::full();
            } else if from + span > 360.0 {
                cut.extend([(from, 360.0), (0.0, from + span - 360.0)]);
            } else {
                cut.push((from, from + span));
            }
        }
        cut.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut joined: Vec<(f64, f64)> = Vec::with_capacity(cut.len());
        for arc in cut {
            match joined.last_mut() {
                Some(last) if arc.0 <= last.1 => last.1 = last.1.max(arc.1),
                _ => joined.push(arc),
            }
        }
        Self(joined)
    }

    /// What lies in both.
    pub fn common(&self, other: &Self) -> Self {
        let (mut i, mut j) = (0, 0);
        let mut out = Vec::new();
        while let (Some(a), Some(b)) = (self.0.get(i), other.0.get(j)) {
            let (from, to) = (a.0.max(b.0), a.1.min(b.1));
            if from <= to {
                out.push((from, to));
            }
            if a.1 < b.1 { i += 1 } else { j += 1 }
        }
        Self(out)
    }

    /// Whether there is no heading.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The middle of the longest arc, the first of equals: the heading with most room on both sides.
    pub fn roomiest(&self) -> Option<f64> {
        let longest = self.0.iter().copied().reduce(|a, b| if b.1 - b.0 > a.1 - a.0 { b } else { a })?;
        Some(wrap_degrees(0.5 * (longest.0 + longest.1)))
    }
}

/// The headings that the grain of a panel permits and at which it measures no more than `widest`
/// across the roll, as it is or mirrored where that is allowed.
pub fn fitting(panel: &Panel, widest: f64) -> Arcs {
    let arcs = hulls(panel).flat_map(|(hull, mirrored)| {
        let grain = panel.grain;
        rotations(&hull, widest).into_iter().map(move |(from, to)| {
            let heading = grain.heading(from, mirrored);
            (heading, heading + (to - from))
        })
    });
    Arcs::of(arcs).common(&permitted(&panel.grain))
}

fn permitted(grain: &Grain) -> Arcs {
    match grain.rule.headings() {
        None => Arcs::full(),
        Some(list) => Arcs::of(list.iter().map(|h| (h - grain.slack, h + grain.slack))),
    }
}

/// The convex hull of the panel as it is and, where that is allowed, mirrored.
pub fn hulls(panel: &Panel) -> impl Iterator<Item = (Vec<Point>, bool)> {
    let points: Vec<Point> = panel.parts.iter().flat_map(|r| r.outline().points()).copied().collect();
    let hull = convex_hull(&points);
    let flipped = panel
        .mirror
        .then(|| convex_hull(&hull.iter().map(|p| Point { x: p.x, y: -p.y }).collect::<Vec<_>>()));
    std::iter::once((hull, false)).chain(flipped.map(|h| (h, true)))
}

/// Stretches of rotation over one turn at which a convex contour is at most `widest` high.
fn rotations(hull: &[Point], widest: f64) -> Vec<(f64, f64)> {
    let n = hull.len();
    if n < 2 {
        return vec![(0.0, 360.0)];
    }
    let mut flat: Vec<f64> = (0..n)
        .map(|i| hull[(i + 1) % n] - hull[i])
        .map(|d| wrap_degrees(-libm::atan2(d.y, d.x).to_degrees()) % 180.0)
        .collect();
    flat.sort_by(f64::total_cmp);
    flat.dedup();
    let first = flat[0] + 180.0;
    let ends = flat.iter().copied().skip(1).chain([first]);
    let mut out = Vec::new();
    let mut top = Outermost::default();
    let mut bottom = Outermost::default();
    for (from, to) in flat.iter().copied().zip(ends) {
        let mid = 0.5 * (from + to);
        let d = hull[top.find(hull, mid)] - hull[bottom.find(hull, mid + 180.0)];
        for (a, b) in below(d, (from, to), widest) {
            out.extend([(a, b), (a + 180.0, b + 180.0)]);
        }
    }
    out
}

/// Where, between two rotations, the height of `d` is at most `widest`. It rises to one top
/// between them, so what is left lies at the ends.
fn below(d: Point, (from, to): (f64, f64), widest: f64) -> Vec<(f64, f64)> {
    let r = length(d);
    if r <= widest {
        return vec![(from, to)];
    }
    let phase = libm::atan2(d.y, d.x).to_degrees();
    // rotation + phase lies between 0 and 180 all the way; a whole turn is taken off where it does not.
    let turns = 360.0 * ((0.5 * (from + to) + phase) / 360.0).floor();
    let open = libm::asin(widest / r).to_degrees();
    let (rises, falls) = (open - phase + turns, 180.0 - open - phase + turns);
    let stretches = [(from, rises.min(to)), (falls.max(from), to)];
    stretches.into_iter().filter(|(a, b)| b - a >= -BLUR).map(|(a, b)| (a, b.max(a))).collect()
}

/// The corner that lies highest as the contour turns, followed from rotation to rotation.
#[derive(Default)]
struct Outermost(Option<usize>);

impl Outermost {
    fn find(&mut self, hull: &[Point], rotation: f64) -> usize {
        let n = hull.len();
        let (sin, cos) = libm::sincos(rotation.to_radians());
        let height = |i: usize| dot(hull[i], Point { x: sin, y: cos });
        let at = match self.0 {
            None => (0..n).max_by(|&i, &j| height(i).total_cmp(&height(j))).unwrap_or(0),
            // Turning counter-clockwise brings the corners before this one to the top.
            Some(mut i) => {
                while height((i + n - 1) % n) > height(i) {
                    i = (i + n - 1) % n;
                }
                i
            }
        };
        self.0 = Some(at);
        at
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::fixtures::{panel, ring};
    use crate::job::{GrainRule, extents};
    use crate::shape::{Bounds, Region, Turn};

    fn piece(points: &[(f64, f64)], rule: GrainRule, along: f64, slack: f64) -> Panel {
        let grain = Grain { along, rule, slack };
        Panel { grain, ..panel("p", vec![Region::solid(ring(points))]) }
    }

    fn across(p: &Panel, heading: f64) -> f64 {
        let one = |(hull, mirrored): (Vec<Point>, bool)| {
            let turn = Turn::degrees(p.grain.rotation(heading, mirrored));
            let turned: Vec<Point> = hull.iter().map(|p| turn.apply(*p)).collect();
            Bounds::of(&turned).unwrap().height()
        };
        hulls(p).map(one).fold(f64::INFINITY, f64::min)
    }

    #[test]
    fn the_headings_are_those_of_a_scan() {
        let shape = [(0., 0.), (7., -2.), (11., 3.), (9., 8.), (3., 9.), (-2., 5.), (2., 4.)];
        for (rule, along, slack, mirror) in [
            (GrainRule::Free, 0.0, 0.0, false),
            (GrainRule::OneWay, 33.0, 40.0, false),
            (GrainRule::Quarter, 70.0, 44.0, true),
            (GrainRule::TwoWay, 250.0, 45.0, true),
        ] {
            let p = Panel { mirror, ..piece(&shape, rule, along, slack) };
            for widest in [9.0, 9.6, 10.4, 11.5, 12.5] {
                let arcs = fitting(&p, widest);
                let mut inside = 0;
                for step in 0..3600 {
                    let h = 0.1 * f64::from(step) + 0.0137;
                    let expected = p.grain.allows(h) && across(&p, h) <= widest;
                    assert_eq!(
                        arcs.0.iter().any(|a| a.0 <= h && h <= a.1),
                        expected,
                        "{rule:?} {widest} {h}"
                    );
                    inside += usize::from(expected);
                }
                assert_eq!(arcs.roomiest().is_some_and(|h| p.grain.allows(h)), inside > 0, "{widest}");
            }
        }
    }

    #[test]
    fn a_panel_that_just_fits_has_one_heading_on_each_side() {
        let t = Turn::degrees(-17.3);
        let turned: Vec<(f64, f64)> = [(0., 0.), (90., 0.), (90., 40.), (0., 40.)]
            .iter()
            .map(|&(x, y)| t.apply(Point { x, y }))
            .map(|p| (p.x, p.y))
            .collect();
        let p = piece(&turned, GrainRule::Free, 0.0, 0.0);
        let arcs = fitting(&p, extents(&p).across.size);
        assert_eq!(arcs.0.len(), 2, "{arcs:?}");
        assert!((arcs.0[0].0 - 17.3).abs() < 1e-6 && (arcs.0[1].1 - 197.3).abs() < 1e-6, "{arcs:?}");
        assert!(fitting(&p, 39.99).is_empty());
    }

    #[test]
    fn arcs_across_zero_meet_those_on_either_side() {
        let a = Arcs::of([(350.0, 370.0), (100.0, 120.0)]);
        let b = Arcs::of([(355.0, 356.0), (5.0, 110.0)]);
        let both = a.common(&b);
        assert_eq!(both.0.len(), 3, "{both:?}");
        assert!((both.roomiest().unwrap() - 105.0).abs() < 1e-6);
        assert!(a.common(&Arcs::of([(200.0, 300.0)])).is_empty());
    }
}

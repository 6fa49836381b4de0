//! Fewer points for the search, by adding area only: what is kept clear of the simpler
//! outline is kept clear of the true one.
//!
//! Least area first is the rule of M. Visvalingam and J. Whyatt (The Cartographic Journal 30, 1993; from memory).
//! Departure: they drop any point, here area is only ever added, so a side gives way to the point where its neighbours
//! meet.

use super::minkowski::Contour;
use crate::shape::{Bounds, Point, Ring, convex_hull, cross, length, point_segment_distance};
use std::collections::BTreeSet;

/// Outlines with no more points than this are searched as they are.
const FEW: usize = 12;
/// How much finer the next try is, and how many there are: down to a tenth of the height.
const FINER: f64 = 0.8;
/// See [`FINER`].
const TRIES: usize = 11;

/// Simplifies a contour that has its solid on the left, moving its boundary outwards by at most
/// `height`. Points in line within `line` are dropped first, always.
///
/// Least added area first, a corner into the solid (right turn) is dropped, or a side between
/// two left turns is replaced by the point where its neighbours meet. Cuts add up; where the
/// result strays farther than `height` or is no longer simple, finer cuts are tried.
pub fn outwards(contour: &[Point], line: f64, height: f64) -> Contour {
    let clean = drop_collinear(contour, line);
    if clean.len() <= FEW {
        return clean;
    }
    let mut h = height;
    for _ in 0..TRIES {
        let simple = reduce(clean.clone(), h);
        if strays(&simple, &clean) <= height
            && Ring::new(simple.clone()).is_ok_and(|r| r.signed_area() * signed(&clean) > 0.0)
        {
            return simple;
        }
        h *= FINER;
    }
    clean
}

/// As [`outwards`], but with no more than `most` points: the boundary is moved as far as that takes, and in
/// the end it is the hull's, or that of the box around it.
pub fn to_at_most(most: usize, contour: &[Point], line: f64, height: f64) -> Contour {
    let extent = Bounds::of(contour).map_or(0.0, |b| b.width().max(b.height()));
    let mut simple = outwards(contour, line, height);
    let mut h = 2.0 * height;
    while simple.len() > most && h < extent {
        simple = outwards(&simple, line, h);
        h *= 2.0;
    }
    if simple.len() > most {
        simple = outwards(&convex_hull(contour), line, STEPS_OF_HULL * extent);
    }
    match Bounds::of(&simple) {
        Some(b) if simple.len() > most => {
            [(b.min.x, b.min.y), (b.max.x, b.min.y), (b.max.x, b.max.y), (b.min.x, b.max.y)]
                .map(|(x, y)| Point { x, y })
                .to_vec()
        }
        _ => simple,
    }
}

/// How far a hull may be moved, as a part of its extent: a circle then has some fifty points.
const STEPS_OF_HULL: f64 = 2e-3;

/// Greatest distance of a point of `simple` from the contour it came from. What is left of the contour's own
/// points, in their order, lies on it.
fn strays(simple: &[Point], contour: &[Point]) -> f64 {
    let n = contour.len();
    let off = |p: &Point| {
        (0..n)
            .map(|i| point_segment_distance(*p, contour[i], contour[(i + 1) % n]))
            .fold(f64::INFINITY, f64::min)
    };
    let mut rest = contour.iter();
    let is_new = |p: &&Point| {
        let mut ahead = rest.clone();
        let found = ahead.any(|q| q == *p);
        if found {
            rest = ahead;
        }
        !found
    };
    simple.iter().filter(is_new).map(off).fold(0.0, f64::max)
}

fn signed(c: &[Point]) -> f64 {
    (1..c.len().saturating_sub(1)).map(|i| cross(c[0], c[i], c[i + 1])).sum()
}

/// Drops repeated points and those within `line` of the segment between their neighbours.
fn drop_collinear(contour: &[Point], line: f64) -> Contour {
    let mut out: Contour = contour.to_vec();
    out.dedup();
    let mut i = 0;
    while out.len() > 3 && i < out.len() {
        let n = out.len();
        let (a, p, b) = (out[(i + n - 1) % n], out[i], out[(i + 1) % n]);
        if point_segment_distance(p, a, b) <= line {
            out.remove(i);
            i = i.saturating_sub(1);
        } else {
            i += 1;
        }
    }
    out
}

/// One way of dropping a point, and the area it adds.
#[derive(Debug, Clone, Copy)]
enum Cut {
    Corner,
    Side(Point),
}

fn reduce(c: Contour, height: f64) -> Contour {
    let mut reduction = Reduction::new(c, height);
    while reduction.left > FEW && reduction.step() {}
    reduction.finish()
}

/// A contour on its way to fewer points, with the cuts that are possible, cheapest first.
struct Reduction {
    points: Contour,
    height: f64,
    /// The points before and after each that are still there.
    before: Vec<usize>,
    after: Vec<usize>,
    gone: Vec<bool>,
    left: usize,
    cuts: Vec<Option<(i64, Cut)>>,
    queue: BTreeSet<(i64, usize)>,
}

impl Reduction {
    fn new(points: Contour, height: f64) -> Self {
        let n = points.len();
        let mut r = Self {
            height,
            before: (0..n).map(|i| (i + n - 1) % n).collect(),
            after: (0..n).map(|i| (i + 1) % n).collect(),
            gone: vec![false; n],
            left: n,
            cuts: vec![None; n],
            queue: BTreeSet::new(),
            points,
        };
        (0..n).for_each(|i| r.look_at(i));
        r
    }

    /// Finds the cut at point `i` anew.
    fn look_at(&mut self, i: usize) {
        if let Some((area, _)) = self.cuts[i].take() {
            self.queue.remove(&(area, i));
        }
        let (q, at) = (self.after[i], |k: usize| self.points[k]);
        let corners = [at(self.before[i]), at(i), at(q), at(self.after[q])];
        if let Some((area, cut)) = cut_at(corners, self.height) {
            self.cuts[i] = Some((in_order(area), cut));
            self.queue.insert((in_order(area), i));
        }
    }

    /// Makes the cheapest cut; false when there is none.
    fn step(&mut self) -> bool {
        let Some((_, i)) = self.queue.pop_first() else { return false };
        let (p, q) = (self.before[i], self.after[i]);
        if let Some((_, Cut::Side(meet))) = self.cuts[i].take() {
            self.points[q] = meet;
        }
        (self.after[p], self.before[q], self.gone[i]) = (q, p, true);
        self.left -= 1;
        for k in [self.before[p], p, q, self.after[q]] {
            self.look_at(k);
        }
        true
    }

    fn finish(self) -> Contour {
        self.points.into_iter().zip(self.gone).filter(|(_, gone)| !gone).map(|(p, _)| p).collect()
    }
}

/// A whole number that sorts as [`f64::total_cmp`] does.
fn in_order(v: f64) -> i64 {
    let bits = v.to_bits().cast_signed();
    bits ^ ((bits >> 63).cast_unsigned() >> 1).cast_signed()
}

/// The cheapest cut at the point `p` between `a` and `q` that stays within `height`.
fn cut_at([a, p, q, b]: [Point; 4], height: f64) -> Option<(f64, Cut)> {
    let turn = cross(a, p, q);
    if turn <= 0.0 {
        return (point_segment_distance(p, a, q) <= height).then_some((-turn, Cut::Corner));
    }
    if cross(p, q, b) <= 0.0 {
        return None;
    }
    let meet = meeting(a, p, b, q)?;
    (point_segment_distance(meet, p, q) <= height).then(|| (cross(p, meet, q).abs(), Cut::Side(meet)))
}

/// Where the ray from `a` through `p` meets the ray from `b` through `q`, beyond both.
fn meeting(a: Point, p: Point, b: Point, q: Point) -> Option<Point> {
    let (u, v) = (p - a, q - b);
    let d = u.x * v.y - u.y * v.x;
    if d.abs() <= 1e-9 * length(u) * length(v) {
        return None;
    }
    let w = q - p;
    let s = (w.x * v.y - w.y * v.x) / d;
    let t = (w.x * u.y - w.y * u.x) / d;
    (s > 0.0 && t > 0.0).then(|| p + u * s)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A polygon about the origin with any radius at every step of the angle.
    fn star(n: u32, radius: impl Fn(u32) -> f64) -> Contour {
        let at = |k: u32| f64::from(k) * std::f64::consts::TAU / f64::from(n);
        (0..n).map(|k| Point { x: radius(k) * libm::cos(at(k)), y: radius(k) * libm::sin(at(k)) }).collect()
    }

    /// Looks at every point for every cut.
    fn plainly_reduced(mut c: Contour, height: f64) -> Contour {
        while c.len() > FEW {
            let n = c.len();
            let cut = |i: usize| cut_at([c[(i + n - 1) % n], c[i], c[(i + 1) % n], c[(i + 2) % n]], height);
            let best = (0..n)
                .filter_map(|i| cut(i).map(|(area, cut)| (area, i, cut)))
                .min_by(|p, q| p.0.total_cmp(&q.0).then(p.1.cmp(&q.1)));
            let Some((_, i, cut)) = best else { break };
            if let Cut::Side(p) = cut {
                c[(i + 1) % n] = p;
            }
            c.remove(i);
        }
        c
    }

    #[test]
    fn cuts_are_made_in_the_order_of_what_they_add() {
        for (n, roughness) in [(40, 1.0), (97, 0.2), (150, 5.0), (256, 0.0)] {
            let c = star(n, |k| 50.0 + roughness * f64::from(k * k % 17) / 17.0);
            for height in [0.01, 0.1, 1.0, 10.0] {
                assert_eq!(reduce(c.clone(), height), plainly_reduced(c.clone(), height), "{n} {height}");
            }
        }
    }

    #[test]
    fn the_most_jagged_outline_gets_by_with_few_points() {
        let inside = |few: &Contour, c: &Contour| {
            let ring = Ring::new(few.clone()).unwrap();
            let beside = |p: &Point| ring.sides().any(|(a, b)| point_segment_distance(*p, a, b) < 1e-9);
            c.iter().all(|p| ring.locate(*p) != Some(false) || beside(p))
        };
        for depth in [0.05, 1.0, 20.0, 99.0] {
            let c = star(2000, |k| if k.is_multiple_of(2) { 100.0 } else { 100.0 - depth });
            let few = to_at_most(300, &c, 1e-7, 0.1);
            assert!(few.len() <= 300 && inside(&few, &c), "{depth}: {}", few.len());
        }
        // Nothing to do, and nothing but the box.
        let c = star(20, |_| 100.0);
        assert_eq!(to_at_most(300, &c, 1e-7, 0.1), outwards(&c, 1e-7, 0.1));
        assert_eq!(to_at_most(4, &c, 1e-7, 0.1).len(), 4);
    }

    #[test]
    fn a_circle_loses_points_and_no_area() {
        let circle: Contour = (0..256)
            .map(|i| {
                let (s, c) = libm::sincos(f64::from(i) * std::f64::consts::TAU / 256.0);
                Point { x: 100.0 * c, y: 100.0 * s }
            })
            .collect();
        let few = outwards(&circle, 1e-7, 0.1);
        assert!(few.len() < 120, "{}", few.len());
        assert!(signed(&few) >= signed(&circle));
        let ring = Ring::new(few.clone()).unwrap();
        // Points of the circle that lie on the new sides may fall beside them by rounding.
        let beside = |p: &Point| ring.sides().any(|(a, b)| point_segment_distance(*p, a, b) < 1e-9);
        assert!(circle.iter().all(|p| ring.locate(*p) != Some(false) || beside(p)));
        // The circle has 256 sides itself, up to 0.0075 inside of the true one.
        assert!(few.iter().all(|p| length(*p) <= 100.1 + 0.0076));
    }
}

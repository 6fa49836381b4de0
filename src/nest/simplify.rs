//! Fewer points for the search, by adding area only: what is kept clear of the simpler
//! outline is kept clear of the true one.

use super::minkowski::Contour;
use crate::shape::{Point, Ring, cross, length, point_segment_distance};

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

/// Greatest distance of a point of `simple` from the contour it came from.
fn strays(simple: &[Point], contour: &[Point]) -> f64 {
    let n = contour.len();
    let off = |p: &Point| {
        (0..n)
            .map(|i| point_segment_distance(*p, contour[i], contour[(i + 1) % n]))
            .fold(f64::INFINITY, f64::min)
    };
    simple.iter().map(off).fold(0.0, f64::max)
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
enum Cut {
    Corner,
    Side(Point),
}

fn reduce(mut c: Contour, height: f64) -> Contour {
    while c.len() > FEW {
        let best = (0..c.len())
            .filter_map(|i| cut_at(&c, i, height).map(|(area, cut)| (area, i, cut)))
            .min_by(|p, q| p.0.total_cmp(&q.0).then(p.1.cmp(&q.1)));
        let Some((_, i, cut)) = best else { break };
        if let Cut::Side(p) = cut {
            let n = c.len();
            c[(i + 1) % n] = p;
        }
        c.remove(i);
    }
    c
}

/// The cheapest cut at point `i` that stays within `height`.
fn cut_at(c: &[Point], i: usize, height: f64) -> Option<(f64, Cut)> {
    let n = c.len();
    let (a, p, q, b) = (c[(i + n - 1) % n], c[i], c[(i + 1) % n], c[(i + 2) % n]);
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

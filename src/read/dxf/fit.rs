//! A smooth curve through given points.
//!
//! A spline may be given by nothing but the points that it passes through, and the format
//! does not say which curve that is. Here it is the interpolating cubic spline over chord
//! lengths (The NURBS Book, section 9.2; Hoschek & Lasser, Fundamentals of Computer Aided
//! Geometric Design, 1993, section 3.3), with the end tangents where they are given, natural
//! ends where they are not, and periodic where it is closed.

use crate::shape::{Point, length};

/// What is known at an end of an open curve.
#[derive(Clone, Copy)]
enum End {
    /// The second derivative is zero there.
    Natural,
    /// The direction there, of length 1: over chord lengths a curve runs at about unit speed.
    Tangent(Point),
}

/// The cubic Bézier curves of the spline through `points`; none for fewer than two.
pub(super) fn through(
    points: &[Point],
    closed: bool,
    start: Option<Point>,
    end: Option<Point>,
) -> Vec<[Point; 4]> {
    let mut points = points.to_vec();
    points.dedup();
    if closed && points.len() > 1 && points.first() == points.last() {
        points.pop();
    }
    if points.len() < 2 {
        return Vec::new();
    }
    if closed && points.len() > 2 {
        points.push(points[0]);
        return cubics(&points, &closed_slopes(&points));
    }
    let slopes = open_slopes(&points, end_of(start), end_of(end));
    cubics(&points, &slopes)
}

fn end_of(tangent: Option<Point>) -> End {
    let unit = tangent.map(|t| (t, length(t))).filter(|(_, l)| *l > 0.0);
    unit.map_or(End::Natural, |(t, l)| End::Tangent(t * (1.0 / l)))
}

/// Chord lengths.
fn chords(points: &[Point]) -> Vec<f64> {
    points.windows(2).map(|w| length(w[1] - w[0])).collect()
}

/// Hermite to Bézier: the inner control points lie a third of the derivative away.
fn cubics(points: &[Point], slopes: &[Point]) -> Vec<[Point; 4]> {
    let h = chords(points);
    let piece = |i: usize| {
        let third = h[i] / 3.0;
        [points[i], points[i] + slopes[i] * third, points[i + 1] - slopes[i + 1] * third, points[i + 1]]
    };
    (0..h.len()).map(piece).collect()
}

/// One row of a tridiagonal system: below * m[i-1] + here * m[i] + above * m[i+1] = right.
#[derive(Clone, Copy)]
struct Row {
    below: f64,
    here: f64,
    above: f64,
    right: Point,
}

/// Continuity of the second derivative between two chords.
fn inner_row(p: [Point; 3], before: f64, after: f64) -> Row {
    let (d, e) = ((p[1] - p[0]) * (1.0 / before), (p[2] - p[1]) * (1.0 / after));
    let right = (d * after + e * before) * 3.0;
    Row { below: after, here: 2.0 * (before + after), above: before, right }
}

fn open_slopes(points: &[Point], start: End, end: End) -> Vec<Point> {
    let (n, h) = (points.len(), chords(points));
    let chord = |i: usize| (points[i + 1] - points[i]) * (1.0 / h[i]);
    let first = match start {
        End::Natural => Row { below: 0.0, here: 2.0, above: 1.0, right: chord(0) * 3.0 },
        End::Tangent(t) => Row { below: 0.0, here: 1.0, above: 0.0, right: t },
    };
    let last = match end {
        End::Natural => Row { below: 1.0, here: 2.0, above: 0.0, right: chord(n - 2) * 3.0 },
        End::Tangent(t) => Row { below: 0.0, here: 1.0, above: 0.0, right: t },
    };
    let mut rows = vec![first];
    rows.extend((1..n - 1).map(|i| inner_row([points[i - 1], points[i], points[i + 1]], h[i - 1], h[i])));
    rows.push(last);
    solve(&rows)
}

/// Slopes of a closed curve whose first point is repeated at the end. The system is cyclic:
/// solved twice without its two corners and put together (Sherman & Morrison; Press et al.,
/// Numerical Recipes, section 2.7, cyclic tridiagonal systems).
fn closed_slopes(points: &[Point]) -> Vec<Point> {
    let (n, h) = (points.len() - 1, chords(points));
    let before = |i: usize| (i + n - 1) % n;
    let mut rows: Vec<Row> = (0..n)
        .map(|i| inner_row([points[before(i)], points[i], points[i + 1]], h[before(i)], h[i]))
        .collect();
    let (corner_low, corner_high) = (rows[n - 1].above, rows[0].below);
    let gamma = -rows[0].here;
    rows[0].here -= gamma;
    rows[n - 1].here -= corner_low * corner_high / gamma;
    let plain = solve(&rows);
    let unit = |x: f64| Point { x, y: 0.0 };
    for (i, row) in rows.iter_mut().enumerate() {
        row.right = if i == 0 {
            unit(gamma)
        } else if i == n - 1 {
            unit(corner_low)
        } else {
            unit(0.0)
        };
    }
    let shift = solve(&rows);
    let ratio = corner_high / gamma;
    let factor = (plain[0] + plain[n - 1] * ratio) * (1.0 / (1.0 + shift[0].x + ratio * shift[n - 1].x));
    let mut slopes: Vec<Point> = plain.iter().zip(&shift).map(|(m, z)| *m - factor * z.x).collect();
    slopes.push(slopes[0]);
    slopes
}

/// Gaussian elimination without pivoting: every row here is dominated by its middle.
fn solve(rows: &[Row]) -> Vec<Point> {
    let mut above: Vec<f64> = Vec::with_capacity(rows.len());
    let mut m: Vec<Point> = Vec::with_capacity(rows.len());
    for (i, row) in rows.iter().enumerate() {
        let (a, x) = if i == 0 { (0.0, Point::default()) } else { (above[i - 1], m[i - 1]) };
        let pivot = 1.0 / (row.here - row.below * a);
        above.push(row.above * pivot);
        m.push((row.right - x * row.below) * pivot);
    }
    for i in (0..rows.len().saturating_sub(1)).rev() {
        m[i] = m[i] - m[i + 1] * above[i];
    }
    m
}

#[cfg(test)]
mod tests {
    use super::*;

    fn p(x: f64, y: f64) -> Point {
        Point { x, y }
    }

    fn area(cubics: &[[Point; 4]]) -> f64 {
        let mut points = vec![cubics[0][0]];
        for c in cubics {
            crate::shape::flatten::cubic(*c, 1e-7, &mut points).unwrap();
        }
        0.5 * points.windows(2).map(|w| w[0].x * w[1].y - w[1].x * w[0].y).sum::<f64>()
    }

    #[test]
    fn a_closed_curve_through_points_of_a_circle_is_nearly_that_circle() {
        let ring = |n: u32| -> Vec<Point> {
            (0..n)
                .map(|i| libm::sincos(std::f64::consts::TAU * f64::from(i) / f64::from(n)))
                .map(|(y, x)| p(x, y))
                .collect()
        };
        // Areas by scipy.interpolate.CubicSpline over chord lengths with periodic ends.
        for (n, expected) in [(12, 3.140892893777), (48, 3.141590080982)] {
            assert!((area(&through(&ring(n), true, None, None)) - expected).abs() < 2e-6);
        }
        // The first point may be repeated.
        let mut again = ring(12);
        again.push(again[0]);
        assert_eq!(through(&again, true, None, None), through(&ring(12), true, None, None));
    }

    #[test]
    fn second_derivatives_agree_at_the_joints_and_ends_are_as_asked() {
        let points = [p(0., 0.), p(3., 1.), p(4., 5.), p(9., 4.), p(9., 0.)];
        for (closed, start) in [(false, None), (false, Some(p(0., 5.))), (true, None)] {
            let c = through(&points, closed, start, None);
            let h: Vec<f64> = c.iter().map(|q| length(q[3] - q[0])).collect();
            let bend =
                |i: usize, at: usize| (c[i][at] - c[i][at + 1] * 2.0 + c[i][at + 2]) * (6.0 / (h[i] * h[i]));
            for i in 1..c.len() {
                assert!(length(bend(i - 1, 1) - bend(i, 0)) < 1e-12);
            }
            match (closed, start) {
                (true, _) => assert!(length(bend(c.len() - 1, 1) - bend(0, 0)) < 1e-12),
                (_, None) => assert!(length(bend(0, 0)) < 1e-12),
                (_, Some(_)) => assert!(c[0][1].x.abs() < 1e-15 && c[0][1].y > 0.0),
            }
        }
        assert!(through(&points[..1], false, None, None).is_empty());
        assert_eq!(through(&points[..2], true, None, None).len(), 1);
    }
}

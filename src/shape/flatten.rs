//! Curves into points: arcs, bulges, ellipses and Bézier curves.
//!
//! Every function appends the points *after* the curve's start, up to and including its end,
//! to `out`; the caller puts the start there. The polyline through them is never farther from
//! the curve than `tolerance` (a length in the curve's own unit), apart from the rounding of
//! coordinates. All points lie on the curve. Results have the same bytes everywhere.
//!
//! # Errors
//!
//! On error nothing is appended. See [`FlattenFault`].

use super::{Point, cross, dot, length, nearest_on_segment};
use std::f64::consts::{FRAC_PI_2, TAU};

/// Most points that one curve may become. At a tolerance of 0.02 mm that is a full circle of
/// 17 km radius; more is a wrong scale or an attack, and is refused instead of filling memory.
pub const MAX_POINTS: usize = 1 << 16;

/// Why a curve was not flattened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FlattenFault {
    /// A coordinate, an angle or the bulge is not finite.
    NotFinite,
    /// It would take more than [`MAX_POINTS`]: the curve is too large for the tolerance, or the
    /// tolerance is not above zero.
    TooManyPoints,
}

impl std::fmt::Display for FlattenFault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NotFinite => write!(f, "a curve has a coordinate that is not a finite number"),
            Self::TooManyPoints => write!(f, "a curve would need more than {MAX_POINTS} points"),
        }
    }
}

/// An arc of an ellipse, any affine image of a circular arc: the points
/// `centre + u cos(t) + v sin(t)` for t from `start` to `start + sweep`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EllipseArc {
    /// The middle of the ellipse.
    pub centre: Point,
    /// From the centre to the point at t = 0.
    pub u: Point,
    /// From the centre to the point at t = 90 degrees. Need not be at a right angle to `u`.
    pub v: Point,
    /// Where it starts, in radians of t.
    pub start: f64,
    /// How far it goes, in radians of t; the sign gives the direction.
    pub sweep: f64,
}

impl EllipseArc {
    /// An arc of a circle; angles in radians, counter-clockwise.
    pub fn circular(centre: Point, radius: f64, start: f64, sweep: f64) -> Self {
        Self { centre, u: Point { x: radius, y: 0.0 }, v: Point { x: 0.0, y: radius }, start, sweep }
    }

    /// The point at t, in radians.
    pub fn point(&self, t: f64) -> Point {
        let (sin, cos) = libm::sincos(t);
        self.centre + self.u * cos + self.v * sin
    }

    /// Where it starts.
    pub fn start_point(&self) -> Point {
        self.point(self.start)
    }

    /// Where it ends; a full turn ends exactly where it starts.
    pub fn end_point(&self) -> Point {
        if self.is_full_turn() { self.start_point() } else { self.point(self.start + self.sweep) }
    }

    fn is_full_turn(&self) -> bool {
        (self.sweep.abs() - TAU).abs() <= 4.0 * f64::EPSILON
    }

    /// The longer semi-axis: the greater singular value of the matrix (u v), from
    /// sigma^2 = (|u|^2 + |v|^2 + sqrt((|u|^2 - |v|^2)^2 + 4 (u.v)^2)) / 2.
    fn major(&self) -> f64 {
        let (uu, vv, uv) = (dot(self.u, self.u), dot(self.v, self.v), dot(self.u, self.v));
        (0.5 * (uu + vv + ((uu - vv) * (uu - vv) + 4.0 * uv * uv).sqrt())).sqrt()
    }

    /// Number of chords. A full turn gets a multiple of four, so that a circle measures its
    /// diameter along both axes.
    fn chords(&self, tolerance: f64) -> Result<usize, FlattenFault> {
        let n = chords(self.major(), self.sweep, tolerance)?;
        Ok(if self.is_full_turn() { n.next_multiple_of(4) } else { n })
    }

    fn is_finite(&self) -> bool {
        [self.centre, self.u, self.v].iter().all(|p| is_finite(*p))
            && self.start.is_finite()
            && self.sweep.is_finite()
    }
}

/// Number of equal chords for an arc of `radius` and `sweep`.
///
/// The height of a circular segment of angle d is r (1 - cos(d/2)) = 2 r sin^2(d/4), so the
/// widest step is d = 4 asin(sqrt(tolerance / (2 r))) (Bronshtein & Semendyayev, Handbook of
/// Mathematics, circular segment; from memory). It holds for an ellipse with its longer
/// semi-axis as radius: an affine map stretches no distance by more than that. A step never
/// exceeds a quarter turn, so that even a circle smaller than the tolerance keeps an area.
fn chords(radius: f64, sweep: f64, tolerance: f64) -> Result<usize, FlattenFault> {
    if !(tolerance > 0.0 && radius.is_finite()) {
        return Err(FlattenFault::TooManyPoints);
    }
    let step = if tolerance < radius { 4.0 * libm::asin((0.5 * tolerance / radius).sqrt()) } else { TAU };
    // Division may round a whole number of steps up by a hair; that is no reason for one more.
    let n = (sweep.abs() / step.min(FRAC_PI_2) * (1.0 - 1e-12)).ceil();
    if n <= MAX_POINTS as f64 { Ok((n as usize).max(1)) } else { Err(FlattenFault::TooManyPoints) }
}

/// Flattens an arc of an ellipse or circle. Its first point is [`EllipseArc::start_point`],
/// the last one appended is [`EllipseArc::end_point`].
pub fn ellipse_arc(arc: &EllipseArc, tolerance: f64, out: &mut Vec<Point>) -> Result<(), FlattenFault> {
    if !arc.is_finite() {
        return Err(FlattenFault::NotFinite);
    }
    let n = arc.chords(tolerance)?;
    out.extend((1..n).map(|i| arc.point(arc.start + arc.sweep * (i as f64 / n as f64))));
    out.push(arc.end_point());
    Ok(())
}

/// Flattens the circular arc from `a` to `b` with the given bulge, the tangent of a quarter of
/// its angle, positive when it runs counter-clockwise (DXF Reference, LWPOLYLINE group 42).
/// Bulge 0, or `a` equal to `b`, is the straight line.
///
/// Works from the chord and not from the centre, which for a flat arc lies far away: by the
/// inscribed angle theorem the point at angle s of an arc of angle w is seen from `a` at
/// (w - s)/2 to the right of the chord, at |b - a| sin(s/2) / sin(w/2).
pub fn bulge(
    a: Point,
    b: Point,
    bulge: f64,
    tolerance: f64,
    out: &mut Vec<Point>,
) -> Result<(), FlattenFault> {
    if !(is_finite(a) && is_finite(b) && bulge.is_finite()) {
        return Err(FlattenFault::NotFinite);
    }
    let chord = b - a;
    // sin(w/2) for w = 4 atan(bulge), written so that neither large nor small bulges overflow.
    let half_sine = 2.0 / (bulge + 1.0 / bulge);
    if bulge == 0.0 || a == b || half_sine == 0.0 {
        out.push(b);
        return Ok(());
    }
    let sweep = 4.0 * libm::atan(bulge);
    let n = chords(0.5 * length(chord) / half_sine.abs(), sweep, tolerance)?;
    out.extend((1..n).map(|i| {
        let s = sweep * (i as f64 / n as f64);
        let (sin, cos) = libm::sincos(0.5 * (s - sweep));
        let seen = Point { x: cos * chord.x - sin * chord.y, y: sin * chord.x + cos * chord.y };
        a + seen * (libm::sin(0.5 * s) / half_sine)
    }));
    out.push(b);
    Ok(())
}

/// Flattens a quadratic Bézier curve given by its control points.
pub fn quadratic(curve: [Point; 3], tolerance: f64, out: &mut Vec<Point>) -> Result<(), FlattenFault> {
    let [p, q, r] = curve;
    // Degree elevation is exact: the same curve as a cubic.
    cubic([p, p + (q - p) * (2.0 / 3.0), r + (q - r) * (2.0 / 3.0), r], tolerance, out)
}

/// Flattens a cubic Bézier curve given by its control points. A curve and its reverse get the
/// same points, so that an edge drawn from either end is recognised as the same.
pub fn cubic(curve: [Point; 4], tolerance: f64, out: &mut Vec<Point>) -> Result<(), FlattenFault> {
    if !curve.iter().all(|p| is_finite(*p)) {
        return Err(FlattenFault::NotFinite);
    }
    let [a, b, c, d] = curve;
    let key = |points: [Point; 4]| points.map(|p| [p.x, p.y]);
    let backwards = key([d, c, b, a]) < key(curve);
    let walk = Cubic(if backwards { [d, c, b, a] } else { curve });
    let cuts = walk.cuts(tolerance)?;
    let inner = cuts.iter().map(|t| walk.at(*t));
    if backwards {
        out.extend(inner.rev())
    } else {
        out.extend(inner)
    }
    out.push(d);
    Ok(())
}

/// A cubic Bézier curve over 0..=1.
#[derive(Clone, Copy)]
struct Cubic([Point; 4]);

/// Halvings in the search for the longest flat step: 6 find it within two per cent.
const REFINEMENTS: usize = 6;

impl Cubic {
    /// The parameters between 0 and 1 (both left out) at which to cut the curve into chords.
    ///
    /// Each step is the longest found that a rigorous bound calls flat. A step no longer than
    /// [`Cubic::safe_step`] needs no looking at, so that the walk always ends.
    fn cuts(&self, tolerance: f64) -> Result<Vec<f64>, FlattenFault> {
        let safe = self.safe_step(tolerance)?;
        let mut cuts = Vec::new();
        let mut t = 0.0;
        loop {
            let next = self.next_cut(t, safe, tolerance);
            if next >= 1.0 {
                return Ok(cuts);
            }
            if next <= t || cuts.len() + 1 >= MAX_POINTS {
                return Err(FlattenFault::TooManyPoints);
            }
            cuts.push(next);
            t = next;
        }
    }

    /// A parameter step that is flat anywhere on the curve: a chord over a step h is at most
    /// h^2/8 max|B''| off, and B'' of a cubic is at most six times the greater second
    /// difference of its control points (error of linear interpolation, any numerics text;
    /// for Bézier curves: Wang 1984, in Goldman, Pyramid Algorithms, 2002, ch. 5.6; from memory).
    fn safe_step(&self, tolerance: f64) -> Result<f64, FlattenFault> {
        let [a, b, c, d] = self.0;
        let bend = length(a - b * 2.0 + c).max(length(b - c * 2.0 + d));
        if !(tolerance > 0.0 && bend.is_finite()) {
            return Err(FlattenFault::TooManyPoints);
        }
        Ok((8.0 * tolerance / (6.0 * bend)).sqrt())
    }

    /// Where the longest flat step from `from` ends: doubled from the safe step while flat,
    /// then narrowed down.
    fn next_cut(&self, from: f64, safe: f64, tolerance: f64) -> f64 {
        let flat = |to: f64| self.part(from, to).is_flat(tolerance);
        let (mut good, mut step) = (from + safe, safe);
        let mut bad = loop {
            if good >= 1.0 || good <= from {
                return good;
            }
            step *= 2.0;
            let to = (from + step).min(1.0);
            if !flat(to) {
                break to;
            }
            good = to;
        };
        for _ in 0..REFINEMENTS {
            let middle = 0.5 * (good + bad);
            if flat(middle) { good = middle } else { bad = middle }
        }
        good
    }

    /// Whether no point of the curve is farther than `tolerance` from the segment between its
    /// ends. Never true when that is false; sometimes false when it is true.
    ///
    /// Either all control points are that near (so is their hull, both being convex), or they
    /// lie beside the segment and the fat line of the curve is thin enough: 3/4 of the greater
    /// distance for control points on one side, 4/9 on different sides (Sederberg & Nishita,
    /// Curve intersection using Bézier clipping, Computer-Aided Design 22, 1990).
    fn is_flat(&self, tolerance: f64) -> bool {
        let [a, b, c, d] = self.0;
        let off = |p: Point| length(p - nearest_on_segment(p, a, d));
        if off(b).max(off(c)) <= tolerance {
            return true;
        }
        let chord = d - a;
        let beside = |p: Point| (0.0..=dot(chord, chord)).contains(&dot(p - a, chord));
        let (high_b, high_c) = (cross(a, d, b), cross(a, d, c));
        let factor = if high_b * high_c >= 0.0 { 0.75 } else { 4.0 / 9.0 };
        // Between two ends that coincide there is no line for the curve to be near.
        a != d
            && beside(b)
            && beside(c)
            && factor * high_b.abs().max(high_c.abs()) <= tolerance * length(chord)
    }

    /// The point at t.
    fn at(&self, t: f64) -> Point {
        self.blossom(t, t, t)
    }

    /// The part of the curve between two parameters, as a curve of its own.
    fn part(&self, from: f64, to: f64) -> Self {
        Self([self.at(from), self.blossom(from, from, to), self.blossom(from, to, to), self.at(to)])
    }

    /// The polar form of the curve (Ramshaw, Blossoming, DEC SRC report 19, 1987).
    fn blossom(&self, r: f64, s: f64, t: f64) -> Point {
        let mix = |p: Point, q: Point, t: f64| p * (1.0 - t) + q * t;
        let [a, b, c, d] = self.0;
        let (ab, bc, cd) = (mix(a, b, r), mix(b, c, r), mix(c, d, r));
        mix(mix(ab, bc, s), mix(bc, cd, s), t)
    }
}

fn is_finite(p: Point) -> bool {
    p.x.is_finite() && p.y.is_finite()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shape::point_segment_distance;
    use proptest::prelude::*;
    use std::f64::consts::PI;

    fn p(x: f64, y: f64) -> Point {
        Point { x, y }
    }

    /// Greatest distance of densely sampled curve points from the polyline.
    fn deviation(line: &[Point], curve: impl Fn(f64) -> Point) -> f64 {
        let nearest = |q: Point| {
            line.windows(2).map(|w| point_segment_distance(q, w[0], w[1])).fold(f64::INFINITY, f64::min)
        };
        (0..=2000).map(|i| nearest(curve(f64::from(i) / 2000.0))).fold(0.0, f64::max)
    }

    fn polygon_area(points: &[Point]) -> f64 {
        0.5 * points.windows(2).map(|w| w[0].x * w[1].y - w[1].x * w[0].y).sum::<f64>()
    }

    fn arc_line(arc: &EllipseArc, tolerance: f64) -> Vec<Point> {
        let mut line = vec![arc.start_point()];
        ellipse_arc(arc, tolerance, &mut line).unwrap();
        line
    }

    /// De Casteljau by hand, apart from the code under test.
    fn bernstein(c: [Point; 4], t: f64) -> Point {
        let s = 1.0 - t;
        c[0] * (s * s * s) + c[1] * (3.0 * s * s * t) + c[2] * (3.0 * s * t * t) + c[3] * (t * t * t)
    }

    #[test]
    fn circle_keeps_tolerance_diameter_and_the_area_of_the_inscribed_polygon() {
        let arc = EllipseArc::circular(p(3.0, -2.0), 50.0, 0.0, TAU);
        for tolerance in [5.0, 0.1, 0.02, 0.001] {
            let line = arc_line(&arc, tolerance);
            let n = (line.len() - 1) as f64;
            assert_eq!(line.first(), line.last());
            assert!(deviation(&line, |t| arc.point(TAU * t)) <= tolerance * (1.0 + 1e-9));
            // Regular n-gon: n/2 r^2 sin(2 pi / n).
            let ngon = 0.5 * n * 2500.0 * libm::sin(TAU / n);
            assert!((polygon_area(&line) - ngon).abs() < 1e-9);
            // One chord in four fewer would already break the tolerance.
            assert!(50.0 * (1.0 - libm::cos(PI / (n - 4.0))) > tolerance);
            let b = crate::shape::Bounds::of(&line).unwrap();
            assert!((b.width() - 100.0).abs() < 1e-12 && (b.height() - 100.0).abs() < 1e-12);
        }
        assert!((polygon_area(&arc_line(&arc, 1e-6)) - PI * 2500.0).abs() < 2e-3);
    }

    #[test]
    fn circle_smaller_than_the_tolerance_keeps_an_area() {
        let line = arc_line(&EllipseArc::circular(p(0.0, 0.0), 0.001, 0.0, -TAU), 0.02);
        assert_eq!(line.len(), 5);
        assert!((polygon_area(&line) + 2e-6).abs() < 1e-15);
    }

    #[test]
    fn skewed_ellipse_keeps_tolerance_and_area() {
        let arc = EllipseArc { centre: p(1., 2.), u: p(40., 10.), v: p(-35., 8.), start: 0.7, sweep: TAU };
        let line = arc_line(&arc, 0.02);
        assert!(deviation(&line, |t| arc.point(0.7 + TAU * t)) <= 0.02 * (1.0 + 1e-9));
        // Area of an ellipse with conjugate half-diameters u, v: pi |u x v|.
        let fine = arc_line(&arc, 1e-6);
        assert!((polygon_area(&fine) / (PI * (40. * 8. + 35. * 10.)) - 1.0).abs() < 1e-6);
    }

    #[test]
    fn bulge_one_is_a_semicircle_to_the_right_of_the_chord() {
        let mut line = vec![p(0., 0.)];
        bulge(p(0., 0.), p(10., 0.), 1.0, 0.01, &mut line).unwrap();
        assert_eq!(*line.last().unwrap(), p(10., 0.));
        assert!(line.iter().all(|q| (length(*q - p(5., 0.)) - 5.0).abs() < 1e-12));
        assert!(line.iter().all(|q| q.y <= 0.0));
        let on_circle = |t: f64| p(5. - 5. * libm::cos(PI * t), -5. * libm::sin(PI * t));
        assert!(deviation(&line, on_circle) <= 0.01 * (1.0 + 1e-9));
    }

    #[test]
    fn bulges_of_a_large_sector_and_of_a_nearly_flat_arc_lie_on_their_circles() {
        // Printed values: 0.414214 is 90 degrees, 2.414214 is 270 (tan of a quarter of the angle).
        for (degrees, tolerance) in
            [(90.0_f64, 0.01), (270.0, 0.01), (359.0, 0.01), (0.001, 1e-9), (-120.0, 0.01)]
        {
            let w = degrees.to_radians();
            let (a, b) = (p(7., 3.), p(-4., 11.));
            let mut line = vec![a];
            bulge(a, b, libm::tan(0.25 * w), tolerance, &mut line).unwrap();
            // Height of the arc over the chord's middle: bulge x half chord, to the right.
            let chord = b - a;
            let right = p(chord.y, -chord.x) / length(chord);
            let sagitta = libm::tan(0.25 * w) * 0.5 * length(chord);
            let top = (a + b) / 2.0 + right * sagitta;
            let near = line.windows(2).map(|s| point_segment_distance(top, s[0], s[1])).fold(1e9, f64::min);
            assert!(near <= tolerance * 1.0001, "{degrees}: {near}");
            let radius = (0.5 * length(chord) / libm::sin(0.5 * w)).abs();
            let centre = top - right * (radius * w.signum());
            let worst = line.iter().map(|q| (length(*q - centre) - radius).abs()).fold(0.0, f64::max);
            assert!(worst < 1e-9 * radius.max(1.0), "{degrees}: {worst}");
        }
    }

    #[test]
    fn straight_and_empty_bulges_are_lines() {
        let mut line = Vec::new();
        bulge(p(0., 0.), p(1., 0.), 0.0, 0.01, &mut line).unwrap();
        bulge(p(1., 0.), p(1., 0.), 0.5, 0.01, &mut line).unwrap();
        bulge(p(1., 0.), p(2., 0.), 1e-320, 0.01, &mut line).unwrap();
        assert_eq!(line, [p(1., 0.), p(1., 0.), p(2., 0.)]);
    }

    #[test]
    fn parabola_keeps_tolerance_and_area() {
        let curve = [p(0., 0.), p(50., 100.), p(100., 0.)];
        let mut line = vec![curve[0]];
        quadratic(curve, 1e-5, &mut line).unwrap();
        // Archimedes: a parabola's segment is two thirds of its tangents' triangle.
        assert!((polygon_area(&line).abs() - 2.0 / 3.0 * 5000.0).abs() < 1e-3);
    }

    #[test]
    fn cubic_takes_hardly_more_chords_than_the_curvature_asks_for() {
        // A quarter circle of radius 100 as a cubic: an arc at 0.01 takes 56 chords.
        let k = 55.228_474_983;
        let curve = [p(100., 0.), p(100., k), p(k, 100.), p(0., 100.)];
        let mut line = Vec::new();
        cubic(curve, 0.01, &mut line).unwrap();
        assert!(line.len() <= 59, "{}", line.len());
    }

    #[test]
    fn hostile_curves_are_refused_and_leave_nothing() {
        let mut out = Vec::new();
        let nan = p(f64::NAN, 0.0);
        let o = p(0., 0.);
        assert_eq!(cubic([o, nan, o, o], 0.1, &mut out), Err(FlattenFault::NotFinite));
        assert_eq!(
            cubic([o, p(1e300, 0.), p(0., 1e300), p(1., 1.)], 0.1, &mut out),
            Err(FlattenFault::TooManyPoints)
        );
        let far = [o, p(1e12, 0.), p(0., 1e12), p(1., 1.)];
        assert_eq!(cubic(far, 0.001, &mut out), Err(FlattenFault::TooManyPoints));
        for tolerance in [0.0, -1.0, f64::NAN] {
            let c = [o, p(1., 0.), p(0., 1.), p(1., 1.)];
            assert_eq!(cubic(c, tolerance, &mut out), Err(FlattenFault::TooManyPoints));
            let arc = EllipseArc::circular(o, 1.0, 0.0, 1.0);
            assert_eq!(ellipse_arc(&arc, tolerance, &mut out), Err(FlattenFault::TooManyPoints));
        }
        let huge = EllipseArc::circular(o, 1e200, 0.0, 1.0);
        assert_eq!(ellipse_arc(&huge, 0.1, &mut out), Err(FlattenFault::TooManyPoints));
        assert_eq!(bulge(o, p(1e300, 1e300), 1.0, 0.1, &mut out), Err(FlattenFault::TooManyPoints));
        assert_eq!(bulge(o, p(1., 0.), f64::INFINITY, 0.1, &mut out), Err(FlattenFault::NotFinite));
        assert!(out.is_empty());
    }

    #[test]
    fn curve_of_a_single_point_is_that_point() {
        let mut out = Vec::new();
        cubic([p(1., 1.); 4], 0.1, &mut out).unwrap();
        assert_eq!(out, [p(1., 1.)]);
    }

    #[test]
    fn a_loop_about_as_large_as_the_tolerance_is_not_lost() {
        // Found by the property below.
        let curve = [p(-3., 2.), p(-3., 1.), p(1., 3.), p(-3., 2.)];
        let mut line = vec![curve[0]];
        cubic(curve, 1.0, &mut line).unwrap();
        assert!(deviation(&line, |t| bernstein(curve, t)) <= 1.0, "{line:?}");
    }

    fn near_degenerate() -> impl Strategy<Value = f64> {
        prop_oneof![-100.0..100.0, (-3_i32..4).prop_map(f64::from), (-1.0..1.0).prop_map(|x| x * 1e-6)]
    }

    proptest! {
        #[test]
        fn no_cubic_leaves_its_tolerance(c in prop::array::uniform8(near_degenerate()),
                                         tolerance in prop_oneof![Just(0.02), Just(1.0), Just(1e-3)]) {
            let curve = [p(c[0], c[1]), p(c[2], c[3]), p(c[4], c[5]), p(c[6], c[7])];
            let mut line = vec![curve[0]];
            cubic(curve, tolerance, &mut line).unwrap();
            prop_assert_eq!(*line.last().unwrap(), curve[3]);
            prop_assert!(deviation(&line, |t| bernstein(curve, t)) <= tolerance * (1.0 + 1e-9) + 1e-12);
            let mut back = vec![curve[3]];
            cubic([curve[3], curve[2], curve[1], curve[0]], tolerance, &mut back).unwrap();
            back.reverse();
            prop_assert_eq!(line, back);
        }

        #[test]
        fn no_ellipse_arc_leaves_its_tolerance(c in prop::array::uniform6(near_degenerate()),
                                               start in -7.0..7.0, sweep in -6.2..6.2) {
            let arc = EllipseArc { centre: p(c[0], c[1]), u: p(c[2], c[3]), v: p(c[4], c[5]), start, sweep };
            let line = arc_line(&arc, 0.02);
            prop_assert!(deviation(&line, |t| arc.point(start + sweep * t)) <= 0.02 * (1.0 + 1e-9));
        }

        #[test]
        fn no_bulge_leaves_its_tolerance(c in prop::array::uniform4(near_degenerate()), k in -20.0..20.0) {
            let (a, b) = (p(c[0], c[1]), p(c[2], c[3]));
            let chord = b - a;
            prop_assume!(length(chord) > 1e-3 && f64::abs(k) > 1e-3);
            let mut line = vec![a];
            bulge(a, b, k, 0.02, &mut line).unwrap();
            // Centre from the chord: (1 - k^2) / (4 k) of it to the left of the middle.
            let centre = (a + b) / 2.0 + p(-chord.y, chord.x) * ((1.0 - k * k) / (4.0 * k));
            let from = libm::atan2(a.y - centre.y, a.x - centre.x);
            let arc = EllipseArc::circular(centre, length(a - centre), from, 4.0 * libm::atan(k));
            prop_assert!(deviation(&line, |t| arc.point(from + arc.sweep * t)) <= 0.02 * (1.0 + 1e-6));
        }
    }
}

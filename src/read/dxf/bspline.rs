//! B-spline curves, rational ones too, and how they become points.
//!
//! Every span between two knots is taken out as a Bézier curve by its polar form (Ramshaw,
//! Blossoming, DEC SRC report 19, 1987) in homogeneous coordinates, and halved until its
//! control points lie within the tolerance of its chord. With positive weights the curve lies
//! in the hull of its control points (Piegl & Tiller, The NURBS Book, 2nd ed. 1997, P4.10),
//! so the bound is strict.

use crate::shape::flatten::{FlattenFault, MAX_POINTS};
use crate::shape::{Point, point_segment_distance};

/// Most halvings of one span: by then a chord is a millionth of the span.
const MOST_HALVINGS: usize = 20;

/// A B-spline curve; there are as many knots as control points plus degree plus one, and they
/// never fall.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct BSpline {
    pub degree: usize,
    pub knots: Vec<f64>,
    /// Control points as (w x, w y, w), all w above zero.
    pub control: Vec<[f64; 3]>,
}

impl BSpline {
    /// How many control points it has.
    pub fn vertices(&self) -> usize {
        self.control.len()
    }

    /// The points along the curve, never farther apart from it than `tolerance`.
    pub fn flatten(&self, tolerance: f64) -> Result<Vec<Point>, FlattenFault> {
        let mut out = Vec::new();
        for s in self.degree..self.control.len() {
            if self.knots[s] < self.knots[s + 1] {
                let span = self.span(s);
                if out.is_empty() {
                    out.push(point(&span[0]));
                }
                halve(span, tolerance, MOST_HALVINGS, &mut out)?;
            }
        }
        Ok(out)
    }

    /// The Bézier control points of the curve between knot `s` and the next.
    fn span(&self, s: usize) -> Vec<[f64; 3]> {
        let (a, b) = (self.knots[s], self.knots[s + 1]);
        (0..=self.degree).map(|j| self.polar(s, self.degree - j, a, b)).collect()
    }

    /// The polar form of the curve at `first` times `a`, then b: de Boor's algorithm with an
    /// argument for each of its steps (The NURBS Book, section 5.3; Ramshaw).
    fn polar(&self, s: usize, first: usize, a: f64, b: f64) -> [f64; 3] {
        let p = self.degree;
        let mut d: Vec<[f64; 3]> = self.control[s - p..=s].to_vec();
        for r in 1..=p {
            let t = if r <= first { a } else { b };
            for j in (r..=p).rev() {
                let (low, high) = (self.knots[s - p + j], self.knots[s + 1 + j - r]);
                let part = if high > low { (t - low) / (high - low) } else { 0.0 };
                d[j] = mix(&d[j - 1], &d[j], part);
            }
        }
        d[p]
    }
}

fn mix(a: &[f64; 3], b: &[f64; 3], t: f64) -> [f64; 3] {
    std::array::from_fn(|i| a[i] * (1.0 - t) + b[i] * t)
}

fn point(p: &[f64; 3]) -> Point {
    Point { x: p[0] / p[2], y: p[1] / p[2] }
}

/// Appends the points after the start of a rational Bézier curve.
fn halve(
    curve: Vec<[f64; 3]>,
    tolerance: f64,
    depth: usize,
    out: &mut Vec<Point>,
) -> Result<(), FlattenFault> {
    let ends = (point(&curve[0]), point(&curve[curve.len() - 1]));
    if !(ends.1.x.is_finite() && ends.1.y.is_finite()) {
        return Err(FlattenFault::NotFinite);
    }
    let flat = |c: &[f64; 3]| point_segment_distance(point(c), ends.0, ends.1) <= tolerance;
    if depth == 0 || curve.iter().all(flat) {
        if out.len() >= MAX_POINTS {
            return Err(FlattenFault::TooManyPoints);
        }
        out.push(ends.1);
        return Ok(());
    }
    let (low, high) = halves(curve);
    halve(low, tolerance, depth - 1, out)?;
    halve(high, tolerance, depth - 1, out)
}

/// De Casteljau's algorithm at the middle.
fn halves(mut curve: Vec<[f64; 3]>) -> (Vec<[f64; 3]>, Vec<[f64; 3]>) {
    let n = curve.len();
    let mut low = Vec::with_capacity(n);
    for left in (0..n).rev() {
        low.push(curve[0]);
        for i in 0..left {
            curve[i] = mix(&curve[i], &curve[i + 1], 0.5);
        }
    }
    (low, curve)
}

//! Draws subpaths: keeps the current point, maps into the drawing and flattens curves there.

use super::arc::{ArcShape, arc_between, mapped};
use super::transform::Map;
use crate::read::MOST_POINTS;
use crate::shape::flatten::{self, EllipseArc, FlattenFault};
use crate::shape::{Point, length};
use std::f64::consts::TAU;

/// Greatest coordinate taken, in user units. A thousand kilometres in millimetres: whatever lies
/// beyond is damage, and double precision still resolves a ten-thousandth of a micrometre there.
const MAX_COORDINATE: f64 = 1e9;

/// Why drawing stopped.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum PenFault {
    /// A point lies beyond [`MAX_COORDINATE`].
    TooFar,
    /// The drawing has more than [`MOST_POINTS`].
    TooManyPoints,
    /// A curve could not be flattened.
    Curve(FlattenFault),
}

impl std::fmt::Display for PenFault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::TooFar => write!(f, "a coordinate is not a number up to {MAX_COORDINATE:e}"),
            Self::TooManyPoints => write!(f, "the drawing has more than {MOST_POINTS} points"),
            Self::Curve(fault) => fault.fmt(f),
        }
    }
}

impl From<FlattenFault> for PenFault {
    fn from(fault: FlattenFault) -> Self {
        match fault {
            FlattenFault::NotFinite => Self::TooFar,
            other => Self::Curve(other),
        }
    }
}

/// A run of points in the drawing's own frame.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Subpath {
    /// At least two; the first is not repeated where it is closed.
    pub points: Vec<Point>,
    /// Whether the last point joins the first.
    pub closed: bool,
}

/// How finely a pen draws, in the drawing's own unit.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tolerances {
    /// Greatest distance between a curve and its chords.
    pub chord: f64,
    /// Ends nearer than this are one.
    pub join: f64,
}

/// Draws subpaths given in an element's user units.
pub(super) struct Pen {
    map: Map,
    tolerances: Tolerances,
    budget: usize,
    start: Point,
    at: Point,
    points: Vec<Point>,
    done: Vec<Subpath>,
}

type Drawn = Result<(), PenFault>;

impl Pen {
    /// A pen that draws through `map` and makes at most `budget` points.
    pub fn new(map: Map, tolerances: Tolerances, budget: usize) -> Self {
        let origin = Point { x: 0.0, y: 0.0 };
        Self { map, tolerances, budget, start: origin, at: origin, points: Vec::new(), done: Vec::new() }
    }

    /// The current point, in user units.
    pub fn at(&self) -> Point {
        self.at
    }

    /// All subpaths, in order.
    pub fn finish(mut self) -> Vec<Subpath> {
        self.end_subpath(false);
        self.done
    }

    /// Starts a new subpath.
    pub fn move_to(&mut self, p: Point) {
        self.end_subpath(false);
        self.start = p;
        self.at = p;
    }

    /// Draws a straight line.
    pub fn line_to(&mut self, p: Point) -> Drawn {
        self.draw(p, |pen, out| {
            out.push(pen.map.apply(p));
            Ok(())
        })
    }

    /// Draws a quadratic Bézier curve.
    pub fn quadratic_to(&mut self, control: Point, p: Point) -> Drawn {
        self.draw(p, |pen, out| {
            let curve = [pen.at, control, p].map(|q| pen.map.apply(q));
            flatten::quadratic(curve, pen.tolerances.chord, out)
        })
    }

    /// Draws a cubic Bézier curve.
    pub fn cubic_to(&mut self, first: Point, second: Point, p: Point) -> Drawn {
        self.draw(p, |pen, out| {
            let curve = [pen.at, first, second, p].map(|q| pen.map.apply(q));
            flatten::cubic(curve, pen.tolerances.chord, out)
        })
    }

    /// Draws an elliptical arc given by its ends.
    pub fn arc_to(&mut self, shape: ArcShape, p: Point) -> Drawn {
        let Some(arc) = arc_between(self.at, shape, p) else { return self.line_to(p) };
        self.draw(p, |pen, out| {
            flatten::ellipse_arc(&mapped(&arc, &pen.map), pen.tolerances.chord, out)?;
            if let Some(last) = out.last_mut() {
                *last = pen.map.apply(p);
            }
            Ok(())
        })
    }

    /// Draws a whole ellipse as a closed subpath, from the end of its x axis towards its y axis.
    pub fn ellipse(&mut self, centre: Point, rx: f64, ry: f64) -> Drawn {
        let (u, v) = (Point { x: rx, y: 0.0 }, Point { x: 0.0, y: ry });
        let arc = EllipseArc { centre, u, v, start: 0.0, sweep: TAU };
        self.move_to(centre + u);
        self.draw(centre + u, |pen, out| {
            flatten::ellipse_arc(&mapped(&arc, &pen.map), pen.tolerances.chord, out)
        })?;
        self.close();
        Ok(())
    }

    /// Closes the subpath; the next one starts where this one did.
    pub fn close(&mut self) {
        self.end_subpath(true);
        self.at = self.start;
    }

    /// Adds a piece to the subpath, opening it if need be, and checks what came of it.
    fn draw(
        &mut self,
        to: Point,
        piece: impl FnOnce(&Self, &mut Vec<Point>) -> Result<(), FlattenFault>,
    ) -> Drawn {
        let mut points = std::mem::take(&mut self.points);
        if points.is_empty() {
            points.push(self.map.apply(self.at));
        }
        let before = points.len() - 1;
        piece(self, &mut points)?;
        let near = |p: &Point| p.x.abs() <= MAX_COORDINATE && p.y.abs() <= MAX_COORDINATE;
        let fresh = points.get(before..).unwrap_or_default();
        if !fresh.iter().all(near) {
            return Err(PenFault::TooFar);
        }
        self.budget = self.budget.checked_sub(fresh.len()).ok_or(PenFault::TooManyPoints)?;
        self.points = points;
        self.at = to;
        Ok(())
    }

    fn end_subpath(&mut self, closed: bool) {
        let mut points = std::mem::take(&mut self.points);
        points.dedup();
        let gap = points.first().zip(points.last()).map_or(f64::INFINITY, |(a, b)| length(*b - *a));
        let meets = points.len() > 3 && gap <= self.tolerances.join;
        // Ends that meet are one point. What is closed on purpose keeps even the shortest closing
        // side and loses a repeated point alone.
        if points.len() > 1 && (gap == 0.0 || (meets && !closed)) {
            points.pop();
        }
        if points.len() > 1 {
            self.done.push(Subpath { points, closed: closed || meets });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn p(x: f64, y: f64) -> Point {
        Point { x, y }
    }

    fn pen() -> Pen {
        Pen::new(Map::identity(), Tolerances { chord: 0.01, join: 0.05 }, 10_000)
    }

    #[test]
    fn closing_and_going_on_starts_at_the_same_point() {
        let mut pen = pen();
        pen.move_to(p(0., 0.));
        for q in [p(10., 0.), p(10., 10.), p(0., 0.)] {
            pen.line_to(q).unwrap();
        }
        pen.close();
        pen.line_to(p(-5., -5.)).unwrap();
        let done = pen.finish();
        assert_eq!(done[0], Subpath { points: vec![p(0., 0.), p(10., 0.), p(10., 10.)], closed: true });
        assert_eq!(done[1], Subpath { points: vec![p(0., 0.), p(-5., -5.)], closed: false });
    }

    #[test]
    fn ends_that_coincide_close_and_others_stay_open() {
        let draw = |end: Point| {
            let mut pen = pen();
            pen.move_to(p(0., 0.));
            for q in [p(10., 0.), p(10., 10.), end] {
                pen.line_to(q).unwrap();
            }
            pen.finish().remove(0)
        };
        assert_eq!(
            draw(p(0.04, 0.)),
            Subpath { points: vec![p(0., 0.), p(10., 0.), p(10., 10.)], closed: true }
        );
        assert!(!draw(p(0.1, 0.)).closed);
    }

    #[test]
    fn a_short_closing_side_is_kept_when_closed_on_purpose() {
        let mut pen = pen();
        pen.move_to(p(0., 0.));
        for q in [p(1., 0.), p(1., 1.), p(0., 0.01)] {
            pen.line_to(q).unwrap();
        }
        pen.close();
        assert_eq!(pen.finish()[0].points.len(), 4);
    }

    #[test]
    fn points_too_far_and_too_many_are_refused() {
        assert_eq!(pen().line_to(p(1e10, 0.)), Err(PenFault::TooFar));
        assert_eq!(pen().line_to(p(f64::NAN, 0.)), Err(PenFault::TooFar));
        let mut small = Pen::new(Map::identity(), Tolerances { chord: 1e-6, join: 0.05 }, 50);
        assert_eq!(small.ellipse(p(0., 0.), 10., 10.), Err(PenFault::TooManyPoints));
    }
}

//! Path data (SVG 1.1, section 8.3) to the pen.

use super::arc::ArcShape;
use super::pen::{Pen, PenFault};
use crate::shape::Point;
use svgtypes::{Error as Syntax, PathParser, PathSegment};

/// What is wrong with path data.
#[derive(Debug, PartialEq)]
pub(super) enum PathFault {
    /// It cannot be read on from this character (from 0).
    Syntax {
        /// Index of the character, not the byte.
        character: usize,
        /// What was found there.
        what: String,
    },
    /// It cannot be drawn.
    Pen(PenFault),
}

impl From<PenFault> for PathFault {
    fn from(fault: PenFault) -> Self {
        Self::Pen(fault)
    }
}

/// Draws path data. On a fault, what was drawn before is no longer of use: browsers draw it, but
/// half an outline is not a panel.
pub(super) fn draw(data: &str, pen: &mut Pen) -> Result<(), PathFault> {
    if data.trim() == "none" {
        return Ok(());
    }
    let mut hand = Hand::default();
    for segment in PathParser::from(data) {
        hand.draw(segment.map_err(|error| syntax(data, &error))?, pen)?;
    }
    Ok(())
}

fn syntax(data: &str, error: &Syntax) -> PathFault {
    let position = match error {
        Syntax::UnexpectedData(at) | Syntax::InvalidNumber(at) => Some(*at),
        Syntax::InvalidChar(_, at) | Syntax::InvalidString(_, at) => Some(*at),
        _ => None,
    };
    // Positions count characters from 1; without one the data ended too early.
    let character = position.map_or_else(|| data.chars().count(), |at| at.saturating_sub(1));
    let what = match data.chars().nth(character) {
        Some(found) => format!("path data cannot be read on from '{}'", found.escape_debug()),
        None => "path data ends in the middle of a command".to_owned(),
    };
    PathFault::Syntax { character, what }
}

/// What the smooth commands mirror: the last control point, and the degree of its curve.
#[derive(Debug, Clone, Copy, Default)]
enum Handle {
    #[default]
    None,
    Quadratic(Point),
    Cubic(Point),
}

#[derive(Default)]
struct Hand {
    handle: Handle,
}

impl Hand {
    fn draw(&mut self, segment: PathSegment, pen: &mut Pen) -> Result<(), PenFault> {
        let at = pen.at();
        let origin = if segment.is_abs() { Point { x: 0.0, y: 0.0 } } else { at };
        let point = |x: f64, y: f64| Point { x: origin.x + x, y: origin.y + y };
        let handle = std::mem::take(&mut self.handle);
        match segment {
            PathSegment::MoveTo { x, y, .. } => pen.move_to(point(x, y)),
            PathSegment::LineTo { x, y, .. } => pen.line_to(point(x, y))?,
            PathSegment::HorizontalLineTo { x, .. } => pen.line_to(Point { x: origin.x + x, y: at.y })?,
            PathSegment::VerticalLineTo { y, .. } => pen.line_to(Point { x: at.x, y: origin.y + y })?,
            PathSegment::CurveTo { x1, y1, x2, y2, x, y, .. } => {
                self.cubic(point(x1, y1), point(x2, y2), point(x, y), pen)?;
            }
            PathSegment::SmoothCurveTo { x2, y2, x, y, .. } => {
                let first = if let Handle::Cubic(c) = handle { mirrored(c, at) } else { at };
                self.cubic(first, point(x2, y2), point(x, y), pen)?;
            }
            PathSegment::Quadratic { x1, y1, x, y, .. } => self.quadratic(point(x1, y1), point(x, y), pen)?,
            PathSegment::SmoothQuadratic { x, y, .. } => {
                let control = if let Handle::Quadratic(c) = handle { mirrored(c, at) } else { at };
                self.quadratic(control, point(x, y), pen)?;
            }
            PathSegment::EllipticalArc { rx, ry, x_axis_rotation, large_arc, sweep, x, y, .. } => {
                let turn = x_axis_rotation.to_radians();
                pen.arc_to(ArcShape { rx, ry, turn, large: large_arc, sweep }, point(x, y))?;
            }
            PathSegment::ClosePath { .. } => pen.close(),
        }
        Ok(())
    }

    fn cubic(&mut self, first: Point, second: Point, to: Point, pen: &mut Pen) -> Result<(), PenFault> {
        self.handle = Handle::Cubic(second);
        pen.cubic_to(first, second, to)
    }

    fn quadratic(&mut self, control: Point, to: Point, pen: &mut Pen) -> Result<(), PenFault> {
        self.handle = Handle::Quadratic(control);
        pen.quadratic_to(control, to)
    }
}

fn mirrored(control: Point, about: Point) -> Point {
    about * 2.0 - control
}

#[cfg(test)]
mod tests {
    use super::super::pen::{Subpath, Tolerances};
    use super::super::transform::Map;
    use super::*;

    fn read(data: &str) -> Result<Vec<Subpath>, PathFault> {
        let mut pen = Pen::new(Map::identity(), Tolerances { chord: 0.001, join: 1e-9 }, 100_000);
        draw(data, &mut pen).map(|()| pen.finish())
    }

    fn ends(data: &str) -> Vec<(f64, f64)> {
        read(data).unwrap().iter().flat_map(|s| &s.points).map(|p| (p.x, p.y)).collect()
    }

    fn area(data: &str) -> f64 {
        let subpaths = read(data).unwrap();
        let ring = crate::shape::Ring::new(subpaths[0].points.clone()).unwrap();
        assert!(subpaths[0].closed);
        ring.signed_area()
    }

    #[test]
    fn straight_commands_absolute_and_relative() {
        let square = [(1., 1.), (11., 1.), (11., 11.), (1., 11.)];
        for data in ["M1 1H11V11H1z", "m1,1 10,0 0,10 -10,0z", "M1 1h10v10h-10Z", "M1 1L11 1 11 11 1 11 1 1"]
        {
            assert_eq!(ends(data), square, "{data}");
        }
        assert_eq!(ends("M1 1m1 1l1 0"), [(2., 2.), (3., 2.)]);
        assert_eq!(ends("M0 0h1v1zl0 5"), [(0., 0.), (1., 0.), (1., 1.), (0., 0.), (0., 5.)]);
    }

    #[test]
    fn arcs_enclose_their_areas() {
        let pi = std::f64::consts::PI;
        assert!((area("M0 0A5 5 0 0 1 10 0z") - pi * 12.5).abs() < 0.02);
        assert!((area("M0 0A5 5 0 0 0 10 0z") + pi * 12.5).abs() < 0.02);
        // Three quarters of a disc of radius 5 and the triangle over its chord.
        assert!((area("M0 0a5 5 0 1 1 5 5z") - (pi * 25.0 * 0.75 + 12.5)).abs() < 0.03);
        // A half ellipse, turned: the area stays.
        assert!((area("M-8 0A8 3 0 0 1 8 0z") - pi * 12.0).abs() < 0.03);
        assert!((area("M0 -8A8 3 90 0 1 0 8z") - pi * 12.0).abs() < 0.03);
    }

    #[test]
    fn smooth_commands_mirror_only_their_own_kind() {
        // Two arches of a parabola, up and down: equal areas cancel.
        assert!(ends("M0 0Q5 10 10 0T20 0").iter().map(|p| p.1).sum::<f64>().abs() < 1e-9);
        // After another command T is a straight line and S starts without a handle.
        assert_eq!(ends("M0 0L5 5T10 10").last(), Some(&(10., 10.)));
        assert_eq!(ends("M0 0C1 1 2 2 3 3T10 10").len(), ends("M0 0L3 3L10 10").len());
        // Area under a symmetrical S-curve: the handles mirror about the middle.
        let line = ends("M0 0C0 10 10 10 10 0S20 -10 20 0");
        assert!(line.iter().map(|p| p.1).sum::<f64>().abs() < 1e-9);
    }

    #[test]
    fn faults_tell_the_character() {
        let at = |data: &str| match read(data) {
            Err(PathFault::Syntax { character, .. }) => character,
            other => panic!("{data}: {other:?}"),
        };
        assert_eq!(at("M0 0L10 X"), 8);
        assert_eq!(at("L0 0"), 0);
        assert_eq!(at("M0 0L5"), 6);
        assert_eq!(at("M0 0z5 5"), 5);
        assert_eq!(at("M0 0A1 1 0 2 0 5 5"), 11);
        assert_eq!(at("M0 nan"), 3);
        assert_eq!(at("M0 1e999"), 3);
        assert_eq!(read("M0 0L1e300 0"), Err(PathFault::Pen(PenFault::TooFar)));
        assert_eq!(read("").unwrap(), []);
        assert_eq!(read("none").unwrap(), []);
    }
}

//! Places round a panel where its name might stand.

use super::free::Frame;
use crate::shape::{Point, dot, length};
use crate::write::coincident::sides;
use crate::write::sheet::Piece;
use crate::write::strokes;

/// Distance between neighbouring places along a contour, in mm: about the least label height,
/// so that no gap wide enough for a label is stepped over.
const STEP: f64 = 4.0;

/// Most places along the contours of one panel; a larger panel is stepped along more coarsely,
/// which keeps the search linear in the number of panels.
const MOST_PLACES: f64 = 96.0;

/// How far off the contour labels are tried, in letter heights. Close by first; the second
/// clears a contour that bulges.
const DISTANCES: [f64; 2] = [0.0, 1.0];

const X: Point = Point { x: 1.0, y: 0.0 };
const Y: Point = Point { x: 0.0, y: 1.0 };

/// A place on a contour, and how a label would lie there.
#[derive(Debug, Clone, Copy)]
pub(super) struct Candidate {
    /// On the contour.
    at: Point,
    /// Unit vector from there into the waste.
    away: Point,
    /// Reading direction, a unit vector.
    along: Point,
    /// Distance from the contour, in letter heights, besides the clearance.
    distance: f64,
}

impl Candidate {
    /// The label for letters of the given height; `wide` is its width for a height of one.
    /// Its box touches the line through the place and across `away`, shifted by the clearance.
    pub fn frame(&self, wide: f64, height: f64, clearance: f64) -> Frame {
        let (w, h) = (wide * height, (1.0 + strokes::DESCENT) * height);
        let up = turned(self.along);
        let reach = 0.5 * (w * dot(self.along, self.away).abs() + h * dot(up, self.away).abs());
        // A hair more than the clearance, so that rounding does not refuse what just fits.
        let centre = self.at + self.away * (reach + 1.001 * clearance + self.distance * height);
        let corner = centre - self.along * (0.5 * w) - up * (0.5 * h);
        Frame { start: corner + up * (strokes::DESCENT * height), along: self.along, width: w, height }
    }
}

/// The places round one piece, in the order in which they are tried.
pub(super) struct Candidates;

impl Candidates {
    /// Close to the contour first; along the contour before along and across the roll.
    pub fn round(piece: &Piece, mm: f64) -> impl Iterator<Item = Candidate> + '_ {
        let perimeter: f64 = piece.rings().flat_map(|r| sides(r, true)).map(|(a, b)| length(b - a)).sum();
        let step = (STEP * mm).max(perimeter / MOST_PLACES);
        DISTANCES.into_iter().flat_map(move |distance| {
            let rings = piece.parts.iter().flat_map(|rings| rings.iter().enumerate());
            rings.flat_map(move |(i, ring)| places(ring, i > 0, step)).flat_map(move |(at, side, away)| {
                directions(side).map(move |along| Candidate { at, away, along, distance })
            })
        })
    }
}

/// Points along a ring, each with the direction of its side and of the waste beside it. Steps
/// run on over the corners; the longest sides thus get most places.
fn places(ring: &[Point], hole: bool, step: f64) -> impl Iterator<Item = (Point, Point, Point)> + '_ {
    let waste_on_right = (signed(ring) > 0.0) != hole;
    let mut next = 0.5 * step;
    sides(ring, true).flat_map(move |(a, b)| {
        let long = length(b - a);
        let side = if long > 0.0 { (b - a) / long } else { X };
        let left = turned(side);
        let away = if waste_on_right { left * -1.0 } else { left };
        let first = next;
        let count = if long > first { ((long - first) / step).floor() as usize + 1 } else { 0 };
        next = first + count as f64 * step - long;
        (0..count).map(move |i| (a + side * (first + i as f64 * step), side, away))
    })
}

/// Reading directions to try at a side: along it, along the roll, across it; never upside down.
fn directions(side: Point) -> impl Iterator<Item = Point> {
    // Text reads from the left or from the foot of the sheet.
    let along = if side.x < 0.0 || (side.x <= 0.0 && side.y < 0.0) { side * -1.0 } else { side };
    let skewed = along.x > 0.0 && along.y.abs() > 0.0;
    [Some(along).filter(|_| skewed), Some(X), Some(Y)].into_iter().flatten()
}

fn turned(v: Point) -> Point {
    Point { x: -v.y, y: v.x }
}

/// Only the sign matters: positive when the ring runs counter-clockwise.
fn signed(ring: &[Point]) -> f64 {
    let Some(o) = ring.first() else { return 0.0 };
    ring.windows(2).map(|w| crate::shape::cross(*o, w[0], w[1])).sum()
}

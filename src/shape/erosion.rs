//! Shapes eroded by a depth: the points inside that lie at least so far from every contour.
//!
//! Two shapes overlap *deeper than t* when a disc of diameter t fits into both at once, that
//! is, when their erosions by t/2 have a point in common. The erosions are never built. What
//! bounds them are lines beside the sides and circles round the reflex corners; wherever two
//! eroded shapes meet, either their bounds cross, or a whole piece of one lies in the other.
//! So it is enough to try
//!
//! * the crossings of such bounds of sides of both shapes that come within the two depths of
//!   each other ([`common_point`]), and
//! * one point of every connected piece of each eroded shape ([`cores`]),
//!
//! and every point tried is accepted only when its depth in both shapes is measured to be
//! enough. An answer is therefore never an artefact of how points were proposed.
//!
//! Why crossings and one point a piece are enough: the bounds of an eroded shape bend only
//! outwards of it along circles, so the lowest point of any piece of the common part is a
//! corner of two bounds; bounds of the two shapes give the first kind of point, and a piece
//! without such a corner is a whole piece of one eroded shape.

use super::{Bounds, Contours, Point, Side, dot, length, segment_distance, side};
use std::ops::ControlFlow;

/// How far a measured depth may fall short, as a part of the depth asked for: far below what
/// matters to a tolerance and far above the rounding of the points tried.
const SHORTFALL: f64 = 1e-6;

/// The same, in units of the last place of the greatest coordinate: rounding of a few
/// operations on a point that far from the origin.
const SHORTFALL_ULPS: f64 = 16.0;

/// A shape, the depth by which it is eroded, and the points of [`cores`] for that depth.
#[derive(Debug, Clone, Copy)]
pub struct Eroded<'a> {
    /// The shape.
    pub shape: &'a Contours,
    /// The depth, 0 or more.
    pub depth: f64,
    /// One point of every connected piece of what is left.
    pub cores: &'a [Point],
}

impl Eroded<'_> {
    /// Whether `p` lies at least so deep, but for rounding.
    fn holds(&self, p: Point) -> bool {
        let Some(bounds) = self.shape.bounds() else { return false };
        let least = self.depth - shortfall(self.depth, &bounds);
        if !(Bounds { min: p, max: p }).near(&bounds, -least) {
            return false;
        }
        if least > 0.0 {
            nearest_at_least(self.shape, p, least) && self.shape.locate(p) == Some(true)
        } else {
            self.shape.locate(p) != Some(false) || !nearest_at_least(self.shape, p, -least)
        }
    }
}

fn shortfall(depth: f64, bounds: &Bounds) -> f64 {
    let greatest = [bounds.min.x, bounds.min.y, bounds.max.x, bounds.max.y]
        .into_iter()
        .fold(0.0, |m: f64, v| m.max(v.abs()));
    SHORTFALL * depth + SHORTFALL_ULPS * f64::EPSILON * greatest
}

/// Whether no contour comes nearer to `p` than `least`.
fn nearest_at_least(shape: &Contours, p: Point, least: f64) -> bool {
    segment_at_least(shape, (p, p), least)
}

/// Whether no contour comes nearer to a segment than `least`.
fn segment_at_least(shape: &Contours, segment: (Point, Point), least: f64) -> bool {
    let place = Bounds { min: segment.0, max: segment.0 }.with(Bounds { min: segment.1, max: segment.1 });
    let seen = shape.visit_near(&place, least, &mut |i| {
        if segment_distance(segment, shape.edge(i)) < least {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    });
    seen.is_continue()
}

/// A point in common of two eroded shapes, if there is one: proof that the shapes overlap so deep.
pub fn common_point(a: Eroded, b: Eroded) -> Option<Point> {
    let (box_a, box_b) = (a.shape.bounds()?, b.shape.bounds()?);
    let reach = a.depth + b.depth;
    if !box_a.near(&box_b, 0.0) {
        return None;
    }
    let whole_pieces =
        a.cores.iter().find(|p| b.holds(**p)).or_else(|| b.cores.iter().find(|p| a.holds(**p)));
    if let Some(p) = whole_pieces {
        return Some(*p);
    }
    let slack = shortfall(reach, &box_a.with(box_b));
    let mut found = None;
    let _ = a.shape.visit_pairs(b.shape, reach + slack, &mut |i, j| {
        let (f, g) = (Bound::new(a.shape, i, a.depth), Bound::new(b.shape, j, b.depth));
        found = f.meeting_points(&g, slack).find(|p| a.holds(*p) && b.holds(*p));
        if found.is_some() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    });
    found
}

/// At least one point of every connected piece of the shape eroded by `depth`: points where
/// two bounds of it meet, thinned out along bounds that are known to connect them.
pub fn cores(shape: &Contours, depth: f64) -> Vec<Point> {
    if depth <= 0.0 {
        return shape.ring_starts().collect();
    }
    let mut found = Vec::new();
    for ring in shape.ring_ranges() {
        add_chain_of_cores(shape, ring, depth, &mut found);
    }
    let _ = visit_inner_corners(shape, depth, &mut |p| {
        found.push(p);
        ControlFlow::Continue(())
    });
    found
}

/// Whether a disc of radius `depth` fits into the shape.
pub fn is_thicker_than(shape: &Contours, depth: f64) -> bool {
    let whole = Eroded { shape, depth, cores: &[] };
    let corner = |i| neighbour_corner(shape, i, depth).filter(|p| whole.holds(*p));
    (0..shape.len()).any(|i| corner(i).is_some())
        || visit_inner_corners(shape, depth, &mut |_| ControlFlow::Break(())).is_break()
}

/// Where the lines beside side `i` and the side before it meet.
fn neighbour_corner(shape: &Contours, i: usize, depth: f64) -> Option<Point> {
    let (before, here) = (Bound::new(shape, shape.previous(i), depth), Bound::new(shape, i, depth));
    before.line_meets_line(&here)
}

/// Adds the first corner of every stretch of one contour along which the line from corner to
/// corner stays deep enough.
fn add_chain_of_cores(shape: &Contours, ring: std::ops::Range<usize>, depth: f64, found: &mut Vec<Point>) {
    let whole = Eroded { shape, depth, cores: &[] };
    let Some(bounds) = shape.bounds() else { return };
    let least = depth - shortfall(depth, &bounds);
    let mut last: Option<Point> = None;
    for i in ring {
        let corner = neighbour_corner(shape, i, depth).filter(|p| whole.holds(*p));
        if let Some(p) = corner
            && !last.is_some_and(|q| segment_at_least(shape, (q, p), least))
        {
            found.push(p);
        }
        // A corner that cannot be had (sides in one line) does not end the stretch.
        last = corner.or(last);
    }
}

/// Calls `see` with every valid corner made by two sides of the shape that are not neighbours.
fn visit_inner_corners(
    shape: &Contours,
    depth: f64,
    see: &mut impl FnMut(Point) -> ControlFlow<()>,
) -> ControlFlow<()> {
    let Some(bounds) = shape.bounds() else { return ControlFlow::Continue(()) };
    let whole = Eroded { shape, depth, cores: &[] };
    let slack = shortfall(2.0 * depth, &bounds);
    shape.visit_pairs(shape, 2.0 * depth + slack, &mut |i, j| {
        if i >= j || shape.next(i) == j || shape.next(j) == i {
            return ControlFlow::Continue(());
        }
        let (f, g) = (Bound::new(shape, i, depth), Bound::new(shape, j, depth));
        f.meeting_points(&g, slack).filter(|p| whole.holds(*p)).try_for_each(&mut *see)
    })
}

/// What one side adds to the bounds of the eroded shape: the line beside it, and the circle
/// round its first point where that is a reflex corner.
struct Bound {
    side: (Point, Point),
    depth: f64,
    /// Unit vector along the side.
    along: Point,
    /// A point of the line beside it.
    beside: Point,
    reflex: bool,
}

impl Bound {
    fn new(shape: &Contours, i: usize, depth: f64) -> Self {
        let (from, to) = shape.edge(i);
        let along = (to - from) / length(to - from);
        let beside = Point { x: from.x - along.y * depth, y: from.y + along.x * depth };
        let reflex = depth > 0.0 && side(shape.edge(shape.previous(i)).0, from, to) == Side::Right;
        Self { side: (from, to), depth, along, beside, reflex }
    }

    /// Where the bounds of two sides meet that come close enough to each other.
    fn meeting_points(&self, other: &Self, slack: f64) -> impl Iterator<Item = Point> + use<> {
        let near = segment_distance(self.side, other.side) <= self.depth + other.depth + slack;
        let lines = if near { self.line_meets_line(other) } else { None };
        let first = if near && self.reflex { other.line_meets_circle(self) } else { [None; 2] };
        let second = if near && other.reflex { self.line_meets_circle(other) } else { [None; 2] };
        let both =
            if near && self.reflex && other.reflex { self.circle_meets_circle(other) } else { [None; 2] };
        [lines].into_iter().chain(first).chain(second).chain(both).flatten()
    }

    fn line_meets_line(&self, other: &Self) -> Option<Point> {
        let sine = self.along.x * other.along.y - self.along.y * other.along.x;
        let apart = other.beside - self.beside;
        let way = (apart.x * other.along.y - apart.y * other.along.x) / sine;
        way.is_finite().then(|| self.beside + self.along * way)
    }

    fn line_meets_circle(&self, circle: &Self) -> [Option<Point>; 2] {
        let centre = circle.side.0;
        let foot = self.beside + self.along * dot(centre - self.beside, self.along);
        let height = length(centre - foot);
        half_chord(circle.depth, height)
            .map_or([None; 2], |half| [Some(foot - self.along * half), Some(foot + self.along * half)])
    }

    fn circle_meets_circle(&self, other: &Self) -> [Option<Point>; 2] {
        let (a, b) = (self.side.0, other.side.0);
        let apart = length(b - a);
        if apart <= 0.0 {
            return [None; 2];
        }
        let along = (b - a) / apart;
        let to_chord = 0.5 * (apart + (self.depth - other.depth) * (self.depth + other.depth) / apart);
        let foot = a + along * to_chord;
        let across = Point { x: -along.y, y: along.x };
        half_chord(self.depth, to_chord)
            .map_or([None; 2], |half| [Some(foot - across * half), Some(foot + across * half)])
    }
}

/// Half the chord of a circle at a distance from its centre, 0 where it just misses by rounding.
fn half_chord(radius: f64, distance: f64) -> Option<f64> {
    let square = (radius - distance) * (radius + distance);
    if square >= 0.0 { Some(square.sqrt()) } else { (square > -SHORTFALL * radius * radius).then_some(0.0) }
}

/// How deep two shapes overlap at least: the greatest depth in either shape of a corner of the
/// other. `None` when no corner of one lies in the other.
pub fn deepest_corner(a: &Contours, b: &Contours) -> Option<f64> {
    let deepest_in = |shape: &Contours, points: &[Point]| {
        let inside = points.iter().filter(|p| shape.locate(**p) == Some(true));
        inside.filter_map(|p| shape.point_distance(*p, f64::INFINITY)).reduce(f64::max)
    };
    [deepest_in(a, b.points()), deepest_in(b, a.points())].into_iter().flatten().reduce(f64::max)
}

//! Kinds of panels and the stances in which they may lie.
//!
//! A kind is held in its *canonical frame*: grain along +x (or a little off it, see
//! [`Shape::offset`]), not mirrored, origin in the middle of its box. A stance is a heading (an index on a grid of equal steps) and a mirror flag.

use super::minkowski::Contour;
use super::simplify;
use crate::shape::{Bounds, Point, Region, Ring, Turn, angle_between, convex_hull};

/// Which headings a kind may take.
#[derive(Debug, Clone, PartialEq)]
pub enum Headings {
    /// Any.
    Any,
    /// These, in degrees, each give or take the slack.
    Near {
        /// Nominal headings in degrees.
        nominal: Vec<f64>,
        /// Permitted deviation in degrees.
        slack: f64,
    },
}

/// What the search is told about a shape.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    /// The pieces, in a frame in which the grain runs along +x.
    pub parts: Vec<Region>,
    /// Whether others keep clear of the convex hull of it all.
    pub hull: bool,
    /// Whether others may lie in its holes.
    pub fill_holes: bool,
    /// Permitted headings.
    pub headings: Headings,
    /// Whether it may be mirrored.
    pub mirror: bool,
    /// By how many degrees its grain points away from +x in this frame, so that a heading between
    /// the steps of the grid can be had; 0 for nearly all.
    pub offset: f64,
    /// Whether its heading is bound to a group: then no stance may stand in for an equal-looking one.
    pub bound: bool,
}

/// A shape as the search works with it.
#[derive(Debug, Clone)]
pub struct Kind {
    /// Solid outlines, counter-clockwise, simplified outwards, canonical frame.
    pub solid: Vec<Contour>,
    /// What others keep clear of: the same, or the hull.
    pub keep: Vec<Contour>,
    /// Holes that others may use, counter-clockwise.
    pub holes: Vec<Contour>,
    /// Whether it has so many corners or parts that others keep clear of more than its outline.
    pub coarsened: bool,
    /// The convex hull of the true outline: decides extents.
    pub hull: Contour,
    /// True area, holes not counted.
    pub area: f64,
    /// Area of the hull.
    pub hull_area: f64,
    /// Stances in which it fits the width, as ids into [`super::instance::Instance::stances`].
    pub stances: std::ops::Range<u32>,
    /// Stances worth sampling from: all of a few, an even choice of many.
    pub coarse: Vec<u32>,
}

/// A kind at one heading, mirrored or not.
#[derive(Debug, Clone)]
pub struct Stance {
    /// Index of the kind.
    pub kind: u32,
    /// Heading in steps of the grid.
    pub heading: u32,
    /// Whether it is mirrored.
    pub mirrored: bool,
    /// Canonical frame to roll: mirror, then turn. Rows of an orthogonal matrix.
    pub matrix: [f64; 4],
    /// Least x and y of the true outline about the origin.
    pub lo: Point,
    /// Greatest x and y of the true outline about the origin.
    pub hi: Point,
    /// Box of what others keep clear of: middle, about the origin.
    pub box_mid: Point,
    /// Half its extents.
    pub box_half: Point,
}

impl Stance {
    /// A vector of the canonical frame on the roll.
    pub fn out(&self, v: Point) -> Point {
        let m = &self.matrix;
        Point { x: m[0] * v.x + m[1] * v.y, y: m[2] * v.x + m[3] * v.y }
    }

    /// A vector on the roll in the canonical frame.
    #[inline(always)]
    pub fn back(&self, v: Point) -> Point {
        let m = &self.matrix;
        Point { x: m[0] * v.x + m[2] * v.y, y: m[1] * v.x + m[3] * v.y }
    }

    /// Extent along the roll.
    pub fn length(&self) -> f64 {
        self.hi.x - self.lo.x
    }

    /// Extent across the roll.
    pub fn across(&self) -> f64 {
        self.hi.y - self.lo.y
    }
}

/// The matrix of a heading on a grid of `per_turn` steps, mirrored first if asked.
pub fn matrix(heading: u32, per_turn: u32, mirrored: bool) -> [f64; 4] {
    let t = Turn::degrees(f64::from(heading) * 360.0 / f64::from(per_turn));
    let m = if mirrored { -1.0 } else { 1.0 };
    [t.cos(), -t.sin() * m, t.sin(), t.cos() * m]
}

impl Kind {
    /// The canonical form of a shape; `height` is how far outlines may be moved outwards.
    pub fn new(shape: &Shape, line: f64, height: f64) -> Self {
        let all: Vec<Point> = shape.parts.iter().flat_map(|r| r.outline().points().iter().copied()).collect();
        let centre = Bounds::of(&all).map_or(Point { x: 0.0, y: 0.0 }, |b| b.centre());
        let moved = |c: Vec<Point>| -> Contour { c.into_iter().map(|p| p - centre).collect() };
        let hull = convex_hull(&moved(all));
        let mut solid: Vec<Contour> = shape
            .parts
            .iter()
            .map(|r| simplify::outwards(&moved(r.outline().counter_clockwise()), line, height))
            .collect();
        let coarsened = coarsen(&mut solid, &hull, line, height);
        let holes = if shape.fill_holes && !shape.hull {
            holes(&shape.parts, centre, line, height)
        } else {
            Vec::new()
        };
        let keep = if shape.hull {
            vec![simplify::to_at_most(MOST_CORNERS, &hull, line, height)]
        } else {
            solid.clone()
        };
        Self {
            area: shape.parts.iter().map(Region::area).sum(),
            hull_area: (1..hull.len().saturating_sub(1))
                .map(|i| 0.5 * crate::shape::cross(hull[0], hull[i], hull[i + 1]))
                .sum(),
            solid,
            keep,
            holes,
            coarsened,
            hull,
            stances: 0..0,
            coarse: Vec::new(),
        }
    }

    /// The stance at a heading.
    pub fn stance(&self, kind: u32, heading: u32, per_turn: u32, mirrored: bool) -> Stance {
        let matrix = matrix(heading, per_turn, mirrored);
        let put =
            |p: &Point| Point { x: matrix[0] * p.x + matrix[1] * p.y, y: matrix[2] * p.x + matrix[3] * p.y };
        let zero = Point { x: 0.0, y: 0.0 };
        let none = Bounds { min: zero, max: zero };
        let truth: Vec<Point> = self.hull.iter().map(put).collect();
        let kept: Vec<Point> = self.keep.iter().chain(&self.solid).flatten().map(put).collect();
        let (truth, kept) = (Bounds::of(&truth).unwrap_or(none), Bounds::of(&kept).unwrap_or(none));
        let box_half = Point { x: 0.5 * kept.width(), y: 0.5 * kept.height() };
        Stance {
            kind,
            heading,
            mirrored,
            matrix,
            lo: truth.min,
            hi: truth.max,
            box_mid: kept.centre(),
            box_half,
        }
    }
}

/// Corners of one contour. The no-fit polygon of two outlines takes time and memory with the product of their
/// corners, and more where both are jagged: for two of 500 some seconds.
pub const MOST_CORNERS: usize = 500;
/// Parts of a panel, and holes that may be used: every part of the one is set against every part of the other.
pub const MOST_PARTS: usize = 128;
/// Corners of all parts of a panel.
const MOST_CORNERS_IN_ALL: usize = 4000;

/// Keeps what the search is told of a shape within bounds, by adding area only; true where that was needed.
pub fn coarsen(solid: &mut Vec<Contour>, hull: &Contour, line: f64, height: f64) -> bool {
    let corners = solid.iter().map(Vec::len);
    if solid.len() > MOST_PARTS || (solid.len() > 1 && corners.clone().sum::<usize>() > MOST_CORNERS_IN_ALL) {
        *solid = vec![simplify::to_at_most(MOST_CORNERS, hull, line, height)];
        return true;
    }
    let intricate = corners.max().is_some_and(|most| most > MOST_CORNERS);
    if intricate {
        for c in solid.iter_mut() {
            *c = simplify::to_at_most(MOST_CORNERS, c, line, height);
        }
    }
    intricate
}

/// Usable holes, made smaller only, as counter-clockwise contours: the largest, where there are very many, and
/// none with very many corners.
fn holes(parts: &[Region], centre: Point, line: f64, height: f64) -> Vec<Contour> {
    let mut holes: Vec<&Ring> = parts.iter().flat_map(Region::holes).collect();
    if holes.len() > MOST_PARTS {
        holes.sort_by(|a, b| b.area().total_cmp(&a.area()));
        holes.truncate(MOST_PARTS);
    }
    holes
        .into_iter()
        .map(|h| {
            let mut c: Contour = h.counter_clockwise().into_iter().rev().map(|p| p - centre).collect();
            c = simplify::outwards(&c, line, height);
            c.reverse();
            c
        })
        .filter(|c| c.len() <= MOST_CORNERS)
        .collect()
}

/// How exactly a heading must follow its rule, in degrees: a tenth of what the check lets pass.
const EXACT: f64 = 1e-8;

/// The steps of the grid at which a shape's grain points as its rule permits, in rising order.
pub fn permitted(shape: &Shape, per_turn: u32, mirrored: bool) -> Vec<u32> {
    let step = 360.0 / f64::from(per_turn);
    let offset = if mirrored { -shape.offset } else { shape.offset };
    match &shape.headings {
        Headings::Any => (0..per_turn).collect(),
        Headings::Near { nominal, slack } => (0..per_turn)
            .filter(|h| {
                let d = f64::from(*h) * step + offset;
                nominal.iter().any(|n| angle_between(d, *n) <= slack + EXACT)
            })
            .collect(),
    }
}

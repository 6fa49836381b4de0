//! One connected piece of film: an outline with holes.

use super::{Bounds, Point, Ring, segments_cross};

/// What keeps an outline and its holes from being a region.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RegionFault {
    /// A hole crosses the outline or lies outside it.
    HoleOutside {
        /// Index of the hole.
        hole: usize,
    },
    /// Two holes cross or lie in each other.
    HolesMeet {
        /// Index of the one hole.
        first: usize,
        /// Index of the other.
        second: usize,
    },
}

/// An outline and the holes inside it. Every hole lies inside the outline and the holes lie
/// apart; they may touch at single points.
#[derive(Debug, Clone, PartialEq)]
pub struct Region {
    outline: Ring,
    holes: Vec<Ring>,
}

impl Region {
    /// Checks that the holes lie inside the outline and apart from each other.
    pub fn new(outline: Ring, holes: Vec<Ring>) -> Result<Self, RegionFault> {
        for (i, hole) in holes.iter().enumerate() {
            if !lies_inside(hole, &outline) {
                return Err(RegionFault::HoleOutside { hole: i });
            }
            for (j, other) in holes.iter().enumerate().take(i) {
                if !lie_apart(hole, other) {
                    return Err(RegionFault::HolesMeet { first: j, second: i });
                }
            }
        }
        Ok(Self { outline, holes })
    }

    /// A region without holes.
    pub fn solid(outline: Ring) -> Self {
        Self { outline, holes: Vec::new() }
    }

    /// The outer contour.
    pub fn outline(&self) -> &Ring {
        &self.outline
    }

    /// The inner contours.
    pub fn holes(&self) -> &[Ring] {
        &self.holes
    }

    /// Outline first, then the holes.
    pub fn rings(&self) -> impl Iterator<Item = &Ring> + '_ {
        std::iter::once(&self.outline).chain(&self.holes)
    }

    /// Area, holes not counted.
    pub fn area(&self) -> f64 {
        self.outline.area() - self.holes.iter().map(Ring::area).sum::<f64>()
    }

    /// The box round it.
    pub fn bounds(&self) -> Bounds {
        self.outline.bounds()
    }
}

/// Whether two rings have sides that cross.
pub(crate) fn rings_cross(a: &Ring, b: &Ring) -> bool {
    if !a.bounds().near(&b.bounds(), 0.0) {
        return false;
    }
    let box_b = b.bounds();
    a.sides().any(|(p, q)| {
        let side_box = Bounds { min: p, max: p }.with(Bounds { min: q, max: q });
        side_box.near(&box_b, 0.0) && b.sides().any(|(r, s)| segments_cross(p, q, r, s))
    })
}

/// A point that decides on which side of `other` the ring `a` lies, given that they do not
/// cross: the first vertex or side middle that is not on `other`.
fn deciding(a: &Ring, other: &Ring) -> Option<bool> {
    let middles = a.sides().map(|(p, q)| Point { x: 0.5 * (p.x + q.x), y: 0.5 * (p.y + q.y) });
    a.points().iter().copied().chain(middles).find_map(|p| other.locate(p))
}

/// Whether `hole` lies inside `outline`; touching at points is allowed, running along each other is too.
pub(crate) fn lies_inside(hole: &Ring, outline: &Ring) -> bool {
    !rings_cross(hole, outline)
        && deciding(hole, outline) == Some(true)
        && deciding(outline, hole) != Some(true)
        && hole.points().iter().all(|p| outline.locate(*p) != Some(false))
}

fn lie_apart(a: &Ring, b: &Ring) -> bool {
    !rings_cross(a, b) && deciding(a, b) == Some(false) && deciding(b, a) == Some(false)
}

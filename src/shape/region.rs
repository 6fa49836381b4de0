//! One connected piece of film: an outline with holes.

use super::meet::Contour;
use super::{Bounds, Ring};

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
        let outer = Contour::of(&outline);
        let inner: Vec<Contour> = holes.iter().map(Contour::of).collect();
        for (i, hole) in inner.iter().enumerate() {
            if !hole.lies_inside(&outer) {
                return Err(RegionFault::HoleOutside { hole: i });
            }
            if let Some(j) = inner[..i].iter().position(|other| !hole.lies_apart(other)) {
                return Err(RegionFault::HolesMeet { first: j, second: i });
            }
        }
        Ok(Self { outline, holes })
    }

    /// A region of holes that are known to lie inside the outline and apart from each other: [`Region::new`] for
    /// whoever has looked at that already.
    pub(crate) fn of_apart(outline: Ring, holes: Vec<Ring>) -> Self {
        Self { outline, holes }
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

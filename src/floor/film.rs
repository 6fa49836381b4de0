//! The film as the machine gets it: turned round or mirrored whole where it is wound the other way.

use crate::layout::Layout;
use crate::shape::{Point, Ring};

/// How the whole layout is laid on the machine.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Whole {
    /// Turned by half a turn: the end of the layout comes first.
    pub half_turn: bool,
    /// Mirrored across the film, for film that is cut from its back.
    pub mirrored: bool,
}

/// A layout's film in mm, in the frame in which it is cut: x along the feed from the end that
/// comes first, y across.
#[derive(Debug, Clone, PartialEq)]
pub struct Film {
    /// Full width.
    pub width: f64,
    /// How much of the roll the layout uses.
    pub length: f64,
    /// Unusable film at y = 0 and at y = `width`.
    pub edge_margin: [f64; 2],
    /// Unusable film at the end that comes first.
    pub lead_margin: f64,
    mm: f64,
    whole: Whole,
}

impl Film {
    /// The film of a layout.
    pub fn of(layout: &Layout, whole: Whole) -> Self {
        let mm = layout.unit.in_mm();
        let roll = &layout.roll;
        let [low, high] = roll.edge_margin.map(|m| m * mm);
        // Half a turn swaps the sides, and so does a mirror: both together do not.
        let swapped = whole.half_turn != whole.mirrored;
        let lead = if whole.half_turn { roll.tail_margin } else { roll.lead_margin };
        Self {
            width: roll.width * mm,
            length: layout.measures.length * mm,
            edge_margin: if swapped { [high, low] } else { [low, high] },
            lead_margin: lead * mm,
            mm,
            whole,
        }
    }

    /// Where a point of the layout's roll frame, in the layout's unit, lies on the machine.
    pub fn place(&self, p: Point) -> Point {
        let p = p * self.mm;
        let turned =
            if self.whole.half_turn { Point { x: self.length - p.x, y: self.width - p.y } } else { p };
        if self.whole.mirrored { Point { x: turned.x, y: self.width - turned.y } } else { turned }
    }

    /// What the layout calls the margin at the end that comes first.
    pub(super) fn first_margin(&self) -> &'static str {
        if self.whole.half_turn { "tail margin" } else { "lead margin" }
    }

    /// A ring of the roll frame on the machine.
    pub fn ring(&self, ring: &Ring) -> Vec<Point> {
        ring.points().iter().map(|p| self.place(*p)).collect()
    }
}

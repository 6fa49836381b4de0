//! Film left over that is worth keeping: the largest free rectangles of a layout.
//!
//! The film between the start of the roll and the end of the layout is drawn on a grid, and every
//! square that comes nearer to a panel than the gap, or touches a flaw, is taken. Of what is free the largest
//! upright rectangle is found row by row (the largest rectangle in a histogram, by a
//! stack; D. Vandevoorde, Dr. Dobb's Journal, 1998, from memory), then the largest of the rest,
//! and so on. Rounding is towards the panels: a rectangle never touches one, and its sides are
//! short of the largest possible by less than two squares of the grid each.

mod grid;
mod largest;

use crate::job::Keep;
use crate::layout::Layout;
use crate::shape::{Bounds, Point};
use grid::Grid;

/// Most rectangles that are listed: nobody stores more from one layout.
const MOST: usize = 24;

/// A free rectangle, its sides along and across the roll. In the layout's unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Offcut {
    /// Where it lies.
    pub at: Bounds,
}

impl Offcut {
    /// Along the roll.
    pub fn length(&self) -> f64 {
        self.at.width()
    }

    /// Across the roll.
    pub fn width(&self) -> f64 {
        self.at.height()
    }

    /// Its area.
    pub fn area(&self) -> f64 {
        self.length() * self.width()
    }
}

/// The largest free rectangles of the film that the layout uses, at least as large as `keep`, no two
/// of them overlapping, the largest first. Edge, lead and tail margins count as free: the film is
/// there, and its next layout has margins of its own.
pub fn offcuts(layout: &Layout, keep: Keep) -> Vec<Offcut> {
    let Some(mut grid) = Grid::of(layout, keep) else { return Vec::new() };
    let (columns, rows) = grid.least(keep);
    let mut found = Vec::new();
    while found.len() < MOST {
        let Some(best) = largest::largest(&grid, columns, rows) else { break };
        grid.take(&best);
        let corner = |c: usize, r: usize| Point { x: c as f64 * grid.square, y: r as f64 * grid.square };
        let at = Bounds {
            min: corner(best.columns.start, best.rows.start),
            max: corner(best.columns.end, best.rows.end),
        };
        found.push(Offcut { at });
    }
    found
}

/// The offcuts that the shop of this layout keeps; none where it has not said which.
pub fn worth_keeping(layout: &Layout) -> Vec<Offcut> {
    layout.shop.keep.map_or_else(Vec::new, |keep| offcuts(layout, keep))
}

#[cfg(test)]
mod tests;

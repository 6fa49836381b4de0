//! The film as squares, each free or taken.

use crate::job::Keep;
use crate::layout::Layout;
use crate::shape::{Point, Ring};
use std::ops::Range;

/// Squares across the least offcut: its sides are met to a twentieth.
const SQUARES_PER_SIDE: f64 = 20.0;

/// Most squares in a grid; a few hundredths of a second each time the largest rectangle is looked for.
const MOST_SQUARES: f64 = 4e6;

/// A rectangle of squares.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Cells {
    pub columns: Range<usize>,
    pub rows: Range<usize>,
}

impl Cells {
    pub fn area(&self) -> usize {
        self.columns.len() * self.rows.len()
    }
}

/// Squares of film from (0, 0); a part of a square at the far sides is left out.
pub(super) struct Grid {
    /// Side of a square.
    pub square: f64,
    pub columns: usize,
    pub rows: usize,
    taken: Vec<bool>,
}

impl Grid {
    /// The film of a layout. `None` when the least offcut is larger than the film.
    pub fn of(layout: &Layout, keep: Keep) -> Option<Self> {
        let (length, width) = (layout.measures.length, layout.roll.width);
        if !(length >= keep.length && width >= keep.width && keep.length > 0.0 && keep.width > 0.0) {
            return None;
        }
        let fine = keep.length.min(keep.width) / SQUARES_PER_SIDE;
        let square = fine.max((length * width / MOST_SQUARES).sqrt());
        let (columns, rows) = (whole(length / square), whole(width / square));
        let mut grid = Self { square, columns, rows, taken: vec![false; columns * rows] };
        for place in &layout.placements {
            let Some(panel) = layout.panels.get(place.panel) else { continue };
            let pose = place.pose();
            for part in &panel.parts {
                let rings: Vec<Vec<Point>> =
                    part.rings().map(|r| r.points().iter().map(|p| pose.apply(*p)).collect()).collect();
                grid.draw(&rings, layout.gap);
            }
        }
        for flaw in &layout.roll.flaws {
            grid.draw(&[Ring::points(flaw).to_vec()], 0.0);
        }
        Some(grid)
    }

    /// Squares along and across that are at least as long as these sides.
    pub fn least(&self, keep: Keep) -> (usize, usize) {
        // A side that is a whole number of squares must not need one more by rounding.
        let squares = |side: f64| whole((side / self.square - 1e-9).ceil()).max(1);
        (squares(keep.length), squares(keep.width))
    }

    /// Takes all squares that come within `gap` of a shape or lie in it; holes stay free.
    fn draw(&mut self, rings: &[Vec<Point>], gap: f64) {
        let sides = |ring: &Vec<Point>| -> Vec<(Point, Point)> {
            (0..ring.len()).map(|i| (ring[i], ring[(i + 1) % ring.len()])).collect()
        };
        let sides: Vec<(Point, Point)> = rings.iter().flat_map(sides).collect();
        self.fill(&sides);
        sides.iter().for_each(|(a, b)| self.trace(*a, *b, gap));
    }

    /// Takes the squares whose middle lies inside, by the even-odd rule along each row.
    fn fill(&mut self, sides: &[(Point, Point)]) {
        let mut crossings: Vec<(usize, f64)> = Vec::new();
        for (a, b) in sides {
            let (low, high) = if a.y < b.y { (a, b) } else { (b, a) };
            for row in self.span(low.y / self.square - 0.5, high.y / self.square + 0.5, self.rows) {
                let y = (row as f64 + 0.5) * self.square;
                if low.y <= y && y < high.y {
                    crossings.push((row, low.x + (high.x - low.x) * (y - low.y) / (high.y - low.y)));
                }
            }
        }
        crossings.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        for pair in crossings.chunks_exact(2) {
            if let [(row, from), (same, to)] = *pair
                && row == same
            {
                let columns = self.span(from / self.square - 0.5, to / self.square + 0.5, self.columns);
                columns.for_each(|column| self.take_one(column, row));
            }
        }
    }

    /// Takes every square that has a point within `gap` of the side, along each axis.
    fn trace(&mut self, a: Point, b: Point, gap: f64) {
        let (left, right) = if a.x < b.x { (a, b) } else { (b, a) };
        for column in self.span((left.x - gap) / self.square, (right.x + gap) / self.square, self.columns) {
            let from = (column as f64 * self.square - gap).max(left.x);
            let to = ((column + 1) as f64 * self.square + gap).min(right.x);
            let y_at = |x: f64| {
                if right.x > left.x {
                    left.y + (right.y - left.y) * (x - left.x) / (right.x - left.x)
                } else {
                    left.y
                }
            };
            let (y0, y1) = if right.x > left.x { (y_at(from), y_at(to)) } else { (left.y, right.y) };
            let rows =
                self.span((y0.min(y1) - gap) / self.square, (y0.max(y1) + gap) / self.square, self.rows);
            rows.for_each(|row| self.take_one(column, row));
        }
    }

    /// The squares that the stretch from `from` to `to` touches, in squares, within the film.
    fn span(&self, from: f64, to: f64, count: usize) -> std::ops::Range<usize> {
        let start = whole(from.floor()).min(count);
        // One more, so that rounding never frees a square that is touched.
        let end = if to < 0.0 { 0 } else { (whole(to.floor()) + 1).min(count) };
        start..end.max(start)
    }

    fn take_one(&mut self, column: usize, row: usize) {
        if let Some(cell) = self.taken.get_mut(row * self.columns + column) {
            *cell = true;
        }
    }

    /// Whether a square is free.
    pub fn is_free(&self, column: usize, row: usize) -> bool {
        self.taken.get(row * self.columns + column) == Some(&false)
    }

    /// Takes a rectangle of squares.
    pub fn take(&mut self, cells: &Cells) {
        for row in cells.rows.clone() {
            cells.columns.clone().for_each(|column| self.take_one(column, row));
        }
    }
}

/// The whole part of a number; 0 for any below.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates")]
fn whole(value: f64) -> usize {
    value as usize
}

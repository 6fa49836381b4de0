//! A grid of square cells that finds what lies near a place.

use crate::shape::{Bounds, Point};

/// About the most cells of a grid (24 MB of empty lists); larger cells are taken beyond that.
const MOST_CELLS: f64 = 1_048_576.0;

/// Numbers of items, filed by the cells that they touch.
#[derive(Debug)]
pub(crate) struct Grid {
    origin: Point,
    cell: f64,
    columns: usize,
    rows: usize,
    cells: Vec<Vec<u32>>,
}

impl Grid {
    /// A grid over `area` with cells of about the given size.
    pub fn new(area: Bounds, cell: f64) -> Self {
        let (w, h) = (area.width(), area.height());
        let least = (w * h / MOST_CELLS).sqrt().max(w.max(h) / MOST_CELLS);
        let cell = if cell > least { cell } else { least.max(f64::MIN_POSITIVE) };
        let count = |extent: f64| (extent / cell).floor() as usize + 1;
        let (columns, rows) = (count(w), count(h));
        Self { origin: area.min, cell, columns, rows, cells: vec![Vec::new(); columns * rows] }
    }

    /// Files an item under every cell that its box touches.
    pub fn insert_box(&mut self, item: u32, b: Bounds) {
        for row in self.row(b.min.y)..=self.row(b.max.y) {
            for column in self.column(b.min.x)..=self.column(b.max.x) {
                self.cells[row * self.columns + column].push(item);
            }
        }
    }

    /// Files an item under every cell that the segment touches, and perhaps a few beside it.
    pub fn insert_segment(&mut self, item: u32, a: Point, b: Point) {
        let (a, b) = if a.x <= b.x { (a, b) } else { (b, a) };
        let slope = if b.x > a.x { (b.y - a.y) / (b.x - a.x) } else { 0.0 };
        let (low, high) = (a.y.min(b.y), a.y.max(b.y));
        let (first, last) = (self.column(a.x), self.column(b.x));
        for column in first..=last {
            let (mut y0, mut y1) = (low, high);
            if first < last {
                // A hundredth of a cell on either side makes up for rounding.
                let x = self.origin.x + column as f64 * self.cell;
                let at = |x: f64| a.y + slope * (x - a.x);
                let (p, q) = (at(x - 0.01 * self.cell), at(x + 1.01 * self.cell));
                (y0, y1) = (p.min(q).clamp(low, high), p.max(q).clamp(low, high));
            }
            for row in self.row(y0)..=self.row(y1) {
                self.cells[row * self.columns + column].push(item);
            }
        }
    }

    /// The items of all cells that the box touches; an item may come more than once.
    pub fn near(&self, b: Bounds) -> impl Iterator<Item = u32> + '_ {
        let columns = self.column(b.min.x)..=self.column(b.max.x);
        (self.row(b.min.y)..=self.row(b.max.y))
            .flat_map(move |row| columns.clone().map(move |column| row * self.columns + column))
            .flat_map(|i| self.cells[i].iter().copied())
    }

    fn column(&self, x: f64) -> usize {
        // The cast takes what lies outside, and what is no number, to the nearest cell.
        (((x - self.origin.x) / self.cell).floor() as usize).min(self.columns - 1)
    }

    fn row(&self, y: f64) -> usize {
        (((y - self.origin.y) / self.cell).floor() as usize).min(self.rows - 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn p(x: f64, y: f64) -> Point {
        Point { x, y }
    }

    #[test]
    fn a_segment_is_found_from_every_place_along_it() {
        let area = Bounds { min: p(-5.0, 0.0), max: p(100.0, 40.0) };
        let mut g = Grid::new(area, 7.0);
        let (a, b) = (p(-5.0, 39.0), p(99.0, 0.5));
        g.insert_segment(3, a, b);
        g.insert_box(4, Bounds { min: p(50.0, 35.0), max: p(120.0, 90.0) });
        for i in 0..=1000 {
            let q = a + (b - a) * (f64::from(i) / 1000.0);
            assert!(g.near(Bounds { min: q, max: q }).any(|k| k == 3), "{q:?}");
        }
        assert!(g.near(Bounds { min: p(90.0, 39.0), max: p(90.0, 39.0) }).all(|k| k == 4));
        assert_eq!(g.near(Bounds { min: p(0.0, 1.0), max: p(1.0, 2.0) }).count(), 0);
    }

    #[test]
    fn odd_areas_give_a_grid_all_the_same() {
        for (area, cell) in [
            (Bounds { min: p(0.0, 0.0), max: p(0.0, 0.0) }, 0.0),
            (Bounds { min: p(0.0, 0.0), max: p(1e9, 1.0) }, 1e-9),
            (Bounds { min: p(0.0, 0.0), max: p(1.0, 1.0) }, f64::NAN),
        ] {
            let mut g = Grid::new(area, cell);
            g.insert_box(1, area);
            assert!(g.near(area).any(|i| i == 1));
        }
    }
}

//! A grid of square cells that finds what lies near a place.

use crate::shape::{Bounds, Point};

/// About the most cells of a grid (24 MB of empty lists); larger cells are taken beyond that.
const MOST_CELLS: f64 = 1_048_576.0;

/// Numbers of items, filed by the cells that they touch.
#[derive(Debug)]
pub(crate) struct Grid {
    mesh: Mesh,
    cells: Vec<Vec<u32>>,
}

impl Grid {
    /// A grid over `area` with cells of about the given size.
    pub fn new(area: Bounds, cell: f64) -> Self {
        let mesh = Mesh::new(area, cell);
        Self { mesh, cells: vec![Vec::new(); mesh.columns * mesh.rows] }
    }

    /// Files an item under every cell that its box touches.
    pub fn insert_box(&mut self, item: u32, b: Bounds) {
        for i in self.mesh.within(b) {
            self.cells[i].push(item);
        }
    }

    /// Files an item under every cell that the segment touches, and perhaps a few beside it.
    pub fn insert_segment(&mut self, item: u32, a: Point, b: Point) {
        for i in self.mesh.along(a, b, 0.0) {
            self.cells[i].push(item);
        }
    }

    /// The items of all cells that the box touches; an item may come more than once.
    pub fn near(&self, b: Bounds) -> impl Iterator<Item = u32> + '_ {
        self.mesh.within(b).flat_map(|i| self.cells[i].iter().copied())
    }

    /// The items of all cells that come within `reach` of the segment, and perhaps of a few beside them; an item may
    /// come more than once.
    pub fn near_segment(&self, a: Point, b: Point, reach: f64) -> impl Iterator<Item = u32> + '_ {
        self.mesh.along(a, b, reach).flat_map(|i| self.cells[i].iter().copied())
    }
}

/// Square cells side by side, numbered row by row.
#[derive(Debug, Clone, Copy)]
struct Mesh {
    origin: Point,
    cell: f64,
    columns: usize,
    rows: usize,
}

impl Mesh {
    fn new(area: Bounds, cell: f64) -> Self {
        let (w, h) = (area.width(), area.height());
        let least = (w * h / MOST_CELLS).sqrt().max(w.max(h) / MOST_CELLS);
        let cell = if cell > least { cell } else { least.max(f64::MIN_POSITIVE) };
        let count = |extent: f64| (extent / cell).floor() as usize + 1;
        Self { origin: area.min, cell, columns: count(w), rows: count(h) }
    }

    /// The cells that a box touches.
    fn within(self, b: Bounds) -> impl Iterator<Item = usize> {
        let columns = self.column(b.min.x)..=self.column(b.max.x);
        (self.row(b.min.y)..=self.row(b.max.y))
            .flat_map(move |row| columns.clone().map(move |column| row * self.columns + column))
    }

    /// The cells that come within `reach` of a segment, and perhaps a few beside them.
    fn along(self, a: Point, b: Point, reach: f64) -> impl Iterator<Item = usize> {
        let (a, b) = if a.x <= b.x { (a, b) } else { (b, a) };
        // An upright one has none.
        let slope = (b.y - a.y) / (b.x - a.x);
        let (low, high) = (a.y.min(b.y), a.y.max(b.y));
        let (first, last) = (self.column(a.x - reach), self.column(b.x + reach));
        (first..=last).flat_map(move |column| {
            let (mut y0, mut y1) = (low, high);
            if first < last && slope.is_finite() {
                // A hundredth of a cell on either side makes up for rounding.
                let more = 0.01 * self.cell + reach;
                let x = self.origin.x + column as f64 * self.cell;
                let at = |x: f64| a.y + slope * (x - a.x);
                let (p, q) = (at(x - more), at(x + self.cell + more));
                (y0, y1) = (p.min(q).clamp(low, high), p.max(q).clamp(low, high));
            }
            let rows = self.row(y0 - reach)..=self.row(y1 + reach);
            rows.map(move |row| row * self.columns + column)
        })
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
    use crate::shape::length;

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
    fn a_segment_finds_what_is_within_reach_and_little_else() {
        let area = Bounds { min: p(0.0, 0.0), max: p(99.9, 99.9) };
        let mut g = Grid::new(area, 1.0);
        for row in 0..100_u32 {
            for column in 0..100_u32 {
                let at = p(f64::from(column) + 0.5, f64::from(row) + 0.5);
                g.insert_box(100 * row + column, Bounds { min: at, max: at });
            }
        }
        for (a, b) in [
            (p(0.0, 0.0), p(99.0, 99.0)),
            (p(99.0, 2.0), p(1.0, 98.0)),
            (p(50.0, 1.0), p(50.0, 99.0)),
            (p(3.0, 60.0), p(97.0, 60.0)),
            (p(20.25, 30.75), p(20.5, 30.5)),
        ] {
            for reach in [0.0, 0.01, 2.5] {
                let near: Vec<u32> = g.near_segment(a, b, reach).collect();
                for k in 0..10_000_u32 {
                    let at = p(f64::from(k % 100) + 0.5, f64::from(k / 100) + 0.5);
                    let off = crate::shape::point_segment_distance(at, a, b);
                    assert!(off > reach || near.contains(&k), "{at:?} for {a:?} to {b:?}");
                }
                // A cell for each that it passes along either axis, twice over, and those within reach.
                let most = (2.0 * (length(b - a) + 4.0) * (2.0 + 2.0 * reach)) as usize;
                assert!(near.len() <= most, "{} cells for {a:?} to {b:?} and {reach}", near.len());
            }
        }
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

//! A sparse grid over boxes: which boxes may contain a point.

use crate::shape::{Bounds, Point};

/// Boxes filed under every cell they touch.
///
/// The cell is at least as large as the mean box, so that all boxes together fill a small
/// multiple of their number of cells, whatever their shape.
pub(super) struct Grid {
    origin: Point,
    cell: f64,
    /// Cell and item, sorted.
    filed: Vec<((i64, i64), u32)>,
}

impl Grid {
    /// Files `boxes`; items are their indices. Candidates come out in this order.
    pub fn new(boxes: &[Bounds]) -> Self {
        let n = boxes.len().max(1) as f64;
        let area: f64 = boxes.iter().map(|b| b.width() * b.height()).sum();
        let girth: f64 = boxes.iter().map(|b| b.width() + b.height()).sum();
        let cell = (area / n).sqrt().max(girth / n);
        let origin = boxes.iter().copied().reduce(Bounds::with).map_or(Point::default(), |b| b.min);
        let mut grid = Self { origin, cell: if cell > 0.0 { cell } else { 1.0 }, filed: Vec::new() };
        for (i, b) in boxes.iter().enumerate() {
            let (low, high) = (grid.cell_of(b.min), grid.cell_of(b.max));
            for x in low.0..=high.0 {
                grid.filed.extend((low.1..=high.1).map(|y| ((x, y), i as u32)));
            }
        }
        grid.filed.sort_unstable();
        grid
    }

    /// The items whose box may contain `p`, in ascending order. Where the boxes were all grown
    /// by a reach, these are all items within that reach.
    pub fn at(&self, p: Point) -> impl Iterator<Item = usize> + '_ {
        let cell = self.cell_of(p);
        let start = self.filed.partition_point(|(c, _)| *c < cell);
        self.filed[start..].iter().take_while(move |(c, _)| *c == cell).map(|(_, i)| *i as usize)
    }

    /// The items whose box may meet `b`, in ascending order.
    pub fn near(&self, b: &Bounds) -> Vec<usize> {
        let (low, high) = (self.cell_of(b.min), self.cell_of(b.max));
        let mut items = Vec::new();
        for x in low.0..=high.0 {
            let start = self.filed.partition_point(|(c, _)| *c < (x, low.1));
            let row = self.filed[start..].iter().take_while(|(c, _)| *c <= (x, high.1));
            items.extend(row.map(|(_, i)| *i as usize));
        }
        items.sort_unstable();
        items.dedup();
        items
    }

    fn cell_of(&self, p: Point) -> (i64, i64) {
        (
            ((p.x - self.origin.x) / self.cell).floor() as i64,
            ((p.y - self.origin.y) / self.cell).floor() as i64,
        )
    }
}

/// The box round a segment, grown by `reach` on all sides.
pub(super) fn segment_box(a: Point, b: Point, reach: f64) -> Bounds {
    grown(Bounds { min: a, max: a }.with(Bounds { min: b, max: b }), reach)
}

/// A box grown by `reach` on all sides.
pub(super) fn grown(b: Bounds, reach: f64) -> Bounds {
    let by = Point { x: reach, y: reach };
    Bounds { min: b.min - by, max: b.max + by }
}

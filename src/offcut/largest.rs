//! The largest rectangle of free squares.

use super::grid::{Cells, Grid};
use std::ops::Range;

/// The free rectangle of the greatest area with at least so many columns and rows; the first one
/// of equals.
pub(super) fn largest(grid: &Grid, columns: usize, rows: usize) -> Option<Cells> {
    let mut heights = vec![0usize; grid.columns];
    let mut best: Option<Cells> = None;
    for row in 0..grid.rows {
        for (column, height) in heights.iter_mut().enumerate() {
            *height = if grid.is_free(column, row) { *height + 1 } else { 0 };
        }
        under(&heights, |columns_found, height| {
            let found = Cells { columns: columns_found, rows: row + 1 - height..row + 1 };
            let fits = found.columns.len() >= columns && height >= rows;
            if fits && best.as_ref().is_none_or(|b| found.area() > b.area()) {
                best = Some(found);
            }
        });
    }
    best
}

/// Calls `found` with every widest rectangle under a row of columns.
fn under(heights: &[usize], mut found: impl FnMut(Range<usize>, usize)) {
    // Columns that still grow to the right: where each height began.
    let mut open: Vec<(usize, usize)> = Vec::new();
    for (column, height) in heights.iter().copied().chain([0]).enumerate() {
        let mut start = column;
        while let Some((began, tall)) = open.last().copied().filter(|(_, tall)| *tall >= height) {
            open.pop();
            start = began;
            if tall > height {
                found(began..column, tall);
            }
        }
        if height > 0 {
            open.push((start, height));
        }
    }
}

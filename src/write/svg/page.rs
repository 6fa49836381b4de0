//! How the roll is laid out on a page: one row, or several where the roll is long.

use super::super::sheet::Sheet;
use crate::shape::Point;

/// A roll longer than so many widths is folded: in one row its panels would be too small to
/// read on a page of common shape.
const LONGEST_ROW: f64 = 3.5;
/// Width to height of the folded roll that is aimed at, about that of a sheet of paper on its side.
const ASPECT: f64 = 1.5;
/// No more rows than this, however long the roll.
const MOST_ROWS: f64 = 100.0;
/// Letters of the ruler and legend: so many stand across the page, about 3 mm on A4.
const LETTERS_ACROSS: f64 = 90.0;
/// Room under each row for the ruler, in letter heights.
const RULER: f64 = 4.0;
/// Height of the title block, in letter heights.
const TITLE: f64 = 6.0;
/// Free border of the page, in letter heights.
const BORDER: f64 = 2.0;

/// A stretch of the roll and where it lies on the page.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row {
    /// Where the stretch begins on the roll.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// Place of the roll's point (`from`, 0) on the page.
    pub origin: Point,
}

impl Row {
    /// Where a point of the roll comes to lie: the roll's y runs up, the page's down.
    pub fn on_page(&self, p: Point) -> Point {
        Point { x: self.origin.x + (p.x - self.from), y: self.origin.y - p.y }
    }
}

/// The page in millimetres, before the legend is added below.
#[derive(Debug)]
pub(super) struct Page {
    /// Height of a capital of the ruler and legend; the measure of all furniture.
    pub letter: f64,
    /// Width of the stretch that is used, borders not counted.
    pub inner: f64,
    /// The stretches of the roll, from the leading edge on.
    pub rows: Vec<Row>,
    /// Where the legend begins.
    pub legend_y: f64,
}

impl Page {
    /// Lays out the page for a sheet drawn in millimetres.
    pub fn of(sheet: &Sheet, fold: bool) -> Self {
        let count = if fold { rows(sheet.length, sheet.width) } else { 1.0 };
        let step = sheet.length / count;
        let inner = step.max(sheet.width);
        let letter = inner / LETTERS_ACROSS;
        let (border, pitch) = (BORDER * letter, sheet.width + RULER * letter);
        let top = border + TITLE * letter;
        let mut page = Self { letter, inner, rows: Vec::new(), legend_y: top + count * pitch };
        let mut from = 0.0;
        for i in 1..=(count as usize) {
            let n = i as f64;
            let to = if n < count { n * step } else { sheet.length };
            let origin = Point { x: border, y: top + (n - 1.0) * pitch + sheet.width };
            page.rows.push(Row { from, to, origin });
            from = to;
        }
        page
    }

    /// Width of the page.
    pub fn width(&self) -> f64 {
        self.inner + 2.0 * self.border()
    }

    /// Free border of the page.
    pub fn border(&self) -> f64 {
        BORDER * self.letter
    }

    /// Width of the finest lines: just above a pixel in a picture of 2000, as renderers paint
    /// lines below one unevenly.
    pub fn hairline(&self) -> f64 {
        self.letter / 20.0
    }

    /// Letters smaller than this are left out: five pixels where the page fills a screen.
    pub fn least_letter(&self) -> f64 {
        self.inner / 420.0
    }
}

/// Into how many rows a roll is folded.
fn rows(length: f64, width: f64) -> f64 {
    if length <= LONGEST_ROW * width {
        return 1.0;
    }
    (length / (ASPECT * width)).sqrt().round().clamp(2.0, MOST_ROWS)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_rolls_are_folded() {
        let count = |widths: f64| rows(widths * 610.0, 610.0);
        assert_eq!([0.0, 1.0, 3.5, 3.6, 10.0, 50.0, 1e9].map(count), [1.0, 1.0, 1.0, 2.0, 3.0, 6.0, 100.0]);
    }
}

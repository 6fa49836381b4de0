//! Cuts of neighbouring panels that lie on each other, as a gap of zero allows.

use super::Layer;
use super::grid::Grid;
use super::sheet::Sheet;
use crate::job::Unit;
use crate::shape::{Bounds, Point, cross, dot, length};

/// Cuts that share less than this, in mm, are no double cut: lines that merely cross or touch
/// at a corner run within the tolerance of each other for a few micrometres.
const SHORTEST: f64 = 0.1;

/// Double cuts found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Coincident {
    /// Pairs of straight cuts.
    pub pairs: usize,
    /// Length over which they lie on each other, in the layout's unit.
    pub length: f64,
}

struct Cut {
    a: Point,
    b: Point,
    piece: usize,
}

/// Finds the cuts of different pieces that lie within `tolerance` of each other.
/// `sheet` is drawn in `drawn`, `tolerance` and the result are in `wanted`.
pub(crate) fn find(sheet: &Sheet, drawn: Unit, wanted: Unit, tolerance: f64) -> Coincident {
    let tolerance = tolerance * wanted.in_mm() / drawn.in_mm();
    let shortest = SHORTEST / drawn.in_mm();
    let cuts = cuts(sheet);
    let mut found = Coincident { pairs: 0, length: 0.0 };
    let Some(area) = Bounds::of(cuts.iter().flat_map(|c| [&c.a, &c.b])) else { return found };
    // As many cells as cuts, if they were spread evenly.
    let mut grid = Grid::new(area, (area.width() * area.height() / cuts.len() as f64).sqrt());
    let mut near = Near::among(cuts.len());
    // Piece by piece, so that no cut meets those of its own piece: a comb has thousands side by side.
    let mut filed = 0;
    for piece in cuts.chunk_by(|a, b| a.piece == b.piece) {
        for cut in piece {
            for &other in near.of(cut, &grid, tolerance) {
                let shared = shared_length(cut, &cuts[other], tolerance);
                if shared >= shortest {
                    found.pairs += 1;
                    found.length += shared;
                }
            }
        }
        for cut in piece {
            grid.insert_segment(filed, cut.a, cut.b);
            filed += 1;
        }
    }
    found.length *= drawn.in_mm() / wanted.in_mm();
    found
}

/// Looks up what lies near a cut, each thing once and in the order of the numbers.
struct Near {
    found: Vec<usize>,
    /// For each number the question for which it was found last.
    asked: Vec<usize>,
    question: usize,
}

impl Near {
    fn among(count: usize) -> Self {
        Self { found: Vec::new(), asked: vec![0; count], question: 0 }
    }

    fn of(&mut self, cut: &Cut, grid: &Grid, reach: f64) -> &[usize] {
        self.question += 1;
        self.found.clear();
        for number in grid.near_segment(cut.a, cut.b, reach).map(|number| number as usize) {
            if self.asked[number] != self.question {
                self.asked[number] = self.question;
                self.found.push(number);
            }
        }
        self.found.sort_unstable();
        &self.found
    }
}

fn cuts(sheet: &Sheet) -> Vec<Cut> {
    let mut cuts = Vec::new();
    for (piece, p) in sheet.pieces.iter().enumerate() {
        let mut add = |a: Point, b: Point| {
            if a != b {
                cuts.push(Cut { a, b, piece });
            }
        };
        for ring in p.rings() {
            sides(ring, true).for_each(|(a, b)| add(a, b));
        }
        for line in p.lines.iter().filter(|l| Layer::is_cut(l.layer)) {
            sides(&line.points, line.closed).for_each(|(a, b)| add(a, b));
        }
    }
    cuts
}

/// The sides of a line, the closing one included where it is closed.
pub(crate) fn sides(points: &[Point], closed: bool) -> impl Iterator<Item = (Point, Point)> + '_ {
    let closing = points.last().zip(points.first()).filter(|_| closed).map(|(a, b)| (*a, *b));
    points.windows(2).map(|w| (w[0], w[1])).chain(closing)
}

/// A box grown by `by` on every side.
pub(crate) fn grow(b: Bounds, by: f64) -> Bounds {
    let d = Point { x: by, y: by };
    Bounds { min: b.min - d, max: b.max + d }
}

/// How much of the shorter cut runs beside the longer one within `tolerance`.
fn shared_length(p: &Cut, q: &Cut, tolerance: f64) -> f64 {
    let (short, long) = if length(p.b - p.a) <= length(q.b - q.a) { (p, q) } else { (q, p) };
    let along = long.b - long.a;
    let reach = length(along);
    let own = length(short.b - short.a);
    // Distance from the long cut's line and position along it, at both ends of the short one.
    let off = [cross(long.a, long.b, short.a) / reach, cross(long.a, long.b, short.b) / reach];
    let at = [dot(short.a - long.a, along) / reach, dot(short.b - long.a, along) / reach];
    // Both are linear along the short cut: keep the part where they are in range.
    let mut part = (0.0, 1.0);
    clip(&mut part, off, -tolerance, tolerance);
    clip(&mut part, at, 0.0, reach);
    (part.1 - part.0).max(0.0) * own
}

/// Keeps of `part` where the value running from `v[0]` to `v[1]` over 0..1 is within limits.
fn clip(part: &mut (f64, f64), v: [f64; 2], low: f64, high: f64) {
    let d = v[1] - v[0];
    if d.abs() <= f64::MIN_POSITIVE {
        if v[0] < low || v[0] > high {
            *part = (0.0, 0.0);
        }
        return;
    }
    let (s, t) = ((low - v[0]) / d, (high - v[0]) / d);
    part.0 = part.0.max(s.min(t));
    part.1 = part.1.min(s.max(t));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::write::sheet::{Contour, Piece};
    use proptest::prelude::*;

    fn p(x: f64, y: f64) -> Point {
        Point { x, y }
    }

    /// Pieces with these outlines; those of two points are lines.
    fn sheet(outlines: Vec<Vec<Point>>) -> Sheet {
        let piece = |(placement, points): (usize, Vec<Point>)| {
            let bounds = Bounds::of(&points).unwrap();
            let line = |points| Contour { layer: Layer::KissCut, closed: false, points };
            let (parts, lines) =
                if points.len() > 2 { (vec![vec![points]], vec![]) } else { (vec![], vec![line(points)]) };
            Piece { placement, parts, lines, bounds }
        };
        let usable = Bounds { min: p(0.0, 0.0), max: p(100.0, 100.0) };
        let pieces = outlines.into_iter().enumerate().map(piece).collect();
        Sheet { width: 100.0, length: 100.0, usable, flaws: vec![], pieces }
    }

    /// Each cut with each of the pieces before its own.
    fn by_all_pairs(sheet: &Sheet, tolerance: f64) -> Coincident {
        let cuts = cuts(sheet);
        let mut found = Coincident { pairs: 0, length: 0.0 };
        for (i, cut) in cuts.iter().enumerate() {
            for other in cuts[..i].iter().filter(|other| other.piece != cut.piece) {
                let shared = shared_length(cut, other, tolerance);
                if shared >= SHORTEST {
                    found.pairs += 1;
                    found.length += shared;
                }
            }
        }
        found
    }

    proptest! {
        /// On a coarse lattice many sides lie on each other; a wide tolerance takes in neighbours, too.
        #[test]
        fn the_grid_misses_nothing(
            places in prop::collection::vec(prop::collection::vec((0..9_i32, 0..9_i32), 2..7), 1..12),
            tolerance in prop::sample::select(vec![1e-6, 0.4, 3.0]),
            turn in 0.0..360.0_f64,
        ) {
            let (sin, cos) = libm::sincos(turn.to_radians());
            let turned = |(x, y): (i32, i32)| {
                let (x, y) = (f64::from(x), f64::from(y));
                p(cos * x - sin * y, sin * x + cos * y)
            };
            let sheet = sheet(places.into_iter().map(|o| o.into_iter().map(turned).collect()).collect());
            let found = find(&sheet, Unit::Millimetre, Unit::Millimetre, tolerance);
            prop_assert_eq!(found, by_all_pairs(&sheet, tolerance));
        }
    }
}

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
    let mut near = Vec::new();
    for (i, cut) in cuts.iter().enumerate() {
        let b = grow(Bounds { min: cut.a, max: cut.a }.with(Bounds { min: cut.b, max: cut.b }), tolerance);
        near.clear();
        near.extend(grid.near(b));
        near.sort_unstable();
        near.dedup();
        for other in near.iter().map(|&j| &cuts[j as usize]).filter(|o| o.piece != cut.piece) {
            let shared = shared_length(cut, other, tolerance);
            if shared >= shortest {
                found.pairs += 1;
                found.length += shared;
            }
        }
        grid.insert_segment(i as u32, cut.a, cut.b);
    }
    found.length *= drawn.in_mm() / wanted.in_mm();
    found
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

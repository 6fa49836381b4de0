//! What is drawn twice is kept once.

use super::report::{Kind, Report};
use super::{Contour, Ranked};
use crate::read::grid::{Grid, segment_box};
use crate::shape::{Bounds, Point, point_segment_distance};
use std::collections::BTreeSet;

/// Contours compared with one another at one place: more near-equal ones are never met, and
/// the rest is kept rather than compared.
const MOST_COMPARED: usize = 64;

/// Keeps the first of strokes with the same points, forwards or backwards.
pub(super) fn merge_strokes(strokes: Vec<Ranked>, report: &mut Report) -> Vec<Ranked> {
    let mut seen: BTreeSet<Vec<[u64; 2]>> = BTreeSet::new();
    let mut kept = Vec::with_capacity(strokes.len());
    for (rank, stroke) in strokes {
        let bits: Vec<_> = stroke.points.iter().map(|p| [p.x.to_bits(), p.y.to_bits()]).collect();
        let back: Vec<_> = bits.iter().rev().copied().collect();
        if seen.insert(bits.min(back)) {
            kept.push((rank, stroke));
        } else {
            let what = "a stroke that is drawn twice is taken once";
            report.warn(Kind::Twice, &stroke.layer, &stroke.place, stroke.points[0], what, "");
        }
    }
    kept
}

/// Keeps the first of contours of one layer that lie within `tolerance` of each other.
pub(super) fn merge_contours(
    mut contours: Vec<Contour>,
    tolerance: f64,
    report: &mut Report,
) -> Vec<Contour> {
    contours.sort_by_key(|c| c.rank);
    let boxes: Vec<Bounds> = contours.iter().map(|c| c.ring.bounds()).collect();
    let corners: Vec<Bounds> = boxes.iter().map(|b| segment_box(b.min, b.min, tolerance)).collect();
    let grid = Grid::new(&corners);
    let mut dropped = vec![false; contours.len()];
    for (i, contour) in contours.iter().enumerate() {
        let equal =
            grid.at(boxes[i].min).take_while(|j| *j < i).filter(|j| !dropped[*j]).take(MOST_COMPARED).any(
                |j| {
                    contours[j].layer == contour.layer
                        && same_box(&boxes[i], &boxes[j], tolerance)
                        && same_ring(contour.ring.points(), contours[j].ring.points(), tolerance)
                },
            );
        if equal {
            dropped[i] = true;
            let what = "a contour that is drawn twice is taken once";
            let at = contour.ring.points()[0];
            report.warn(Kind::Twice, &contour.layer, &contour.place, at, what, "");
        }
    }
    contours.into_iter().zip(dropped).filter_map(|(c, gone)| (!gone).then_some(c)).collect()
}

fn same_box(a: &Bounds, b: &Bounds, tolerance: f64) -> bool {
    let near = |p: Point, q: Point| (p.x - q.x).abs() <= tolerance && (p.y - q.y).abs() <= tolerance;
    near(a.min, b.min) && near(a.max, b.max)
}

fn same_ring(a: &[Point], b: &[Point], tolerance: f64) -> bool {
    let closed = |points: &[Point]| points.iter().chain(points.first()).copied().collect::<Vec<_>>();
    same_run(&closed(a), &closed(b), tolerance)
}

/// Whether every point of each run lies within `tolerance` of the other. Then their boxes are the same, too.
pub(super) fn same_run(a: &[Point], b: &[Point], tolerance: f64) -> bool {
    let boxes = Bounds::of(a).zip(Bounds::of(b));
    boxes.is_some_and(|(a, b)| same_box(&a, &b, tolerance))
        && lies_along(a, b, tolerance)
        && lies_along(b, a, tolerance)
}

/// Whether every point of `points` lies within `tolerance` of the run `along`.
fn lies_along(points: &[Point], along: &[Point], tolerance: f64) -> bool {
    let sides: Vec<(Point, Point)> = along.windows(2).map(|w| (w[0], w[1])).collect();
    let boxes: Vec<Bounds> = sides.iter().map(|(a, b)| segment_box(*a, *b, tolerance)).collect();
    let grid = Grid::new(&boxes);
    points
        .iter()
        .all(|p| grid.at(*p).any(|i| point_segment_distance(*p, sides[i].0, sides[i].1) <= tolerance))
}

//! Strokes into outlines with holes: joining, merging, closing and nesting.
//!
//! ```text
//! strokes -> by layer -> tidy -> split overlapping lines -> merge what is drawn twice
//!         -> join ends -> trace the areas they bound -> contours -> outlines with holes
//! ```
//!
//! The rules, in the order in which they apply:
//!
//! 1. Layers are worlds of their own: nothing joins, merges or nests across layers.
//! 2. Strokes without length are dropped. Straight lines that lie on each other in part are
//!    cut at each other's ends; of strokes that are the same, also reversed, one is kept.
//! 3. Ends that are a thousandth of the join tolerance apart belong together: they are one place that
//!    was reckoned twice. Ends that are still alone are joined with the
//!    nearest other lone end within the join tolerance, nearest pairs first; both move to the
//!    middle, so by half the tolerance at most. What is then still alone may join a pair near by, and
//!    pairs join that lie about as near to each other as their own ends did.
//! 4. Where more than two ends meet, the contours are the areas that the lines bound: two
//!    rectangles with a common side, or with a corner on each other, are two contours.
//! 5. Lines that bound no area are left over and warned of, with their open ends.
//! 6. Contours nest by the even-odd rule: outline, hole in it, island in the hole (an outline
//!    of its own), and so on. A contour that crosses itself is [`Broken`].
//!
//! All of it is near-linear in the number of points for drawings; nothing depends on anything
//! but the order of the file.

mod duplicate;
mod ends;
mod nesting;
mod network;
mod overlap;
mod report;
mod tidy;

use super::{Broken, Drawing, Lines, ReadOptions, Sketch, Stroke};
use crate::Error;
use crate::shape::{Bounds, Point, Ring, RingFault};
use report::{Kind, Report};
use std::sync::Arc;

/// A closed run of points that may become an outline or a hole.
struct Loop {
    /// Index of the first stroke it is made of: its rank in the order of the file.
    rank: usize,
    layer: Arc<str>,
    place: Arc<str>,
    points: Vec<Point>,
}

/// A loop that is a simple polygon.
#[cfg_attr(test, derive(Clone))]
struct Contour {
    rank: usize,
    layer: Arc<str>,
    place: Arc<str>,
    ring: Ring,
}

/// A stroke with its rank in the order of the file.
type Ranked = (usize, Stroke);

/// Joins, closes and nests the strokes of a sketch.
pub(super) fn assemble(sketch: Sketch, name: &str, options: &ReadOptions) -> Result<Drawing, Error> {
    let Sketch { mm_per_unit, strokes, warnings } = sketch;
    tidy::check_limits(&strokes, name)?;
    let tolerance = options.join_tolerance(mm_per_unit);
    let mut report = Report::new(name, warnings, tolerance);
    let mut contours = Vec::new();
    let mut broken = Vec::new();
    let mut tally = tidy::Tally::default();
    for layer in tidy::by_layer(strokes) {
        for l in close(tidy::tidy(layer, &mut report), tolerance, &mut report)? {
            tidy::check_size(&l, name)?;
            match simple(l, &mut tally.sides_left, &mut report)? {
                Ok(contour) => {
                    tally.count(&contour.layer, name)?;
                    contours.push(contour);
                }
                Err(Some(fault)) => {
                    tally.count(&fault.layer, name)?;
                    broken.push(fault);
                }
                Err(None) => {}
            }
        }
    }
    let contours = duplicate::merge_contours(contours, tolerance, &mut report);
    let (found, unfit) = nesting::nest(&contours, name, &mut report)?;
    broken.extend(unfit);
    Ok(Drawing { mm_per_unit, found, broken, warnings: report.finish() })
}

/// The strokes of a sketch that have any length, with no thought of what they bound.
pub(super) fn as_drawn(sketch: Sketch, name: &str) -> Result<Lines, Error> {
    let Sketch { mm_per_unit, strokes, warnings } = sketch;
    tidy::check_limits(&strokes, name)?;
    let mut report = Report::new(name, warnings, 0.0);
    let strokes = tidy::tidy(strokes.into_iter().enumerate().collect(), &mut report);
    let drawn = strokes.into_iter().map(|(_, s)| (s.points, s.closed)).collect();
    Ok(Lines { mm_per_unit, drawn, warnings: report.finish() })
}

/// The loops of one layer: strokes that are closed already, and what the others bound.
fn close(strokes: Vec<Ranked>, tolerance: f64, report: &mut Report) -> Result<Vec<Loop>, Error> {
    let (closed, open): (Vec<_>, Vec<_>) = strokes.into_iter().partition(|(_, s)| s.closed);
    let mut loops: Vec<Loop> = closed
        .into_iter()
        .map(|(rank, s)| Loop { rank, layer: s.layer, place: s.place, points: s.points })
        .collect();
    let open = overlap::split(open, tolerance, report)?;
    let open = duplicate::merge_strokes(open, report);
    let joined = ends::join(open, tolerance, report)?;
    loops.extend(network::trace(joined, tolerance, report));
    loops.sort_by_key(|l| l.rank);
    Ok(loops)
}

/// Makes a ring of a loop, with so many pairs of sides that may be looked at. What crosses itself is broken; what has no
/// area is only warned of.
fn simple(
    l: Loop,
    sides_left: &mut usize,
    report: &mut Report,
) -> Result<Result<Contour, Option<Broken>>, Error> {
    let Loop { rank, layer, place, points } = l;
    let start = points.first().copied().unwrap_or_default();
    let bounds = Bounds::of(&points);
    match Ring::within(points, sides_left) {
        Ok(ring) => Ok(Ok(Contour { rank, layer, place, ring })),
        Err(RingFault::Crossing { near, .. }) => Ok(Err(Some(report.broken(&layer, &place, near, bounds)))),
        Err(RingFault::Crowded) => Err(report.refused(
            "the contours have too many sides beside each other",
            "raise the chord tolerance, or draw them with fewer points",
        )),
        Err(_) => {
            report.warn(Kind::NoArea, &layer, &place, start, "a closed contour without area is left out", "");
            Ok(Err(None))
        }
    }
}

#[cfg(test)]
mod tests;

//! First things: limits, layers, repeated points and strokes without length.

use super::report::{Kind, Report};
use super::{Loop, Ranked, Stroke};
use crate::read::{MOST_CONTOURS, MOST_POINTS};
use crate::shape::Point;
use crate::{Error, Problems};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Greatest coordinate, in drawing units. Beyond it neighbouring numbers lie more than 1e-7
/// apart and differences lose their digits; a drawing that large has a wrong scale or lies
/// far from its origin.
const FARTHEST: f64 = 1e9;

/// Longest that the names of layers may be together, in bytes: every contour has a copy of its own.
const MOST_NAMED: usize = 64 << 20;

/// Most points of one contour, as many as one curve may have.
const MOST_CONTOUR_POINTS: usize = crate::shape::flatten::MAX_POINTS;

/// How many problems of one kind are listed.
const MOST_LISTED: usize = 20;

/// Refuses coordinates that are not finite or too large, and too many points.
pub(super) fn check_limits(strokes: &[Stroke], name: &str) -> Result<(), Error> {
    let total: usize = strokes.iter().map(|s| s.points.len()).sum();
    if total > MOST_POINTS {
        let what = format!("the drawing has {total} points, more than {MOST_POINTS}");
        return Err(Error::input(name, what, "raise the chord tolerance, or split the drawing"));
    }
    let mut problems = Problems::default();
    for s in strokes {
        if s.points.iter().all(|p| p.x.abs() <= FARTHEST && p.y.abs() <= FARTHEST) {
            continue;
        }
        problems.push(
            format!("{name}: {}", s.place),
            format!("layer `{}`: a coordinate is not a number up to {FARTHEST:e}", s.layer),
            "check the scale, or move the drawing nearer to its origin",
        );
        if problems.0.len() == MOST_LISTED {
            break;
        }
    }
    problems.or_ok(())
}

/// Most pairs of sides of one contour that are looked at to tell whether it crosses itself, all contours together: some
/// seconds. Only combs of ten thousands of long slanted teeth have so many.
const MOST_SIDE_PAIRS: usize = 500_000_000;

/// Contours counted, those that are broken with the others.
pub(super) struct Tally {
    contours: usize,
    names: usize,
    /// How many pairs of sides may still be looked at.
    pub sides_left: usize,
}

impl Default for Tally {
    fn default() -> Self {
        Self { contours: 0, names: 0, sides_left: MOST_SIDE_PAIRS }
    }
}

impl Tally {
    /// Counts one more contour on `layer`; refuses more than make sense.
    pub fn count(&mut self, layer: &str, name: &str) -> Result<(), Error> {
        self.contours += 1;
        self.names += layer.len();
        if self.contours > MOST_CONTOURS {
            let what = format!("the drawing has more than {MOST_CONTOURS} contours");
            return Err(Error::input(name, what, "split the drawing into several files"));
        }
        if self.names > MOST_NAMED {
            let what =
                format!("the names of the layers of all contours come to more than {} MiB", MOST_NAMED >> 20);
            return Err(Error::input(name, what, "give the layers shorter names"));
        }
        Ok(())
    }
}

/// Refuses a contour of more points than can be looked at in good time.
pub(super) fn check_size(contour: &Loop, name: &str) -> Result<(), Error> {
    let points = contour.points.len();
    if points <= MOST_CONTOUR_POINTS {
        return Ok(());
    }
    Err(Error::input(
        format!("{name}: {}", contour.place),
        format!("layer `{}`: a contour has {points} points, more than {MOST_CONTOUR_POINTS}", contour.layer),
        "raise the chord tolerance, or draw it with fewer points",
    ))
}

/// The strokes of each layer, in the order of the file; layers by their first stroke.
pub(super) fn by_layer(strokes: Vec<Stroke>) -> Vec<Vec<Ranked>> {
    let mut index: BTreeMap<Arc<str>, usize> = BTreeMap::new();
    let mut layers: Vec<Vec<Ranked>> = Vec::new();
    for (rank, stroke) in strokes.into_iter().enumerate() {
        let at = *index.entry(stroke.layer.clone()).or_insert(layers.len());
        if at == layers.len() {
            layers.push(Vec::new());
        }
        layers[at].push((rank, stroke));
    }
    layers
}

/// Drops repeated points and strokes without length.
pub(super) fn tidy(strokes: Vec<Ranked>, report: &mut Report) -> Vec<Ranked> {
    let mut kept = Vec::with_capacity(strokes.len());
    for (rank, mut stroke) in strokes {
        let Some(first) = stroke.points.first().copied() else { continue };
        // Adding zero turns -0 into 0, so that equal coordinates also compare equal in order.
        stroke.points.iter_mut().for_each(|p| *p = Point { x: p.x + 0.0, y: p.y + 0.0 });
        stroke.points.dedup();
        if stroke.closed && stroke.points.len() > 1 && stroke.points.first() == stroke.points.last() {
            stroke.points.pop();
        }
        if stroke.points.len() < 2 {
            let what = "a stroke without length is left out";
            report.warn(Kind::NoLength, &stroke.layer, &stroke.place, first, what, "");
            continue;
        }
        kept.push((rank, stroke));
    }
    kept
}

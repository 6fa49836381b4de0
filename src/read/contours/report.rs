//! Warnings of the joining, with a place, a layer and a position each.

use crate::error::Shown;
use crate::read::Broken;
use crate::shape::{Bounds, Point, Ring};
use crate::{Error, Problem, Warning};
use std::collections::BTreeMap;

/// What a warning is about; warnings of one kind are listed up to [`MOST_LISTED`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Kind {
    NoLength,
    NoArea,
    Twice,
    Overlap,
    Open,
    Branch,
    Dense,
    Crossing,
}

impl Kind {
    fn plural(self) -> &'static str {
        match self {
            Self::NoLength => "strokes without length",
            Self::NoArea => "contours without area",
            Self::Twice => "strokes or contours that are drawn twice",
            Self::Overlap => "lines that lie on each other in part",
            Self::Open => "runs of lines that are not closed",
            Self::Branch => "places where more than two lines meet",
            Self::Dense => "crowded places",
            Self::Crossing => "contours that cross another",
        }
    }
}

/// Warnings of one kind that are listed singly: enough to find the cause, few enough to read.
const MOST_LISTED: usize = 20;

/// Gathers the warnings of one drawing.
pub(super) struct Report<'a> {
    name: &'a str,
    /// The join tolerance in the drawing's unit, for messages.
    pub tolerance: f64,
    warnings: Vec<Warning>,
    counts: BTreeMap<Kind, usize>,
    /// For each layer how many ends were moved to join them, and how far at most.
    gaps: Vec<(String, usize, f64)>,
}

impl<'a> Report<'a> {
    pub fn new(name: &'a str, warnings: Vec<Warning>, tolerance: f64) -> Self {
        Self { name, tolerance, warnings, counts: BTreeMap::new(), gaps: Vec::new() }
    }

    /// Adds a warning. Beyond the first few of its kind it is only counted.
    pub fn warn(&mut self, kind: Kind, layer: &str, place: &str, at: Point, what: &str, remedy: &str) {
        let count = self.counts.entry(kind).or_default();
        *count += 1;
        if *count <= MOST_LISTED {
            let what = format!("{}at {}: {what}", on_layer(layer), position(at));
            self.warnings.push(Problem::new(self.place(place), what, remedy));
        }
    }

    /// Whether one more warning of this kind would still be listed.
    pub fn lists(&self, kind: Kind) -> bool {
        self.counts.get(&kind).is_none_or(|n| *n < MOST_LISTED)
    }

    /// The problem of a contour that crosses itself.
    pub fn broken(&self, layer: &str, place: &str, near: Point, bounds: Option<Bounds>) -> Broken {
        let what =
            format!("{}the contour crosses or touches itself near {}", on_layer(layer), position(near));
        let remedy = "redraw it there so that it runs round one area";
        Broken { layer: layer.to_string(), bounds, problem: Problem::new(self.place(place), what, remedy) }
    }

    /// The problem of a hole that crosses the outline or another hole.
    pub fn hole_meets(&self, layer: &str, place: &str, hole: &Ring) -> Broken {
        let at = position(hole.points()[0]);
        let what = format!("{}the hole at {at} crosses another contour", on_layer(layer));
        let remedy = "redraw the two as one hole, or move them apart";
        let bounds = Some(hole.bounds());
        Broken { layer: layer.to_string(), bounds, problem: Problem::new(self.place(place), what, remedy) }
    }

    /// The problem of an outline that its holes fill.
    pub fn nothing_left(&self, layer: &str, place: &str, outline: &Ring) -> Broken {
        let at = position(outline.points()[0]);
        let what = format!("{}the contours in the outline at {at} leave nothing of it", on_layer(layer));
        let remedy = "delete the outline, or what divides it";
        let bounds = Some(outline.bounds());
        Broken { layer: layer.to_string(), bounds, problem: Problem::new(self.place(place), what, remedy) }
    }

    /// The error of a drawing that asks for more than is done.
    pub fn refused(&self, what: &str, remedy: &str) -> Error {
        Error::input(self.name, what, remedy)
    }

    /// Notes that ends were moved by `widest` at most. Moves below a hundredth of the
    /// tolerance are rounding and not worth a word.
    pub fn gaps_closed(&mut self, layer: &str, moved: usize, widest: f64) {
        if widest > 0.01 * self.tolerance {
            self.gaps.push((layer.to_string(), moved, widest));
        }
    }

    /// All warnings, with a line for each kind of which not all are listed.
    pub fn finish(mut self) -> Vec<Warning> {
        for (layer, moved, widest) in &self.gaps {
            let what = format!(
                "{}{moved} ends were moved to join, by {} at most",
                on_layer(layer),
                rounded(*widest)
            );
            self.warnings.push(Problem::new(self.name, what, ""));
        }
        for (kind, count) in &self.counts {
            if *count > MOST_LISTED {
                let what = format!("{} more {}", count - MOST_LISTED, kind.plural());
                self.warnings.push(Problem::new(self.name, what, ""));
            }
        }
        self.warnings
    }

    fn place(&self, place: &str) -> String {
        if place.is_empty() { self.name.to_string() } else { format!("{}: {place}", self.name) }
    }
}

fn on_layer(layer: &str) -> String {
    if layer.is_empty() { String::new() } else { format!("layer `{layer}`: ") }
}

/// A position as shown to people: four decimals are below any knife's, in mm and in inches.
pub(in crate::read) fn position(p: Point) -> String {
    format!("({}, {})", rounded(p.x), rounded(p.y))
}

/// A length as shown to people, without trailing zeros.
pub(super) fn rounded(value: f64) -> String {
    if value.abs() >= 1e9 {
        return Shown(value).to_string();
    }
    let text = format!("{value:.4}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_string() } else { text.to_string() }
}

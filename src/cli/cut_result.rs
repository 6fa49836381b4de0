//! What came of a cut plan, as text and as JSON.

use super::output::{named, paths};
use super::{clean, numbers, say};
use serde::Serialize;
use std::fmt::Write;
use std::path::PathBuf;
use tuckroll::Warning;
use tuckroll::floor::plan::{Plan, Section, Totals};
use tuckroll::layout::Layout;
use tuckroll::write::duration;

/// Everything there is to say.
pub struct Outcome<'a> {
    /// The layouts that were planned.
    pub pieces: &'a [Piece<'a>],
    /// The files.
    pub files: &'a [PathBuf],
    /// What to know of the drawing of the marks.
    pub warnings: &'a [Warning],
}

/// What there is to say of one layout.
pub struct Piece<'a> {
    /// The piece of film it is for, where there are several.
    pub id: Option<&'a str>,
    /// The layout.
    pub layout: &'a Layout,
    /// Its plan.
    pub plan: &'a Plan,
    /// The sections that were written.
    pub left: Vec<&'a Section>,
}

#[derive(Debug, Serialize)]
struct Json<'a> {
    exit_code: u8,
    #[serde(flatten)]
    planned: Planned<'a>,
    files: Vec<String>,
    warnings: Vec<say::Finding>,
}

/// One layout by itself, or a list of them.
#[derive(Debug, Serialize)]
#[serde(untagged)]
enum Planned<'a> {
    One(JsonPiece<'a>),
    Several { rolls: Vec<JsonPiece<'a>> },
}

#[derive(Debug, Serialize)]
struct JsonPiece<'a> {
    #[serde(skip_serializing_if = "Option::is_none")]
    roll: Option<&'a str>,
    name: &'a str,
    #[serde(flatten)]
    totals: Measured,
    sections: Vec<JsonSection>,
}

#[derive(Debug, Serialize)]
struct JsonSection {
    number: usize,
    from_mm: f64,
    to_mm: f64,
    #[serde(flatten)]
    totals: Measured,
}

#[derive(Debug, Serialize)]
struct Measured {
    contours: usize,
    cut_mm: f64,
    travel_mm: f64,
    feed_reversals: usize,
    feed_back_mm: f64,
    time_s: f64,
}

impl From<&Totals> for Measured {
    fn from(t: &Totals) -> Self {
        Self {
            contours: t.contours,
            cut_mm: t.cut_mm,
            travel_mm: t.travel_mm,
            feed_reversals: t.feed_reversals,
            feed_back_mm: t.feed_back_mm,
            time_s: t.time_s,
        }
    }
}

impl Outcome<'_> {
    /// The result as one serialisable object.
    pub fn json(&self) -> impl Serialize + '_ {
        let planned = match self.pieces {
            [piece] if piece.id.is_none() => Planned::One(piece.json()),
            pieces => Planned::Several { rolls: pieces.iter().map(Piece::json).collect() },
        };
        Json { exit_code: 0, planned, files: paths(self.files), warnings: say::findings(self.warnings) }
    }

    /// The result in a few lines.
    pub fn text(&self) -> String {
        let pieces: String = self.pieces.iter().map(Piece::text).collect();
        format!("{pieces}  written  {}\n", named(self.files))
    }
}

impl<'a> Piece<'a> {
    fn json(&self) -> JsonPiece<'a> {
        JsonPiece {
            roll: self.id,
            name: &self.layout.name,
            totals: (&self.plan.totals).into(),
            sections: self.left.iter().map(|s| section(s)).collect(),
        }
    }

    fn text(&self) -> String {
        let t = &self.plan.totals;
        let of = self.id.map_or_else(String::new, |id| format!(" on {id}"));
        let name = clean::one_line(&format!("{}{of}", self.layout.name)).into_owned();
        let contours = numbers::count(t.contours, "contour");
        let sections = numbers::count(self.plan.sections.len(), "section");
        let mut text = format!("{name}: {contours} in {sections}\n");
        let _ = writeln!(text, "  cut      {:.1} m", t.cut_mm / 1000.0);
        let _ = writeln!(text, "  travel   {:.1} m with the tool up", t.travel_mm / 1000.0);
        let _ = writeln!(text, "  time     {} at the profile's speeds", duration(t.time_s));
        let _ = writeln!(
            text,
            "  feed     {}, back by {:.0} mm at most",
            numbers::count(t.feed_reversals, "reversal"),
            t.feed_back_mm
        );
        if self.plan.sections.len() > 1 {
            for s in &self.left {
                let _ = writeln!(
                    text,
                    "  section  {}: {:.1} to {:.1} mm, {}, {}",
                    s.number,
                    s.from_mm,
                    s.to_mm,
                    numbers::count(s.placements.len(), "panel"),
                    duration(s.totals.time_s)
                );
            }
        }
        text
    }
}

fn section(s: &Section) -> JsonSection {
    JsonSection { number: s.number, from_mm: s.from_mm, to_mm: s.to_mm, totals: (&s.totals).into() }
}

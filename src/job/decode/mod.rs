//! From a JSON tree to parsed types, all problems gathered.
//!
//! A decoder that finds a problem reports it and goes on with a stand-in; a result is given
//! out only when the report is empty, so no stand-in ever leaves this module.

mod geometry;
mod job;
mod money;
mod panel;
mod piece;
mod roll;
mod rolls;
mod words;

pub(crate) use geometry::ring_fault;
pub(crate) use job::{Draft, FORMAT, JobDraft, KitDraft};
pub(crate) use panel::{Choice, DrawingRef, PanelDraft, Shape};

use super::Unit;
use crate::json::{Fields, Node, Report};

/// Decodes one file: where problems go, and what the lengths are measured in.
pub(crate) struct Decoder<'r> {
    /// Gathers the problems.
    pub report: &'r mut Report,
    /// The unit of the file.
    pub unit: Unit,
    /// Points seen so far.
    points: usize,
}

impl<'r> Decoder<'r> {
    /// A decoder for a file whose unit is not known yet.
    pub fn new(report: &'r mut Report) -> Self {
        Self { report, unit: Unit::Millimetre, points: 0 }
    }

    /// Reads the unit; all lengths after it are held against the limit in that unit.
    pub fn unit(&mut self, fields: &mut Fields<'_>) {
        if let Some(unit) = fields.need("unit", self.report).and_then(|n| self.word(&n)) {
            self.unit = unit;
        }
    }

    /// Checks the `format` key. A file of another format is not looked at any further.
    pub fn format(&mut self, fields: &mut Fields<'_>, expected: &str) -> bool {
        let Some(node) = fields.get("format") else {
            let remedy = format!("write \"format\": {expected:?}");
            fields.problem(self.report, "the key `format` is missing", remedy);
            return false;
        };
        let Some(found) = node.text(self.report) else { return false };
        if found == expected {
            return true;
        }
        node.problem(
            self.report,
            format!("the format is {found:?}, expected {expected:?}"),
            other_format(found, expected),
        );
        false
    }

    /// The free object that is carried along.
    pub fn notes(&mut self, node: Option<Node<'_>>) -> Option<super::Notes> {
        let node = node?;
        match node.value {
            serde_json::Value::Object(map) => Some(map.clone().into()),
            _ => node.wrong_type("an object", self.report),
        }
    }
}

/// What to do about a file of the format `found`.
fn other_format(found: &str, expected: &str) -> &'static str {
    if found.starts_with("tuckroll-job-") && expected.starts_with("tuckroll-layout-") {
        "this is a job; `tuckroll nest` makes its layout"
    } else if found.starts_with("tuckroll-job-") && !expected.starts_with("tuckroll-job-") {
        "this is a job; `tuckroll nest` takes it"
    } else if found.starts_with("tuckroll-layout-") {
        "this is a layout; give it to a command that takes layouts"
    } else if found.starts_with("tuckroll-stock-") {
        "this is a stock of film; a job names it in `stock`"
    } else if found.starts_with("tuckroll-kit-") {
        "this is a kit; `tuckroll panels` makes its panels, a job names it in `kits`"
    } else if found.starts_with("tuckroll-films-") {
        "this is a film library; a kit or a job names it in `films`"
    } else if found.starts_with("tuckroll-job-") {
        "the file is a job, perhaps for a newer version of tuckroll"
    } else {
        "is this the right file?"
    }
}

//! What was left out, counted by reason and layer.

use super::entity::Reason;
use super::form::Form;
use crate::{Problem, Warning};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Characters shown of a block's name.
const MOST_SHOWN: usize = 80;

/// Things left out for one reason on one layer.
struct Tally {
    count: usize,
    /// Where the first of them stands.
    place: Arc<str>,
    /// Where the entity of the model stands that brought it in: the order of the warnings.
    at: usize,
}

/// Gathers what is left out of a file.
pub(super) struct Notes<'a> {
    name: &'a str,
    form: Form,
    tallies: BTreeMap<(Reason, Arc<str>), Tally>,
}

impl<'a> Notes<'a> {
    pub fn new(name: &'a str, form: Form) -> Self {
        Self { name, form, tallies: BTreeMap::new() }
    }

    /// `line 88`, or within a block `line 120 (block FIN, line 88)`.
    pub fn place(&self, at: usize, inserted: Option<(&str, usize)>) -> Arc<str> {
        match inserted {
            None => self.form.place(at).into(),
            Some((block, top)) => {
                // The place is kept with every stroke, and a damaged name may be megabytes long.
                let block: String = block.chars().take(MOST_SHOWN).collect();
                format!("{} (block `{block}`, {})", self.form.place(top), self.form.place(at)).into()
            }
        }
    }

    /// Counts one thing left out or doubtful.
    pub fn note(&mut self, reason: &Reason, layer: &Arc<str>, place: &Arc<str>, at: usize) {
        let new = || Tally { count: 0, place: place.clone(), at };
        self.tallies.entry((reason.clone(), layer.clone())).or_insert_with(new).count += 1;
    }

    /// One warning for each reason and layer, in the order of the file.
    pub fn finish(self) -> Vec<Warning> {
        let mut tallies: Vec<_> = self.tallies.into_iter().collect();
        tallies.sort_by_key(|(_, tally)| tally.at);
        let name = self.name;
        tallies.into_iter().map(|((reason, layer), tally)| warning(name, &reason, &layer, &tally)).collect()
    }
}

fn warning(name: &str, reason: &Reason, layer: &str, tally: &Tally) -> Warning {
    let Tally { count, place, .. } = tally;
    let entities = if *count == 1 { "1 entity".to_string() } else { format!("{count} entities") };
    let (what, remedy) = match reason {
        Reason::Kind(kind) => (format!("{count} {kind} left out"), remedy(kind)),
        Reason::PaperSpace => (format!("{entities} on a sheet (paper space) left out"), ""),
        Reason::Invisible => (format!("{entities} marked invisible left out"), ""),
        Reason::Tilted(kind) => (
            format!("{count} {kind} left out, tilted out of the drawing's plane"),
            "draw it flat, seen from above",
        ),
        Reason::Degenerate(kind) => (format!("{count} {kind} without size left out"), ""),
        Reason::HiddenLayer => (
            format!("{entities} left out, because the layer is off or frozen"),
            "switch the layer on to cut it",
        ),
        Reason::NoBlock(block) => {
            (format!("{count} INSERT of the block `{block}`, which is not in the file"), "explode or bind it")
        }
        Reason::External(block) => (
            format!("{count} INSERT of `{block}`, which lies in another drawing, left out"),
            "bind the external reference, then export again",
        ),
        Reason::FitPoints => (
            format!("{count} SPLINE is given by points on it only; a cubic spline is laid through them"),
            "another program may lay it otherwise: compare, or export it with control points",
        ),
        Reason::Recursive(block) => (format!("the block `{block}` contains itself; left out there"), ""),
    };
    Problem::new(format!("{name}: {place}"), format!("layer `{layer}`: {what}"), remedy)
}

/// What to do about a kind of entity that is not read.
fn remedy(kind: &str) -> &'static str {
    match kind {
        "TEXT" | "MTEXT" | "ATTRIB" | "ATTDEF" => "turn text into outlines to cut it",
        "HATCH" | "MPOLYGON" | "SOLID" | "TRACE" | "WIPEOUT" | "REGION" => "draw its outline as a polyline",
        "3DSOLID" | "BODY" | "SURFACE" | "MESH" | "3DFACE" | "POLYLINE mesh" | "POLYLINE of faces" => {
            "draw its flat outline as a polyline"
        }
        "MLINE" | "ACAD_PROXY_ENTITY" | "HELIX" => "explode it",
        _ => "",
    }
}

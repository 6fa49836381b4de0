//! The plan as a file: what is cut in which order, so that it can be taken up again.

use super::{Plan, Section, Step, Tool, Totals};
use crate::json;
use crate::layout::Layout;
use crate::shape::Point;
use schemars::JsonSchema;
use serde::Serialize;

/// The value of `format` in a plan.
const FORMAT: &str = "tuckroll-plan-1";

/// A cut plan: all contours in the order in which they are cut. All lengths in mm.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Plan", deny_unknown_fields)]
struct WirePlan {
    /// The format and its version.
    #[schemars(extend("const" = "tuckroll-plan-1"))]
    format: &'static str,
    /// As in the layout.
    name: String,
    /// SHA-256, in hexadecimal, of the layout as this program writes it: that of the `layout.json` that `nest` or
    /// `export` wrote. The same layout in other blanks or another order of keys goes by it, too.
    #[serde(skip_serializing_if = "Option::is_none")]
    layout_sha256: Option<String>,
    /// Full width of the film.
    width_mm: f64,
    /// How much of the roll the layout uses.
    length_mm: f64,
    /// Whether the layout is cut turned by half a turn.
    half_turn: bool,
    /// Whether the layout is cut mirrored across the film.
    mirrored: bool,
    /// Where the head is parked at the end.
    parked: [f64; 2],
    /// What the whole plan measures.
    totals: WireTotals,
    /// The sections, in the order in which they are cut.
    sections: Vec<WireSection>,
}

/// A stretch of film that is finished before the next.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Section", deny_unknown_fields)]
struct WireSection {
    /// Its number, from 1.
    number: usize,
    /// Least x of its panels.
    from_mm: f64,
    /// Greatest x of its panels.
    to_mm: f64,
    /// Where x is counted from on a device that counts from the start of each section.
    zero_mm: f64,
    /// Its panels, as id and copy.
    panels: Vec<String>,
    /// Middles of its registration marks.
    marks: Vec<[f64; 2]>,
    /// What it measures.
    totals: WireTotals,
    /// The feed reversals that the plan aims to keep below.
    most_feed_reversals: usize,
    /// Its contours in the order in which they are cut.
    steps: Vec<WireStep>,
}

/// One contour as it is cut.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Step", deny_unknown_fields)]
struct WireStep {
    /// `panel#copy/outline`, `/hole 1`, `/line 2`; `waste/1`, `test cut/square`.
    contour: String,
    /// What works it.
    #[schemars(extend("enum" = ["pen", "kiss", "through"]))]
    tool: &'static str,
    /// Where the tool goes down.
    start: [f64; 2],
    /// Where it comes up for good.
    end: [f64; 2],
    /// Whether it is closed.
    closed: bool,
    /// Whether an open line runs against its own direction.
    reversed: bool,
}

/// What a plan or a section measures.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Totals", deny_unknown_fields)]
struct WireTotals {
    /// Number of contours.
    contours: usize,
    /// How often the tool is lowered.
    lifts: usize,
    /// Way with the tool down.
    cut_mm: f64,
    /// Way with the tool up.
    travel_mm: f64,
    /// How often the film turns round by 20 mm or more between two contours.
    feed_reversals: usize,
    /// The farthest that the film is pulled back between two contours of one pass.
    feed_back_mm: f64,
    /// Estimated time.
    time_s: f64,
}

/// The text of a plan file. `layout_sha256` names the layout that is cut.
pub fn write(plan: &Plan, layout: &Layout, layout_sha256: Option<String>) -> String {
    json::to_text(&WirePlan {
        format: FORMAT,
        name: layout.name.clone(),
        layout_sha256,
        width_mm: plan.film.width,
        length_mm: plan.film.length,
        half_turn: plan.options.whole.half_turn,
        mirrored: plan.options.whole.mirrored,
        parked: pair(plan.head_to),
        totals: (&plan.totals).into(),
        sections: plan.sections.iter().map(|s| section(s, plan, layout)).collect(),
    })
}

/// Whether a file is a plan that this program wrote.
pub fn is_plan(bytes: &[u8]) -> bool {
    json::has_format(bytes, FORMAT)
}

/// The JSON Schema of the plan format.
pub fn schema() -> String {
    json::schema::<WirePlan>()
}

fn section(s: &Section, plan: &Plan, layout: &Layout) -> WireSection {
    let name = |&placement: &usize| {
        let place = layout.placements.get(placement)?;
        Some(format!("{}#{}", layout.panels.get(place.panel)?.id, place.copy))
    };
    WireSection {
        number: s.number,
        from_mm: s.from_mm,
        to_mm: s.to_mm,
        zero_mm: s.zero_mm,
        panels: s.placements.iter().filter_map(name).collect(),
        marks: s.marks.iter().map(|m| pair(m.at)).collect(),
        totals: (&s.totals).into(),
        most_feed_reversals: s.most_reversals,
        steps: s.steps.iter().map(|step| wire_step(step, plan)).collect(),
    }
}

fn wire_step(step: &Step, plan: &Plan) -> WireStep {
    WireStep {
        contour: plan.contours.get(step.contour).map(|c| c.name.clone()).unwrap_or_default(),
        tool: match step.tool {
            Tool::Pen => "pen",
            Tool::Kiss => "kiss",
            Tool::Through => "through",
        },
        start: pair(step.start()),
        end: pair(step.end()),
        closed: step.closed,
        reversed: step.reversed,
    }
}

fn pair(p: Point) -> [f64; 2] {
    [p.x, p.y]
}

impl From<&Totals> for WireTotals {
    fn from(t: &Totals) -> Self {
        Self {
            contours: t.contours,
            lifts: t.lifts,
            cut_mm: t.cut_mm,
            travel_mm: t.travel_mm,
            feed_reversals: t.feed_reversals,
            feed_back_mm: t.feed_back_mm,
            time_s: t.time_s,
        }
    }
}

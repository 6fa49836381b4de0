//! The keys of the job format, as they are written and as the JSON Schema states them.
//!
//! Readers live in `decode`; a test holds both to the same set of keys.

pub(crate) use money::{WireKeep, WirePrice, WireRates};

mod money;

use super::{Grain, GrainRule, Job, KeepClear, Line, LineRole, Notes, Numbers, Panel, Roll, Unit};
use crate::shape::{Point, Region, Ring};
use schemars::JsonSchema;
use serde::Serialize;

/// A point `[x, y]`.
type WirePoint = [f64; 2];

/// A contour: a simple polygon in either direction; the first point is not repeated.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(transparent)]
#[schemars(rename = "Contour")]
pub(crate) struct WireRing(#[schemars(length(min = 3))] Vec<WirePoint>);

/// A job: what is to be cut from which film. Lengths are in `unit`, angles in degrees,
/// counter-clockwise.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(
    rename = "Job",
    deny_unknown_fields,
    extend("anyOf" = [{"required": ["panels"]}, {"required": ["kits"]}]),
    extend("oneOf" = [{"required": ["roll"]}, {"required": ["rolls"]}, {"required": ["stock"]}])
)]
pub(crate) struct WireJob {
    /// The format and its version.
    #[schemars(extend("const" = "tuckroll-job-1"))]
    pub format: &'static str,
    /// Shown in reports.
    pub name: String,
    /// Where the job comes from; free text, kept.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String", default)]
    pub source: Option<String>,
    /// Unit of every length in the file, and of the layout.
    pub unit: Unit,
    /// The film; or `rolls`, or `stock`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "WireRoll", default)]
    pub roll: Option<WireRoll>,
    /// Several pieces of film, each with an `id` of its own; the program chooses what is cut from which.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub rolls: Vec<WireRoll>,
    /// The stock file that lists the pieces of film, inside the job's folder.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String", default)]
    pub stock: Option<String>,
    /// Least distance between cut lines of different panels, a neighbour's hole included.
    #[schemars(range(min = 0.0))]
    pub gap: f64,
    /// Free object, carried along to the layout.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Notes", default)]
    pub notes: Option<Notes>,
    /// What the shop charges besides the film, and how waste is shared.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "WireRates", default)]
    pub rates: Option<WireRates>,
    /// The least offcut worth keeping.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "WireKeep", default)]
    pub keep: Option<WireKeep>,
    /// What is to be cut, written out. May be left out where there are `kits`.
    #[schemars(default)]
    pub panels: Vec<WireJobPanel>,
    /// Orders given by their dimensions, in files of their own.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub kits: Vec<WireJobKit>,
    /// The film library that kits are held against, in place of their own or the shipped one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String", default)]
    pub films: Option<String>,
}

/// An order given by its dimensions.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "JobKit", deny_unknown_fields)]
pub(crate) struct WireJobKit {
    /// Number of the order; panels are called ID/PART/PANEL, ID.1/…, ID.2/… where there are several.
    pub id: String,
    /// The kit file, inside the job's folder.
    pub file: String,
    /// How many orders of it.
    #[schemars(range(min = 1), default = "one")]
    pub copies: u32,
    /// How soon it is due where film is short: 1 before 2, and any number before none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "u32", range(min = 1), default)]
    pub priority: Option<u32>,
}

/// The film. x runs along it from the leading edge, y across it from 0 to `width`.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Roll", deny_unknown_fields)]
pub(crate) struct WireRoll {
    /// Full width of the film.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub width: f64,
    /// Unusable film at the sides: one number, or `[at y = 0, at y = width]`.
    #[schemars(default)]
    pub edge_margin: WireMargin,
    /// Unusable film before the panels.
    #[schemars(range(min = 0.0), default)]
    pub lead_margin: f64,
    /// Unusable film after the panels.
    #[schemars(range(min = 0.0), default)]
    pub tail_margin: f64,
    /// Film left on the roll; the layout is not longer than this.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64", extend("exclusiveMinimum" = 0), default)]
    pub length: Option<f64>,
    /// Contours on the roll that no panel may touch: a flaw, or what is cut already.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub flaws: Vec<WireRing>,
    /// Name of this piece of film, and of its folder.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String", length(min = 1, max = 60), default)]
    pub id: Option<String>,
    /// Which film it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String", length(min = 1, max = 200), default)]
    pub film: Option<String>,
    /// What it costs.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "WirePrice", default)]
    pub price: Option<WirePrice>,
    /// Whether it is left over from an earlier job.
    #[serde(skip_serializing_if = "is_false")]
    #[schemars(default)]
    pub offcut: bool,
}

/// One margin for both sides, or one for each.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(untagged)]
#[schemars(rename = "EdgeMargin", inline)]
pub(crate) enum WireMargin {
    /// At both sides.
    Both(#[schemars(range(min = 0.0))] f64),
    /// At y = 0 and at y = `width`.
    Each([f64; 2]),
}

impl Default for WireMargin {
    fn default() -> Self {
        Self::Both(0.0)
    }
}

/// A panel: its shape is one of `outline` (with `holes`), `parts` and `file`.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(
    rename = "JobPanel",
    deny_unknown_fields,
    extend("oneOf" = [{"required": ["outline"]}, {"required": ["parts"]}, {"required": ["file"]}]),
    extend("additionalProperties" = false)
)]
pub(crate) struct WireJobPanel {
    /// What a job and a layout say of a panel.
    #[serde(flatten)]
    pub panel: WirePanel,
    /// A DXF or SVG drawing that holds the outline: a path inside the job's folder.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String", default)]
    pub file: Option<String>,
    /// Only contours on this layer of the drawing.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String", default)]
    pub layer: Option<String>,
    /// Only contours with these numbers, as `tuckroll outlines` prints them. Several make one
    /// panel of several pieces that keep their places, unless `all` is true.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Vec<u32>", default)]
    pub pick: Option<Vec<u32>>,
    /// Unit of the drawing, where it says none or a wrong one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Unit", default)]
    pub file_unit: Option<Unit>,
    /// Every contour that `layer` and `pick` leave is a panel of its own, with ids `id/1`, `id/2`, …
    #[serde(skip_serializing_if = "is_false")]
    #[schemars(default)]
    pub all: bool,
}

/// A panel whose shape is written out: `outline` (with `holes`) or `parts`.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(
    rename = "Panel",
    deny_unknown_fields,
    extend("oneOf" = [{"required": ["outline"]}, {"required": ["parts"]}])
)]
pub(crate) struct WirePanel {
    /// Unique within the file; printable.
    #[schemars(length(min = 1, max = 200))]
    pub id: String,
    /// Which order it belongs to.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String", length(min = 1, max = 200), default)]
    pub kit: Option<String>,
    /// Which film it is cut from, where a job has several.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String", length(min = 1, max = 200), default)]
    pub film: Option<String>,
    /// How many are wanted.
    #[schemars(range(min = 1, max = 100_000), default = "one")]
    pub copies: u32,
    /// Which of a day's copies they are, where others are cut from other film.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "WireNumbers", default)]
    pub numbers: Option<WireNumbers>,
    /// Direction of the print, and how strictly it follows the roll.
    #[schemars(default)]
    pub grain: WireGrain,
    /// Panels of one match group and kit share one heading on the roll.
    #[serde(rename = "match", skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String", length(min = 1, max = 200), default)]
    pub match_group: Option<String>,
    /// Whether it may be mirrored; for unprinted film only.
    #[serde(skip_serializing_if = "is_false")]
    #[schemars(default)]
    pub mirror: bool,
    /// A filler: cut only where it costs no film.
    #[serde(skip_serializing_if = "is_false")]
    #[schemars(default)]
    pub optional: bool,
    /// How soon its kit is due where film is short: 1 before 2, and any number before none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "u32", range(min = 1), default)]
    pub priority: Option<u32>,
    /// What other panels keep the gap to.
    #[serde(skip_serializing_if = "is_default")]
    #[schemars(default)]
    pub keep_clear: KeepClear,
    /// Whether other panels may lie in its holes.
    #[serde(skip_serializing_if = "is_false")]
    #[schemars(default)]
    pub fill_holes: bool,
    /// The outer contour: a simple polygon in either direction.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "WireRing", default)]
    pub outline: Option<WireRing>,
    /// Contours inside the outline, apart from each other.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub holes: Vec<WireRing>,
    /// Several pieces that keep their places and move as one (lettering).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Vec<WirePart>", default)]
    pub parts: Option<Vec<WirePart>>,
    /// Open or closed lines that travel with the panel and are not part of its area. Those that are cut leave its
    /// outline by at most half the gap.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub lines: Vec<WireLine>,
}

/// The numbers that copies have in their day.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Numbers", deny_unknown_fields)]
pub(crate) struct WireNumbers {
    /// One for each copy, ascending.
    #[schemars(inner(range(min = 1)))]
    pub copies: Vec<u32>,
    /// How many copies the day has.
    #[schemars(range(min = 1, max = 100_000))]
    pub of: u32,
}

/// One piece of a panel of several.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Part", deny_unknown_fields)]
pub(crate) struct WirePart {
    /// The outer contour.
    pub outline: WireRing,
    /// Contours inside it, apart from each other.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub holes: Vec<WireRing>,
}

/// Direction of the print on a panel. The heading on the roll is rotation + along, or
/// rotation - along when the panel is mirrored.
#[derive(Debug, Default, Serialize, JsonSchema)]
#[schemars(rename = "Grain", deny_unknown_fields)]
pub(crate) struct WireGrain {
    /// Direction of the print in the outline's own frame, in degrees.
    #[schemars(range(min = -360.0, max = 360.0), default)]
    pub along: f64,
    /// The permitted headings: one-way 0; two-way 0 or 180; quarter 0, 90, 180 or 270; free any.
    #[schemars(default)]
    pub rule: GrainRule,
    /// Permitted deviation from them, in degrees.
    #[schemars(range(min = 0.0, max = 45.0), default)]
    pub slack: f64,
}

/// A line that travels with a panel.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Line", deny_unknown_fields)]
pub(crate) struct WireLine {
    /// What it is for.
    pub role: LineRole,
    /// At least two points.
    #[schemars(length(min = 2))]
    pub points: Vec<WirePoint>,
    /// Whether the last point joins the first. A line there and back, of two points, is cut once.
    #[schemars(default)]
    pub closed: bool,
    /// The one copy of the panel that has this line, from 1; without it all copies have it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "u32", range(min = 1), default)]
    pub copy: Option<u32>,
}

fn one() -> u32 {
    1
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "the signature that the attribute wants")]
fn is_false(b: &bool) -> bool {
    !b
}

fn is_default<T: Default + PartialEq>(value: &T) -> bool {
    *value == T::default()
}

fn wire_points(points: &[Point]) -> Vec<WirePoint> {
    points.iter().map(|p| [p.x, p.y]).collect()
}

fn wire_rings<'a>(rings: impl IntoIterator<Item = &'a Ring>) -> Vec<WireRing> {
    rings.into_iter().map(WireRing::from).collect()
}

impl From<&Ring> for WireRing {
    fn from(ring: &Ring) -> Self {
        Self(wire_points(ring.points()))
    }
}

impl From<&Job> for WireJob {
    fn from(job: &Job) -> Self {
        Self {
            format: super::decode::FORMAT,
            name: job.name.clone(),
            source: job.source.clone(),
            unit: job.unit,
            roll: Some((&job.roll).into()),
            rolls: Vec::new(),
            stock: None,
            gap: job.gap,
            notes: job.notes.clone(),
            rates: job.shop.rates.as_ref().map(WireRates::from),
            keep: job.shop.keep.map(WireKeep::from),
            panels: job.panels.iter().map(WireJobPanel::from).collect(),
            kits: Vec::new(),
            films: None,
        }
    }
}

impl From<&Roll> for WireRoll {
    fn from(roll: &Roll) -> Self {
        let [low, high] = roll.edge_margin;
        Self {
            width: roll.width,
            edge_margin: if low.to_bits() == high.to_bits() {
                WireMargin::Both(low)
            } else {
                WireMargin::Each([low, high])
            },
            lead_margin: roll.lead_margin,
            tail_margin: roll.tail_margin,
            length: roll.length,
            flaws: wire_rings(&roll.flaws),
            id: roll.piece.id.clone(),
            film: roll.piece.film.clone(),
            price: roll.piece.price.map(WirePrice::from),
            offcut: roll.piece.offcut,
        }
    }
}

impl From<&Panel> for WireJobPanel {
    fn from(panel: &Panel) -> Self {
        Self { panel: panel.into(), file: None, layer: None, pick: None, file_unit: None, all: false }
    }
}

impl From<&Panel> for WirePanel {
    fn from(panel: &Panel) -> Self {
        let (outline, holes, parts) = match panel.parts.as_slice() {
            [one] => (Some(one.outline().into()), wire_rings(one.holes()), None),
            several => (None, Vec::new(), Some(several.iter().map(WirePart::from).collect())),
        };
        Self {
            id: panel.id.clone(),
            kit: panel.kit.clone(),
            film: panel.film.clone(),
            copies: panel.copies,
            numbers: panel
                .numbers
                .as_ref()
                .map(|Numbers { copies, of }| WireNumbers { copies: copies.clone(), of: *of }),
            grain: panel.grain.into(),
            match_group: panel.match_group.clone(),
            mirror: panel.mirror,
            optional: panel.optional,
            priority: panel.priority,
            keep_clear: panel.keep_clear,
            fill_holes: panel.fill_holes,
            outline,
            holes,
            parts,
            lines: panel.lines.iter().map(WireLine::from).collect(),
        }
    }
}

impl From<&Region> for WirePart {
    fn from(region: &Region) -> Self {
        Self { outline: region.outline().into(), holes: wire_rings(region.holes()) }
    }
}

impl From<Grain> for WireGrain {
    fn from(grain: Grain) -> Self {
        Self { along: grain.along, rule: grain.rule, slack: grain.slack }
    }
}

impl From<&Line> for WireLine {
    fn from(line: &Line) -> Self {
        Self { role: line.role, points: wire_points(&line.points), closed: line.closed, copy: line.copy }
    }
}

//! The keys of the layout format, as they are written and as the JSON Schema states them.

use super::{Layout, MadeBy, Placement};
use crate::job::wire::{WireKeep, WirePanel, WireRates, WireRoll};
use crate::job::{Notes, Unit};
use schemars::JsonSchema;
use serde::Serialize;

/// The value of `format` in a layout.
pub(super) const FORMAT: &str = "tuckroll-layout-1";

/// A layout: where every panel of one piece of film lies. Self-contained: enough to check,
/// to write again, to report and to re-cut.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Layout", deny_unknown_fields)]
pub(super) struct WireLayout {
    /// The format and its version.
    #[schemars(extend("const" = "tuckroll-layout-1"))]
    pub format: &'static str,
    /// As in the job.
    pub name: String,
    /// Unit of every length in the file.
    pub unit: Unit,
    /// The film.
    pub roll: WireRoll,
    /// Least distance between cut lines of different panels.
    #[schemars(range(min = 0.0))]
    pub gap: f64,
    /// Free object, carried along from the job.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Notes", default)]
    pub notes: Option<Notes>,
    /// What the shop charges besides the film, carried along from the job.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "WireRates", default)]
    pub rates: Option<WireRates>,
    /// The least offcut worth keeping, carried along from the job.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "WireKeep", default)]
    pub keep: Option<WireKeep>,
    /// How much of the roll is used: greatest x of any placed required panel, and the tail margin.
    #[schemars(range(min = 0.0))]
    pub length: f64,
    /// Area of the placed required panels, holes not counted.
    #[schemars(range(min = 0.0))]
    pub panel_area: f64,
    /// The same for fillers.
    #[schemars(range(min = 0.0), default)]
    pub filler_area: f64,
    /// 100 x (1 - `panel_area` / (width x length)).
    pub waste_percent: f64,
    /// 100 x `panel_area` / ((width - edge margins) x (length - lead - tail)).
    pub density_percent: f64,
    /// How the layout was made: enough to make it again.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "WireMadeBy", default)]
    pub made_by: Option<WireMadeBy>,
    /// Where the copies lie.
    pub placements: Vec<WirePlacement>,
    /// Every panel with its geometry.
    #[schemars(length(min = 1))]
    pub panels: Vec<WirePanel>,
}

/// One copy of a panel on the roll: mirrored first where it says so (y to -y), then turned
/// about the outline's own origin, then moved.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "Placement", deny_unknown_fields)]
pub(super) struct WirePlacement {
    /// Id of the panel.
    pub panel: String,
    /// Which copy, from 1.
    #[schemars(range(min = 1))]
    pub copy: u32,
    /// Where the outline's origin lies along the roll.
    pub x: f64,
    /// Where the outline's origin lies across the roll.
    pub y: f64,
    /// Turn in degrees, counter-clockwise.
    #[schemars(range(min = 0.0), extend("exclusiveMaximum" = 360))]
    pub rotation: f64,
    /// Whether it is mirrored.
    pub mirrored: bool,
}

/// How a layout was made. No clock times, threads or hosts.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "MadeBy", deny_unknown_fields)]
pub(super) struct WireMadeBy {
    /// Version of the program.
    pub version: String,
    /// Seed of the search.
    pub seed: u64,
    /// Number of walks.
    pub walks: u32,
    /// Rounds done.
    pub rounds: u64,
    /// Why it stopped.
    pub stopped: String,
}

impl From<&Layout> for WireLayout {
    fn from(layout: &Layout) -> Self {
        let m = layout.measures;
        Self {
            format: FORMAT,
            name: layout.name.clone(),
            unit: layout.unit,
            roll: (&layout.roll).into(),
            gap: layout.gap,
            notes: layout.notes.clone(),
            rates: layout.shop.rates.as_ref().map(WireRates::from),
            keep: layout.shop.keep.map(WireKeep::from),
            length: m.length,
            panel_area: m.panel_area,
            filler_area: m.filler_area,
            waste_percent: m.waste_percent,
            density_percent: m.density_percent,
            made_by: layout.made_by.as_ref().map(WireMadeBy::from),
            placements: layout.placements.iter().map(|p| WirePlacement::new(p, layout)).collect(),
            panels: layout.panels.iter().map(WirePanel::from).collect(),
        }
    }
}

impl WirePlacement {
    fn new(placement: &Placement, layout: &Layout) -> Self {
        Self {
            panel: layout.panels.get(placement.panel).map(|p| p.id.clone()).unwrap_or_default(),
            copy: placement.copy,
            x: placement.at.x,
            y: placement.at.y,
            rotation: placement.rotation,
            mirrored: placement.mirrored,
        }
    }
}

impl From<&MadeBy> for WireMadeBy {
    fn from(made: &MadeBy) -> Self {
        Self {
            version: made.version.clone(),
            seed: made.seed,
            walks: made.walks,
            rounds: made.rounds,
            stopped: made.stopped.clone(),
        }
    }
}

//! The keys of the report format.

use crate::Warning;
use crate::cost::CostLine;
use crate::job::Unit;
use crate::layout::MadeBy;
use schemars::JsonSchema;
use serde::Serialize;

/// The value of `format` in a report.
pub(super) const FORMAT: &str = "tuckroll-report-1";

/// What there is to say about one layout. Lengths are in millimetres along (x) and across (y)
/// the roll, from its leading edge and from the side y = 0.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct Report {
    /// The format and its version.
    #[schemars(extend("const" = "tuckroll-report-1"))]
    pub format: &'static str,
    /// Name of the job.
    pub name: String,
    /// Unit that the job is written in; lengths here are in millimetres all the same.
    pub unit: Unit,
    /// SHA-256, in hexadecimal, of the layout as this program writes it: that of the `layout.json` that `nest` or
    /// `export` wrote. The same layout in other blanks or another order of keys goes by it, too.
    /// Empty where it was not in a file.
    pub layout_sha256: String,
    /// The film.
    pub film: Film,
    /// What the layout measures.
    pub measured: Measured,
    /// The orders, as the job lists them; panels without one together.
    pub kits: Vec<Kit>,
    /// Every piece, in the order in which it comes off the roll.
    pub pieces: Vec<Piece>,
    /// What the film and all else cost, where the job says prices.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Money", default)]
    pub money: Option<Money>,
    /// What cutting it takes.
    pub cut: Cut,
    /// Free rectangles of film that are worth keeping.
    pub offcuts: Vec<Offcut>,
    /// What was asked for and found no film.
    pub left_out: Vec<LeftOut>,
    /// What to look at before cutting.
    pub warnings: Vec<Notice>,
    /// What gives exactly this layout again.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Repeat", default)]
    pub repeat: Option<Repeat>,
}

/// The film of a layout.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct Film {
    /// Full width.
    pub width_mm: f64,
    /// Unusable film at y = 0 and at y = width.
    pub edge_margins_mm: [f64; 2],
    /// Unusable film before the panels.
    pub lead_margin_mm: f64,
    /// Unusable film after the panels.
    pub tail_margin_mm: f64,
    /// Least distance between the cut lines of two panels.
    pub gap_mm: f64,
    /// Id of the piece of film.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String", default)]
    pub roll: Option<String>,
    /// Which film it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String", default)]
    pub film: Option<String>,
    /// Film left on the roll after the job, where its length is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64", default)]
    pub left_mm: Option<f64>,
}

/// What a layout measures.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct Measured {
    /// Film used along the roll, lead and tail margin included.
    pub length_mm: f64,
    /// Film used, over its whole width.
    pub film_area_mm2: f64,
    /// Area of the required panels, holes not counted.
    pub panel_area_mm2: f64,
    /// Area of the fillers.
    pub filler_area_mm2: f64,
    /// Share of the film used that is no panel.
    pub waste_percent: f64,
    /// Share of the usable film that is panel.
    pub density_percent: f64,
    /// No layout of these panels is shorter.
    pub lower_bound_mm: f64,
    /// How much shorter that is: what a longer search could still win at most.
    pub bound_gap_percent: f64,
    /// Pieces placed.
    pub pieces: usize,
}

/// One order.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct Kit {
    /// Its id; absent for panels without one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String", default)]
    pub kit: Option<String>,
    /// Required pieces placed.
    pub pieces: usize,
    /// Fillers placed.
    pub fillers: usize,
    /// Area of its required pieces.
    pub panel_area_mm2: f64,
    /// Area of its fillers.
    pub filler_area_mm2: f64,
    /// Film it pays for: its panels and a share of the waste.
    pub film_area_mm2: f64,
    /// What it costs, where the job says prices.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "CostLine", default)]
    pub cost: Option<CostLine>,
    /// Where its first piece begins along the roll.
    pub from_x_mm: f64,
    /// Where its last piece ends.
    pub to_x_mm: f64,
}

/// One piece as it lies on the roll.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct Piece {
    /// Its number, from 1: the order in which pieces come off the roll.
    pub number: usize,
    /// Id of the panel.
    pub panel: String,
    /// Which copy of it, from 1.
    pub copy: u32,
    /// How many copies the layout asks for.
    pub copies: u32,
    /// The order it belongs to.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String", default)]
    pub kit: Option<String>,
    /// Whether it is a filler.
    pub filler: bool,
    /// Where the box round it begins along the roll.
    pub x_mm: f64,
    /// Where the box round it begins across the roll.
    pub y_mm: f64,
    /// Extent along the roll.
    pub along_mm: f64,
    /// Extent across the roll.
    pub across_mm: f64,
    /// Its area, holes not counted.
    pub area_mm2: f64,
    /// Turn about the outline's origin, counter-clockwise.
    pub rotation_degrees: f64,
    /// Whether it is mirrored first.
    pub mirrored: bool,
    /// Index of its placement in the layout file.
    #[serde(skip)]
    pub placement: usize,
    /// Index of its panel in the layout file.
    #[serde(skip)]
    pub panel_index: usize,
}

/// What it all costs: amounts as decimal text.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct Money {
    /// Name of the currency; may be empty.
    pub currency: String,
    /// How waste is shared among the kits.
    pub waste_rule: String,
    /// The sum of all kits.
    pub total: CostLine,
}

/// What cutting takes by the cut plan, at the speeds stated.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct Cut {
    /// Contours cut, or drawn by a pen.
    pub contours: usize,
    /// Way with the tool down.
    pub cut_mm: f64,
    /// Way with the tool up.
    pub travel_mm: f64,
    /// How often the film turns round by 20 mm or more between two contours.
    pub feed_reversals: usize,
    /// The farthest that the film is pulled back between two contours.
    pub feed_back_mm: f64,
    /// Estimated time.
    pub time_s: f64,
    /// Speed with the tool down that the time is estimated with.
    pub cut_speed_mm_per_s: f64,
    /// Speed with the tool up that the time is estimated with.
    pub travel_speed_mm_per_s: f64,
    /// The sections, in the order in which they are cut.
    pub sections: Vec<CutSection>,
}

/// A stretch of film that is cut before the next.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct CutSection {
    /// Its number, from 1.
    pub number: usize,
    /// Where its first piece begins along the roll.
    pub from_mm: f64,
    /// Where its last piece ends.
    pub to_mm: f64,
    /// Pieces in it.
    pub pieces: usize,
    /// Way with the tool down.
    pub cut_mm: f64,
    /// Way with the tool up.
    pub travel_mm: f64,
    /// How often the film turns round by 20 mm or more between two contours.
    pub feed_reversals: usize,
    /// Estimated time.
    pub time_s: f64,
}

/// A free rectangle of film.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct Offcut {
    /// Where it begins along the roll.
    pub x_mm: f64,
    /// Where it begins across the roll.
    pub y_mm: f64,
    /// Extent along the roll.
    pub length_mm: f64,
    /// Extent across the roll.
    pub width_mm: f64,
}

/// Copies of one panel that found no film.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct LeftOut {
    /// Id of the panel.
    pub panel: String,
    /// The order it belongs to.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String", default)]
    pub kit: Option<String>,
    /// How many copies were left out.
    pub copies: u32,
}

/// Something to look at before cutting.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct Notice {
    /// File and place in it.
    pub place: String,
    /// What is the matter.
    pub what: String,
    /// What can be done.
    #[serde(skip_serializing_if = "String::is_empty")]
    #[schemars(default)]
    pub remedy: String,
}

impl From<&Warning> for Notice {
    fn from(w: &Warning) -> Self {
        Self { place: w.place.clone(), what: w.what.clone(), remedy: w.remedy.clone() }
    }
}

/// What gives exactly the same layout of the same job again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct Repeat {
    /// Name and version of the program.
    pub version: String,
    /// Seed of the search.
    pub seed: u64,
    /// Rounds done.
    pub rounds: u64,
    /// Number of walks.
    pub walks: u32,
    /// Why it stopped.
    pub stopped: String,
}

impl From<&MadeBy> for Repeat {
    fn from(made: &MadeBy) -> Self {
        Self {
            version: made.version.clone(),
            seed: made.seed,
            rounds: made.rounds,
            walks: made.walks,
            stopped: made.stopped.clone(),
        }
    }
}

//! What a cut plan holds.

use super::{Contour, Kind, Tool};
use crate::floor::{Cutting, Film, Mark, MarkOptions, Weeding, Whole};
use crate::shape::Point;

/// How fast a machine works. Above zero, times from zero.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Speeds {
    /// With the tool down, in mm per second.
    pub cut_mm_per_s: f64,
    /// With the tool up, in mm per second.
    pub travel_mm_per_s: f64,
    /// For lowering and lifting the tool once, in seconds.
    pub lift_s: f64,
}

impl Default for Speeds {
    /// A middling setting of a small roll cutter: common practice, no source.
    fn default() -> Self {
        Self { cut_mm_per_s: 200.0, travel_mm_per_s: 400.0, lift_s: 0.15 }
    }
}

/// What a plan is to keep to. Lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Options {
    /// For the estimate of time.
    pub speeds: Speeds,
    /// No section is longer along the feed; `None` cuts all in one.
    pub section_length: Option<f64>,
    /// Length of a feed window: between two cuts the film is never pulled back by more.
    pub window: f64,
    /// How hard the order is worked on: kicks of the search for each contour.
    pub effort: u32,
    /// Whether pens take turns with the knife, window by window, on a machine that holds both;
    /// otherwise a section is drawn before it is cut.
    pub pens_by_window: bool,
    /// Whether the layout is cut turned round or mirrored whole.
    pub whole: Whole,
    /// Overcut and dashes.
    pub cutting: Cutting,
    /// Registration marks, if there are to be any.
    pub marks: Option<MarkOptions>,
    /// Cuts in the waste.
    pub weeding: Weeding,
    /// Size of a test cut in the lead margin, if there is to be one.
    pub test_cut: Option<f64>,
}

impl Default for Options {
    /// Windows of 500 mm. Over three layouts of the demo day windows of 400 mm cost 5 % more travel than these, and
    /// save 60 mm of the 450 that the film runs back at most; in longer ones it must not turn round so often, which
    /// costs more than they save.
    fn default() -> Self {
        Self {
            speeds: Speeds::default(),
            section_length: None,
            window: 500.0,
            effort: 50,
            pens_by_window: false,
            whole: Whole::default(),
            cutting: Cutting::default(),
            marks: None,
            weeding: Weeding::default(),
            test_cut: None,
        }
    }
}

/// What a plan or a section of it measures.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Totals {
    /// Contours cut, or drawn by a pen.
    pub contours: usize,
    /// How often the tool is lowered: once for each contour, and for each dash of a through cut.
    pub lifts: usize,
    /// Way with the tool down, in mm.
    pub cut_mm: f64,
    /// Way with the tool up, in mm, from where the section starts.
    pub travel_mm: f64,
    /// How often the film turns round on the way from contour to contour. Turns of less than
    /// [`Totals::TURN_MM`] are not counted: the rollers' own play swallows the smallest, and
    /// every contour turns the film while it is cut.
    pub feed_reversals: usize,
    /// The farthest that the film is pulled back between two contours, in mm, behind the farthest
    /// place where a contour of the same tool was begun.
    pub feed_back_mm: f64,
    /// Estimated time in seconds.
    pub time_s: f64,
}

impl Totals {
    /// Turns of the film that are counted go back by at least so much, in mm.
    pub const TURN_MM: f64 = 20.0;
}

/// One contour as it is cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Index into [`Plan::contours`].
    pub contour: usize,
    /// What works it.
    pub tool: Tool,
    /// What it is of its panel.
    pub kind: Kind,
    /// Whether it runs against the direction of the contour's points.
    pub reversed: bool,
    /// Whether the last point joins the first.
    pub closed: bool,
    /// The points from the start point on, in the order in which they are cut; the first is
    /// not repeated at the end of a closed contour.
    pub points: Vec<Point>,
    /// What the tip of the tool draws: one line with its overcut, or the dashes of a through cut.
    pub strokes: Vec<Vec<Point>>,
}

impl Step {
    /// Where the tool goes down.
    pub fn start(&self) -> Point {
        self.points.first().copied().unwrap_or(Point { x: 0.0, y: 0.0 })
    }

    /// Where it comes up.
    pub fn end(&self) -> Point {
        self.strokes.last().and_then(|s| s.last()).copied().unwrap_or(self.start())
    }
}

/// A stretch of film that is finished before the next.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// Its number, from 1.
    pub number: usize,
    /// Least x of its panels, in mm.
    pub from_mm: f64,
    /// Greatest x of its panels, in mm.
    pub to_mm: f64,
    /// Where coordinates along the feed are counted from on a device that counts them from the
    /// start of each section, in mm: a little before everything that is cut, never below 0.
    pub zero_mm: f64,
    /// Its panels, as indices into the layout's placements.
    pub placements: Vec<usize>,
    /// Its contours in the order in which they are cut.
    pub steps: Vec<Step>,
    /// Its registration marks, which are printed and not cut.
    pub marks: Vec<Mark>,
    /// Where the head is when the section begins.
    pub head_from: Point,
    /// What it measures.
    pub totals: Totals,
    /// The feed reversals that the plan aims to keep below: four for each window and tool.
    /// The order is searched for with a rising price on the way along the feed until this is kept.
    pub most_reversals: usize,
}

/// The order in which a layout is cut. Lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// What it keeps to.
    pub options: Options,
    /// The film in the frame in which it is cut.
    pub film: Film,
    /// All contours: as the layout lists them, then those that belong to no panel.
    pub contours: Vec<Contour>,
    /// The sections, from the leading edge on.
    pub sections: Vec<Section>,
    /// Where the head is parked at the end: past the panels.
    pub head_to: Point,
    /// What the whole measures; the way to the parking place included.
    pub totals: Totals,
}

impl Plan {
    /// All steps, section by section.
    pub fn steps(&self) -> impl Iterator<Item = &Step> + '_ {
        self.sections.iter().flat_map(|s| &s.steps)
    }
}

//! The parsed layout.

use crate::job::{Job, Notes, Panel, Roll, Shop, Unit};
use crate::shape::{Point, Pose, Turn};

/// Where every panel of one piece of film lies. All lengths in [`Layout::unit`].
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// As in the job.
    pub name: String,
    /// Unit of every length.
    pub unit: Unit,
    /// The film.
    pub roll: Roll,
    /// Least distance between cut lines of different panels.
    pub gap: f64,
    /// Carried along from the job.
    pub notes: Option<Notes>,
    /// What the shop has set, carried along from the job.
    pub shop: Shop,
    /// Every panel with its geometry.
    pub panels: Vec<Panel>,
    /// Where the copies lie.
    pub placements: Vec<Placement>,
    /// What the layout measures, as stated.
    pub measures: Measures,
    /// How it was made.
    pub made_by: Option<MadeBy>,
}

impl Layout {
    /// The job that asks for what this layout holds.
    pub fn as_job(&self) -> Job {
        Job {
            name: self.name.clone(),
            source: None,
            unit: self.unit,
            roll: self.roll.clone(),
            gap: self.gap,
            panels: self.panels.clone(),
            notes: self.notes.clone(),
            shop: self.shop.clone(),
        }
    }
}

/// One copy of one panel on the roll.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placement {
    /// Index into [`Layout::panels`].
    pub panel: usize,
    /// Which copy, from 1.
    pub copy: u32,
    /// Where the outline's origin lies.
    pub at: Point,
    /// Turn about the outline's origin, in degrees, in [0, 360).
    pub rotation: f64,
    /// Whether it is mirrored first (y to -y).
    pub mirrored: bool,
}

impl Placement {
    /// The placement as a map of points.
    pub fn pose(&self) -> Pose {
        Pose { mirrored: self.mirrored, turn: Turn::degrees(self.rotation), at: self.at }
    }
}

/// What a layout measures.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Measures {
    /// How much of the roll it uses, lead and tail margin included.
    pub length: f64,
    /// Area of the placed required panels, holes not counted.
    pub panel_area: f64,
    /// Area of the placed fillers.
    pub filler_area: f64,
    /// 100 x (1 - panel area / (width x length)).
    pub waste_percent: f64,
    /// 100 x panel area / (usable width x length between the margins).
    pub density_percent: f64,
}

/// How a layout was made: enough to make it again. No clock times, threads or hosts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MadeBy {
    /// Name and version of the program.
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

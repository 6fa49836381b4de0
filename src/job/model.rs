//! The parsed job.

use super::{Grain, Unit};
use crate::money::{Price, Rates};
use crate::shape::{Point, Region, Ring};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// The free object that a file may carry along. It may be as large as a file, and goes from job to layout to every
/// file written: all of them share one.
pub type Notes = Arc<serde_json::Map<String, serde_json::Value>>;

/// What is to be nested: panels on one piece of film.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    /// Shown in reports.
    pub name: String,
    /// Free text about where the job comes from.
    pub source: Option<String>,
    /// Unit of every length in the job.
    pub unit: Unit,
    /// The film.
    pub roll: Roll,
    /// Least distance between cut lines of different panels.
    pub gap: f64,
    /// The panels; ids are unique.
    pub panels: Vec<Panel>,
    /// Carried along untouched.
    pub notes: Option<Notes>,
    /// What the shop has set.
    pub shop: Shop,
}

/// What a shop sets for its reports: money and offcuts. The search does not look at it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Shop {
    /// What is charged besides the film.
    pub rates: Option<Rates>,
    /// Which offcuts are worth keeping.
    pub keep: Option<Keep>,
}

/// The least offcut worth keeping.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Keep {
    /// Along the roll, above zero.
    pub length: f64,
    /// Across the roll, above zero.
    pub width: f64,
}

/// A piece of film. x runs along it from the leading edge, y across it from 0 to `width`.
#[derive(Debug, Clone, PartialEq)]
pub struct Roll {
    /// Full width of the film, above zero.
    pub width: f64,
    /// Unusable film at y = 0 and at y = `width`.
    pub edge_margin: [f64; 2],
    /// Unusable film before the panels.
    pub lead_margin: f64,
    /// Unusable film after the panels.
    pub tail_margin: f64,
    /// Film left on the roll; `None` when there is enough.
    pub length: Option<f64>,
    /// Film that no panel may touch.
    pub flaws: Vec<Ring>,
    /// Which piece of film it is, and what it costs.
    pub piece: Piece,
}

/// What tells one piece of film from another. The search does not look at it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Piece {
    /// Its name; unique among the pieces of a day, and fit for a folder's name.
    pub id: Option<String>,
    /// Which film it is.
    pub film: Option<String>,
    /// What it costs.
    pub price: Option<Price>,
    /// Whether it is left over from an earlier job.
    pub offcut: bool,
}

impl Roll {
    /// Any length of film so wide, all of it usable.
    pub fn plain(width: f64) -> Self {
        Self {
            width,
            edge_margin: [0.0; 2],
            lead_margin: 0.0,
            tail_margin: 0.0,
            length: None,
            flaws: Vec::new(),
            piece: Piece::default(),
        }
    }

    /// Width between the edge margins.
    pub fn usable_width(&self) -> f64 {
        self.width - self.edge_margin[0] - self.edge_margin[1]
    }

    /// Diameter of the disc that must fit into every part of a panel: in the rounding that the
    /// tolerance allows for, a thinner part would vanish (24 um on film 610 mm wide).
    pub fn thinnest(&self) -> f64 {
        40.0 * self.tolerance()
    }

    /// The one tolerance for gaps, film edges and overlaps: a millionth of the width.
    /// `check` judges by it; what this program makes keeps within a quarter of it.
    pub fn tolerance(&self) -> f64 {
        1e-6 * self.width
    }
}

/// What other panels keep the gap to.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum KeepClear {
    /// The panel's own contours.
    #[default]
    Outline,
    /// The convex hull of the whole panel.
    Hull,
}

/// What a line that travels with a panel is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum LineRole {
    /// Cut through the film only.
    Cut,
    /// Cut through film and liner.
    Through,
    /// Drawn by a pen.
    Draw,
    /// Printed.
    Print,
}

/// An open or closed line that travels with a panel and is not part of its area.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// What it is for.
    pub role: LineRole,
    /// At least two points.
    pub points: Vec<Point>,
    /// Whether the last point joins the first.
    pub closed: bool,
    /// The one copy of the panel that has it, from 1; `None` when all have it.
    pub copy: Option<u32>,
}

impl Line {
    /// Whether copy number `copy` of the panel has this line.
    pub fn is_on(&self, copy: u32) -> bool {
        self.copy.is_none_or(|only| only == copy)
    }
}

/// The numbers that some copies of a panel have in their day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Numbers {
    /// The number of each copy, ascending from 1.
    pub copies: Vec<u32>,
    /// How many copies the day has.
    pub of: u32,
}

/// One flat piece to cut, with as many copies as are wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    /// Unique within the job.
    pub id: String,
    /// The order it belongs to.
    pub kit: Option<String>,
    /// The film it is cut from, where a job has several.
    pub film: Option<String>,
    /// How many are wanted, at least one.
    pub copies: u32,
    /// Which of a day's copies they are, where others are cut from other film.
    pub numbers: Option<Numbers>,
    /// One region, or several that keep their places (lettering). Never empty; apart from each other.
    pub parts: Vec<Region>,
    /// Lines that travel with the panel.
    pub lines: Vec<Line>,
    /// What other panels keep the gap to.
    pub keep_clear: KeepClear,
    /// Whether other panels may lie in its holes.
    pub fill_holes: bool,
    /// Print direction and permitted headings.
    pub grain: Grain,
    /// Panels of one match group and kit share one heading.
    pub match_group: Option<String>,
    /// Whether it may be mirrored.
    pub mirror: bool,
    /// A filler: cut only where it costs no film.
    pub optional: bool,
    /// How soon its kit is due where film is short: 1 before 2, and any number before none.
    pub priority: Option<u32>,
}

impl Panel {
    /// What people are told that a copy is, one of how many: by its number in the day.
    pub fn numbered(&self, copy: u32) -> (u32, u32) {
        let Some(Numbers { copies, of }) = &self.numbers else { return (copy, self.copies) };
        let at = usize::try_from(copy).ok().and_then(|copy| copies.get(copy.checked_sub(1)?));
        (at.copied().unwrap_or(copy), *of)
    }

    /// Area of one copy, holes not counted.
    pub fn area(&self) -> f64 {
        self.parts.iter().map(Region::area).sum()
    }
}

//! The parsed profile.

use crate::floor::plan::{Speeds, Tool};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Where a device has the origin of its coordinates.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Origin {
    /// At the corner with the least coordinates: small plotters.
    #[default]
    LowerLeft,
    /// In the middle of what is cut: large plotters.
    Centre,
}

/// The device's axis along which the film is fed.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Axis {
    /// The film moves along the device's X.
    #[default]
    X,
    /// The film moves along the device's Y.
    Y,
}

/// Where coordinates along the feed are counted from.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Zero {
    /// From the leading edge of the film, all sections in one file.
    #[default]
    Film,
    /// From the start of each section, each in a file of its own.
    Section,
}

/// The number of each tool, for the instruction that selects it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Tools")]
pub struct Tools {
    /// The knife through the film.
    #[schemars(range(min = 1, max = 99))]
    pub kiss: u32,
    /// The pen.
    #[schemars(range(min = 1, max = 99))]
    pub pen: u32,
    /// The knife through film and liner.
    #[schemars(range(min = 1, max = 99))]
    pub through: u32,
}

impl Default for Tools {
    fn default() -> Self {
        Self { kiss: 1, pen: 1, through: 1 }
    }
}

impl Tools {
    /// The number of a tool.
    pub fn number(&self, tool: Tool) -> u32 {
        match tool {
            Tool::Kiss => self.kiss,
            Tool::Pen => self.pen,
            Tool::Through => self.through,
        }
    }
}

/// What a plotter wants to be told.
#[derive(Debug, Clone, PartialEq)]
pub struct Device {
    /// What the shop calls it.
    pub name: String,
    /// Length of one unit of its coordinates in mm: 0.025 (HP-GL) or 0.02488 (some devices).
    pub unit_mm: f64,
    /// Where its origin is.
    pub origin: Origin,
    /// Its axis along the feed.
    pub feed_axis: Axis,
    /// Whether one of its axes runs the other way, so that everything is mirrored across the feed.
    pub mirror: bool,
    /// Whether coordinates after the first of a line are told as differences (PR).
    pub relative: bool,
    /// Greatest number it takes, positive or negative; its instructions clamp what is beyond.
    pub largest: i64,
    /// Where coordinates along the feed are counted from.
    pub zero: Zero,
    /// Numbers of its tools.
    pub tools: Tools,
    /// Speed with the tool down in cm/s, if it is to be told (VS).
    pub speed_cm_per_s: Option<u32>,
    /// Force in the device's own steps, if it is to be told (FS).
    pub force: Option<u32>,
    /// True length over drawn length along the feed, from a measured test line.
    pub feed_scale: f64,
    /// The same across the film.
    pub cross_scale: f64,
    /// Whether the file says which layout it belongs to (CO, which HP-GL/2 has and HP-GL has not).
    pub comment: bool,
    /// Whether the file ends with an end of page (PG).
    pub page_end: bool,
    /// Blade offset to compensate in mm; `None` where the device does it itself.
    pub blade_offset_mm: Option<f64>,
    /// How far closed contours are cut on past their start, in mm.
    pub overcut_mm: f64,
    /// For the estimate of time.
    pub speeds: Speeds,
}

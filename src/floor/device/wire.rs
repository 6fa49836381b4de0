//! The keys of a device profile, as the JSON Schema states them.

use super::model::{Axis, Device, Origin, Tools, Zero};
use crate::floor::plan::Speeds;
use schemars::JsonSchema;
use serde::Deserialize;

/// A device profile: what a plotter wants to be told.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Device")]
pub(super) struct WireDevice {
    /// The format and its version.
    #[schemars(extend("const" = "tuckroll-device-1"))]
    #[allow(dead_code, reason = "checked before, and stated by the schema")]
    pub format: String,
    /// What the shop calls the device.
    pub name: String,
    /// Length of one unit of its coordinates in mm.
    #[schemars(extend("enum" = [0.025, 0.02488]))]
    pub unit_mm: f64,
    /// Where its origin is.
    #[serde(default)]
    pub origin: Origin,
    /// Its axis along the feed.
    #[serde(default)]
    pub feed_axis: Axis,
    /// Whether everything is mirrored across the feed, for a device one of whose axes runs the other way.
    #[serde(default)]
    pub mirror: bool,
    /// Whether coordinates after the first of a line are told as differences.
    #[serde(default)]
    pub relative: bool,
    /// Greatest number it takes, positive or negative.
    #[serde(default = "sixteen_bit")]
    #[schemars(range(min = 1000, max = 999_999_999))]
    pub largest: i64,
    /// Where coordinates along the feed are counted from.
    #[serde(default)]
    pub zero: Zero,
    /// Numbers of its tools.
    #[serde(default)]
    pub tools: Tools,
    /// Speed with the tool down in cm/s; without it the device's own setting holds.
    #[schemars(range(min = 1, max = 200))]
    pub speed_cm_per_s: Option<u32>,
    /// Force in the device's own steps; without it the device's own setting holds.
    #[schemars(range(min = 1, max = 9999))]
    pub force: Option<u32>,
    /// What a line drawn 1000 mm long along the feed should measure, over what it measures.
    #[serde(default = "one")]
    #[schemars(range(min = 0.9, max = 1.1))]
    pub feed_scale: f64,
    /// The same across the film.
    #[serde(default = "one")]
    #[schemars(range(min = 0.9, max = 1.1))]
    pub cross_scale: f64,
    /// Whether the file names its layout in a comment, an instruction of HP-GL/2.
    #[serde(default)]
    pub comment: bool,
    /// Whether the file ends with an end of page.
    #[serde(default)]
    pub page_end: bool,
    /// Blade offset to compensate in mm. Leave it out where the device compensates itself:
    /// twice compensated corners are spoilt.
    #[schemars(range(min = 0.175, max = 1.0))]
    pub blade_offset_mm: Option<f64>,
    /// How far closed contours are cut on past their start point, in mm.
    #[serde(default)]
    #[schemars(range(min = 0.0, max = 20.0))]
    pub overcut_mm: f64,
    /// Speed with the tool down in mm/s, for the estimate of time.
    #[schemars(range(min = 1.0, max = 5000.0))]
    pub cut_mm_per_s: Option<f64>,
    /// Speed with the tool up in mm/s, for the estimate of time.
    #[schemars(range(min = 1.0, max = 5000.0))]
    pub travel_mm_per_s: Option<f64>,
    /// Seconds to lower and lift the tool once, for the estimate of time.
    #[schemars(range(min = 0.0, max = 10.0))]
    pub lift_s: Option<f64>,
}

/// The greatest number of a signed 16-bit integer, which is what old plotters take.
fn sixteen_bit() -> i64 {
    32_767
}

fn one() -> f64 {
    1.0
}

impl From<WireDevice> for Device {
    fn from(w: WireDevice) -> Self {
        let usual = Speeds::default();
        Self {
            name: w.name,
            unit_mm: w.unit_mm,
            origin: w.origin,
            feed_axis: w.feed_axis,
            mirror: w.mirror,
            relative: w.relative,
            largest: w.largest,
            zero: w.zero,
            tools: w.tools,
            speed_cm_per_s: w.speed_cm_per_s,
            force: w.force,
            feed_scale: w.feed_scale,
            cross_scale: w.cross_scale,
            comment: w.comment,
            page_end: w.page_end,
            blade_offset_mm: w.blade_offset_mm,
            overcut_mm: w.overcut_mm,
            speeds: Speeds {
                cut_mm_per_s: w.cut_mm_per_s.unwrap_or(usual.cut_mm_per_s),
                travel_mm_per_s: w.travel_mm_per_s.unwrap_or(usual.travel_mm_per_s),
                lift_s: w.lift_s.unwrap_or(usual.lift_s),
            },
        }
    }
}

//! From a JSON file to a profile, all problems gathered.

use super::model::{Axis, Origin, Tools, Zero};
use super::wire::WireDevice;
use super::{Device, model};
use crate::error::{Error, Shown};
use crate::job::decode::Decoder;
use crate::job::read_input;
use crate::json::{self, Fields, Node, Report};
use std::ops::RangeInclusive;

/// The value of `format` in a device profile.
const FORMAT: &str = "tuckroll-device-1";

/// Units of coordinates in mm: that of HP-GL, and that of plotters which deviate from it
/// (Hewlett-Packard, HP 7475A operation manual).
const UNITS: [f64; 2] = [0.025, 0.024_88];

/// The shipped profiles.
const SHIPPED: [(&str, &str); 2] =
    [(NAMES[0], include_str!("large-numbers.json")), (NAMES[1], include_str!("sixteen-bit.json"))];

/// The names of the shipped profiles; the first is used where none is asked for.
pub const NAMES: [&str; 2] = ["large-numbers", "sixteen-bit"];

/// A shipped profile, read like any other; `None` if there is none of that name.
pub fn named(name: &str) -> Option<Result<Device, Error>> {
    SHIPPED.iter().find(|(n, _)| *n == name).map(|(n, text)| read(text.as_bytes(), n))
}

/// Loads a profile.
///
/// # Errors
///
/// [`Error::Input`] with everything that is wrong with it, [`Error::Io`] when it cannot be read.
pub fn load(path: &std::path::Path) -> Result<Device, Error> {
    read(&read_input(path)?, &path.display().to_string())
}

/// Reads the bytes of a profile, called `name` in problems.
///
/// # Errors
///
/// [`Error::Input`] with everything that is wrong with it.
pub fn read(bytes: &[u8], name: &str) -> Result<Device, Error> {
    let tree = json::parse(bytes, name)?;
    let mut report = Report::new(name);
    let device = Decoder::new(&mut report).device(&Node::root(&tree));
    report.or_ok(device).map(|(device, _)| device)
}

/// The JSON Schema of the profile format.
pub fn schema() -> String {
    json::schema::<WireDevice>()
}

impl Decoder<'_> {
    fn device(&mut self, node: &Node<'_>) -> Option<Device> {
        let mut fields = Fields::open(node, self.report)?;
        if !self.format(&mut fields, FORMAT) {
            return None;
        }
        let wire = WireDevice {
            format: FORMAT.to_owned(),
            name: fields.need("name", self.report).and_then(|n| self.title(&n)).unwrap_or_default(),
            unit_mm: fields.need("unit_mm", self.report).map_or(UNITS[0], |n| self.unit_mm(&n)),
            origin: self.word_or_default::<Origin>(fields.get("origin")),
            feed_axis: self.word_or_default::<Axis>(fields.get("feed_axis")),
            mirror: self.flag(fields.get("mirror")),
            relative: self.flag(fields.get("relative")),
            largest: self.count(fields.get("largest"), 1000..=999_999_999).map_or(32_767, i64::from),
            zero: self.word_or_default::<Zero>(fields.get("zero")),
            tools: fields.get("tools").map_or_else(Tools::default, |n| self.tools(&n)),
            speed_cm_per_s: self.count(fields.get("speed_cm_per_s"), 1..=200),
            force: self.count(fields.get("force"), 1..=9999),
            feed_scale: self.in_range(fields.get("feed_scale"), 0.9..=1.1).unwrap_or(1.0),
            cross_scale: self.in_range(fields.get("cross_scale"), 0.9..=1.1).unwrap_or(1.0),
            comment: self.flag(fields.get("comment")),
            page_end: self.flag(fields.get("page_end")),
            blade_offset_mm: self.in_range(fields.get("blade_offset_mm"), 0.175..=1.0),
            overcut_mm: self.in_range(fields.get("overcut_mm"), 0.0..=20.0).unwrap_or(0.0),
            cut_mm_per_s: self.in_range(fields.get("cut_mm_per_s"), 1.0..=5000.0),
            travel_mm_per_s: self.in_range(fields.get("travel_mm_per_s"), 1.0..=5000.0),
            lift_s: self.in_range(fields.get("lift_s"), 0.0..=10.0),
        };
        fields.finish(self.report);
        Some(model::Device::from(wire))
    }

    fn unit_mm(&mut self, node: &Node<'_>) -> f64 {
        let Some(unit) = node.number(self.report) else { return UNITS[0] };
        if !UNITS.iter().any(|u| u.total_cmp(&unit).is_eq()) {
            let remedy = "write 0.025, the unit of HP-GL, or 0.02488 where the device's manual says so; \
                          a measured error belongs into `feed_scale` and `cross_scale`";
            node.problem(self.report, format!("{} mm is no unit of a plotter", Shown(unit)), remedy);
        }
        unit
    }

    fn tools(&mut self, node: &Node<'_>) -> Tools {
        let Some(mut fields) = Fields::open(node, self.report) else { return Tools::default() };
        let mut number = |key| {
            let node = fields.need(key, self.report);
            self.count(node, 1..=99).unwrap_or(1)
        };
        let tools = Tools { kiss: number("kiss"), pen: number("pen"), through: number("through") };
        fields.finish(self.report);
        tools
    }

    /// A whole number within limits.
    fn count(&mut self, node: Option<Node<'_>>, limits: RangeInclusive<u32>) -> Option<u32> {
        let node = node?;
        let value = node.whole(self.report)?;
        let valid = u32::try_from(value).ok().filter(|v| limits.contains(v));
        if valid.is_none() {
            let (least, most) = limits.into_inner();
            node.problem(self.report, format!("{value} is not within {least} to {most}"), OUT_OF_RANGE);
        }
        valid
    }

    /// A number within limits.
    fn in_range(&mut self, node: Option<Node<'_>>, limits: RangeInclusive<f64>) -> Option<f64> {
        let node = node?;
        let value = node.number(self.report)?;
        if !limits.contains(&value) {
            let (least, most) = limits.into_inner();
            let what = format!("{} is not within {least} to {most}", Shown(value));
            node.problem(self.report, what, OUT_OF_RANGE);
        }
        Some(value)
    }
}

const OUT_OF_RANGE: &str = "check the device's manual and the unit; leave the key out for the usual value";

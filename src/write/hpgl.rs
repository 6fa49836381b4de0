//! The plotter file: HP-GL, with nothing but what every device knows.
//!
//! Instructions: IN, SP, PU, PD, PA, and as the profile asks PR, VS, FS, PG, CO. Two letters,
//! whole numbers with commas, a semicolon after each, no line breaks (Hewlett-Packard, HP-GL/2
//! and HP RTL Reference Guide, 1996; HP-GL Programmer's Reference, 1984). Devices clamp what is
//! beyond their numbers without a word, so such a file is refused.

use crate::error::{Error, Problems};
use crate::floor::blade::Blade;
use crate::floor::device::{Axis, Device, Origin, Zero};
use crate::floor::plan::{Plan, Section, Step, Tool};
use crate::shape::Point;
use std::fmt::Write;

/// Points of one PD instruction: plotters buffer an instruction whole, the smallest some
/// hundred bytes of it.
const POINTS: usize = 32;

/// Writes the sections as one plotter file.
///
/// # Errors
///
/// [`Error::Unmet`] when a coordinate is beyond the numbers that the device takes, or below 0
/// on a device with its origin at the corner.
pub fn hpgl(
    plan: &Plan,
    sections: &[&Section],
    device: &Device,
    layout_sha256: &str,
) -> Result<Vec<u8>, Error> {
    let frame = Frame::new(plan, sections, device);
    let mut file = File { out: String::from("IN;"), at: None, reach: [0; 2], low: [0; 2], device };
    if device.comment {
        let _ = write!(file.out, "CO\"tuckroll layout sha256 {layout_sha256}\";");
    }
    let mut blade = device.blade_offset_mm.map(Blade::new);
    let mut tool = None;
    for step in sections.iter().flat_map(|s| &s.steps) {
        if tool != Some(step.tool) {
            file.select(step.tool);
            tool = Some(step.tool);
        }
        for line in lines(step, blade.as_mut()) {
            file.line(&frame.way(&line));
        }
    }
    file.park(frame.units(frame.parking));
    file.refuse_beyond(&frame)?;
    Ok(file.out.into_bytes())
}

/// What the tool's pivot does for a step; a pen has no blade.
fn lines(step: &Step, blade: Option<&mut Blade>) -> Vec<Vec<Point>> {
    match blade {
        Some(blade) if step.tool != Tool::Pen => step.strokes.iter().map(|s| blade.lead(s)).collect(),
        _ => step.strokes.clone(),
    }
}

/// From the film to the device.
struct Frame<'a> {
    device: &'a Device,
    /// Where x is counted from, in mm.
    zero: f64,
    /// Length and width of what the device is told of, in scaled mm.
    size: Point,
    width: f64,
    parking: Point,
}

impl<'a> Frame<'a> {
    fn new(plan: &Plan, sections: &[&Section], device: &'a Device) -> Self {
        let whole = plan.head_to.x;
        let (zero, end, parked) = match (device.zero, sections.first(), sections.last()) {
            (Zero::Section, Some(first), Some(last)) => (first.zero_mm, last.to_mm, last.to_mm),
            // Parked at the end of the film, the next file would pull all of it back.
            (Zero::Film, _, Some(last)) if last.number < plan.sections.len() => (0.0, whole, last.to_mm),
            _ => (0.0, whole, whole),
        };
        let width = plan.film.width;
        let size = Point { x: (end - zero) * device.feed_scale, y: width * device.cross_scale };
        Self { device, zero, size, width, parking: Point { x: parked, y: 0.0 } }
    }

    /// A line in the device's units. Places within its numbers may be twice as far apart as its largest: where the way
    /// is told as differences, a point half-way keeps each of them within the numbers.
    fn way(&self, line: &[Point]) -> Vec<[i64; 2]> {
        let mut way: Vec<[i64; 2]> = Vec::with_capacity(line.len());
        for (i, &p) in line.iter().enumerate() {
            let here = self.units(p);
            if let (Some(before), Some([x, y])) = (i.checked_sub(1), way.last())
                && self.device.relative
                && (here[0] - x).abs().max((here[1] - y).abs()) > self.device.largest
            {
                way.push(self.units((line[before] + p) * 0.5));
            }
            way.push(here);
        }
        way
    }

    /// A place on the film in the device's units.
    fn units(&self, p: Point) -> [i64; 2] {
        let d = self.device;
        let feed = (p.x - self.zero) * d.feed_scale;
        let cross = if d.mirror { self.width - p.y } else { p.y } * d.cross_scale;
        let centre = match d.origin {
            Origin::LowerLeft => Point { x: 0.0, y: 0.0 },
            Origin::Centre => self.size * 0.5,
        };
        // With the feed along Y the film is turned by a quarter, not mirrored.
        let (x, y) = match d.feed_axis {
            Axis::X => (feed - centre.x, cross - centre.y),
            Axis::Y => (self.size.y - cross - centre.y, feed - centre.x),
        };
        [x, y].map(|v| {
            #[expect(
                clippy::cast_possible_truncation,
                reason = "no film is 2^63 units long, and a cast saturates"
            )]
            let units = (v / d.unit_mm).round() as i64;
            units
        })
    }
}

/// The file as it grows.
struct File<'a> {
    out: String,
    /// Where the tool is, once it has moved.
    at: Option<[i64; 2]>,
    /// The greatest coordinates.
    reach: [i64; 2],
    /// The least coordinates.
    low: [i64; 2],
    device: &'a Device,
}

impl File<'_> {
    fn select(&mut self, tool: Tool) {
        let d = self.device;
        let _ = write!(self.out, "PU;SP{};", d.tools.number(tool));
        if let Some(speed) = d.speed_cm_per_s {
            let _ = write!(self.out, "VS{speed};");
        }
        if let Some(force) = d.force {
            let _ = write!(self.out, "FS{force};");
        }
        self.out.push_str("PA;");
    }

    /// Moves to the first point with the tool up, and on through the others with it down.
    fn line(&mut self, points: &[[i64; 2]]) {
        let Some((&first, rest)) = points.split_first() else { return };
        self.note(first);
        let mut here = first;
        let mut told = Vec::with_capacity(rest.len());
        for &p in rest {
            self.note(p);
            if p != here {
                told.push(if self.device.relative { [p[0] - here[0], p[1] - here[1]] } else { p });
                here = p;
            }
        }
        if told.is_empty() {
            return; // smaller than the device's unit
        }
        if self.at != Some(first) {
            let _ = write!(self.out, "PU{},{};", first[0], first[1]);
        }
        if self.device.relative {
            self.out.push_str("PD;PR;");
        }
        for chunk in told.chunks(POINTS) {
            self.out.push_str("PD");
            for (i, [x, y]) in chunk.iter().enumerate() {
                let _ = write!(self.out, "{}{x},{y}", if i > 0 { "," } else { "" });
            }
            self.out.push(';');
        }
        self.out.push_str(if self.device.relative { "PA;PU;" } else { "PU;" });
        self.at = Some(here);
    }

    fn note(&mut self, p: [i64; 2]) {
        for (i, v) in p.into_iter().enumerate() {
            self.reach[i] = self.reach[i].max(v);
            self.low[i] = self.low[i].min(v);
        }
    }

    /// Stows the tool outside the work.
    fn park(&mut self, at: [i64; 2]) {
        self.note(at);
        let _ = write!(self.out, "PU{},{};SP0;", at[0], at[1]);
        if self.device.page_end {
            self.out.push_str("PG;");
        }
    }

    fn refuse_beyond(&self, frame: &Frame<'_>) -> Result<(), Error> {
        let d = self.device;
        let mut problems = Problems::default();
        for (i, axis) in ["X", "Y"].into_iter().enumerate() {
            let most = self.reach[i].max(-self.low[i]);
            if most > d.largest {
                let mm = d.largest as f64 * d.unit_mm;
                let what = format!(
                    "the cut needs {most} units along {axis}, and {:?} takes {} at most, {mm:.1} mm",
                    d.name, d.largest
                );
                problems.push("plotter file", what, self.remedy(axis, frame));
            }
            if d.origin == Origin::LowerLeft && self.low[i] < 0 {
                let what =
                    format!("a coordinate along {axis} is {}, which such a device leaves out", self.low[i]);
                problems.push("plotter file", what, "nest with margins wider than the blade offset");
            }
        }
        if problems.0.is_empty() { Ok(()) } else { Err(Error::Unmet(problems)) }
    }

    fn remedy(&self, axis: &str, frame: &Frame<'_>) -> String {
        let along_feed = (axis == "X") == (self.device.feed_axis == Axis::X);
        if !along_feed {
            let wide = frame.width;
            return format!("a film {wide:.0} mm wide needs a device that takes larger numbers");
        }
        match self.device.zero {
            Zero::Film => "cut in sections on a profile with \"zero\": \"section\", or use a device that takes larger numbers".into(),
            Zero::Section => {
                let half = if self.device.origin == Origin::Centre { 2.0 } else { 1.0 };
                let room = self.device.largest as f64 * self.device.unit_mm * half / self.device.feed_scale;
                format!("cut in shorter sections: --section-length {:.0}", (room - 5.0).max(1.0).floor())
            }
        }
    }
}

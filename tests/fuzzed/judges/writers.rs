//! Cut files against their grammars: HP-GL as a plotter would run it, DXF pair by pair and read again.

use super::choice::Choice;
use super::nesting::{in_a_row, job, nested};
use super::refused;
use std::collections::BTreeSet;
use tuckroll::floor::device::{self, Axis, Device, Origin, Zero};
use tuckroll::floor::plan::{Options, Section, plan};
use tuckroll::floor::{Cutting, Dashes, MarkOptions, Weeding, Whole};
use tuckroll::job::Unit;
use tuckroll::layout::Layout;
use tuckroll::nest::{Effort, Limit};
use tuckroll::read::{ReadOptions, read};
use tuckroll::shape::Point;
use tuckroll::write::{self, DxfOptions, Layer, Version};

/// A layout in a row, or a nested one now and then, for what lies in holes.
fn layout(choice: &mut Choice<'_>) -> Option<Layout> {
    let nest = choice.chance(10);
    let job = job(choice)?;
    if nest { nested(&job, &Effort::new(1, Limit::Rounds(0))) } else { Some(in_a_row(&job)) }
}

fn plan_options(choice: &mut Choice<'_>, overcut: f64) -> Options {
    Options {
        section_length: choice.of(&[None, None, Some(100.0), Some(300.0), Some(1500.0)]),
        window: choice.number(&[400.0, 10.0], 5.0, 600.0),
        effort: choice.whole(0, 20),
        pens_by_window: choice.chance(30),
        whole: Whole { half_turn: choice.chance(30), mirrored: choice.chance(30) },
        cutting: Cutting { overcut, dashes: Dashes::default() },
        marks: if choice.chance(20) {
            Some(MarkOptions { arm: 0.5, line: 0.1, clearance: 0.1, drawing: None })
        } else {
            None
        },
        weeding: Weeding {
            strips: choice.of(&[None, None, Some(50.0)]),
            frame: choice.chance(20),
            clearance: choice.number(&[1.0], 0.1, 5.0),
        },
        test_cut: choice.of(&[None, None, Some(5.0)]),
        ..Options::default()
    }
}

fn device(choice: &mut Choice<'_>) -> Device {
    let text = r#"{"format": "tuckroll-device-1", "name": "any", "unit_mm": 0.025}"#;
    let plain = device::read(text.as_bytes(), "device.json").expect("a device profile");
    Device {
        unit_mm: choice.of(&[0.025, 0.02488]),
        origin: choice.of(&[Origin::LowerLeft, Origin::Centre]),
        feed_axis: choice.of(&[Axis::X, Axis::Y]),
        mirror: choice.chance(50),
        relative: choice.chance(50),
        largest: choice.of(&[999_999_999, 8_388_607, 32_767, 1000]),
        zero: choice.of(&[Zero::Film, Zero::Section]),
        feed_scale: choice.number(&[1.0, 0.9, 1.1], 0.9, 1.1),
        cross_scale: choice.number(&[1.0, 0.9, 1.1], 0.9, 1.1),
        speed_cm_per_s: choice.of(&[None, Some(1), Some(200)]),
        force: choice.of(&[None, Some(1), Some(9999)]),
        comment: choice.chance(50),
        page_end: choice.chance(50),
        blade_offset_mm: choice.of(&[None, None, Some(0.175), Some(0.25), Some(1.0)]),
        overcut_mm: choice.number(&[0.0, 20.0], 0.0, 2.0),
        ..plain
    }
}

pub fn hpgl(data: &[u8]) {
    let mut choice = Choice::new(data);
    let device = device(&mut choice);
    let options = plan_options(&mut choice, device.overcut_mm);
    let Some(layout) = layout(&mut choice) else { return };
    let plan = match plan(&layout, &options) {
        Ok(plan) => plan,
        Err(error) => return refused(&error),
    };
    let all: Vec<&Section> = plan.sections.iter().collect();
    let files = match device.zero {
        Zero::Film => vec![all],
        Zero::Section => all.into_iter().map(|s| vec![s]).collect(),
    };
    for sections in files {
        match write::hpgl(&plan, &sections, &device, "0f") {
            Ok(bytes) => Plotter::new(&device).run(&bytes).judge(&sections),
            Err(error) => refused(&error),
        }
    }
}

/// A plotter that knows the instructions of the profile and nothing else (Hewlett-Packard, HP-GL/2 and HP RTL
/// Reference Guide, 1996).
struct Plotter<'a> {
    device: &'a Device,
    at: [i64; 2],
    down: bool,
    relative: bool,
    tool: Option<u32>,
    ended: bool,
    /// Way with the tool down in mm on the film, the sides of which it consists, and how often it was lowered.
    drawn: f64,
    sides: u32,
    lowered: u32,
}

impl<'a> Plotter<'a> {
    fn new(device: &'a Device) -> Self {
        Self {
            device,
            at: [0; 2],
            down: false,
            relative: false,
            tool: None,
            ended: false,
            drawn: 0.0,
            sides: 0,
            lowered: 0,
        }
    }

    fn run(mut self, bytes: &[u8]) -> Self {
        let text = std::str::from_utf8(bytes).expect("ASCII");
        assert!(text.bytes().all(|b| (b' '..=b'~').contains(&b)), "{text}");
        let body = text
            .strip_prefix("IN;")
            .expect("it begins with IN;")
            .strip_suffix(';')
            .expect("a last semicolon");
        for instruction in body.split(';') {
            assert!(!self.ended, "something after the end: {instruction}");
            let (name, parameters) = instruction.split_at_checked(2).expect("two letters");
            self.step(name, parameters);
        }
        assert!(!self.down && self.tool == Some(0), "the tool is not stowed");
        assert_eq!(self.ended, self.device.page_end);
        self
    }

    fn step(&mut self, name: &str, parameters: &str) {
        match name {
            "CO" => {
                assert!(self.device.comment && parameters == "\"tuckroll layout sha256 0f\"", "{parameters}")
            }
            "PG" => self.ended = parameters.is_empty(),
            "SP" => self.tool = Some(parameters.parse().expect("a tool's number")),
            "VS" => assert_eq!(Some(parameters.parse().unwrap()), self.device.speed_cm_per_s),
            "FS" => assert_eq!(Some(parameters.parse().unwrap()), self.device.force),
            "PA" | "PR" => {
                assert!(parameters.is_empty() && (name == "PA" || self.device.relative));
                self.relative = name == "PR";
            }
            "PU" | "PD" => {
                self.lowered += u32::from(name == "PD" && !self.down);
                self.down = name == "PD";
                self.travel(parameters);
            }
            _ => panic!("{name}{parameters} is not in the profile"),
        }
    }

    fn travel(&mut self, parameters: &str) {
        let numbers: Vec<i64> = parameters
            .split(',')
            .filter(|n| !n.is_empty())
            .map(|n| n.parse().expect("a whole number"))
            .collect();
        assert!(numbers.len().is_multiple_of(2) && numbers.len() <= 64, "{parameters}");
        assert_eq!(numbers.len().saturating_sub(1), parameters.matches(',').count(), "{parameters}");
        assert!(numbers.iter().all(|n| n.abs() <= self.device.largest), "{parameters} is more than it takes");
        for pair in numbers.chunks(2) {
            let from = if self.relative { self.at } else { [0; 2] };
            let to = [from[0] + pair[0], from[1] + pair[1]];
            assert!(to.iter().all(|v| v.abs() <= self.device.largest), "{to:?} is too far");
            assert!(self.device.origin == Origin::Centre || to.iter().all(|v| *v >= 0), "{to:?} is below 0");
            if self.down {
                assert!(self.tool.is_some_and(|t| t > 0), "down without a tool");
                self.sides += 1;
                self.drawn += self.length([to[0] - self.at[0], to[1] - self.at[1]]);
            }
            self.at = to;
        }
    }

    /// How long a way is on the film: x along the feed and the scales undone.
    fn length(&self, [x, y]: [i64; 2]) -> f64 {
        let (feed, cross) = if self.device.feed_axis == Axis::X { (x, y) } else { (y, x) };
        let mm = |v: i64, scale: f64| v as f64 * self.device.unit_mm / scale;
        libm::hypot(mm(feed, self.device.feed_scale), mm(cross, self.device.cross_scale))
    }

    /// Where the device compensates its blade, the tool draws what the plan says, within the rounding of points.
    fn judge(&self, sections: &[&Section]) {
        if self.device.blade_offset_mm.is_some() {
            return;
        }
        let strokes = || sections.iter().flat_map(|s| &s.steps).flat_map(|s| &s.strokes);
        let meant: f64 = strokes().flat_map(|s| s.windows(2)).map(|w| apart(w[0], w[1])).sum();
        let points: usize = strokes().map(Vec::len).sum();
        let rounding = self.device.unit_mm * 1.6 * points as f64;
        assert!((self.drawn - meant).abs() <= rounding, "{} mm drawn, {meant} mm meant", self.drawn);
        // A difference may be told in two halves.
        let sides = if self.device.relative { 2 * points } else { points };
        assert!(self.lowered as usize <= strokes().count() && self.sides as usize <= sides);
    }
}

fn apart(a: Point, b: Point) -> f64 {
    libm::hypot(b.x - a.x, b.y - a.y)
}

pub fn dxf(data: &[u8]) {
    let mut choice = Choice::new(data);
    let options = DxfOptions {
        version: choice.of(&[Version::R12, Version::R2000, Version::R2010]),
        unit: choice.of(&[Unit::Millimetre, Unit::Inch]),
        labels: choice.chance(50),
        layout_sha256: choice.of(&[None, Some("0f\n  0\nEOF".to_owned())]),
    };
    let sections = choice.chance(30).then(|| plan_options(&mut choice, 0.0));
    let bare = choice.chance(60);
    let Some(mut layout) = layout(&mut choice) else { return };
    if bare {
        layout.panels.iter_mut().for_each(|p| p.lines.clear());
    }
    if let Some(sections) = sections {
        return match plan(&layout, &sections) {
            Ok(plan) => {
                let all: Vec<&Section> = plan.sections.iter().collect();
                match write::dxf_sections(&layout, &plan, &all, &options) {
                    Ok(bytes) => Pairs::of(&bytes).judge(),
                    Err(error) => refused(&error),
                }
            }
            Err(error) => refused(&error),
        };
    }
    match write::dxf(&layout, &options) {
        Ok(cut) => {
            Pairs::of(&cut.bytes).judge();
            if bare {
                same_areas(&layout, &cut.bytes, options.unit);
            }
        }
        Err(error) => refused(&error),
    }
}

/// What a knife would free is as large as the panels.
fn same_areas(layout: &Layout, bytes: &[u8], unit: Unit) {
    // Slivers side by side are nearer to each other than ends that the reader joins unless it is told otherwise.
    let join_tolerance_mm = layout.roll.tolerance() * layout.unit.in_mm();
    let options = ReadOptions { join_tolerance_mm, ..ReadOptions::default() };
    let back = read(bytes, "cut.dxf", &options).expect("it is read");
    let kiss = back.found.iter().filter(|f| f.layer == Layer::KissCut.name());
    let scale = layout.unit.in_mm() / unit.in_mm();
    let found: f64 = kiss.map(|f| f.region.area()).sum();
    let regions = || layout.placements.iter().flat_map(|p| &layout.panels[p.panel].parts);
    let meant: f64 = regions().map(|r| r.area() * scale * scale).sum();
    let edges: f64 = regions().flat_map(|r| r.rings()).map(|r| r.perimeter() * scale).sum();
    assert!((found - meant).abs() <= 2e-6 * edges + 1e-9 * meant, "{found} read, {meant} meant");
}

/// A DXF file as group codes and values.
struct Pairs<'a>(Vec<(u16, &'a str)>);

impl<'a> Pairs<'a> {
    fn of(bytes: &'a [u8]) -> Self {
        let text = std::str::from_utf8(bytes).expect("ASCII");
        assert!(text.bytes().all(|b| b == b'\n' || (b' '..=b'~').contains(&b)));
        let lines: Vec<&str> = text.strip_suffix('\n').expect("a last line break").split('\n').collect();
        assert!(lines.len().is_multiple_of(2), "a code without a value");
        Self(lines.chunks(2).map(|l| (l[0].trim_start().parse().expect("a group code"), l[1])).collect())
    }

    /// Values suit their codes (DXF Reference, "Group codes in numerical order"), handles are unique, and
    /// sections, tables, blocks and polylines are closed.
    fn judge(&self) {
        let mut handles = BTreeSet::new();
        let mut open: Vec<&str> = Vec::new();
        for &(code, value) in &self.0 {
            assert!(value.len() <= 255, "a line of {} characters", value.len());
            match code {
                10..=59 | 140..=149 | 210..=239 => {
                    assert!(value.parse::<f64>().is_ok_and(f64::is_finite), "{code} {value}")
                }
                60..=79 | 90..=99 | 170..=179 | 270..=289 | 370..=389 | 1070 => {
                    assert!(value.trim().parse::<i64>().is_ok(), "{code} {value}");
                }
                5 | 105 => assert!(
                    handles.insert(u64::from_str_radix(value, 16).expect("hexadecimal")),
                    "{value} twice"
                ),
                0 => Self::record(value, &mut open),
                1..=9 | 100..=102 | 290 | 330..=360 | 390 | 410 | 999 | 1000..=1009 => {}
                _ => panic!("code {code} is not one of ours"),
            }
        }
        assert!(open.is_empty() && self.0.last() == Some(&(0, "EOF")), "{open:?} at the end");
    }

    fn record<'b>(name: &'b str, open: &mut Vec<&'b str>) {
        let closes = match name {
            "ENDSEC" => "SECTION",
            "ENDTAB" => "TABLE",
            "ENDBLK" => "BLOCK",
            "SEQEND" => "POLYLINE",
            "SECTION" | "TABLE" | "POLYLINE" | "BLOCK" => {
                assert!(name != "SECTION" || open.is_empty());
                return open.push(name);
            }
            "VERTEX" => return assert_eq!(open.last(), Some(&"POLYLINE")),
            "EOF" => return assert!(open.is_empty()),
            _ => return assert!(open.last().is_some_and(|o| *o != "POLYLINE"), "{name} in {open:?}"),
        };
        assert_eq!(open.pop(), Some(closes), "{name}");
    }
}

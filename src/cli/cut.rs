//! `tuckroll cut`: layouts in, the plotter's files and the cut plan out.

use super::args::CutArgs;
use super::folder::Folder;
use super::input::{self, Source};
use super::kind::Kind;
use super::layouts::{self, Laid};
use super::names;
use super::output::{Target, sha256, version};
use super::{cut_result, say};
use std::path::{Path, PathBuf};
use tuckroll::floor::device::{self, Device, Zero};
use tuckroll::floor::plan::{self, Options, Plan, Section};
use tuckroll::floor::{Cutting, Dashes, MarkOptions, Weeding, Whole};
use tuckroll::job::{Day, Unit, stray_pens};
use tuckroll::layout::{self, Layout};
use tuckroll::read::Lines;
use tuckroll::shape::Point;
use tuckroll::write::{self, DxfOptions};
use tuckroll::{Error, Warning, read};

/// Plans the cut of checked layouts and writes its files.
pub fn run(args: CutArgs) -> Result<u8, Error> {
    let Target::Folder(path) = Target::folder_only(&args.out)? else {
        return Err(Error::Internal("a folder was not a folder".into()));
    };
    let drawing = args.marks.mark_drawing.as_deref();
    let inputs: Vec<&Path> =
        [&args.layout, &args.device].map(PathBuf::as_path).into_iter().chain(drawing).collect();
    let place = Folder::open(&path, Kind::Cut, args.files.replace, &inputs)?;
    let mut device = device(&args.device)?;
    if args.knife.blade_offset.is_some() {
        device.blade_offset_mm = args.knife.blade_offset;
    }
    let mut warnings = Vec::new();
    let options = options(&args, &device, &mut warnings)?;
    // At once: they may tell why there is no plan.
    say::warnings(&warnings);
    let layouts = layouts::typed(args.layout.clone())?;
    let pens: Vec<Warning> =
        layouts.iter().flat_map(|laid| stray_pens(&Day::from(laid.layout.as_job()))).collect();
    say::warnings(&pens);
    warnings.extend(pens);
    if layouts.len() > 1 && args.from_section > 1 {
        let what = "there are several pieces of film, each with sections of its own";
        return Err(Error::input("--from-section", what, "name the layout of one of them"));
    }
    let plans: Vec<Plan> =
        layouts.iter().map(|l| plan::plan(&l.layout, &options)).collect::<Result<_, _>>()?;
    let mut files = Vec::new();
    let mut pieces = Vec::new();
    for (Laid { piece, layout }, plan) in layouts.iter().zip(&plans) {
        let left = sections(plan, args.from_section)?;
        let made = Files { layout, plan, device: &device, args: &args }.all(&left)?;
        let folder = piece.as_ref().map_or_else(String::new, |id| format!("{id}/"));
        files.extend(made.into_iter().map(|(name, bytes)| (format!("{folder}{name}"), bytes)));
        pieces.push(cut_result::Piece { id: piece.as_deref(), layout, plan, left });
    }
    let written = place.commit(&files)?;
    let outcome = cut_result::Outcome { pieces: &pieces, files: &written, warnings: &warnings };
    if args.json {
        say::json(&outcome.json())?;
    } else {
        say::out(outcome.text().as_bytes())?;
    }
    Ok(0)
}

/// A shipped profile by its name, or one in a file.
pub fn device(typed: &Path) -> Result<Device, Error> {
    if let Some(shipped) = typed.to_str().and_then(device::named) {
        return shipped;
    }
    let source = Source::File(typed.to_owned());
    let bytes = source.bytes().map_err(|e| with_names(e, typed))?;
    device::read(&bytes, &source.name())
}

/// Says which profiles are there when a file is not.
fn with_names(e: Error, typed: &Path) -> Error {
    match e {
        Error::Input(_) if !typed.exists() => Error::input(
            format!("--device {}", typed.display()),
            "there is no such file, and no shipped profile of that name",
            format!("name a profile file, or {}", device::NAMES.join(" or ")),
        ),
        other => other,
    }
}

fn options(args: &CutArgs, device: &Device, warnings: &mut Vec<Warning>) -> Result<Options, Error> {
    let (knife, waste) = (args.knife, args.waste);
    Ok(Options {
        speeds: device.speeds,
        section_length: args.section_length,
        window: args.window,
        pens_by_window: args.pen_and_knife,
        whole: Whole { half_turn: args.half_turn, mirrored: args.mirrored },
        cutting: Cutting {
            overcut: knife.overcut.unwrap_or(device.overcut_mm),
            dashes: Dashes { cut: knife.dash, bridge: knife.bridge },
        },
        marks: if args.marks.marks { Some(marks(args, warnings)?) } else { None },
        weeding: Weeding {
            strips: waste.weed_strips,
            frame: waste.weed_frame,
            clearance: waste.weed_clearance,
        },
        test_cut: knife.test_cut,
        ..Options::default()
    })
}

fn marks(args: &CutArgs, warnings: &mut Vec<Warning>) -> Result<MarkOptions, Error> {
    let m = &args.marks;
    let mut marks =
        MarkOptions { arm: m.mark_arm, line: m.mark_line, clearance: m.mark_clearance, drawing: None };
    if let Some(path) = &m.mark_drawing {
        let source = Source::File(path.clone());
        let mut lines = read::lines(&source.bytes()?, &source.name(), &input::read_options(args.drawing))?;
        warnings.append(&mut lines.warnings);
        marks.drawing = Some(in_mm(lines, &source.name())?);
    }
    Ok(marks)
}

/// All lines of a drawing in mm.
fn in_mm(lines: Lines, name: &str) -> Result<Vec<(Vec<Point>, bool)>, Error> {
    let Some(mm) = lines.mm_per_unit else {
        let remedy = "save it with its unit, or as SVG with a width and height in mm";
        return Err(Error::input(name, "the drawing does not say its unit", remedy));
    };
    let scaled = |(points, closed): (Vec<Point>, bool)| (points.iter().map(|p| *p * mm).collect(), closed);
    Ok(lines.drawn.into_iter().map(scaled).collect())
}

/// The sections that are left to cut.
fn sections(plan: &Plan, from: usize) -> Result<Vec<&Section>, Error> {
    let count = plan.sections.len();
    if from == 0 || from > count.max(1) {
        let what = format!("there is no section {from}");
        return Err(Error::input("--from-section", what, format!("the plan has sections 1 to {count}")));
    }
    Ok(plan.sections.iter().skip(from - 1).collect())
}

/// Makes the files.
struct Files<'a> {
    layout: &'a Layout,
    plan: &'a Plan,
    device: &'a Device,
    args: &'a CutArgs,
}

impl Files<'_> {
    fn all(&self, left: &[&Section]) -> Result<Vec<(String, Vec<u8>)>, Error> {
        let hash = sha256(layout::write(self.layout).as_bytes());
        let plan = plan::write(self.plan, self.layout, Some(hash.clone()));
        let mut files = vec![(names::PLAN.to_owned(), plan.into_bytes())];
        let apart = self.args.each_section || self.device.zero == Zero::Section;
        if !apart || self.plan.sections.len() < 2 {
            files.extend(self.pair(names::PLOT, names::CUT, left, &hash)?);
            return Ok(files);
        }
        for &section in left {
            let (plot, cut) = names::section_names(section.number);
            files.extend(self.pair(&plot, &cut, &[section], &hash)?);
        }
        Ok(files)
    }

    fn pair(
        &self,
        plot: &str,
        cut: &str,
        sections: &[&Section],
        hash: &str,
    ) -> Result<[(String, Vec<u8>); 2], Error> {
        let options = DxfOptions {
            version: version(self.args.files.dxf),
            unit: Unit::from(self.args.files.cut_unit),
            labels: false,
            layout_sha256: Some(hash.to_owned()),
        };
        let plotted = write::hpgl(self.plan, sections, self.device, hash)?;
        let drawn = write::dxf_sections(self.layout, self.plan, sections, &options)?;
        Ok([(plot.to_owned(), plotted), (cut.to_owned(), drawn)])
    }
}

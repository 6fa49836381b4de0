//! Shapes of panels that lie in drawings.

use super::decode::{Choice, DrawingRef, ring_fault};
use super::files::Beside;
use super::whole::{Size, contour_points, region_excess};
use super::{Files, Panel, Unit};
use crate::json::{Path, Report};
use crate::read::{Drawing, Found, ReadOptions};
use crate::shape::{Bounds, Point, Region, Ring, first_overlap};
use crate::{Error, Problem};
use std::collections::{BTreeMap, BTreeSet};

/// Most contours that are listed when a choice is missing.
const MAX_LISTED: usize = 20;

/// File and the unit that it is said to be in.
type Key = (String, Option<&'static str>);

/// The drawings that a job or a kit names; each is read once for each unit it is said to be in.
pub(super) struct Drawings<'f> {
    files: Beside<'f>,
    options: ReadOptions,
    read: BTreeMap<Key, Option<Known>>,
    /// Those whose warnings are in the report.
    told: BTreeSet<Key>,
    /// Files that could not be fetched.
    missing: BTreeSet<String>,
    /// The first file that could not be read although it is there.
    pub failure: Option<Error>,
}

/// A drawing as read.
struct Known {
    drawing: Drawing,
    /// Indices of what is on each layer, and of all.
    by_layer: BTreeMap<String, Vec<usize>>,
    all: Vec<usize>,
}

impl Known {
    fn new(drawing: Drawing) -> Self {
        let mut by_layer: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (i, found) in drawing.found.iter().enumerate() {
            by_layer.entry(found.layer.clone()).or_default().push(i);
        }
        let all = (0..drawing.found.len()).collect();
        Self { drawing, by_layer, all }
    }

    fn on(&self, layer: Option<&str>) -> &[usize] {
        match layer {
            Some(layer) => self.by_layer.get(layer).map_or(&[], Vec::as_slice),
            None => &self.all,
        }
    }

    /// The outline of this number, if it is on the layer. They are numbered in their order from 1.
    fn numbered(&self, number: usize, layer: Option<&str>) -> Option<&Found> {
        let found = self.drawing.found.get(number.checked_sub(1)?)?;
        (found.number == number && layer.is_none_or(|l| l == found.layer)).then_some(found)
    }
}

impl<'f> Drawings<'f> {
    /// No drawing fetched yet.
    pub fn new(files: Beside<'f>, options: ReadOptions) -> Self {
        Self {
            files,
            options,
            read: BTreeMap::new(),
            told: BTreeSet::new(),
            missing: BTreeSet::new(),
            failure: None,
        }
    }

    /// Drawings that are known already are warned of once more: for the next order of a kit.
    pub fn begin_order(&mut self) {
        self.told.clear();
    }

    /// The contours that `wanted` means, for panels in `unit`. Problems stand at `path`; a drawing that cannot be
    /// read is reported once.
    pub fn chosen<'d>(
        &'d mut self,
        wanted: &'d DrawingRef,
        unit: Unit,
        path: &Path<'_>,
        report: &mut Report,
    ) -> Option<Chosen<'d>> {
        let key = (wanted.file.clone(), wanted.unit.map(Unit::name));
        if !self.read.contains_key(&key) {
            let known = self.fetch_and_read(wanted, path, report).map(Known::new);
            self.read.insert(key.clone(), known);
        }
        let known = self.read.get(&key)?.as_ref()?;
        if self.told.insert(key) {
            known.drawing.warnings.iter().for_each(|w| report.warn(w.clone()));
        }
        let Some(factor) = wanted.unit.map(Unit::in_mm).or(known.drawing.mm_per_unit) else {
            let what = format!("{:?} does not say in which unit it is drawn", wanted.file);
            report.problem(path, what, "give `file_unit`: \"mm\" or \"in\"");
            return None;
        };
        let found = choose(known, wanted, path, report)?;
        let chosen = Chosen { found, wanted, scale: Scale { factor, unit } };
        chosen.can_be_written(path, report).then_some(chosen)
    }

    fn fetch_and_read(
        &mut self,
        wanted: &DrawingRef,
        path: &Path<'_>,
        report: &mut Report,
    ) -> Option<Drawing> {
        if self.missing.contains(&wanted.file) {
            return None;
        }
        let bytes = match self.files.shared(&wanted.file) {
            Ok(bytes) => bytes,
            Err(e) => {
                self.failed(e, path, report);
                self.missing.insert(wanted.file.clone());
                return None;
            }
        };
        let options = ReadOptions { mm_per_unit: wanted.unit.map(Unit::in_mm), ..self.options };
        match crate::read::read(&bytes, &wanted.file, &options) {
            Ok(drawing) => Some(drawing),
            Err(e) => {
                self.failed(e, path, report);
                None
            }
        }
    }

    /// Puts the problems of a drawing into the report of the job.
    fn failed(&mut self, e: Error, path: &Path<'_>, report: &mut Report) {
        match e {
            Error::Input(problems) | Error::Unmet(problems) => {
                for p in problems.0 {
                    let what = if p.place.is_empty() { p.what } else { format!("{}: {}", p.place, p.what) };
                    report.problem(path, what, p.remedy);
                }
            }
            other => {
                report.problem(path, other.to_string(), "");
                self.failure.get_or_insert(other);
            }
        }
    }
}

/// What a panel takes from a drawing.
pub(super) struct Chosen<'d> {
    found: Vec<&'d Found>,
    wanted: &'d DrawingRef,
    scale: Scale,
}

impl Chosen<'_> {
    /// How many panels it gives.
    pub fn panels(&self) -> usize {
        if self.wanted.choice.all { self.found.len() } else { 1 }
    }

    /// How many points they have.
    pub fn points(&self) -> usize {
        contour_points(self.found.iter().map(|f| &f.region))
    }

    /// The size of the panels that `panel` becomes with it.
    pub fn size_with(&self, panel: &Panel) -> Size {
        Size::of_several(panel, self.panels(), self.points())
    }

    /// Whether a job or a layout may have such contours.
    fn can_be_written(&self, path: &Path<'_>, report: &mut Report) -> bool {
        let excess = self.found.iter().find_map(|f| Some((f.number, region_excess(&f.region)?)));
        let Some((number, (what, remedy))) = excess else { return true };
        report.problem(path, format!("contour {number} of {:?}: {what}", self.wanted.file), remedy);
        false
    }

    /// The shapes in the job's unit, one for each panel.
    pub fn shapes(&self, path: &Path<'_>, report: &mut Report) -> Option<Vec<Vec<Region>>> {
        let shapes = self.found.iter().map(|f| self.scale.region(f, path, report));
        let shapes = shapes.collect::<Option<Vec<Region>>>()?;
        if self.wanted.choice.all {
            return Some(shapes.into_iter().map(|r| vec![r]).collect());
        }
        if let Some((i, j)) = first_overlap(&shapes) {
            let [one, other] = [i, j].map(|i| self.found[i].number);
            let what = format!("contours {one} and {other} of {:?} overlap", self.wanted.file);
            let remedy = "parts of one panel lie apart: join them into one outline, or take each as a panel of its own";
            report.problem(path, what, remedy);
            return None;
        }
        Some(vec![shapes])
    }
}

/// The contours that `layer`, `pick` and `all` leave.
fn choose<'d>(
    known: &'d Known,
    wanted: &DrawingRef,
    path: &Path<'_>,
    report: &mut Report,
) -> Option<Vec<&'d Found>> {
    let Choice { layer, pick, all } = &wanted.choice;
    let (drawing, layer) = (&known.drawing, layer.as_deref());
    if pick.is_none() && report_broken(drawing, layer, path, report) {
        return None;
    }
    let on_layer = known.on(layer);
    let of = |i: &usize| &drawing.found[*i];
    if on_layer.is_empty() {
        let what = match layer {
            Some(layer) => format!("{:?} has no closed contour on layer {layer:?}", wanted.file),
            None => format!("{:?} has no closed contour", wanted.file),
        };
        report.problem(path, what, layers_remedy(drawing));
        return None;
    }
    let Some(numbers) = pick else {
        if on_layer.len() > 1 && !all {
            let what = list(on_layer.iter().map(of), wanted);
            report.problem(path, what, "choose with `layer` or `pick`, or take all with `all`: true");
            return None;
        }
        return Some(on_layer.iter().map(of).collect());
    };
    let before = report.problem_count();
    let mut picked: Vec<&Found> = Vec::new();
    let mut known_numbers: BTreeSet<usize> = BTreeSet::new();
    for number in numbers {
        match known.numbered(*number, layer) {
            Some(_) if !known_numbers.insert(*number) => {
                report.problem(
                    path,
                    format!("contour {number} is picked twice"),
                    "name it once; use `copies` for more",
                );
            }
            Some(f) => picked.push(f),
            None => {
                let there = list(on_layer.iter().map(of), wanted);
                let what = format!("there is no contour {number} to pick. {there}");
                report.problem(path, what, "");
            }
        }
    }
    report_broken_at(drawing, &picked, path, report);
    (report.problem_count() == before).then_some(picked)
}

/// Reports broken contours that may belong to a picked outline: of a hole that cannot be cut it would be as if it were
/// not there. One that lies apart, or all round the outline, is another piece.
fn report_broken_at(drawing: &Drawing, picked: &[&Found], path: &Path<'_>, report: &mut Report) {
    let mut told = BTreeSet::new();
    for found in picked {
        let own = found.region.bounds();
        for (i, broken) in drawing.broken.iter().enumerate().filter(|(_, b)| b.layer == found.layer) {
            let meets = broken.bounds.is_some_and(|b| b.near(&own, 0.0) && b.with(own) != b);
            if report.is_full() || !meets || !told.insert(i) {
                continue;
            }
            let Problem { place, what, remedy } = &broken.problem;
            let what =
                format!("contour {} cannot be told from what is broken at it: {place}: {what}", found.number);
            report.problem(path, what, remedy.as_str());
        }
    }
}

/// Reports the contours that cannot be cut as they are drawn, if their layer is asked for: to go
/// on without them would lose a piece in silence.
fn report_broken(drawing: &Drawing, layer: Option<&str>, path: &Path<'_>, report: &mut Report) -> bool {
    let before = report.problem_count();
    for broken in drawing.broken.iter().filter(|b| layer.is_none_or(|l| l == b.layer)) {
        let Problem { place, what, remedy } = &broken.problem;
        report.problem(path, format!("{place}: {what}"), remedy.as_str());
        if report.is_full() {
            break;
        }
    }
    report.problem_count() > before
}

fn layers_remedy(drawing: &Drawing) -> String {
    let mut layers: Vec<String> = drawing.found.iter().map(|f| format!("{:?}", f.layer)).collect();
    layers.sort();
    layers.dedup();
    layers.truncate(MAX_LISTED);
    if layers.is_empty() {
        "`tuckroll outlines` lists where its lines end open: close them in the drawing".into()
    } else {
        format!("it has contours on {}", layers.join(", "))
    }
}

/// The contours one by one: number, layer and size.
fn list<'d>(found: impl ExactSizeIterator<Item = &'d Found>, wanted: &DrawingRef) -> String {
    let count = found.len();
    let one = |f: &Found| {
        let b = f.region.bounds();
        let layer = if f.layer.is_empty() { String::new() } else { format!(" on layer {:?}", f.layer) };
        format!("{}{layer} ({:.3} x {:.3})", f.number, b.width(), b.height())
    };
    let listed: Vec<String> = found.take(MAX_LISTED).map(one).collect();
    let rest = count - listed.len();
    let rest = if rest > 0 { format!(" and {rest} more") } else { String::new() };
    format!("{:?} has {count} contours: {}{rest}", wanted.file, listed.join(", "))
}

/// From the unit of a drawing to that of the job.
#[derive(Clone, Copy)]
struct Scale {
    /// Millimetres in one unit of the drawing.
    factor: f64,
    unit: Unit,
}

impl Scale {
    /// The region in the job's unit. Numbers are kept as they are where the units are the same;
    /// otherwise each is rounded once for mm and inches (a product or a quotient with 25.4).
    fn region(&self, found: &Found, path: &Path<'_>, report: &mut Report) -> Option<Region> {
        let region = if self.factor.to_bits() == self.unit.in_mm().to_bits() {
            found.region.clone()
        } else {
            self.scaled(&found.region)
                .map_err(|what| {
                    let what =
                        format!("contour {} cannot be brought to {}: {what}", found.number, self.unit.name());
                    report.problem(path, what, "check `file_unit`");
                })
                .ok()?
        };
        self.check_size(&region, found, path, report).then_some(region)
    }

    fn scaled(&self, region: &Region) -> Result<Region, String> {
        let ring = |r: &Ring| {
            let points = r.points().iter().map(|p| Point { x: self.length(p.x), y: self.length(p.y) });
            Ring::new(points.collect()).map_err(|f| ring_fault(&f, self.unit.name()).0)
        };
        let holes = region.holes().iter().map(ring).collect::<Result<Vec<Ring>, String>>()?;
        Region::new(ring(region.outline())?, holes).map_err(|_| "its holes no longer lie apart".to_owned())
    }

    fn length(&self, v: f64) -> f64 {
        v * self.factor / self.unit.in_mm()
    }

    fn check_size(&self, region: &Region, found: &Found, path: &Path<'_>, report: &mut Report) -> bool {
        let limit = super::limits::max_length(self.unit);
        let Bounds { min, max } = region.bounds();
        let good = [min.x, min.y, max.x, max.y].iter().all(|v| v.abs() <= limit);
        if !good {
            let what = format!("contour {} reaches beyond {limit} {}", found.number, self.unit.name());
            report.problem(path, what, "check the unit of the drawing, or `file_unit`");
        }
        good
    }
}

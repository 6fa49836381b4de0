//! Shapes of panels that lie in drawings.

use super::decode::{Choice, DrawingRef, ring_fault};
use super::{Files, Unit};
use crate::json::{Path, Report};
use crate::read::{Drawing, Found, ReadOptions};
use crate::shape::{Bounds, Point, Region, Ring};
use crate::{Error, Problem};
use std::collections::BTreeMap;

/// Most contours that are listed when a choice is missing.
const MAX_LISTED: usize = 20;

/// The drawings that a job names; each file is fetched once, and read once for each unit it is
/// said to be in.
pub(super) struct Drawings<'f> {
    files: &'f dyn Files,
    options: ReadOptions,
    bytes: BTreeMap<String, Option<Vec<u8>>>,
    read: BTreeMap<(String, Option<&'static str>), Option<Drawing>>,
    /// The first file that could not be read although it is there.
    pub failure: Option<Error>,
}

impl<'f> Drawings<'f> {
    /// No drawing fetched yet.
    pub fn new(files: &'f dyn Files, options: ReadOptions) -> Self {
        Self { files, options, bytes: BTreeMap::new(), read: BTreeMap::new(), failure: None }
    }

    /// The shapes that `wanted` means, in `unit`: one for each panel. Problems stand at `path`;
    /// a drawing that cannot be read is reported once.
    pub fn shapes(
        &mut self,
        wanted: &DrawingRef,
        unit: Unit,
        path: &Path<'_>,
        report: &mut Report,
    ) -> Option<Vec<Vec<Region>>> {
        let key = (wanted.file.clone(), wanted.unit.map(Unit::name));
        if !self.read.contains_key(&key) {
            let drawing = self.fetch_and_read(wanted, path, report);
            self.read.insert(key.clone(), drawing);
        }
        let drawing = self.read.get(&key)?.as_ref()?;
        let Some(factor) = wanted.unit.map(Unit::in_mm).or(drawing.mm_per_unit) else {
            let what = format!("{:?} does not say in which unit it is drawn", wanted.file);
            report.problem(path, what, "give `file_unit`: \"mm\" or \"in\"");
            return None;
        };
        let chosen = choose(drawing, wanted, path, report)?;
        let scale = Scale { factor, unit };
        let shapes: Option<Vec<Region>> = chosen.iter().map(|f| scale.region(f, path, report)).collect();
        if wanted.choice.all {
            shapes.map(|s| s.into_iter().map(|r| vec![r]).collect())
        } else {
            shapes.map(|s| vec![s])
        }
    }

    fn fetch_and_read(
        &mut self,
        wanted: &DrawingRef,
        path: &Path<'_>,
        report: &mut Report,
    ) -> Option<Drawing> {
        if !self.bytes.contains_key(&wanted.file) {
            let fetched = self.files.fetch(&wanted.file);
            let bytes = fetched.map_err(|e| self.failed(e, path, report)).ok();
            self.bytes.insert(wanted.file.clone(), bytes);
        }
        let bytes = self.bytes.get(&wanted.file)?.as_ref()?;
        let options = ReadOptions { mm_per_unit: wanted.unit.map(Unit::in_mm), ..self.options };
        match crate::read::read(bytes, &wanted.file, &options) {
            Ok(mut drawing) => {
                drawing.warnings.drain(..).for_each(|w| report.warn(w));
                Some(drawing)
            }
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

/// The contours that `layer`, `pick` and `all` leave.
fn choose<'d>(
    drawing: &'d Drawing,
    wanted: &DrawingRef,
    path: &Path<'_>,
    report: &mut Report,
) -> Option<Vec<&'d Found>> {
    let Choice { layer, pick, all } = &wanted.choice;
    if pick.is_none() && report_broken(drawing, layer.as_deref(), path, report) {
        return None;
    }
    let on_layer: Vec<&Found> =
        drawing.found.iter().filter(|f| layer.as_ref().is_none_or(|l| *l == f.layer)).collect();
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
            report.problem(
                path,
                list(&on_layer, wanted),
                "choose with `layer` or `pick`, or take all with `all`: true",
            );
            return None;
        }
        return Some(on_layer);
    };
    let before = report.problem_count();
    let mut picked: Vec<&Found> = Vec::new();
    for number in numbers {
        match on_layer.iter().find(|f| f.number == *number) {
            Some(f) if picked.iter().any(|p| p.number == f.number) => {
                report.problem(
                    path,
                    format!("contour {number} is picked twice"),
                    "name it once; use `copies` for more",
                );
            }
            Some(f) => picked.push(f),
            None => {
                let what = format!("there is no contour {number} to pick. {}", list(&on_layer, wanted));
                report.problem(path, what, "");
            }
        }
    }
    (report.problem_count() == before).then_some(picked)
}

/// Reports the contours that cannot be cut as they are drawn, if their layer is asked for: to go
/// on without them would lose a piece in silence.
fn report_broken(drawing: &Drawing, layer: Option<&str>, path: &Path<'_>, report: &mut Report) -> bool {
    let before = report.problem_count();
    for broken in drawing.broken.iter().filter(|b| layer.is_none_or(|l| l == b.layer)) {
        let Problem { place, what, remedy } = &broken.problem;
        report.problem(path, format!("{place}: {what}"), remedy.as_str());
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
fn list(found: &[&Found], wanted: &DrawingRef) -> String {
    let one = |f: &&Found| {
        let b = f.region.bounds();
        let layer = if f.layer.is_empty() { String::new() } else { format!(" on layer {:?}", f.layer) };
        format!("{}{layer} ({:.3} x {:.3})", f.number, b.width(), b.height())
    };
    let listed: Vec<String> = found.iter().take(MAX_LISTED).map(one).collect();
    let rest = found.len() - listed.len();
    let rest = if rest > 0 { format!(" and {rest} more") } else { String::new() };
    format!("{:?} has {} contours: {}{rest}", wanted.file, found.len(), listed.join(", "))
}

/// From the unit of a drawing to that of the job.
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

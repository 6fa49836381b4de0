//! Job files in and out.

use super::caution::too_thin;
use super::decode::{Decoder, JobDraft, PanelDraft, Shape};
use super::drawing::Drawings;
use super::files::{Beside, read_input};
use super::kits::{Expansion, KitSheet, Orders};
use super::stray::{By, Stray, stray_line};
use super::whole::{Size, Tally, layout_excess, panel_excess};
use super::{Day, Files, Folder, Job, Kept, Panel, Roll, Unit, Variation, films, stock, wire};
use crate::json::{self, Node, Path, Report};
use crate::read::ReadOptions;
use crate::{Error, Warning};
use std::collections::BTreeMap;

/// A job and what there is to say about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Loaded {
    /// The job.
    pub job: Job,
    /// What the user should know.
    pub warnings: Vec<Warning>,
    /// A sheet for each order given as a kit.
    pub sheets: Vec<KitSheet>,
}

/// A day's work and what there is to say about it.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadedDay {
    /// The work.
    pub day: Day,
    /// What the user should know.
    pub warnings: Vec<Warning>,
    /// A sheet for each order given as a kit.
    pub sheets: Vec<KitSheet>,
}

/// How a job file is loaded.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LoadOptions {
    /// How its drawings are read.
    pub read: ReadOptions,
    /// Whether drawings outside the job's folder may be read.
    pub outside: bool,
    /// What is asked differently from the file.
    pub vary: Variation,
}

/// Loads a job file and the drawings it names.
///
/// # Errors
///
/// [`Error::Input`] with everything that is wrong with it, [`Error::Io`] when a file is there but cannot be read.
pub fn load(path: &std::path::Path, options: &LoadOptions) -> Result<Loaded, Error> {
    let name = path.display().to_string();
    let bytes = read_input(path)?;
    let files = Folder { outside: options.outside, ..Folder::of(path) };
    parse_varied(&bytes, &name, &files, &options.read, &options.vary)
}

/// Parses the bytes of a job file as it stands; see [`parse_varied`].
///
/// # Errors
///
/// As [`parse_varied`].
pub fn parse(bytes: &[u8], name: &str, files: &dyn Files, read: &ReadOptions) -> Result<Loaded, Error> {
    parse_varied(bytes, name, files, read, &Variation::default())
}

/// Parses the bytes of a job file, called `name` in problems, with what is asked differently; its
/// drawings come from `files`.
///
/// # Errors
///
/// [`Error::Input`] with everything that is wrong with it, [`Error::Io`] when a drawing is there
/// but cannot be read.
pub fn parse_varied(
    bytes: &[u8],
    name: &str,
    files: &dyn Files,
    read: &ReadOptions,
    vary: &Variation,
) -> Result<Loaded, Error> {
    let LoadedDay { day, warnings, sheets } = parse_day_varied(bytes, name, files, read, vary)?;
    let job = if day.several { None } else { day.single() };
    let job = job.ok_or_else(|| {
        Error::input(
            name,
            "the job has several pieces of film (`rolls` or `stock`), and one is wanted here",
            "give it to `tuckroll nest`, and one of the layouts it writes to this command",
        )
    })?;
    Ok(Loaded { job, warnings, sheets })
}

/// Loads a job file of one piece of film or several, and the drawings it names.
///
/// # Errors
///
/// As [`load`].
pub fn load_day(path: &std::path::Path, options: &LoadOptions) -> Result<LoadedDay, Error> {
    let name = path.display().to_string();
    let bytes = read_input(path)?;
    let files = Folder { outside: options.outside, ..Folder::of(path) };
    parse_day_varied(&bytes, &name, &files, &options.read, &options.vary)
}

/// Parses the bytes of a job file of one piece of film or several, as it stands.
///
/// # Errors
///
/// As [`parse`].
pub fn parse_day(
    bytes: &[u8],
    name: &str,
    files: &dyn Files,
    read: &ReadOptions,
) -> Result<LoadedDay, Error> {
    parse_day_varied(bytes, name, files, read, &Variation::default())
}

/// Parses the bytes of a job file of one piece of film or several, with what is asked differently.
///
/// # Errors
///
/// As [`parse`].
pub fn parse_day_varied(
    bytes: &[u8],
    name: &str,
    files: &dyn Files,
    read: &ReadOptions,
    vary: &Variation,
) -> Result<LoadedDay, Error> {
    let mut report = Report::new(name);
    let draft = {
        let tree = json::parse(bytes, name)?;
        Decoder::new(&mut report).job(&Node::root(&tree))
    };
    let files = &Kept::new(files);
    let mut drawings = Drawings::new(Beside::job(files), *read);
    let made = draft.and_then(|d| finish(d, &mut drawings, files, &Asked { read, vary }, &mut report));
    let (day, orders) = made.map_or((None, Orders::default()), |(day, orders)| (Some(day), orders));
    let failure = drawings.failure.or(orders.failure);
    if let Some(failure) = failure.filter(|_| report.problem_count() == 1) {
        return Err(failure);
    }
    let (day, mut warnings) = report.or_ok(day)?;
    if !orders.unmet.0.is_empty() {
        return Err(Error::Unmet(orders.unmet));
    }
    warnings.extend(super::cautions(&day));
    Ok(LoadedDay { day, warnings, sheets: orders.sheets })
}

/// The text of a job file. Shapes from drawings are written out.
pub fn write(job: &Job) -> String {
    json::to_text(&wire::WireJob::from(job))
}

/// The JSON Schema of the job format.
pub fn schema() -> String {
    json::schema::<wire::WireJob>()
}

/// How the files are read, and what is asked differently from them.
struct Asked<'a> {
    read: &'a ReadOptions,
    vary: &'a Variation,
}

/// Fetches shapes from drawings and checks what concerns the panels together.
fn finish(
    draft: JobDraft,
    drawings: &mut Drawings<'_>,
    files: &dyn Files,
    asked: &Asked<'_>,
    report: &mut Report,
) -> Option<(Day, Orders)> {
    let Asked { read, vary } = asked;
    let mut head = draft.head;
    vary.change_head(&mut head, report);
    let several = draft.rolls.is_some() || draft.stock.is_some();
    let rolls = match (draft.rolls, draft.stock) {
        (Some(rolls), _) => rolls,
        (None, Some(file)) => stock::rolls_of(&file, &mut head, files, report, &mut drawings.failure)?,
        (None, None) => head.roll.take().into_iter().collect(),
    };
    let panels_path = Path::ROOT.key("panels");
    let mut panels = Vec::with_capacity(draft.panels.len());
    let mut tally = Tally::on(&rolls);
    for (i, panel) in draft.panels.into_iter().enumerate() {
        let path = panels_path.index(i);
        let shaped = shaped(panel, head.unit, drawings, &mut tally, &path, report);
        panels.extend(shaped.into_iter().map(|p| (i, p)));
    }
    let widths = rolls.iter().map(|r| (r.piece.film.clone(), r.usable_width())).collect();
    let expansion =
        Expansion { files, read: **read, unit: head.unit, widths, films: draft.films, gores: vary.gores };
    let mut orders = expansion.orders(&draft.kits, tally, report);
    vary.refuse_vain_gores(orders.may_have_noses, report);
    if let Some((what, remedy)) = orders.tally.excess() {
        // Not all was made, so that nothing else can be said.
        report.problem(&panels_path, what, remedy);
        return None;
    }
    let made = std::mem::take(&mut orders.panels);
    check_names(&panels, &panels_path, report);
    check_ids(panels.iter().map(|(i, p)| (*i, p.id.as_str())), &panels_path, report);
    check_kit_ids(&panels, &made, report);
    let coarsest = rolls.iter().max_by(|a, b| a.thinnest().total_cmp(&b.thinnest()));
    if let Some(roll) = coarsest {
        check_thickness(&panels, &panels_path, roll, head.unit, report);
        check_thickness(&made, &Path::ROOT.key("kits"), roll, head.unit, report);
    }
    if let Some(finest) = rolls.iter().map(Roll::tolerance).reduce(f64::min) {
        check_lines(&panels, &panels_path, (head.gap, finest), report);
        check_lines(&made, &Path::ROOT.key("kits"), (head.gap, finest), report);
    }
    panels.extend(made);
    check_required(&panels, &panels_path, report);
    let panels: Vec<Panel> = panels.into_iter().map(|(_, p)| vary.changed(p)).collect();
    films::check(&rolls, &panels, report);
    if rolls.is_empty() {
        return None;
    }
    let day = Day {
        name: head.name,
        source: draft.source,
        unit: head.unit,
        rolls,
        several,
        gap: head.gap,
        panels,
        notes: head.notes,
        shop: head.shop,
    };
    if let Some((what, remedy)) = layout_excess(&day) {
        report.problem(&Path::ROOT, what, remedy);
    }
    Some((day, orders))
}

/// What was made of a drawing may have too long an id, one of many for all.
fn check_names(panels: &[(usize, Panel)], path: &Path<'_>, report: &mut Report) {
    let mut told = None;
    for (i, panel) in panels {
        if let Some((what, remedy)) = panel_excess(panel).filter(|_| told != Some(*i)) {
            report.problem(&path.index(*i), what, remedy);
            told = Some(*i);
        }
    }
}

/// Ids of panels that kits give differ from those written out.
fn check_kit_ids(written: &[(usize, Panel)], made: &[(usize, Panel)], report: &mut Report) {
    let ids: BTreeMap<&str, usize> = written.iter().map(|(i, p)| (p.id.as_str(), *i)).collect();
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    let kits = Path::ROOT.key("kits");
    for (kit, panel) in made {
        let id = panel.id.as_str();
        if let Some(i) = ids.get(id) {
            let what = format!("the panel id {id:?} is used by panels[{i}] already");
            report.problem(&kits.index(*kit).key("id"), what, "give the kit or the panel another id");
        } else if let Some(other) = seen.insert(id, *kit).filter(|k| k != kit) {
            let what = format!("the panel id {id:?} is used by kits[{other}] already");
            report.problem(&kits.index(*kit).key("id"), what, "give one of the kits another id");
        }
    }
}

/// A part so thin that the tolerance of the film swallows it is a mistake in the drawing.
fn check_thickness(panels: &[(usize, Panel)], path: &Path<'_>, roll: &Roll, unit: Unit, report: &mut Report) {
    for (i, panel) in panels {
        if let Some(what) = too_thin(panel, roll, unit) {
            let path = path.index(*i).named("panel", &panel.id);
            report.problem(&path, what, "is it drawn in the right unit?");
        }
    }
}

/// A knife that follows a line out of its panel runs into the next one.
fn check_lines(
    panels: &[(usize, Panel)],
    path: &Path<'_>,
    (gap, tolerance): (f64, f64),
    report: &mut Report,
) {
    for (i, panel) in panels {
        if let Some(Stray { line, near }) = stray_line(panel, By::Knife, 0.5 * gap + tolerance) {
            let path = path.index(*i).named("panel", &panel.id);
            let what = format!(
                "line {line} leaves the outline near ({:.3}, {:.3}): the knife would run into what lies beside the panel",
                near.x, near.y
            );
            report.problem(&path, what, "end the line at the outline, or at most half the gap beyond it");
        }
    }
}

/// The panel with its shape; several where a drawing gives several, and none where there are too many to make.
fn shaped(
    draft: PanelDraft,
    unit: Unit,
    drawings: &mut Drawings<'_>,
    tally: &mut Tally,
    path: &Path<'_>,
    report: &mut Report,
) -> Vec<Panel> {
    let panel = draft.panel;
    let wanted = match draft.shape {
        Shape::Here(parts) => {
            let panel = Panel { parts, ..panel };
            tally.add(Size::of(&panel));
            return vec![panel];
        }
        Shape::Drawing(wanted) => wanted,
    };
    let path = path.named("panel", &panel.id);
    let path = path.key("file");
    let Some(chosen) = drawings.chosen(&wanted, unit, &path, report) else { return vec![panel] };
    tally.add(chosen.size_with(&panel));
    if tally.is_over() {
        return Vec::new();
    }
    let Some(shapes) = chosen.shapes(&path, report) else { return vec![panel] };
    let id = |i: usize| if wanted.choice.all { format!("{}/{}", panel.id, i + 1) } else { panel.id.clone() };
    shapes.into_iter().enumerate().map(|(i, parts)| Panel { id: id(i), parts, ..panel.clone() }).collect()
}

/// Something must be cut.
fn check_required(panels: &[(usize, Panel)], path: &Path<'_>, report: &mut Report) {
    if !panels.is_empty() && panels.iter().all(|(_, p)| p.optional) {
        report.problem(
            path,
            "every panel is optional: nothing must be cut",
            "make at least one panel required",
        );
    }
}

/// Reports ids that occur twice; each comes with the index of the panel it stands in.
pub(crate) fn check_ids<'a>(
    ids: impl Iterator<Item = (usize, &'a str)>,
    path: &Path<'_>,
    report: &mut Report,
) {
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for (i, id) in ids.filter(|(_, id)| !id.is_empty()) {
        if let Some(first) = seen.get(id) {
            let what = format!("the id {id:?} is used by panels[{first}] already");
            report.problem(&path.index(i).key("id"), what, "give every panel an id of its own");
        } else {
            seen.insert(id, i);
        }
    }
}

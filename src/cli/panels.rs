//! `tuckroll panels`: flat panels from the dimensions of a body.

use super::args::PanelsArgs;
use super::folder::Folder;
use super::input::{self, Source};
use super::kind::Kind;
use super::names;
use super::output;
use super::table::{Lean, table};
use super::{clean, numbers, say};
use serde::Serialize;
use std::path::{Path, PathBuf};
use tuckroll::error::Shown;
use tuckroll::job::kits::{self, Films, KitOptions, KitPanels, PartSheet};
use tuckroll::job::limits::max_length;
use tuckroll::job::{self, Job, Panel, Roll, Shop, Unit};
use tuckroll::layout;
use tuckroll::panels::{Demand, Order};
use tuckroll::shape::{Bounds, Region};
use tuckroll::write::{self, DxfOptions};
use tuckroll::{Error, Warning};

/// Gap of the job that is written, in mm: between two kiss cuts, the common practice of 3 mm.
const GAP_MM: f64 = 3.0;

/// Makes the panels of a kit and writes patterns, job and fit sheet.
pub fn run(args: PanelsArgs) -> Result<u8, Error> {
    if args.out.as_os_str() == "-" {
        return piped(&args);
    }
    let inputs: Vec<&Path> = [&args.kit].into_iter().chain(&args.film).map(PathBuf::as_path).collect();
    let folder = Folder::open(&args.out, Kind::Panels, args.files.replace, &inputs)?;
    let made = make(&args)?;
    let (files, mut warnings) = files(&args, &made)?;
    let paths = folder.commit(&files)?;
    warnings.splice(0..0, made.warnings.iter().cloned());
    say::warnings(&warnings);
    if args.json {
        say::json(&Json::of(&made, &paths, &warnings))?;
    } else {
        say::out(told(&made, &paths).as_bytes())?;
        if args.width.is_none() {
            say::note("tell the usable width of the film with --width to get a job file, too");
        }
    }
    Ok(0)
}

/// Makes the panels of a kit and prints them as a job, for `tuckroll nest`.
fn piped(args: &PanelsArgs) -> Result<u8, Error> {
    if let Some(option) = args.files.vain().or(args.json.then_some("--json")) {
        return Err(Error::input(option, "'-o -' prints the job only", "name a folder, or leave it out"));
    }
    let Some(width) = args.width else {
        let what = "'-o -' prints a job, and a job needs the width of the film";
        return Err(Error::input("-o", what, "tell the usable width with --width"));
    };
    let made = make(args)?;
    say::warnings(&made.warnings);
    say::out(job::write(&job_of(&made, width)).as_bytes())?;
    Ok(0)
}

fn make(args: &PanelsArgs) -> Result<KitPanels, Error> {
    Source::refuse_twice(&args.kit, args.film.as_deref())?;
    let films = args.film.as_ref().map(|path| {
        let source = Source::of(path.clone());
        Films::parse(&source.bytes()?, &source.name())
    });
    let films = films.transpose()?;
    let source = Source::of(args.kit.clone());
    let bytes = source.bytes()?;
    let options = KitOptions {
        order: args.order.as_deref(),
        films: films.as_ref(),
        width: args.width,
        widths: &[],
        unit: None,
        read: input::read_options(args.drawing),
        gores: None,
    };
    let files = match &source {
        Source::File(path) => job::Folder { outside: args.outside_files, ..job::Folder::of(path) },
        Source::Stdin => job::Folder { root: PathBuf::from("."), outside: args.outside_files },
    };
    let made = kits::parse_kit(&bytes, &source.name(), &files, &options)?;
    if let Some(width) = args.width.filter(|width| *width > max_length(made.unit)) {
        let what = format!("{} {} is wider than film may be in a job", Shown(width), made.unit.name());
        return Err(Error::input("--width", what, "is it in the kit's unit?"));
    }
    Ok(made)
}

type Files = Vec<(String, Vec<u8>)>;

/// All files, and what the writers had to say.
fn files(args: &PanelsArgs, made: &KitPanels) -> Result<(Files, Vec<Warning>), Error> {
    let patterns = layout::table(&made.sheet.name, made.unit, &made.panels);
    let dxf = write::dxf(&patterns, &dxf_options(args))?;
    let mut files = vec![
        (names::PANELS.to_owned(), kits::write_panels(&made.panels, made.unit).into_bytes()),
        (names::PATTERNS_DXF.to_owned(), dxf.bytes),
        (names::PATTERNS_SVG.to_owned(), write::pattern_svg(&patterns)?.into_bytes()),
    ];
    if let Some(width) = args.width {
        files.push((names::JOB.to_owned(), job::write(&job_of(made, width)).into_bytes()));
    }
    files.extend(output::fit_sheets(std::slice::from_ref(&made.sheet)));
    Ok((files, dxf.warnings))
}

fn dxf_options(args: &PanelsArgs) -> DxfOptions {
    let version = output::version(args.files.dxf);
    DxfOptions { version, unit: args.files.cut_unit.into(), labels: true, layout_sha256: None }
}

/// A job of nothing but this kit, for `tuckroll nest`.
fn job_of(made: &KitPanels, width: f64) -> Job {
    let roll = Roll::plain(width);
    Job {
        name: made.sheet.name.clone(),
        source: None,
        unit: made.unit,
        roll,
        gap: GAP_MM / made.unit.in_mm(),
        panels: made.panels.clone(),
        notes: None,
        shop: Shop::default(),
    }
}

/// What came of it, for people.
fn told(made: &KitPanels, paths: &[PathBuf]) -> String {
    use Lean::{Left, Right};
    let mut rows = vec![["panel", "copies", "along x across", "film", "lies down"].map(str::to_owned)];
    for part in &made.sheet.parts {
        rows.extend(part.panels.iter().map(|row| {
            let panel = made.panels.iter().find(|p| p.id == row.id);
            [
                clean::one_line(&row.id).into_owned(),
                row.copies.to_string(),
                panel.map_or_else(String::new, |p| size(p, made.unit)),
                clean::one_line(&part.film.name).into_owned(),
                verdict(part),
            ]
        }));
    }
    let copies = made.panels.iter().map(|p| p.copies as usize).sum();
    format!(
        "{}: {}\n\n{}{}\nwritten  {}\n",
        clean::one_line(&made.sheet.name),
        numbers::count(copies, "panel"),
        table([Left, Right, Right, Left, Left], &rows),
        around(made),
        output::named(paths)
    )
}

/// The circumferences of the bodies, which show at once whether a diameter was meant.
fn around(made: &KitPanels) -> String {
    let told = |mm: f64| numbers::length(mm / made.unit.in_mm(), made.unit);
    let part = |part: &PartSheet| {
        let id = clean::one_line(&part.id).into_owned();
        Some(match part.around()? {
            (Some(fore), aft) if told(fore) != told(aft) => format!("{id} {} to {}", told(fore), told(aft)),
            (_, aft) => format!("{id} {}", told(aft)),
        })
    };
    let parts: Vec<String> = made.sheet.parts.iter().filter_map(part).collect();
    if parts.is_empty() { String::new() } else { format!("\n  around by tape: {}\n", parts.join(", ")) }
}

fn size(panel: &Panel, unit: Unit) -> String {
    let Some(b) = panel.parts.iter().map(Region::bounds).reduce(Bounds::with) else { return String::new() };
    format!("{} x {}", numbers::length(b.width(), unit), numbers::length(b.height(), unit))
}

fn verdict(part: &PartSheet) -> String {
    match &part.strain {
        None => "flat by itself".into(),
        Some(s) => format!(
            "{}: {:.1} % stretch, {:.1} % shrink, {}",
            s.verdict,
            100.0 * s.demand.stretch,
            100.0 * s.demand.shrink,
            s.order.words()
        ),
    }
}

/// What came of it, for scripts.
#[derive(Debug, Serialize)]
struct Json<'a> {
    exit_code: u8,
    name: &'a str,
    unit: &'static str,
    parts: Vec<PartJson<'a>>,
    files: Vec<String>,
    warnings: Vec<say::Finding>,
}

#[derive(Debug, Serialize)]
struct PartJson<'a> {
    id: &'a str,
    film: &'a str,
    pieces: u32,
    panels: Vec<PanelJson<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    strain: Option<StrainJson>,
}

#[derive(Debug, Serialize)]
struct PanelJson<'a> {
    id: &'a str,
    copies: u32,
    width_mm: f64,
    height_mm: f64,
    area_mm2: f64,
}

#[derive(Debug, Serialize)]
struct StrainJson {
    verdict: &'static str,
    order: &'static str,
    seam_excess_percent: f64,
    stretch_percent: f64,
    shrink_percent: f64,
    worst_from_base_mm: f64,
    orders: Vec<OrderJson>,
}

/// What an order of laying asks at the worst place.
#[derive(Debug, Serialize)]
struct OrderJson {
    order: &'static str,
    stretch_percent: f64,
    shrink_percent: f64,
}

impl OrderJson {
    fn of(order: Order, demand: Demand) -> Self {
        Self {
            order: order.words(),
            stretch_percent: 100.0 * demand.stretch,
            shrink_percent: 100.0 * demand.shrink,
        }
    }
}

impl<'a> Json<'a> {
    fn of(made: &'a KitPanels, paths: &[PathBuf], warnings: &[Warning]) -> Self {
        Self {
            exit_code: 0,
            name: &made.sheet.name,
            unit: made.unit.name(),
            parts: made.sheet.parts.iter().map(PartJson::of).collect(),
            files: output::paths(paths),
            warnings: say::findings(warnings),
        }
    }
}

impl<'a> PartJson<'a> {
    fn of(part: &'a PartSheet) -> Self {
        let panel = |row: &'a kits::PanelRow| {
            let b = row.parts.iter().map(Region::bounds).reduce(Bounds::with);
            PanelJson {
                id: &row.id,
                copies: row.copies,
                width_mm: b.map_or(0.0, |b| b.width()),
                height_mm: b.map_or(0.0, |b| b.height()),
                area_mm2: row.parts.iter().map(Region::area).sum(),
            }
        };
        let strain = part.strain.as_ref().map(|s| StrainJson {
            verdict: s.verdict,
            order: s.order.words(),
            seam_excess_percent: 100.0 * s.excess,
            stretch_percent: 100.0 * s.demand.stretch,
            shrink_percent: 100.0 * s.demand.shrink,
            worst_from_base_mm: s.worst_from_base,
            orders: s.orders.iter().map(|(order, demand)| OrderJson::of(*order, *demand)).collect(),
        });
        Self {
            id: &part.id,
            film: &part.film.id,
            pieces: part.pieces,
            panels: part.panels.iter().map(panel).collect(),
            strain,
        }
    }
}

//! `tuckroll outlines`: what is in a drawing, and how large it is.

use super::args::OutlinesArgs;
use super::input::{self, Source};
use super::table::{Lean, table};
use super::{clean, numbers, say};
use serde::Serialize;
use tuckroll::job::Unit;
use tuckroll::read::{self, Drawing, Found, ReadOptions};
use tuckroll::shape::Ring;
use tuckroll::{Error, Warning};

/// Reads the drawing and lists its outlines.
pub fn run(args: OutlinesArgs) -> Result<u8, Error> {
    let source = Source::of(args.file);
    let options = ReadOptions {
        mm_per_unit: args.unit.map(|unit| Unit::from(unit).in_mm()),
        ..input::read_options(args.drawing)
    };
    let name = source.name();
    let drawing = read::read(&source.bytes()?, &name, &options)?;
    if args.json {
        say::json(&Listing::of(&name, &drawing))?;
    } else {
        say::out(listing(&name, &drawing, args.unit.is_some()).as_bytes())?;
    }
    say::warnings(&warnings(&drawing));
    Ok(0)
}

/// Everything to be warned of: contours that cannot be cut come first.
fn warnings(drawing: &Drawing) -> Vec<Warning> {
    drawing.broken.iter().map(|broken| &broken.problem).chain(&drawing.warnings).cloned().collect()
}

/// The list as text.
fn listing(name: &str, drawing: &Drawing, unit_was_typed: bool) -> String {
    let name = clean::one_line(name);
    let found = numbers::count(drawing.found.len(), "closed outline");
    let unit = match (drawing.mm_per_unit, unit_was_typed) {
        (None, _) => "the file does not say its unit: tell it with --unit mm or --unit in".to_owned(),
        (Some(mm), true) => format!("1 unit = {} mm, as you said", numbers::short(mm)),
        (Some(mm), false) => format!("1 unit = {} mm, as the file says", numbers::short(mm)),
    };
    let head = format!("{name}: {found}; {unit}\n");
    if drawing.found.is_empty() { head } else { format!("{head}\n{}", rows(drawing)) }
}

fn rows(drawing: &Drawing) -> String {
    use Lean::{Left, Right};
    let heading =
        ["no", "layer", "from x, y", "size in units", "size in mm", "area in cm2", "holes", "points"];
    let mut rows = vec![heading.map(str::to_owned)];
    rows.extend(drawing.found.iter().map(|found| row(found, drawing.mm_per_unit)));
    table([Right, Left, Right, Right, Right, Right, Right, Right], &rows)
}

fn row(found: &Found, mm_per_unit: Option<f64>) -> [String; 8] {
    let bounds = found.region.bounds();
    let in_mm = |f: &dyn Fn(f64) -> String| mm_per_unit.map_or_else(|| "?".to_owned(), f);
    [
        found.number.to_string(),
        clean::one_line(&found.layer).into_owned(),
        format!("{:.1}, {:.1}", bounds.min.x, bounds.min.y),
        format!("{:.3} x {:.3}", bounds.width(), bounds.height()),
        in_mm(&|mm| format!("{:.1} x {:.1}", bounds.width() * mm, bounds.height() * mm)),
        in_mm(&|mm| format!("{:.2}", found.region.area() * mm * mm / 100.0)),
        found.region.holes().len().to_string(),
        found.region.rings().map(|ring| ring.points().len()).sum::<usize>().to_string(),
    ]
}

/// The list as JSON: numbers without a unit in their names are in the drawing's own; without a
/// known unit the sizes in mm are `null`.
#[derive(Debug, Serialize)]
struct Listing<'a> {
    file: &'a str,
    mm_per_unit: Option<f64>,
    outlines: Vec<Outline<'a>>,
    broken: Vec<say::Finding>,
    warnings: Vec<say::Finding>,
}

#[derive(Debug, Serialize)]
struct Outline<'a> {
    number: usize,
    layer: &'a str,
    from_x: f64,
    from_y: f64,
    width: f64,
    height: f64,
    width_mm: Option<f64>,
    height_mm: Option<f64>,
    area_mm2: Option<f64>,
    holes: usize,
    points: usize,
}

impl<'a> Listing<'a> {
    fn of(file: &'a str, drawing: &'a Drawing) -> Self {
        Self {
            file,
            mm_per_unit: drawing.mm_per_unit,
            outlines: drawing.found.iter().map(|found| Outline::of(found, drawing.mm_per_unit)).collect(),
            broken: say::findings(drawing.broken.iter().map(|broken| &broken.problem)),
            warnings: say::findings(&drawing.warnings),
        }
    }
}

impl<'a> Outline<'a> {
    fn of(found: &'a Found, mm_per_unit: Option<f64>) -> Self {
        let bounds = found.region.bounds();
        let mm = |value: f64| mm_per_unit.map(|mm| value * mm);
        Self {
            number: found.number,
            layer: &found.layer,
            from_x: bounds.min.x,
            from_y: bounds.min.y,
            width: bounds.width(),
            height: bounds.height(),
            width_mm: mm(bounds.width()),
            height_mm: mm(bounds.height()),
            area_mm2: mm_per_unit.map(|mm| found.region.area() * mm * mm),
            holes: found.region.holes().len(),
            points: found.region.rings().map(|ring: &Ring| ring.points().len()).sum(),
        }
    }
}

//! The cut file: DXF in the roll frame, at true size.
//!
//! R12 with closed POLYLINEs is the default, as every reader takes it; R2000 and R2010
//! carry LWPOLYLINEs. Only polylines are written, one per contour: no arcs, splines, blocks
//! or texts, each of which some reader drops. The text is written here rather than by a
//! library so that the same layout gives the same bytes, and because the record structure
//! that strict readers ask for (table handles, owners, model space) has to be complete. An
//! independent reader then counts what is in the file.

mod entities;
mod pairs;
mod reread;
mod skeleton;

use std::collections::BTreeMap;

use entities::Drawing;
use pairs::Pairs;

use super::coincident::{self, Coincident};
use super::sheet::{Contour, Sheet};
use super::{Layer, labels, section};
use crate::error::{Error, Warning};
use crate::floor::plan::{Plan, Section};
use crate::job::Unit;
use crate::layout::Layout;
use crate::shape::{Bounds, Point};

/// Version of the DXF file.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Version {
    /// AC1009: POLYLINE with VERTEX; what every reader takes.
    #[default]
    R12,
    /// AC1015: LWPOLYLINE.
    R2000,
    /// AC1024: LWPOLYLINE.
    R2010,
}

impl Version {
    /// The name in `$ACADVER` (DXF Reference, header variables).
    fn code(self) -> &'static str {
        match self {
            Self::R12 => "AC1009",
            Self::R2000 => "AC1015",
            Self::R2010 => "AC1024",
        }
    }
}

/// How the cut file is to be written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DxfOptions {
    /// Version of the file.
    pub version: Version,
    /// Unit of its coordinates, whatever the layout's own unit is.
    pub unit: Unit,
    /// Whether the panels' names are drawn in the waste beside them.
    pub labels: bool,
    /// SHA-256, in hexadecimal, of the layout as this program writes it; goes into a comment.
    pub layout_sha256: Option<String>,
}

impl Default for DxfOptions {
    fn default() -> Self {
        Self { version: Version::R12, unit: Unit::Millimetre, labels: true, layout_sha256: None }
    }
}

/// How much stands on one layer.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Count {
    /// Closed contours.
    pub closed: usize,
    /// Open lines.
    pub open: usize,
    /// Vertices of both.
    pub vertices: usize,
}

/// What a cut file holds.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Counts {
    /// Contours layer by layer; layers without any are left out.
    pub layers: BTreeMap<Layer, Count>,
    /// Panels with their name in the waste beside them.
    pub labels_placed: usize,
    /// Panels whose name had no room there and stands on the map only.
    pub labels_on_map_only: usize,
    /// Pairs of cuts of different panels that lie on each other.
    pub coincident_cuts: usize,
    /// How long they do so, in the layout's own unit.
    pub coincident_length: f64,
}

/// A cut file and what is to be known about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// The file. The same layout and options give the same bytes.
    pub bytes: Vec<u8>,
    /// What whoever cuts it should know.
    pub warnings: Vec<Warning>,
    /// What it holds.
    pub counts: Counts,
}

/// Writes the cut file of a layout.
///
/// Coordinates are rounded to 1e-6 mm or 1e-8 in. Points that fall together are written
/// once, and no contour repeats its first point. A closed line of two points is an open one.
///
/// # Errors
///
/// [`Error::Input`] when a coordinate is not finite or absurdly far away, and
/// [`Error::Internal`] when the written file does not read back as it was meant.
pub fn dxf(layout: &Layout, options: &DxfOptions) -> Result<Cut, Error> {
    let sheet = Sheet::new(layout, options.unit)?;
    let mut warnings = Vec::new();
    let mut counts = Counts::default();

    let mut lines = furniture(&sheet, options.unit);
    if options.labels {
        let labels = labels::place(layout, &sheet, options.unit)?;
        counts.labels_placed = labels.placed.len();
        counts.labels_on_map_only = labels.missing.len();
        warnings.extend(labels.warning(layout));
        lines.extend(labels.placed.iter().flat_map(labels::Label::contours));
    }
    let tolerance = layout.roll.tolerance();
    if layout.gap <= tolerance {
        let found = coincident::find(&sheet, options.unit, layout.unit, tolerance);
        counts.coincident_cuts = found.pairs;
        counts.coincident_length = found.length;
        warnings.extend(coincident_warning(&found, layout.unit));
    }

    let area = extent(&sheet, &lines);
    lines.extend(sheet.contours());
    let (text, drawn, vanished) = file(layout, options, &lines, area);
    if vanished > 0 {
        warnings.push(Warning::new(
            "cut file",
            format!("{vanished} lines are smaller than the file's last digit and are left out"),
            "remove specks from the drawings",
        ));
    }
    counts.layers = drawn;
    let bytes = text.into_bytes();
    reread::confirm(&bytes, &counts.layers)?;
    Ok(Cut { bytes, warnings, counts })
}

/// Writes the cut file of some sections of a plan: their contours in the order of the plan, each
/// from its start point on, through cuts as dashes, registration marks as printed lines.
///
/// # Errors
///
/// As [`dxf()`].
pub fn dxf_sections(
    layout: &Layout,
    plan: &Plan,
    sections: &[&Section],
    options: &DxfOptions,
) -> Result<Vec<u8>, Error> {
    let mut sheet = Sheet::new(layout, options.unit)?;
    // Flaws are known where they lie before the film was turned round.
    sheet.flaws =
        layout.roll.flaws.iter().map(|f| section::scaled(&plan.film.ring(f), options.unit)).collect();
    let mut lines = furniture(&sheet, options.unit);
    lines.extend(section::contours(sections, options.unit));
    let area = Bounds::of(lines.iter().flat_map(|c| &c.points)).unwrap_or(sheet.usable);
    let (text, drawn, _) = file(layout, options, &lines, area);
    let bytes = text.into_bytes();
    reread::confirm(&bytes, &drawn)?;
    Ok(bytes)
}

/// Decimals of every coordinate: a nanometre in mm, a quarter of that in inches; both a
/// thousandth of the tolerance of the narrowest films.
fn decimals(unit: Unit) -> (usize, f64) {
    match unit {
        Unit::Millimetre => (6, 1e6),
        Unit::Inch => (8, 1e8),
    }
}

fn file(
    layout: &Layout,
    options: &DxfOptions,
    lines: &[Contour],
    area: Bounds,
) -> (String, BTreeMap<Layer, Count>, usize) {
    let (digits, steps) = decimals(options.unit);
    let mut body = Pairs::new(digits);
    let mut owner = 0;
    if options.version == Version::R12 {
        skeleton::tables_r12(&mut body);
    } else {
        let spaces = skeleton::tables(&mut body);
        skeleton::blocks(&mut body, &spaces);
        owner = spaces.model();
    }
    body.section("ENTITIES");
    let mut drawing = Drawing::new(body, options.version, owner, steps);
    lines.iter().for_each(|c| drawing.add(c));
    let Drawing { out: mut body, counts, vanished, .. } = drawing;
    body.end_section();
    if options.version != Version::R12 {
        skeleton::objects(&mut body);
    }
    body.text(0, "EOF");

    let mut head = Pairs::new(digits);
    comments(&mut head, layout, options);
    skeleton::header(&mut head, options.version, options.unit, area, body.free_handle());
    let mut text = head.finish();
    text.push_str(&body.finish());
    (text, counts, vanished)
}

/// Comments at the head of the file, for people and for whoever matches file and layout.
fn comments(out: &mut Pairs, layout: &Layout, options: &DxfOptions) {
    out.text(999, &format!("tuckroll: unit {}", options.unit.name()));
    if let Some(hash) = &options.layout_sha256 {
        out.text(999, &format!("tuckroll: layout sha256 {hash}"));
    }
    // A line of an R12 file holds 255 characters.
    let name: String = layout.name.chars().take(120).collect();
    out.text(999, &format!("tuckroll: name {name}"));
    out.text(
        999,
        &format!("tuckroll: the square on {} measures 100 mm; it is not cut", Layer::ScaleCheck.name()),
    );
}

/// Film edge, flaws and the square that shows the scale.
fn furniture(sheet: &Sheet, unit: Unit) -> Vec<Contour> {
    let rectangle = |layer: Layer, min: Point, max: Point| Contour {
        layer,
        closed: true,
        points: vec![min, Point { x: max.x, y: min.y }, max, Point { x: min.x, y: max.y }],
    };
    let origin = Point { x: 0.0, y: 0.0 };
    let mut lines = vec![rectangle(Layer::FilmEdge, origin, Point { x: sheet.length, y: sheet.width })];
    // Past the end of the layout: a host that knows no layers and cuts it spoils no panel,
    // and the origin of the drawing stays where it is.
    let mm = 1.0 / unit.in_mm();
    let corner = Point { x: sheet.length + 10.0 * mm, y: 0.0 };
    let far = Point { x: corner.x + 100.0 * mm, y: 100.0 * mm };
    lines.push(rectangle(Layer::ScaleCheck, corner, far));
    lines.extend(sheet.flaws.iter().map(|points| Contour {
        layer: Layer::Flaw,
        closed: true,
        points: points.clone(),
    }));
    lines
}

fn extent(sheet: &Sheet, lines: &[Contour]) -> Bounds {
    let origin = Point { x: 0.0, y: 0.0 };
    let drawn = lines.iter().flat_map(|c| &c.points);
    let pieces = sheet.pieces.iter().flat_map(|p| [&p.bounds.min, &p.bounds.max]);
    Bounds::of(drawn.chain(pieces)).unwrap_or(Bounds { min: origin, max: origin })
}

fn coincident_warning(found: &Coincident, unit: Unit) -> Option<Warning> {
    (found.pairs > 0).then(|| {
        Warning::new(
            "cut file",
            format!(
                "{} cuts of neighbouring panels lie on each other over {:.1} {} in all, which the knife runs twice",
                found.pairs,
                found.length,
                unit.name()
            ),
            "nest with a gap above 0, or remove one of each pair at the machine",
        )
    })
}

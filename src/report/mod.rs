//! What there is to say about a layout, in numbers: what `report.json`, `report.html` and
//! `kits.csv` all show.
//!
//! A [`Report`] is made once and then only written; no writer computes a number of its own. All
//! lengths are in millimetres in the roll frame, whatever the layout's unit, and the names say so.

mod cut;
mod kits;
mod model;
mod money;
mod pieces;

pub use model::{
    Cut, CutSection, Film, Kit, LeftOut, Measured, Money, Notice, Offcut, Piece, Repeat, Report,
};

use crate::floor::plan::Options;
use crate::layout::Layout;
use crate::{Error, Warning, cost, nest};
use model::FORMAT;

/// What is known of a layout beside itself.
#[derive(Debug, Clone, Copy, Default)]
pub struct Circumstances<'a> {
    /// SHA-256, in hexadecimal, of the layout as this program writes it.
    pub layout_sha256: &'a str,
    /// What was warned of on the way to it.
    pub warnings: &'a [Warning],
    /// What was asked for and found no film.
    pub left_out: &'a [LeftOut],
    /// How it is cut; `None` stands for one section at the speeds of a small roll cutter.
    pub cutting: Option<&'a Options>,
}

/// The report of a layout. The same layout and circumstances give the same report.
///
/// # Errors
///
/// [`Error::Input`] when some prices are there and the price of the film is missing;
/// [`Error::Unmet`] when a panel is longer than a section may be, or fits its film at no permitted
/// heading, which no layout that passes the check has.
pub fn report(layout: &Layout, known: &Circumstances<'_>) -> Result<Report, Error> {
    let pieces = pieces::in_order_of_the_roll(layout);
    let mut kits = kits::in_order_of_the_job(layout, &pieces);
    let money = money::charge(layout, &mut kits)?;
    Ok(Report {
        format: FORMAT,
        name: layout.name.clone(),
        unit: layout.unit,
        layout_sha256: known.layout_sha256.to_owned(),
        film: film(layout),
        measured: measured(layout)?,
        kits,
        money,
        cut: cut::planned(layout, known.cutting)?,
        offcuts: money::offcuts(layout),
        pieces,
        left_out: known.left_out.to_vec(),
        warnings: known.warnings.iter().map(Notice::from).collect(),
        repeat: layout.made_by.as_ref().map(Repeat::from),
    })
}

/// The JSON Schema of the report format.
pub fn schema() -> String {
    crate::json::schema::<Report>()
}

/// Whether the bytes are a report file.
pub fn is_report(bytes: &[u8]) -> bool {
    crate::json::has_format(bytes, FORMAT)
}

/// The text of a report file: keys in a fixed order, every number with the fewest digits that
/// read back to the same value.
pub fn write(report: &Report) -> String {
    crate::json::to_text(report)
}

fn film(layout: &Layout) -> Film {
    let (roll, mm) = (&layout.roll, layout.unit.in_mm());
    Film {
        width_mm: roll.width * mm,
        edge_margins_mm: roll.edge_margin.map(|m| m * mm),
        lead_margin_mm: roll.lead_margin * mm,
        tail_margin_mm: roll.tail_margin * mm,
        gap_mm: layout.gap * mm,
        roll: roll.piece.id.clone(),
        film: roll.piece.film.clone(),
        left_mm: cost::film_left(layout).map(|left| left * mm),
    }
}

fn measured(layout: &Layout) -> Result<Measured, Error> {
    let (m, mm) = (&layout.measures, layout.unit.in_mm());
    // The search may beat the bound by a rounding error.
    let bound = nest::lower_bound(&layout.as_job())?.min(m.length);
    Ok(Measured {
        length_mm: m.length * mm,
        film_area_mm2: layout.roll.width * m.length * mm * mm,
        panel_area_mm2: m.panel_area * mm * mm,
        filler_area_mm2: m.filler_area * mm * mm,
        waste_percent: m.waste_percent,
        density_percent: m.density_percent,
        lower_bound_mm: bound * mm,
        bound_gap_percent: if m.length > 0.0 { 100.0 * (1.0 - bound / m.length) } else { 0.0 },
        pieces: layout.placements.len(),
    })
}

//! The panels: a table with sizes and copies, and a drawing of each.

use super::{draw, plain};
use crate::job::Unit;
use crate::job::kits::{KitSheet, PanelRow, PartSheet};
use crate::panels::MarkKind;
use crate::shape::{Bounds, Region};
use maud::{Markup, html};

/// Greatest extents of a panel's drawing on paper, in mm.
const LARGEST: [f64; 2] = [84.0, 60.0];

/// Width of the page, in mm, for panels that are long.
const WHOLE_LINE: f64 = 176.0;

/// The table.
pub(super) fn table(sheet: &KitSheet) -> Markup {
    html! {
        table {
            tr { th { "Part" } th { "Panel" } th class="n" { "Copies" } th { "Along x across" } th class="n" { "Area of all" } th { "Film" } }
            @for part in &sheet.parts {
                @for (i, row) in part.panels.iter().enumerate() {
                    tr {
                        td { @if i == 0 { (part.id) ": " (part.what) (around(part, sheet.unit)) } }
                        td class="w" { (row.id) }
                        td class="n" { (row.copies) }
                        td class="w" { (size(row, sheet)) }
                        td class="n" { (area(row, sheet.unit)) }
                        td class="w" { (plain(&part.film.name)) }
                    }
                }
                @if part.covered_by_previous {
                    tr { td { (part.id) ": " (part.what) } td colspan="5" { "covered by the panels of the part before" } }
                }
            }
        }
    }
}

fn size(row: &PanelRow, sheet: &KitSheet) -> String {
    let Some(b) = bounds(row) else { return String::new() };
    format!("{} x {}", draw::length(b.width(), sheet.unit), draw::length(b.height(), sheet.unit))
}

fn area(row: &PanelRow, unit: Unit) -> String {
    let one: f64 = row.parts.iter().map(Region::area).sum();
    let all = one * f64::from(row.copies);
    match unit {
        Unit::Millimetre => format!("{:.1} cm\u{b2}", all / 100.0),
        Unit::Inch => format!("{:.1} in\u{b2}", all / (unit.in_mm() * unit.in_mm())),
    }
}

/// What a tape must tell of the body before it is covered.
fn around(part: &PartSheet, unit: Unit) -> String {
    let told = |mm: f64| draw::length(mm, unit);
    match part.around() {
        None => String::new(),
        Some((None, aft)) => format!("; {} around the base", told(aft)),
        Some((Some(fore), aft)) if told(fore) == told(aft) => format!("; {} around", told(aft)),
        Some((Some(fore), aft)) => format!("; {} around the fore end, {} the aft end", told(fore), told(aft)),
    }
}

fn bounds(row: &PanelRow) -> Option<Bounds> {
    row.parts.iter().map(Region::bounds).reduce(Bounds::with)
}

/// The drawings.
pub(super) fn drawings(sheet: &KitSheet) -> Markup {
    html! {
        div class="pieces" {
            @for part in &sheet.parts {
                @for row in &part.panels {
                    @if let Some(b) = bounds(row) { (drawing(part, row, &b)) }
                }
            }
        }
    }
}

/// A panel's drawing is no smaller than this where a line of its own makes it larger: letters of
/// the marks can be read.
const LEGIBLE: f64 = 0.35;

fn scale(b: &Bounds) -> f64 {
    let within = |width: f64| (width / b.width()).min(LARGEST[1] / b.height()).min(1.0);
    let beside = within(LARGEST[0]);
    if beside < LEGIBLE { within(WHOLE_LINE) } else { beside }
}

fn drawing(part: &PartSheet, row: &PanelRow, b: &Bounds) -> Markup {
    let scale = scale(b);
    let border = 1.0 / scale;
    let (w, h) = (b.width() + 2.0 * border, b.height() + 2.0 * border);
    let view = format!("{:.2} {:.2} {w:.2} {h:.2}", b.min.x - border, -b.max.y - border);
    let thin = format!("{:.3}", 0.15 / scale);
    let thick = format!("{:.3}", 0.3 / scale);
    let copies = match (row.copies, row.marks.iter().any(|m| m.copy.is_some())) {
        (1, _) => String::new(),
        (n, true) => format!(", {n} copies; marks of copy 1"),
        (n, false) => format!(", {n} copies"),
    };
    html! {
        figure {
            svg xmlns="http://www.w3.org/2000/svg" width=(format!("{:.1}mm", w * scale)) height=(format!("{:.1}mm", h * scale)) viewBox=(view) {
                @for region in &row.parts {
                    path d=(draw::region(region)) fill="#eef1f4" fill-rule="evenodd" stroke="#111" stroke-width=(thick) {}
                }
                @for mark in row.marks.iter().filter(|m| m.copy.is_none_or(|c| c == 1)) {
                    @let colour = if mark.kind == MarkKind::Cut { "#111" } else { "#0b57a4" };
                    path d=(draw::line(mark.points.iter().copied(), false)) fill="none" stroke=(colour) stroke-width=(thin) {}
                }
            }
            figcaption { (row.id) (copies) @if part.pieces > 0 { "; forward to the right" } }
        }
    }
}

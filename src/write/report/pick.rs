//! The pieces: by order, to gather and tick off, and as they come off the roll, to sort.

use super::say;
use crate::job::Unit;
use crate::report::{Kit, Piece, Report};
use crate::write::number::fixed;
use crate::write::page::plain;
use crate::write::svg::{Picture, Thumbnail};
use maud::{Markup, html};

/// Height and width that a thumbnail may take, in CSS pixels.
const THUMBNAIL: [f64; 2] = [56.0, 34.0];

/// The pieces of each order.
pub(super) fn by_kit(report: &Report, picture: &Picture) -> Markup {
    html! {
        section id="pick" {
            h2 { "Pick list by order" }
            p {
                "Numbers count the pieces as they come off the roll, and stand on the drawing where there is room. Along: \
                 from the roll's leading edge to where the piece begins. Across: from the edge of the roll that is below \
                 in the drawing to where the piece begins. Size: along the roll x across it. A mirrored piece is cut as \
                 its mirror image."
            }
            @for (i, kit) in report.kits.iter().enumerate() {
                div class="kit" {
                    h3 { (plain(say::kit(kit))) ", " (say::count(kit.pieces + kit.fillers, "piece")) }
                    (table(report, picture, i, kit))
                }
            }
        }
    }
}

fn table(report: &Report, picture: &Picture, index: usize, kit: &Kit) -> Markup {
    let unit = report.unit;
    let name = unit.name();
    html! {
        div class="wide" {
            table class="pieces" {
                thead { tr {
                    th { "Got it" } th class="n" { "No." } th { "Shape" } th { "Panel" } th { "Copy" }
                    th class="n" { "Along, " (name) } th class="n" { "Across, " (name) } th class="n" { "Size, " (name) }
                } }
                tbody {
                    @for piece in report.pieces.iter().filter(|p| p.kit == kit.kit) { (row(piece, picture, unit, index)) }
                }
            }
        }
    }
}

fn row(piece: &Piece, picture: &Picture, unit: Unit, kit: usize) -> Markup {
    let box_id = format!("k{kit}n{}", piece.number);
    html! {
        tr {
            td { input type="checkbox" id=(box_id) aria-label=(format!("piece {} is there", piece.number)); }
            td class="n" { button type="button" class="show" data-number=(piece.number) { (piece.number) } }
            td { @if let Some(Some(t)) = picture.thumbnails.get(piece.placement) { (thumbnail(t)) } }
            td { (plain(&say::panel(piece))) }
            td { (say::copy(piece)) }
            td class="n" { (say::digits(piece.x_mm, unit)) }
            td class="n" { (say::digits(piece.y_mm, unit)) }
            td class="n" { (say::digits(piece.along_mm, unit)) " x " (say::digits(piece.across_mm, unit)) }
        }
    }
}

/// The piece as it lies on the roll, as large as the cell takes.
fn thumbnail(t: &Thumbnail) -> Markup {
    let [_, _, w, h] = t.view;
    let scale = (THUMBNAIL[0] / w).min(THUMBNAIL[1] / h);
    let line = fixed(0.8 / scale, 4);
    html! {
        svg class="thumb" width=(fixed(w * scale, 1)) height=(fixed(h * scale, 1)) viewBox=(t.view.map(|v| fixed(v, 3)).join(" ")) aria-hidden="true" {
            use href=(format!("#{}", t.face)) transform=(t.transform) fill=(t.fill) stroke="#1d1f21" stroke-width=(line) {}
        }
    }
}

/// All pieces in one list.
pub(super) fn by_place(report: &Report) -> Markup {
    let unit = report.unit;
    html! {
        section id="sort" {
            h2 { "As the pieces come off the roll" }
            div class="wide" {
                table class="pieces" {
                    thead { tr {
                        th class="n" { "No." } th class="n" { "Along, " (unit.name()) } th class="n" { "Across, " (unit.name()) }
                        th { "Order" } th { "Panel" } th { "Copy" }
                    } }
                    tbody {
                        @for piece in &report.pieces {
                            tr {
                                td class="n" { (piece.number) }
                                td class="n" { (say::digits(piece.x_mm, unit)) }
                                td class="n" { (say::digits(piece.y_mm, unit)) }
                                td { (plain(piece.kit.as_deref().unwrap_or_default())) }
                                td { (plain(&say::panel(piece))) }
                                td { (say::copy(piece)) }
                            }
                        }
                    }
                }
            }
        }
    }
}

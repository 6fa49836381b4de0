//! The orders.

use super::say;
use crate::report::Report;
use crate::write::page::plain;
use maud::{Markup, html};

/// One line for each.
pub(super) fn kits(report: &Report) -> Markup {
    let unit = report.unit;
    html! {
        section id="kits" {
            h2 { "Orders" }
            div class="wide" {
                table {
                    thead { tr {
                        th { "Order" } th class="n" { "Pieces" } th class="n" { "Fillers" } th class="n" { "Area of panels" }
                        th class="n" { "Along the roll" }
                    } }
                    tbody {
                        @for kit in &report.kits {
                            tr {
                                td { (plain(say::kit(kit))) }
                                td class="n" { (kit.pieces) }
                                td class="n" { (kit.fillers) }
                                td class="n" { (say::square_metres(kit.panel_area_mm2 + kit.filler_area_mm2)) }
                                td class="n" { (say::digits(kit.from_x_mm, unit)) " to " (say::length(kit.to_x_mm, unit)) }
                            }
                        }
                    }
                }
            }
        }
    }
}

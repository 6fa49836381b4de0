//! The roll to look at.

use super::say;
use crate::report::Report;
use crate::write::number::fixed;
use crate::write::page::plain;
use crate::write::svg::Picture;
use maud::{Markup, PreEscaped, html};

/// The panels' faces, which the map and the thumbnails draw.
pub(super) fn faces(picture: &Picture) -> Markup {
    html! { svg class="faces" width="0" height="0" aria-hidden="true" { (PreEscaped(&picture.faces)) } }
}

/// The drawing with its buttons and the orders to light up.
pub(super) fn map(report: &Report, picture: &Picture) -> Markup {
    let view = picture.view.map(|v| fixed(v, 3)).join(" ");
    let has_kits = report.kits.iter().any(|k| k.kit.is_some());
    html! {
        section id="map" {
            h2 { "The roll" }
            p class="live" {
                "Wheel, pinch or the buttons zoom, dragging moves, pointing at a piece names it; a click lights up its "
                (if has_kits { "order" } else { "panel" }) "."
            }
            div class="tools live" {
                button type="button" id="closer" { "Zoom in" }
                button type="button" id="farther" { "Zoom out" }
                button type="button" id="whole" { "Whole roll" }
                button type="button" id="unlit" { "Light off" }
            }
            div id="window" {
                svg id="roll" viewBox=(view) role="img" tabindex="0"
                    aria-label=(format!("{} on {} of film", say::count(report.measured.pieces, "piece"), say::metres(report.measured.length_mm))) {
                    (PreEscaped(&picture.body))
                }
                p id="name" hidden {}
            }
            p class="legend" {
                "The roll's leading edge is on the left of the first row. Arrows show the direction of print. "
                @if !picture.lines.is_empty() { "Lines on the panels: " (picture.lines.join(", ")) "." }
            }
            ul class="entries" {
                @for (i, entry) in picture.entries.iter().enumerate().filter(|(_, e)| e.pieces > 0) {
                    li {
                        button type="button" class="entry" data-entry=(i) aria-pressed="false" {
                            svg class="swatch" width="14" height="14" aria-hidden="true" { rect width="14" height="14" fill=(entry.fill) stroke="#1d1f21" {} }
                            " " (plain(&entry.name)) " (" (entry.pieces) ")"
                        }
                    }
                }
            }
        }
    }
}

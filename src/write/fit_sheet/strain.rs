//! What the film must do on a doubly curved part, and where.

use super::{draw, plain};
use crate::job::Unit;
use crate::job::kits::{PartSheet, StrainSheet};
use crate::panels::Demand;
use crate::shape::Point;
use maud::{Markup, html};

/// Extents of the diagram on paper, in mm.
const DIAGRAM: [f64; 2] = [120.0, 34.0];

/// Nearer to the aft end than this, in mm, is at it: less than the sheet prints.
const AT_THE_END: f64 = 0.05;

/// Text and diagram of one part.
pub(super) fn part(part: &PartSheet, unit: Unit) -> Markup {
    let Some(strain) = &part.strain else { return html! {} };
    html! {
        section {
            h3 { (part.id) ", " (part.pieces) " panels of " (plain(&part.film.name)) ": " span class="verdict" { (strain.verdict) } }
            p {
                "A flat seam is " (percent(strain.excess)) " longer than the centre line. Most is asked "
                @if strain.worst_from_base < AT_THE_END { "at the " (aft(part)) ":" }
                @else { (draw::length(strain.worst_from_base, unit)) " from the " (aft(part)) " along the surface:" }
            }
            ul {
                @for (order, demand) in &strain.orders {
                    li { "laid " (order.words()) ": " (asked(*demand)) @if *order == strain.order { ", " b { "the order for this film" } } }
                }
            }
            figure {
                (diagram(part, strain))
                figcaption { "Stretch of the middle if the edges are laid first (solid), shrink of the edges if the centre \
                    is laid first (dashed), from " (aft(part)) " to " @if part.is_nose() { "tip cap" } @else { "fore end" } ". Grey lines: where this film needs heat, and where it stops." }
            }
        }
    }
}

/// What the aft end of a part is called.
fn aft(part: &PartSheet) -> &'static str {
    if part.is_nose() { "base" } else { "aft end" }
}

fn asked(demand: Demand) -> String {
    let list = [(demand.stretch, "stretch"), (demand.shrink, "shrink")];
    let some = list.iter().filter(|(share, _)| *share > 0.0);
    let words: Vec<String> = some.map(|(share, of)| format!("{} {of}", percent(*share))).collect();
    if words.is_empty() { "nothing".to_owned() } else { words.join(" and ") }
}

fn percent(share: f64) -> String {
    format!("{:.1} %", 100.0 * share)
}

fn diagram(part: &PartSheet, strain: &StrainSheet) -> Markup {
    let [w, h] = DIAGRAM;
    let stop = part.film.max_stretch.stop.max(part.film.max_shrink.stop);
    let most = strain.along.iter().map(|s| s.stretch).fold(stop, f64::max) * 1.1;
    let at = |from_base: f64, share: f64| Point { x: w * from_base / strain.arc_length, y: h * share / most };
    let curve = |f: &dyn Fn(usize) -> f64| {
        let points = (0..strain.along.len()).map(|i| at(strain.arc_length - strain.along[i].arc, f(i)));
        draw::line(points, false)
    };
    let limits = [
        (part.film.max_stretch.warn, "stretch"),
        (part.film.max_stretch.stop, "stretch"),
        (part.film.max_shrink.warn, "shrink"),
        (part.film.max_shrink.stop, "shrink"),
    ];
    html! {
        svg xmlns="http://www.w3.org/2000/svg" width=(format!("{}mm", w + 30.0)) height=(format!("{}mm", h + 8.0))
            viewBox=(format!("-2 {} {} {}", -h - 3.0, w + 30.0, h + 8.0)) {
            path d=(draw::line([at(strain.arc_length, 0.0), at(0.0, 0.0), at(0.0, most)], false)) fill="none" stroke="#111" stroke-width="0.3" {}
            @for (limit, of) in limits {
                path d=(draw::line([at(0.0, limit), at(strain.arc_length, limit)], false)) fill="none" stroke="#999"
                    stroke-width="0.2" stroke-dasharray=(if of == "shrink" { "1.5 1" } else { "none" }) {}
                text x=(w + 1.0) y=(format!("{:.2}", 0.8 - at(0.0, limit).y)) font-size="2.4" { (percent(limit)) " " (of) }
            }
            path d=(curve(&|i| strain.along[i].stretch)) fill="none" stroke="#b3261e" stroke-width="0.5" {}
            path d=(curve(&|i| strain.along[i].shrink)) fill="none" stroke="#0b57a4" stroke-width="0.5" stroke-dasharray="1.5 1" {}
            text x="0" y="4" font-size="2.6" { (aft(part)) }
            text x=(w) y="4" font-size="2.6" text-anchor="end" { @if part.is_nose() { "tip" } @else { "fore end" } }
        }
    }
}

//! In which order panels are laid.

use super::draw;
use crate::job::Unit;
use crate::job::kits::{KitSheet, PartSheet};
use crate::panels::Hand;
use maud::{Markup, html};

/// Steps: the body from the tail forward, so that cross laps face aft, then fins, then plates.
pub(super) fn order(sheet: &KitSheet) -> Markup {
    let with_panels = || sheet.parts.iter().filter(|p| !p.panels.is_empty());
    let body = with_panels().rev().filter(|p| !p.seams.is_empty());
    let fins = with_panels().filter(|p| p.seams.is_empty() && is_fin(p));
    let plates = with_panels().filter(|p| p.seams.is_empty() && !is_fin(p));
    html! {
        ol {
            li {
                "Clean, dry and dust the surface; film and body at 16 \u{b0}C or more."
                @if sheet.parts.iter().any(|p| !p.seams.is_empty()) { " Mark the front centre along the whole body." }
            }
            @for part in body { li { b { (part.id) } ": " (round_order(part, sheet.unit)) } }
            @for part in fins {
                li { b { (part.id) } ": " (part.lapped) ". " (notes(part)) }
            }
            @for part in plates { li { b { (part.id) } ": last, where the order says. " (notes(part)) } }
        }
    }
}

fn is_fin(part: &PartSheet) -> bool {
    part.what.starts_with("fins")
}

fn round_order(part: &PartSheet, unit: Unit) -> Markup {
    html! {
        @if part.pieces > 1 {
            "lay the panels in the order " (sequence(part)) ". Seam k joins panel k and panel k + 1, the last seam joins \
             the last panel and panel 1; " (part.lapped) "; "
        } @else { "one panel, closed on itself; " }
        "the finished overlap is " (draw::length(part.overlap, unit)) ". "
        @if let Some(last) = last_seam(part) { (last) }
        @if let Some(strain) = &part.strain { "In each panel " (strain.order.words()) ". " }
        @if part.separates { b { "The joint behind it comes apart in flight: trim the film flush and leave the joint free. " } }
        (notes(part))
    }
}

fn notes(part: &PartSheet) -> Markup {
    html! { @for note in &part.notes { "(" (note) ".) " } }
}

/// A panel is laid before the neighbour that covers its lap.
fn sequence(part: &PartSheet) -> String {
    let n = part.pieces;
    let list: Vec<String> = if part.lap_under == Some(Hand::Left) {
        (1..=n).rev().map(|k| k.to_string()).collect()
    } else {
        (1..=n).map(|k| k.to_string()).collect()
    };
    list.join(", ")
}

/// Round a closed body the last panel's lap goes under the first one, which is down already.
fn last_seam(part: &PartSheet) -> Option<String> {
    let n = part.pieces;
    let (first, last, edge) = match part.lap_under {
        Some(Hand::Left) if n > 1 => (n, 1, "right"),
        Some(Hand::Right) if n > 1 => (1, n, "left"),
        _ => return None,
    };
    Some(format!(
        "Leave the {edge} edge of panel {first} up until the lap of panel {last} lies under it, at seam {n}. "
    ))
}

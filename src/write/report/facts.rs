//! What the layout comes to, what to look at before cutting, and what gives it again.

use super::say;
use crate::report::{Notice, Report};
use crate::write::caution;
use crate::write::number::percent;
use crate::write::page::plain;
use maud::{Markup, html};

/// The numbers at the head of the page.
pub(super) fn facts(report: &Report) -> Markup {
    let (m, film, unit) = (&report.measured, &report.film, report.unit);
    html! {
        div id="facts" {
            dl class="facts" {
                (fact("Length", &say::metres(m.length_mm), &say::length(m.length_mm, unit)))
                (fact("Waste", &percent(m.waste_percent), "of the film used is no panel"))
                (fact("Density", &percent(m.density_percent), "of the usable film is panel"))
                (fact("Film used", &say::square_metres(m.film_area_mm2), &wide(report)))
                (fact("Pieces", &m.pieces.to_string(), &say::count(report.kits.iter().filter(|k| k.kit.is_some()).count(), "order")))
                @if let Some(money) = &report.money {
                    (fact("Cost", &format!("{} {}", money.total.total_cost, plain(&money.currency)), &format!("film {}", money.total.film_cost)))
                }
                (fact("Cutting time", &say::duration(report.cut.time_s), &format!("estimated, for {} of cut", say::metres(report.cut.cut_mm))))
                @if let Some(left) = film.left_mm { (fact("Left on the roll", &say::metres(left), &say::length(left, unit))) }
                (fact("Shortest possible", &say::length(m.lower_bound_mm, unit), &bound(report)))
            }
        }
    }
}

fn fact(name: &str, value: &str, more: &str) -> Markup {
    html! { div { dt { (name) } dd { b { (value) } " " small { (more) } } } }
}

fn wide(report: &Report) -> String {
    let wide = format!("{} wide", say::length(report.film.width_mm, report.unit));
    let named = [&report.film.roll, &report.film.film].into_iter().flatten();
    named.fold(wide, |text, name| text + "; " + &plain(name))
}

fn bound(report: &Report) -> String {
    let gap = report.measured.bound_gap_percent;
    if gap > 0.0 {
        format!("no layout can be shorter; gap {}", percent(gap))
    } else {
        "no layout is shorter than this one".to_owned()
    }
}

/// What to look at before cutting; nothing where there is nothing.
pub(super) fn warnings(report: &Report) -> Markup {
    html! {
        @if !report.left_out.is_empty() {
            section id="left-out" class="alarm" {
                h2 { "Left out: the film is too short" }
                ul {
                    @for left in &report.left_out {
                        li { (left.copies) " x " (plain(&left.panel)) @if let Some(kit) = &left.kit { ", order " (plain(kit)) } }
                    }
                }
            }
        }
        @if !report.warnings.is_empty() {
            section id="warnings" class="alarm" {
                h2 { "Look at this before cutting" }
                ul { @for notice in &report.warnings { li { (told(notice)) } } }
            }
        }
    }
}

fn told(notice: &Notice) -> Markup {
    html! {
        @if !notice.place.is_empty() { (plain(&notice.place)) ": " }
        (plain(&notice.what))
        @if !notice.remedy.is_empty() { " (" (plain(&notice.remedy)) ")" }
    }
}

/// The usual cautions.
pub(super) fn care() -> Markup {
    html! { section id="care" { h2 { "Cautions" } (caution::cautions()) } }
}

/// What gives exactly this layout again.
pub(super) fn repeat(report: &Report) -> Markup {
    html! {
        section id="repeat" {
            h2 { "The same layout again" }
            @if let Some(repeat) = &report.repeat {
                p {
                    "The same job with " (plain(&repeat.version)) " and " code { "--rounds " (repeat.rounds) " --seed " (repeat.seed) }
                    @if repeat.stopped == "interrupted" {
                        " lays every panel in the same place again; the search was interrupted, which the layout says."
                    } @else {
                        " gives these bytes again, on any number of processor cores. The search ended by: " (plain(&repeat.stopped)) "."
                    }
                }
            } @else {
                p { "The layout does not say how it was made." }
            }
            @if !report.layout_sha256.is_empty() {
                p { "SHA-256 of the layout as this program writes it, in layout.json; the cut file names it, too: " code { (plain(&report.layout_sha256)) } }
            }
        }
    }
}

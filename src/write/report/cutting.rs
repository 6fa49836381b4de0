//! What cutting takes.

use super::say;
use crate::report::{Cut, Report};
use maud::{Markup, html};

/// The cut plan in numbers, by section where there are several.
pub(super) fn cutting(report: &Report) -> Markup {
    let (cut, unit) = (&report.cut, report.unit);
    html! {
        section id="cutting" {
            h2 { "Cutting" }
            p {
                (say::count(cut.contours, "contour")) ": " (say::metres(cut.cut_mm)) " cut, " (say::metres(cut.travel_mm))
                " on the way between them, " (say::count(cut.feed_reversals, "reversal")) " of the feed, the film pulled back by "
                (say::length(cut.feed_back_mm, unit)) " at most; about " b { (say::duration(cut.time_s)) } " " (speeds(cut)) "."
            }
            @if cut.sections.len() > 1 { (sections(report)) }
            p { "Holes and lines are cut before the outline that frees them. " code { "tuckroll cut" } " writes the plan and the plotter's file." }
        }
    }
}

fn speeds(cut: &Cut) -> String {
    format!(
        "at {:.0} mm/s with the tool down and {:.0} mm/s with it up",
        cut.cut_speed_mm_per_s, cut.travel_speed_mm_per_s
    )
}

fn sections(report: &Report) -> Markup {
    let unit = report.unit;
    html! {
        div class="wide" {
            table {
                thead { tr {
                    th { "Section" } th class="n" { "From (" (unit.name()) ")" } th class="n" { "To (" (unit.name()) ")" } th class="n" { "Pieces" } th class="n" { "Cut" }
                    th class="n" { "Between" } th class="n" { "Feed reversals" } th class="n" { "Time" }
                } }
                tbody { @for s in &report.cut.sections {
                    tr {
                        td { (s.number) }
                        td class="n" { (say::digits(s.from_mm, unit)) }
                        td class="n" { (say::digits(s.to_mm, unit)) }
                        td class="n" { (s.pieces) }
                        td class="n" { (say::metres(s.cut_mm)) }
                        td class="n" { (say::metres(s.travel_mm)) }
                        td class="n" { (s.feed_reversals) }
                        td class="n" { (say::duration(s.time_s)) }
                    }
                } }
            }
        }
    }
}

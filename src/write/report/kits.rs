//! The orders: what each takes of film, and what it costs.

use super::say;
use crate::cost::CostLine;
use crate::report::{Kit, Money, Report};
use crate::write::page::plain;
use maud::{Markup, html};

/// One line for each, and what all cost.
pub(super) fn kits(report: &Report) -> Markup {
    html! {
        section id="kits" {
            h2 { "Orders" }
            div class="wide" {
                table {
                    thead { tr {
                        th { "Order" } th class="n" { "Pieces" } th class="n" { "Fillers" } th class="n" { "Area of panels" } th class="n" { "Film, with waste" }
                        @if let Some(money) = &report.money { @for name in columns(&money.total) { th class="n" { (name) } } }
                    } }
                    tbody {
                        @for kit in &report.kits { (row(kit, report.money.as_ref())) }
                        @if let Some(money) = &report.money { (total(report, money)) }
                    }
                }
            }
            @if let Some(money) = &report.money {
                p { "Amounts" @if !money.currency.is_empty() { " in " (plain(&money.currency)) } "; " (money.waste_rule) ". Every column sums to the last digit." }
                @if report.film.roll.is_some() {
                    p { "Where the job has several pieces of film, this is the bill of this piece by itself, with the time for the job and for each order; " code { "summary.json" } " has the bill of the whole job." }
                }
            } @else {
                p { "Waste is shared in proportion to the area of the panels. The job says no prices." }
            }
        }
    }
}

fn row(kit: &Kit, money: Option<&Money>) -> Markup {
    html! {
        tr {
            td { (plain(say::kit(kit))) }
            td class="n" { (kit.pieces) }
            td class="n" { (kit.fillers) }
            td class="n" { (say::square_metres(kit.panel_area_mm2 + kit.filler_area_mm2)) }
            td class="n" { (say::square_metres(kit.film_area_mm2)) }
            @if let (Some(money), Some(cost)) = (money, &kit.cost) { (amounts(cost, &money.total)) }
        }
    }
}

fn total(report: &Report, money: &Money) -> Markup {
    let sum = |of: fn(&Kit) -> usize| report.kits.iter().map(of).sum::<usize>();
    html! {
        tr class="sum" {
            td { "All" }
            td class="n" { (sum(|k| k.pieces)) }
            td class="n" { (sum(|k| k.fillers)) }
            td class="n" { (say::square_metres(report.measured.panel_area_mm2 + report.measured.filler_area_mm2)) }
            td class="n" { (say::square_metres(report.measured.film_area_mm2)) }
            (amounts(&money.total, &money.total))
        }
    }
}

fn items(cost: &CostLine) -> [(&'static str, &String); 6] {
    [
        ("Film", &cost.film_cost),
        ("Ink", &cost.ink_cost),
        ("Laminate", &cost.laminate_cost),
        ("Tape", &cost.transfer_tape_cost),
        ("Labour", &cost.labour_cost),
        ("Total", &cost.total_cost),
    ]
}

/// Whether anybody pays for it; film and total always have a column.
fn is_paid(name: &str, sum: &str) -> bool {
    name == "Film" || name == "Total" || sum.bytes().any(|b| (b'1'..=b'9').contains(&b))
}

fn columns(total: &CostLine) -> impl Iterator<Item = &'static str> {
    items(total).into_iter().filter(|(name, sum)| is_paid(name, sum)).map(|(name, _)| name)
}

fn amounts(cost: &CostLine, total: &CostLine) -> Markup {
    html! {
        @for ((name, amount), (_, sum)) in items(cost).into_iter().zip(items(total)) {
            @if is_paid(name, sum) { td class="n" { (amount) } }
        }
    }
}

/// Free film worth keeping.
pub(super) fn offcuts(report: &Report) -> Markup {
    let unit = report.unit;
    html! {
        @if !report.offcuts.is_empty() {
            section id="offcuts" {
                h2 { "Offcuts worth keeping" }
                ul { @for o in &report.offcuts {
                    li {
                        (say::length(o.length_mm, unit)) " along x " (say::length(o.width_mm, unit)) " across, from "
                        (say::length(o.x_mm, unit)) " along the roll and " (say::length(o.y_mm, unit)) " across"
                    }
                } }
            }
        }
    }
}

//! A comparison as a page with a plot, and as CSV.

mod plot;

use super::kits_csv::harmless;
use super::number::{duration, fixed, percent};
use super::page::{page, plain};
use crate::compare::{Comparison, Spread, Variant};
use crate::error::Error;
use maud::{Markup, html};

const STYLE: &str = include_str!("../report/page.css");

/// The page: table, plot, and the single runs.
pub fn comparison_html(comparison: &Comparison) -> String {
    let seeds = comparison.variants.iter().map(|v| v.runs.len()).max().unwrap_or(0);
    let body = html! {
        header { h1 { (plain(&comparison.name)) } p { "Comparison" } }
        main {
            section id="table" {
                h2 { "Side by side" }
                p { "Means over " (seeds) " seeds. The spread is what the seeds lie apart, in per cent of the mean: \
                     smaller differences between two lines mean nothing. The cheapest line, by " (comparison.cheapest_by) ", is marked. \
                     The time is an estimate for cutting in one section on a small roll cutter." }
                (table(comparison))
            }
            section id="plots" { h2 { "Film used" } (plot::plot(comparison)) }
            section id="runs" { h2 { "Every run" } (runs(comparison)) }
        }
    };
    page(&format!("{}, comparison", comparison.name), STYLE, "", &body)
}

fn table(comparison: &Comparison) -> Markup {
    html! {
        div class="wide" {
            table {
                thead { tr {
                    th { "Variant" } th class="n" { "Pieces" } th class="n" { "Length" } th class="n" { "Waste" } th class="n" { "Film" } th class="n" { "Spread" } th class="n" { "Cutting time" }
                    @if let Some(currency) = &comparison.currency { th class="n" { "Film cost" (named(currency)) } th class="n" { "Cost" (named(currency)) } }
                    th {}
                } }
                tbody { @for v in &comparison.variants {
                    tr class=[v.cheapest.then_some("sum")] {
                        td { (v.number) ". " (plain(&v.label)) }
                        td class="n" { (v.pieces) }
                        td class="n" { (format!("{:.3} m", v.length_mm.mean / 1e3)) }
                        td class="n" { (percent(v.waste_percent.mean)) }
                        td class="n" { (format!("{:.4} m\u{b2}", v.film_area_mm2.mean / 1e6)) }
                        td class="n" { (percent(v.film_area_mm2.percent())) }
                        td class="n" { (duration(v.cut_time_s.mean)) }
                        @if let Some(cost) = &v.cost { td class="n" { (cost.film_cost_mean) } td class="n" { (cost.total_cost_mean) } }
                        td class="n" { @if v.cheapest { b { "cheapest" } } }
                    }
                } }
            }
        }
    }
}

/// A currency behind the head of a column.
fn named(currency: &str) -> String {
    if currency.is_empty() { String::new() } else { format!(" ({})", plain(currency)) }
}

fn runs(comparison: &Comparison) -> Markup {
    html! {
        div class="wide" {
            table {
                thead { tr {
                    th { "Variant" } th class="n" { "Seed" } th class="n" { "Rounds" } th class="n" { "Length" } th class="n" { "Waste" } th class="n" { "Film" } th class="n" { "Cutting time" }
                    @if let Some(currency) = &comparison.currency { th class="n" { "Film cost" (named(currency)) } th class="n" { "Cost" (named(currency)) } }
                } }
                tbody { @for v in &comparison.variants { @for r in &v.runs {
                    tr {
                        td { (v.number) ". " (plain(&v.label)) }
                        td class="n" { (r.seed) }
                        td class="n" { (r.rounds) }
                        td class="n" { (format!("{:.1} mm", r.length_mm)) }
                        td class="n" { (percent(r.waste_percent)) }
                        td class="n" { (format!("{:.4} m\u{b2}", r.film_area_mm2 / 1e6)) }
                        td class="n" { (duration(r.cut_time_s)) }
                        @for cost in [&r.film_cost, &r.total_cost].into_iter().flatten() { td class="n" { (cost) } }
                    }
                } } }
            }
        }
    }
}

const COLUMNS: [&str; 21] = [
    "number",
    "variant",
    "width_mm",
    "gap_mm",
    "pieces",
    "seeds",
    "length_mm_mean",
    "length_mm_least",
    "length_mm_greatest",
    "waste_percent_mean",
    "film_area_mm2_mean",
    "film_area_mm2_least",
    "film_area_mm2_greatest",
    "spread_percent",
    "cut_time_s_mean",
    "currency",
    "film_cost_mean",
    "total_cost_mean",
    "total_cost_least",
    "total_cost_greatest",
    "cheapest",
];

/// The variants as CSV: RFC 4180, decimal point, UTF-8, always the same columns.
///
/// # Errors
///
/// [`Error::Internal`] when the text cannot be put together, which does not happen.
pub fn comparison_csv(comparison: &Comparison) -> Result<Vec<u8>, Error> {
    let mut table = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    let failed = |e: String| Error::Internal(format!("cannot write compare.csv: {e}"));
    table.write_record(COLUMNS).map_err(|e| failed(e.to_string()))?;
    for v in &comparison.variants {
        table
            .write_record(row(v, comparison.currency.as_deref().unwrap_or_default()))
            .map_err(|e| failed(e.to_string()))?;
    }
    table.into_inner().map_err(|e| failed(e.to_string()))
}

fn row(v: &Variant, currency: &str) -> Vec<String> {
    let spread = |s: &Spread| [s.mean, s.least, s.greatest].map(|n| fixed(n, 3));
    let mut row = vec![v.number.to_string(), harmless(&v.label)];
    row.extend([v.width_mm.map_or_else(String::new, |w| fixed(w, 6)), fixed(v.gap_mm, 6)]);
    row.extend([v.pieces.to_string(), v.runs.len().to_string()]);
    row.extend(spread(&v.length_mm));
    row.push(fixed(v.waste_percent.mean, 4));
    row.extend(spread(&v.film_area_mm2));
    row.extend([fixed(v.film_area_mm2.percent(), 4), fixed(v.cut_time_s.mean, 1), harmless(currency)]);
    let amounts = v.cost.as_ref().map(|c| {
        [&c.film_cost_mean, &c.total_cost_mean, &c.total_cost_least, &c.total_cost_greatest]
            .map(String::clone)
    });
    row.extend(amounts.unwrap_or_default());
    row.push(u8::from(v.cheapest).to_string());
    row
}

//! The sheet that goes with a kit: one HTML page that needs nothing else and prints well.
//!
//! ```text
//! KitSheet -> body.rs   side and end view with seams
//!          -> panels.rs table and drawings of the panels
//!          -> strain.rs what the film must do, and where
//!          -> laying.rs order of laying
//! ```

mod body;
mod draw;
mod laying;
mod panels;
mod strain;

use super::caution::cautions;
use super::page::plain;
use crate::job::kits::KitSheet;
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// For screen and A4 alike: black on white, nothing that a printer drops.
const STYLE: &str = "
@page { size: A4; margin: 14mm }
body { font: 10.5pt/1.4 'Liberation Sans', Arial, sans-serif; color: #111; max-width: 182mm; margin: 6mm auto }
h1 { font-size: 17pt; margin: 0 } h2 { font-size: 12.5pt; margin: 6mm 0 1.5mm; break-after: avoid } h3 { font-size: 11pt; margin: 0 0 1mm; break-after: avoid }
p, ul, ol { margin: 1mm 0 } ul, ol { padding-left: 6mm }
table { border-collapse: collapse; width: 100%; font-size: 9.5pt } th, td { border-bottom: .3pt solid #888; padding: .8mm 1.5mm; text-align: left; vertical-align: top }
td.n, th.n { text-align: right; font-variant-numeric: tabular-nums } td.w, td.n, th { white-space: nowrap }
section, figure, tr, li { break-inside: avoid } figure { margin: 2mm 0 } figcaption { font-size: 9pt; color: #333 } .under { text-align: center }
.pieces { display: flex; flex-wrap: wrap; gap: 3mm 6mm; margin-top: 3mm } .pieces figure { margin: 0 }
.head { display: flex; justify-content: space-between; border-bottom: 1pt solid #111; padding-bottom: 1.5mm }
.verdict { font-weight: bold } .cautions { border: .8pt solid #111; padding: 1.5mm 3mm 1.5mm 8mm }
svg { display: block; max-width: 100%; height: auto }
svg text { font-family: 'Liberation Sans', Arial, sans-serif; fill: #111 }
";

/// The page.
pub fn fit_sheet(sheet: &KitSheet) -> String {
    let title = match &sheet.order {
        Some(order) => format!("{order}: {}", sheet.name),
        None => sheet.name.clone(),
    };
    let title = plain(&title);
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) ", fit sheet" }
                style { (PreEscaped(STYLE)) }
            }
            body {
                div class="head" { h1 { (title) } div { "Fit sheet" } }
                (body::views(sheet))
                h2 { "Panels" }
                (panels::table(sheet))
                (panels::drawings(sheet))
                (strains(sheet))
                h2 { "Order of laying" }
                (laying::order(sheet))
                section { h2 { "Cautions" } (cautions()) }
            }
        }
    };
    page.into_string()
}

fn strains(sheet: &KitSheet) -> Markup {
    let parts: Vec<_> = sheet.parts.iter().filter(|p| p.strain.is_some()).collect();
    html! {
        @if !parts.is_empty() {
            h2 { "What the film must do" }
            @for part in parts { (strain::part(part, sheet.unit)) }
        }
    }
}

#[cfg(test)]
mod tests;

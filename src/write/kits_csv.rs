//! `kits.csv`: one line for each order, for spreadsheets and scripts.
//!
//! RFC 4180: comma, decimal point, UTF-8 without a mark, lines end in CR LF; the columns are always
//! the same ones, empty where a number is not known.

use super::page::plain;
use crate::cost::CostLine;
use crate::error::Error;
use crate::report::{Kit, Report};

const COLUMNS: [&str; 15] = [
    "kit",
    "pieces",
    "fillers",
    "panel_area_mm2",
    "filler_area_mm2",
    "film_area_mm2",
    "from_x_mm",
    "to_x_mm",
    "currency",
    "film_cost",
    "ink_cost",
    "laminate_cost",
    "transfer_tape_cost",
    "labour_cost",
    "total_cost",
];

/// The orders of a report as CSV.
///
/// # Errors
///
/// [`Error::Internal`] when the text cannot be put together, which does not happen.
pub fn kits_csv(report: &Report) -> Result<Vec<u8>, Error> {
    let mut table = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    let failed = |e: String| Error::Internal(format!("cannot write kits.csv: {e}"));
    table.write_record(COLUMNS).map_err(|e| failed(e.to_string()))?;
    let currency = report.money.as_ref().map_or("", |m| m.currency.as_str());
    for kit in &report.kits {
        table.write_record(row(kit, currency)).map_err(|e| failed(e.to_string()))?;
    }
    table.into_inner().map_err(|e| failed(e.to_string()))
}

fn row(kit: &Kit, currency: &str) -> [String; COLUMNS.len()] {
    let cost = |of: fn(&CostLine) -> &String| kit.cost.as_ref().map(of).cloned().unwrap_or_default();
    [
        harmless(kit.kit.as_deref().unwrap_or_default()),
        kit.pieces.to_string(),
        kit.fillers.to_string(),
        number(kit.panel_area_mm2),
        number(kit.filler_area_mm2),
        number(kit.film_area_mm2),
        number(kit.from_x_mm),
        number(kit.to_x_mm),
        harmless(currency),
        cost(|c| &c.film_cost),
        cost(|c| &c.ink_cost),
        cost(|c| &c.laminate_cost),
        cost(|c| &c.transfer_tape_cost),
        cost(|c| &c.labour_cost),
        cost(|c| &c.total_cost),
    ]
}

/// Three decimals: a thousandth of a millimetre or of a square millimetre.
fn number(value: f64) -> String {
    super::number::fixed(value, 3)
}

/// Text that no spreadsheet takes for a formula: where it begins like one, or with a character
/// that is skipped before one, an apostrophe goes before it (OWASP, *CSV Injection*, from memory). What would
/// steer a terminal is replaced.
pub(super) fn harmless(text: &str) -> String {
    let begins = text.trim_start().chars().next().unwrap_or(' ');
    let skipped = text.starts_with(['\t', '\r', '\n']);
    let formula = skipped || "=+-@\u{ff1d}\u{ff0b}\u{ff0d}\u{ff20}".contains(begins);
    if formula { format!("'{}", plain(text)) } else { plain(text).into_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_text_is_a_formula() {
        for text in ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", " =1", "\u{ff1d}1"] {
            assert!(harmless(text).starts_with('\''), "{text:?}");
        }
        for text in ["", "A17", "a=b", "Rocket \"7\", blue", "'=1"] {
            assert_eq!(harmless(text), text);
        }
        assert_eq!(harmless("EUR\u{202e}1\u{9b}"), "EUR\u{fffd}1\u{fffd}");
    }
}

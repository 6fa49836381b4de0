//! How long one unit of the drawing is.
//!
//! The rule, first match wins:
//!
//! 1. what the caller says;
//! 2. `$INSUNITS`, where it names a unit; where `$MEASUREMENT` contradicts it (metric against
//!    a unit of feet and inches, or the reverse), a warning says so;
//! 3. a comment `tuckroll: unit mm` or `tuckroll: unit in`, as this program writes it into R12
//!    files, which have no variable for the unit;
//! 4. `$MEASUREMENT` = 1 (metric): millimetres, with a warning;
//! 5. otherwise the unit is unknown.

use super::document::Document;
use crate::{Problem, Warning};

/// `$INSUNITS`: name and millimetres, by number from 1 (DXF Reference, header variables; feet,
/// inches, yards and miles are the international ones of 1959, numbers 21 to 24 those of the
/// US survey foot of 1200/3937 m).
const UNITS: [(&str, f64); 24] = [
    ("inches", 25.4),
    ("feet", 304.8),
    ("miles", 1_609_344.0),
    ("millimetres", 1.0),
    ("centimetres", 10.0),
    ("metres", 1000.0),
    ("kilometres", 1e6),
    ("microinches", 25.4e-6),
    ("mils", 0.0254),
    ("yards", 914.4),
    ("angstroms", 1e-7),
    ("nanometres", 1e-6),
    ("micrometres", 1e-3),
    ("decimetres", 100.0),
    ("decametres", 1e4),
    ("hectometres", 1e5),
    ("gigametres", 1e12),
    ("astronomical units", 149_597_870_700_000.0),
    ("light years", 9.460_730_472_580_8e18),
    ("parsecs", 3.085_677_581_491_367e19),
    ("US survey feet", 1_200_000.0 / 3937.0),
    ("US survey inches", 100_000.0 / 3937.0),
    ("US survey yards", 3_600_000.0 / 3937.0),
    ("US survey miles", 6_336_000_000.0 / 3937.0),
];

/// Numbers of [`UNITS`] that belong to feet and inches.
const IMPERIAL: [i64; 10] = [1, 2, 3, 8, 9, 10, 21, 22, 23, 24];

/// Millimetres per unit by the rule above; `None` where the file does not say.
pub(super) fn mm_per_unit(document: &Document, name: &str, warnings: &mut Vec<Warning>) -> Option<f64> {
    let number = |variable: &[u8]| document.header.get(variable).and_then(|p| p.whole().ok());
    let metric = number(b"$MEASUREMENT").map(|m| m == 1);
    let mut warn = |what: String| {
        warnings.push(Problem::new(name, what, "check the sizes, and give the unit where they are wrong"));
    };
    match number(b"$INSUNITS") {
        Some(n @ 1..=24) => {
            let (unit, mm) = UNITS[n as usize - 1];
            if metric == Some(IMPERIAL.contains(&n)) {
                warn(format!("the header contradicts itself: $INSUNITS says {unit}, $MEASUREMENT does not"));
            }
            return Some(mm);
        }
        Some(0) | None => {}
        Some(n) => warn(format!("$INSUNITS has the unknown value {n}")),
    }
    if let Some(mm) = document.comments.iter().find_map(|c| noted(c)) {
        return Some(mm);
    }
    if metric == Some(true) {
        warn("no unit is given ($INSUNITS); millimetres are taken, because $MEASUREMENT says metric".into());
        return Some(1.0);
    }
    None
}

/// The unit that this program's own comment gives.
fn noted(comment: &[u8]) -> Option<f64> {
    match comment {
        b"tuckroll: unit mm" => Some(1.0),
        b"tuckroll: unit in" => Some(25.4),
        _ => None,
    }
}

//! Files that ezdxf 1.4.5 wrote (`scripts/make_dxf_samples.py`), with closed-form areas.

use super::fixture;
use serde_json::Value;
use tuckroll::read::{Found, ReadOptions, read};

/// The samples' flattening: fine enough that a wrong bulge or radius cannot hide in it.
const CHORD_MM: f64 = 0.001;

#[test]
fn areas_boxes_units_and_warnings_are_as_written() {
    let samples: Value = serde_json::from_slice(&fixture("samples.json")).unwrap();
    let samples = samples.as_array().unwrap();
    assert_eq!(samples.len(), 7);
    for sample in samples {
        check(sample);
    }
}

fn check(sample: &Value) {
    let name = sample["file"].as_str().unwrap();
    let options = ReadOptions { chord_tolerance_mm: CHORD_MM, ..ReadOptions::default() };
    let drawing = read(&fixture(name), name, &options).unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(drawing.mm_per_unit, sample["mm_per_unit"].as_f64(), "{name}");
    let chord = CHORD_MM / drawing.mm_per_unit.unwrap_or(1.0);
    let wanted = sample["outlines"].as_array().unwrap();
    assert_eq!(drawing.found.len(), wanted.len(), "{name}");
    assert!(drawing.broken.is_empty());
    for outline in wanted {
        let fits = drawing.found.iter().filter(|f| is_like(f, outline, chord)).count();
        assert_eq!(fits, 1, "{name}: {outline}");
    }
    let told: Vec<String> = drawing.warnings.iter().map(|w| w.to_string()).collect();
    for words in sample["warnings"].as_array().unwrap() {
        let words = words.as_str().unwrap();
        assert!(told.iter().any(|t| t.contains(words)), "{name}: no warning says {words}: {told:?}");
    }
}

/// Whether layer, box and area agree as closely as the chord tolerance promises.
fn is_like(found: &Found, wanted: &Value, chord: f64) -> bool {
    let number = |v: &Value| v.as_f64().unwrap();
    let slack = chord + wanted["slack"].as_f64().unwrap_or(0.0);
    let b = found.region.bounds();
    found.layer == wanted["layer"].as_str().unwrap()
        && [b.min.x, b.min.y, b.max.x, b.max.y]
            .iter()
            .zip(wanted["box"].as_array().unwrap())
            .all(|(a, b)| (a - number(b)).abs() <= slack + 1e-4)
        && (found.region.area() - number(&wanted["area"])).abs() <= number(&wanted["length"]) * slack + 1e-6
}

#[test]
fn ascii_and_binary_of_one_drawing_are_read_alike() {
    // The bulges, radii and knots of both are the same numbers, ASCII ones with all their digits.
    let read = |name: &str| read(&fixture(name), name, &ReadOptions::default()).unwrap().found;
    let (ascii, binary) = (read("curves-R2000-asc.dxf"), read("curves-R2013-bin.dxf"));
    assert_eq!(ascii.len(), binary.len());
    for (a, b) in ascii.iter().zip(&binary) {
        assert_eq!(a.layer, b.layer);
        assert!((a.region.area() - b.region.area()).abs() < 1e-9, "{}", a.layer);
    }
}

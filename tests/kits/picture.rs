//! The picture on the documentation page about flattening.

use super::parse;
use serde_json::json;
use std::path::Path;
use tuckroll::job::kits::KitOptions;
use tuckroll::write::fit_sheet;

/// The drawings of the fit sheet that the page shows: body, gore, strain.
fn picture() -> String {
    let kit = json!({"format": "tuckroll-kit-1", "name": "Ogive from a tape measure", "unit": "mm", "parts": [
        {"id": "nose", "kind": "nose", "profile": "ogive", "circumference": 262, "length": 410, "gores": 4, "aft": {"trim": 6}}]});
    let page = fit_sheet(&parse(&kit, &KitOptions::default()).unwrap().sheet);
    let drawings: Vec<&str> = page.split("<svg").skip(1).filter_map(|s| s.split("</svg>").next()).collect();
    assert_eq!(drawings.len(), 4, "body, ends, gore, strain");
    let shown: String = [0, 2, 3].map(|i| format!("<svg{}</svg>\n", drawings[i])).concat();
    // White paper, so that black lines show in a dark theme too.
    format!("<div style=\"background: #fff; padding: 1em\">\n{shown}</div>\n")
}

/// Written anew with `TUCKROLL_UPDATE=1 cargo test --release the_picture`.
#[test]
fn the_picture_of_the_page_on_flattening_is_what_the_program_draws() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/panels/flattening/picture.svg");
    if std::env::var_os("TUCKROLL_UPDATE").is_some() {
        std::fs::write(&file, picture()).unwrap();
    }
    let kept = std::fs::read_to_string(&file).unwrap();
    assert!(kept == picture(), "TUCKROLL_UPDATE=1 cargo test --release the_picture, then look at cargo doc");
}

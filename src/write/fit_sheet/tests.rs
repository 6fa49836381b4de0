//! The page holds what it should, and nothing of a kit's text gets loose in it.

use super::fit_sheet;
use crate::Error;
use crate::job::kits::{KitOptions, parse_kit};

fn page(kit: &str) -> String {
    let none = |name: &str| Err(Error::input("", format!("no file {name}"), ""));
    let made = parse_kit(
        kit.as_bytes(),
        "kit.json",
        &none,
        &KitOptions { order: Some("A-7"), ..KitOptions::default() },
    );
    fit_sheet(&made.unwrap().sheet)
}

const ROCKET: &str = r#"{"format": "tuckroll-kit-1", "name": "<b>K & \"Co\"</b>", "unit": "mm", "parts": [
    {"id": "nose", "kind": "nose", "profile": "elliptical", "diameter": 60, "length": 90, "gores": 8, "aft": {"trim": 6}, "separates": true},
    {"id": "tube", "kind": "tube", "diameter": 60, "length": 200, "pieces": 2, "seam_angle": 10},
    {"id": "fin", "kind": "fin", "count": 3, "planform": {"shape": "elliptical", "root": 60, "span": 40}}]}"#;

#[test]
fn text_of_a_kit_is_escaped() {
    let page = page(ROCKET);
    assert!(page.contains("&lt;b&gt;K &amp; &quot;Co&quot;&lt;/b&gt;"));
    assert!(!page.contains("<b>K"));
}

#[test]
fn the_page_is_well_formed_and_needs_nothing_from_outside() {
    let page = page(ROCKET);
    let body = page.strip_prefix("<!DOCTYPE html>").unwrap().replace("<meta charset=\"utf-8\">", "");
    let body = body.replace("content=\"width=device-width, initial-scale=1\">", "content=\"\"/>");
    roxmltree::Document::parse(&body).unwrap();
    for foreign in ["src=", "href=", "url(", "@import", "<script"] {
        assert!(!page.contains(foreign), "{foreign}");
    }
}

#[test]
fn nothing_is_said_of_seams_where_there_are_none() {
    let both = ROCKET.replace("\"pieces\": 2", "\"pieces\": 2, \"seams\": {\"lap\": \"both\"}");
    assert_eq!(page(&both).matches("Leave the").count(), 1);
    let right = ROCKET.replace("\"pieces\": 2", "\"pieces\": 2, \"seams\": {\"under\": \"right\"}");
    assert!(
        page(&right)
            .contains("Leave the left edge of panel 1 up until the lap of panel 2 lies under it, at seam 2.")
    );
    let fins = r#"{"format": "tuckroll-kit-1", "name": "Fins", "unit": "in", "parts": [
        {"id": "fin", "kind": "fin", "count": 3, "planform": {"shape": "elliptical", "root": 4, "span": 2}}]}"#;
    let page = page(fins);
    for absent in ["front centre", "around", "Leave the", "cm\u{b2}"] {
        assert!(!page.contains(absent), "{absent}");
    }
    for caution in ["Hot film", "flammable", "sharp", "range officer", "centre of gravity", "Vent holes"] {
        assert!(page.contains(caution), "{caution}");
    }
    // Three faces, each half an ellipse with the half axes 2 in and 2 in: 3 pi 2 x 2 / 2 = 18.85.
    assert!(page.contains("18.8 in\u{b2}"));
}

#[test]
fn it_tells_panels_seams_strain_order_joint_and_cautions() {
    let page = page(ROCKET);
    for said in [
        "A-7/nose/gore",
        "A-7/tube/wrap",
        "A-7/fin/left",
        "needs heat",
        "comes apart",
        "8, 7, 6, 5, 4, 3, 2, 1",
        "Leave the right edge of panel 8 up until the lap of panel 1 lies under it, at seam 8.",
        "Mark the front centre",
        "188.5 mm around the base",
        "188.5 mm around<",
        "edges first",
        "centre of gravity",
        "range officer",
        "flammable",
        "sharp",
        "Vent holes",
    ] {
        assert!(page.contains(said), "{said}");
    }
}

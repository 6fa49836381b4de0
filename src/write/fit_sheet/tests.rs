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
fn it_tells_panels_seams_strain_order_joint_and_cautions() {
    let page = page(ROCKET);
    for said in [
        "A-7/nose/gore",
        "A-7/tube/wrap",
        "A-7/fin/left",
        "needs heat",
        "comes apart",
        "8, 7, 6, 5, 4, 3, 2, 1",
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

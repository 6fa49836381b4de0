//! Kit files: what they give, what is refused, and the keys of their schemas.

mod bad_kit;
mod expand;
mod picture;
mod properties;
mod published;
mod schema;

use serde_json::Value;
use std::path::PathBuf;
use tuckroll::Error;
use tuckroll::job::kits::{KitOptions, KitPanels, load_kit, parse_kit};
use tuckroll::job::{Panel, Unit};

/// The demo kits.
fn fixture(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("fixtures/kits").join(name)
}

fn demo(name: &str) -> KitPanels {
    load_kit(&fixture(name), false, &KitOptions::default()).unwrap_or_else(|e| panic!("{name}: {e}"))
}

/// Parses a kit that names no files.
fn parse(kit: &Value, options: &KitOptions<'_>) -> Result<KitPanels, Error> {
    let files = |name: &str| Err(Error::input("", format!("there is no file {name}"), ""));
    parse_kit(kit.to_string().as_bytes(), "kit.json", &files, options)
}

fn panel<'p>(made: &'p KitPanels, id: &str) -> &'p Panel {
    made.panels.iter().find(|p| p.id == id).unwrap_or_else(|| panic!("no {id}"))
}

/// Height and width of a panel, in its unit.
fn size(panel: &Panel) -> (f64, f64) {
    let b = panel.parts[0].bounds();
    (b.width(), b.height())
}

#[track_caller]
fn close(value: f64, expected: f64, tolerance: f64) {
    assert!((value - expected).abs() <= tolerance, "{value} for {expected}");
}

#[test]
fn every_demo_kit_gives_its_panels() {
    for (name, ids) in [
        ("nose-ogive.json", &["nose/gore"][..]),
        ("nose-haack.json", &["nose/gore"]),
        ("nose-blunted.json", &["cone/gore", "dome/gore"]),
        ("nose-measured.json", &["nose/gore"]),
        ("tube.json", &["upper/wrap", "middle/wrap", "lower/wrap-1", "lower/wrap-2", "lower/wrap-3"]),
        ("transition.json", &["shoulder/sector", "flat-cone/sector", "boat-tail/gore"]),
        ("fin.json", &["swept/left", "swept/right", "oval/left", "oval/right", "free/left", "free/right"]),
        ("plate.json", &["badge/plate", "label/plate"]),
        (
            "rocket.json",
            &["nose/gore", "payload/wrap", "tail/sector", "fin/left", "fin/right", "badge/plate"],
        ),
    ] {
        let made = demo(name);
        let found: Vec<&str> = made.panels.iter().map(|p| p.id.as_str()).collect();
        assert_eq!(found, ids, "{name}");
        assert_eq!(made.warnings, [], "{name}");
    }
}

/// "Circumference 262 mm, 410 mm long, ogive": closed forms of the tangent ogive.
#[test]
fn the_ogive_from_a_tape_measure() {
    let made = demo("nose-ogive.json");
    let gore = panel(&made, "nose/gore");
    let n = f64::from(gore.copies);
    let r = 262.0 / std::f64::consts::TAU;
    let rho = (r * r + 410.0 * 410.0) / (2.0 * r);
    let arc = rho * 2.0 * libm::atan2(r, 410.0);
    let (long, wide) = size(gore);
    close(long, arc + 6.0, 1e-9);
    close(wide, 262.0 / n + 6.0, 1e-9);
    assert_eq!(gore.grain.along, 0.0);
    assert_eq!(gore.parts[0].bounds().min.x, -6.0);
}

#[test]
fn inches_stay_inches_unless_the_job_asks_for_mm() {
    let made = demo("nose-measured.json");
    assert_eq!(made.unit, Unit::Inch);
    let (long, wide) = size(panel(&made, "nose/gore"));
    close(long, 11.0, 1e-9);
    // 9.9 in around, six gores, 6 mm of lap.
    close(wide, 9.9 / 6.0 + 6.0 / 25.4, 1e-6);
    let in_mm = KitOptions { unit: Some(Unit::Millimetre), ..KitOptions::default() };
    let made = load_kit(&fixture("nose-measured.json"), false, &in_mm).unwrap();
    close(size(panel(&made, "nose/gore")).0, 279.4, 1e-9);
}

#[test]
fn a_wrap_goes_on_over_the_next_tube_but_never_over_a_joint() {
    let made = demo("rocket.json");
    close(size(panel(&made, "payload/wrap")).0, 220.0 + 330.0 + 4.0, 1e-9);
    let mut kit: Value =
        serde_json::from_str(&std::fs::read_to_string(fixture("rocket.json")).unwrap()).unwrap();
    kit["parts"].as_array_mut().unwrap().pop();
    kit["parts"][1]["separates"] = true.into();
    let e = parse(&kit, &KitOptions::default()).unwrap_err();
    assert!(e.exit_code() == 2 && e.to_string().contains("apart in flight"), "{e}");
    assert!(e.to_string().starts_with("kit.json: parts[1].with_next (part \"payload\")"), "{e}");
}

#[test]
fn left_and_right_faces_are_never_one_mirrored_panel() {
    let made = demo("fin.json");
    for part in ["swept", "oval", "free"] {
        let (left, right) = (panel(&made, &format!("{part}/left")), panel(&made, &format!("{part}/right")));
        assert!(!left.mirror && !right.mirror);
        assert!(left.parts[0].outline().signed_area() < 0.0 && right.parts[0].outline().signed_area() > 0.0);
    }
}

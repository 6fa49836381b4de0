//! Bad layout files.

use super::{Case, change, expect_one_problem, parse_layout, sample_layout};
use serde_json::{Value, json};

fn case(pointer: &'static str, value: Value, place: &'static str, says: &'static [&'static str]) -> Case {
    Case { pointer, value: Some(value), place, says }
}

#[test]
fn each_problem_has_its_place_and_remedy() {
    for case in [
        case("/format", json!("tuckroll-job-1"), "layout.json: format", &["this is a job"]),
        case("/kits", json!([]), "layout.json: kits", &["unknown key"]),
        case("/length", json!(-1), "layout.json: length", &["below 0"]),
        case("/panel_area", json!("x"), "layout.json: panel_area", &["finite number"]),
        case("/made_by/host", json!("x"), "layout.json: made_by.host", &["unknown key"]),
        case("/made_by/seed", json!(-1), "layout.json: made_by.seed", &["whole number"]),
        case(
            "/panels/0/file",
            json!("a.dxf"),
            "layout.json: panels[0].file (panel \"fin\")",
            &["unknown key"],
        ),
        case("/panels/1/id", json!("fin"), "layout.json: panels[1].id", &["used by panels[0]"]),
        case(
            "/placements/0/panel",
            json!("fim"),
            "layout.json: placements[0].panel",
            &["no panel \"fim\"", "\"fin\""],
        ),
        case("/placements/0/copy", json!(0), "layout.json: placements[0].copy", &["from 1"]),
        case(
            "/placements/0/rotation",
            json!(-90),
            "layout.json: placements[0].rotation",
            &["write it as 270"],
        ),
        case("/placements/0/rotation", json!(360), "layout.json: placements[0].rotation", &["write it as 0"]),
        case("/placements/0/x", json!(1e13), "layout.json: placements[0].x", &["beyond 10 km"]),
        Case {
            pointer: "/placements/0/mirrored",
            value: None,
            place: "layout.json: placements[0]",
            says: &["missing"],
        },
        Case {
            pointer: "/placements",
            value: None,
            place: "layout.json",
            says: &["`placements` is missing"],
        },
        Case {
            pointer: "/waste_percent",
            value: None,
            place: "layout.json",
            says: &["`waste_percent` is missing"],
        },
    ] {
        let mut file = sample_layout();
        change(&mut file, case.pointer, case.value.clone());
        expect_one_problem(parse_layout(&file), &case);
    }
}

#[test]
fn what_a_layout_states_is_not_judged_when_it_is_read() {
    let mut file = sample_layout();
    change(&mut file, "/placements/0/copy", Some(json!(99)));
    change(&mut file, "/length", Some(json!(1)));
    assert_eq!(parse_layout(&file).unwrap().placements[0].copy, 99);
}

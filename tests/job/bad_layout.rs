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

/// 2,025 points a copy, whatever the panel says of copies.
#[test]
fn points_on_the_film_are_limited() {
    let height = |i: i32| if i == 0 || i == 1999 { 9.0 } else { f64::from(i % 2) };
    let saw: Vec<[f64; 2]> = (0..2000).map(|i| [f64::from(i), height(i)]).collect();
    let with = |count: u32| {
        let mut file = sample_layout();
        change(&mut file, "/panels/0/outline", Some(json!(saw)));
        change(&mut file, "/panels/0/holes", None);
        change(&mut file, "/panels/0/lines", None);
        let place =
            |i| json!({"panel": "fin", "copy": i + 1, "x": 1, "y": 2, "rotation": 0, "mirrored": false});
        change(&mut file, "/placements", Some((0..count).map(place).collect()));
        parse_layout(&file)
    };
    assert_eq!(with(1481).unwrap().placements.len(), 1481);
    let e = with(1482).unwrap_err().to_string();
    assert!(e.starts_with("layout.json: placements: more than 3000000 points on the film"), "{e}");
}

/// To look for a name like each wrong one among all names takes minutes.
#[test]
fn many_wrong_names_among_many_are_told_at_once() {
    let started = std::time::Instant::now();
    let mut file = sample_layout();
    let square = json!([[0, 0], [1, 0], [1, 1]]);
    let panels: Vec<Value> =
        (0..20_000).map(|i| json!({"id": format!("panel of the order {i:06}"), "outline": square})).collect();
    let place = |i: u32| {
        let name = format!("panal of the order {i:06}");
        json!({"panel": name, "copy": 1, "x": 1, "y": 2, "rotation": 0, "mirrored": false})
    };
    change(&mut file, "/panels", Some(json!(panels)));
    change(&mut file, "/placements", Some((0..20_000).map(place).collect()));
    let e = parse_layout(&file).unwrap_err().to_string();
    assert!(e.contains("did you mean \"panel of the order 000007\"?"), "{e}");
    assert!(e.contains("19950 more problems"), "{e}");
    assert!(started.elapsed().as_secs() < 60);
}

#[test]
fn what_a_layout_states_is_not_judged_when_it_is_read() {
    let mut file = sample_layout();
    change(&mut file, "/placements/0/copy", Some(json!(99)));
    change(&mut file, "/length", Some(json!(1)));
    assert_eq!(parse_layout(&file).unwrap().placements[0].copy, 99);
}

//! `tuckroll check`, `export` and `schema`.

use super::jobs::rectangles;
use crate::support::{Desk, names};
use serde_json::{Value, json};
use std::fs;

/// Two plates of 30 x 45 on a roll 100 wide, laid by hand, 2 apart.
fn two_plates() -> Value {
    let place = |copy: u32, y: f64| json!({ "panel": "plate", "copy": copy, "x": 0, "y": y, "rotation": 0, "mirrored": false });
    json!({
        "format": "tuckroll-layout-1",
        "name": "two plates",
        "unit": "mm",
        "roll": { "width": 100 },
        "gap": 2,
        "panels": [{ "id": "plate", "copies": 2, "outline": [[0, 0], [30, 0], [30, 45], [0, 45]] }],
        "placements": [place(1, 0.0), place(2, 47.0)],
        "length": 30,
        "panel_area": 2700,
        "waste_percent": 10,
        "density_percent": 90,
    })
}

fn desk_with(layout: &Value) -> Desk {
    let desk = Desk::new();
    desk.put("layout.json", layout.to_string());
    desk
}

#[test]
fn a_good_layout_passes() {
    let ran = desk_with(&two_plates()).run(["check", "layout.json"]).ends_with(0);
    assert!(ran.out.contains("every rule is kept") && ran.out.contains("10.00 %"), "{}", ran.out);
    assert!(ran.err.is_empty());
}

#[test]
fn a_broken_rule_is_named_and_fails() {
    let mut layout = two_plates();
    layout["placements"][1]["y"] = json!(46.5);
    let desk = desk_with(&layout);
    desk.run(["check", "layout.json"]).ends_with(1).says(&["plate#1", "plate#2", "1.5"]);
    let ran = desk.run(["check", "layout.json", "--json"]).ends_with(1);
    let told: Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(told["exit_code"], 1);
    assert_eq!(told["broken"].as_array().unwrap().len(), 1);
}

/// The knife would run through the plate beside it and off the film; a pen is warned of, and a print harms nobody.
#[test]
fn a_line_that_leaves_its_panel_is_no_job_and_no_layout() {
    let with_line = |mut file: Value, role: &str, to: f64| {
        file["panels"][0]["lines"] = json!([{"role": role, "points": [[10, 10], [10, to]]}]);
        file
    };
    let job = |role: &str, to: f64| with_line(rectangles(30.0, 45.0, 2), role, to).to_string();
    for (role, to, code) in
        [("cut", 46.0, 0), ("cut", 900.0, 2), ("through", 60.0, 2), ("draw", 900.0, 0), ("print", 900.0, 0)]
    {
        let desk = desk_with(&with_line(two_plates(), role, to));
        desk.put("job.json", job(role, to));
        let ran = desk.run(["nest", "job.json", "-o", "out", "--rounds", "0"]).ends_with(code);
        let told = ran.err.contains("plate") && ran.err.contains("line 1");
        assert_eq!(told, code == 2 || role == "draw", "{role} {to}: {}", ran.err);
        let check = desk.run(["check", "layout.json"]);
        if code == 2 {
            check.ends_with(1).says(&["plate", "line 1"])
        } else {
            check.ends_with(0)
        };
    }
}

#[test]
fn a_layout_of_another_job_fails() {
    let desk = desk_with(&two_plates());
    desk.put("job.json", rectangles(30.0, 45.0, 2).to_string());
    desk.run(["check", "layout.json", "--job", "job.json"]).ends_with(0);
    desk.put("job.json", rectangles(30.0, 45.0, 3).to_string());
    desk.run(["check", "layout.json", "--job", "job.json"]).ends_with(1).says(&["plate"]);
}

#[test]
fn what_is_no_layout_is_wrong_input() {
    let desk = desk_with(&json!({ "format": "tuckroll-job-1" }));
    desk.run(["check", "layout.json"]).ends_with(2).says(&["layout.json", "format"]);
    desk.put("layout.json", "{");
    desk.run(["check", "layout.json"]).ends_with(2).says(&["layout.json"]);
    desk.run(["check", "none.json"]).ends_with(2).says(&["none.json", "no such file"]);
}

#[test]
fn wrong_input_wins_over_a_broken_rule() {
    let mut layout = two_plates();
    layout["placements"][1]["y"] = json!(46.5);
    let desk = desk_with(&layout);
    desk.run(["check", "layout.json", "--job", "none.json"]).ends_with(2);
}

#[test]
fn an_export_holds_the_same_layout() {
    let desk = desk_with(&two_plates());
    let ran =
        desk.run(["export", "layout.json", "-o", "out", "--dxf", "r2010", "--cut-unit", "in"]).ends_with(0);
    assert!(ran.out.contains("out/cut.dxf"), "{}", ran.out);
    assert_eq!(names(&desk.path("out")), ["cut.dxf", "layout.json", "preview.svg"]);
    desk.run(["check", "out/layout.json"]).ends_with(0);
    let dxf = fs::read_to_string(desk.path("out/cut.dxf")).unwrap();
    assert!(dxf.contains("AC1024"));
    desk.run(["export", "layout.json", "-o", "out"]).ends_with(2).says(&["--replace"]);
    desk.run(["export", "out/layout.json", "-o", "-"]).ends_with(2).says(&["-o"]);
}

#[test]
fn a_bad_layout_is_not_exported() {
    let mut layout = two_plates();
    layout["length"] = json!(29);
    let desk = desk_with(&layout);
    desk.run(["export", "layout.json", "-o", "out"]).ends_with(1).says(&["length"]);
    assert_eq!(desk.names(), ["layout.json"]);
}

#[test]
fn schemas_are_json() {
    for of in ["job", "layout"] {
        let schema: Value =
            serde_json::from_str(&crate::support::run(["schema", of]).ends_with(0).out).unwrap();
        assert!(schema["properties"]["format"].is_object(), "{of}");
    }
}

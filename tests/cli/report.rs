//! Reports, beside a nest and on their own.

use super::jobs::rectangles;
use crate::support::{Desk, names, run};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use std::fs;

const FILES: [&str; 3] = ["kits.csv", "report.html", "report.json"];

fn nested(job: &Value) -> Desk {
    let desk = Desk::new();
    desk.put("job.json", job.to_string());
    desk.run(["nest", "job.json", "-o", "out", "--rounds", "1"]).ends_with(0);
    desk
}

fn read_json(desk: &Desk, name: &str) -> Value {
    serde_json::from_slice(&fs::read(desk.path(name)).unwrap()).unwrap()
}

#[test]
fn a_nest_comes_with_its_report() {
    let desk = nested(&rectangles(30.0, 45.0, 4));
    for name in FILES {
        assert!(names(&desk.path("out")).contains(&name.to_owned()), "{name}");
    }
    let report = read_json(&desk, "out/report.json");
    assert_eq!(report["format"], "tuckroll-report-1");
    assert_eq!(report["measured"]["length_mm"], 62.0);
    assert_eq!(report["pieces"].as_array().unwrap().len(), 4);
    // The cut file names the same layout.
    let cut = fs::read_to_string(desk.path("out/cut.dxf")).unwrap();
    assert!(cut.contains(report["layout_sha256"].as_str().unwrap()));
}

#[test]
fn a_report_made_again_is_the_same() {
    let desk = nested(&rectangles(30.0, 45.0, 4));
    desk.run(["report", "out/layout.json", "-o", "again"]).ends_with(0);
    assert_eq!(names(&desk.path("again")), FILES);
    for name in FILES {
        let of = |folder: &str| fs::read(desk.path(folder).join(name)).unwrap();
        assert!(of("out") == of("again"), "{name}");
    }
    // The same layout in other blanks, with its keys in another order, goes by the same hash.
    let Value::Object(layout) = read_json(&desk, "out/layout.json") else { panic!() };
    let backwards: serde_json::Map<_, _> = layout.into_iter().rev().collect();
    desk.put("backwards.json", Value::Object(backwards).to_string());
    desk.run(["report", "backwards.json", "-o", "backwards"]).ends_with(0);
    for name in FILES {
        let of = |folder: &str| fs::read(desk.path(folder).join(name)).unwrap();
        assert!(of("out") == of("backwards"), "{name}");
    }
    let piped = desk.run(["report", "out/layout.json", "-o", "-"]).ends_with(0);
    assert_eq!(piped.out, fs::read_to_string(desk.path("out/report.json")).unwrap());
    desk.run(["report", "out/layout.json", "-o", "again"]).ends_with(2).says(&["there already"]);
    desk.run(["report", "out/layout.json", "-o", "again", "--replace", "--json"]).ends_with(0);
    desk.run(["report", "out/layout.json", "-o", "-", "--json"]).ends_with(2).says(&["--json"]);
}

/// What names a layout is the hash of the file that `nest` wrote, also when the layout comes from a copy of it in
/// other blanks; and the schemas promise no more.
#[test]
fn layouts_are_named_by_the_file_as_nest_writes_it() {
    let desk = nested(&rectangles(30.0, 45.0, 4));
    let written = fs::read(desk.path("out/layout.json")).unwrap();
    let hash: String = Sha256::digest(&written).iter().map(|byte| format!("{byte:02x}")).collect();
    let layout = read_json(&desk, "out/layout.json");
    desk.put("copy.json", serde_json::to_string_pretty(&layout).unwrap());
    assert_ne!(fs::read(desk.path("copy.json")).unwrap(), written);
    for (layout, folder) in [("out/layout.json", "first"), ("copy.json", "second")] {
        let to = |what: &str| format!("{folder}-{what}");
        desk.run(["report", layout, "-o", &to("report")]).ends_with(0);
        desk.run(["cut", layout, "-o", &to("cut")]).ends_with(0);
        desk.run(["export", layout, "-o", &to("export")]).ends_with(0);
        assert_eq!(read_json(&desk, &to("report/report.json"))["layout_sha256"], *hash);
        assert_eq!(read_json(&desk, &to("cut/plan.json"))["layout_sha256"], *hash);
        for cut in [to("cut/cut.dxf"), to("export/cut.dxf")] {
            assert!(fs::read_to_string(desk.path(&cut)).unwrap().contains(&hash), "{cut}");
        }
        assert!(fs::read(desk.path(&to("export/layout.json"))).unwrap() == written);
    }
    for format in ["report", "plan", "stock"] {
        let schema = desk.run(["schema", format]).ends_with(0).out;
        let words = schema.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(words.contains("of the layout as this program writes it"), "{format}: {schema}");
        assert!(!words.contains("of the layout file"), "{format}");
    }
}

#[test]
fn the_report_tells_what_the_cut_takes() {
    let desk = nested(&rectangles(30.0, 45.0, 4));
    let cut = &read_json(&desk, "out/report.json")["cut"];
    assert_eq!((&cut["contours"], &cut["sections"].as_array().unwrap().len()), (&json!(4), &1));
    // Four plates of 30 x 45, and the overcut of the profile.
    assert!((cut["cut_mm"].as_f64().unwrap() - 600.0).abs() < 4.0 * 1.5, "{cut}");
    desk.run(["cut", "out/layout.json", "-o", "plotter", "--section-length", "40"]).ends_with(0);
    let asked = ["report", "out/layout.json", "-o", "again", "--section-length", "40"];
    desk.run(asked).ends_with(0);
    let cut = &read_json(&desk, "again/report.json")["cut"];
    let plan = &read_json(&desk, "plotter/plan.json");
    assert_eq!(cut["sections"].as_array().unwrap().len(), plan["sections"].as_array().unwrap().len());
    assert_eq!(cut["travel_mm"], plan["totals"]["travel_mm"]);
    assert!(fs::read_to_string(desk.path("again/report.html")).unwrap().contains("Feed reversals"));
    desk.run(["report", "out/layout.json", "-o", "x", "--section-length", "20"])
        .ends_with(1)
        .says(&["plate"]);
    desk.run(["report", "out/layout.json", "-o", "x", "--device", "none.json"])
        .ends_with(2)
        .says(&["none.json"]);
}

#[test]
fn what_was_left_out_stands_in_the_report() {
    let mut job = rectangles(30.0, 45.0, 4);
    job["roll"]["length"] = json!(30.5);
    let desk = Desk::new();
    desk.put("job.json", job.to_string());
    desk.run(["nest", "job.json", "-o", "out", "--rounds", "1", "--keep-what-fits"]).ends_with(1);
    let report = read_json(&desk, "out/report.json");
    assert_eq!(report["left_out"], json!([{ "panel": "plate", "copies": 2 }]));
    let page = fs::read_to_string(desk.path("out/report.html")).unwrap();
    assert!(page.contains("Left out: the film is too short"));
}

#[test]
fn a_layout_that_breaks_a_rule_gets_no_report() {
    let desk = nested(&rectangles(30.0, 45.0, 4));
    let mut layout = read_json(&desk, "out/layout.json");
    layout["placements"][0]["x"] = json!(0.5);
    desk.put("bad.json", layout.to_string());
    desk.run(["report", "bad.json", "-o", "bad"]).ends_with(1).says(&["plate"]);
    desk.run(["report", "job.json", "-o", "bad"]).ends_with(2).says(&["tuckroll-layout-1"]);
    assert!(!desk.path("bad").exists());
}

#[test]
fn the_schema_of_the_report_is_printed() {
    let schema: Value = serde_json::from_str(&run(["schema", "report"]).ends_with(0).out).unwrap();
    assert_eq!(schema["properties"]["format"]["const"], "tuckroll-report-1");
}

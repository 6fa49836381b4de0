//! `tuckroll nest`, end to end.

use super::jobs::{busy, rectangles};
use crate::support::{Desk, names};
use serde_json::{Value, json};
use std::fs;
use std::io::Write;
use std::process::Stdio;

fn desk_with(job: &Value) -> Desk {
    let desk = Desk::new();
    desk.put("job.json", job.to_string());
    desk
}

fn read_json(desk: &Desk, name: &str) -> Value {
    serde_json::from_slice(&fs::read(desk.path(name)).unwrap()).unwrap()
}

const SHORT: [&str; 2] = ["--rounds", "1"];

#[test]
fn a_job_becomes_a_folder_that_checks() {
    let desk = desk_with(&rectangles(30.0, 45.0, 4));
    let ran = desk.run(["nest", "job.json", "-o", "out", "--png"].iter().chain(&SHORT)).ends_with(0);
    assert!(ran.out.contains("waste") && ran.out.contains("out/cut.dxf"), "{}", ran.out);
    assert!(!ran.err.contains(['\r', '\u{1b}']), "no progress in a pipe: {}", ran.err);
    for name in ["cut.dxf", "layout.json", "preview.png", "preview.svg"] {
        assert!(names(&desk.path("out")).contains(&name.to_owned()), "{name}");
    }
    // Two columns of two plates, 30 long and a gap of 2 apart: nothing can be shorter.
    assert_eq!(read_json(&desk, "out/layout.json")["length"], 62.0);
    let ran = desk.run(["check", "out/layout.json", "--job", "job.json"]).ends_with(0);
    assert!(ran.out.contains("every rule is kept"), "{}", ran.out);
}

#[test]
fn scripts_get_numbers_with_units() {
    let mut job = rectangles(1.0, 1.5, 2);
    job["unit"] = json!("in");
    job["roll"]["width"] = json!(4);
    job["gap"] = json!(0.1);
    let desk = desk_with(&job);
    let ran = desk.run(["nest", "job.json", "-o", "out", "--json"].iter().chain(&SHORT)).ends_with(0);
    let told: Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(told["exit_code"], 0);
    assert_eq!(told["pieces"], 2);
    assert!((told["length_mm"].as_f64().unwrap() - 25.4).abs() < 1e-4, "{told}");
    assert!((told["panel_area_mm2"].as_f64().unwrap() - 3.0 * 25.4 * 25.4).abs() < 1e-6);
    assert!((told["waste_percent"].as_f64().unwrap() - 25.0).abs() < 1e-3);
}

#[test]
fn the_result_does_not_depend_on_the_threads() {
    let desk = desk_with(&busy());
    let bytes: Vec<_> = ["1", "2", "5"]
        .map(|threads| {
            let out = format!("out{threads}");
            desk.run(["nest", "job.json", "-o", &out, "--rounds", "2", "--threads", threads]).ends_with(0);
            ["layout.json", "cut.dxf", "preview.svg", "report.html", "report.json", "kits.csv"]
                .map(|name| fs::read(desk.path(&out).join(name)).unwrap())
        })
        .into();
    assert!(bytes[0] == bytes[1] && bytes[0] == bytes[2]);
}

#[test]
fn a_run_ended_by_time_is_repeated_by_its_rounds() {
    let desk = desk_with(&busy());
    desk.run(["nest", "job.json", "-o", "timed", "--time", "1s"]).ends_with(0);
    let rounds = read_json(&desk, "timed/layout.json")["made_by"]["rounds"].to_string();
    desk.run(["nest", "job.json", "-o", "again", "--rounds", &rounds]).ends_with(0);
    assert_eq!(
        fs::read(desk.path("timed/layout.json")).unwrap(),
        fs::read(desk.path("again/layout.json")).unwrap()
    );
}

#[test]
fn a_run_ended_by_patience_is_repeated_by_its_rounds() {
    let desk = desk_with(&busy());
    let rounds = |n| ["--rounds", n, "--patience", "2"];
    let told = desk.run(["nest", "job.json", "-o", "ended"].iter().chain(&rounds("400"))).ends_with(0).out;
    let done = read_json(&desk, "ended/layout.json")["made_by"]["rounds"].as_u64().unwrap();
    assert!(done < 400, "{done} rounds");
    assert!(told.contains(&format!("--rounds {done} --patience 2 --seed 1")), "{told}");
    desk.run(["nest", "job.json", "-o", "again", "--rounds", &done.to_string()]).ends_with(0);
    assert_eq!(
        fs::read(desk.path("ended/layout.json")).unwrap(),
        fs::read(desk.path("again/layout.json")).unwrap()
    );
}

#[test]
fn a_job_from_a_pipe_becomes_a_layout_in_a_pipe() {
    let desk = Desk::new();
    let mut child = desk
        .command()
        .args(["nest", "-", "-o", "-", "--rounds", "1"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let job = rectangles(30.0, 45.0, 2).to_string();
    child.stdin.take().unwrap().write_all(job.as_bytes()).unwrap();
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    let layout: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(layout["format"], "tuckroll-layout-1");
    assert!(desk.names().is_empty());
}

#[test]
fn a_panel_wider_than_the_film_cannot_be_met() {
    let desk = desk_with(&rectangles(30.0, 120.0, 1));
    let ran = desk.run(["nest", "job.json", "-o", "out"]).ends_with(1).says(&["plate", "120"]);
    assert_eq!(ran.out, "");
    assert_eq!(desk.names(), ["job.json"]);
}

#[test]
fn a_roll_too_short_says_by_how_much() {
    let mut job = rectangles(30.0, 45.0, 4);
    job["roll"]["length"] = json!(50);
    let desk = desk_with(&job);
    desk.run(["nest", "job.json", "-o", "out"].iter().chain(&SHORT)).ends_with(1).says(&["50", "12"]);
    assert_eq!(desk.names(), ["job.json"]);
}

#[test]
fn what_fits_is_kept_only_when_asked_for() {
    let mut job = rectangles(30.0, 45.0, 5);
    job["roll"]["length"] = json!(50);
    let desk = desk_with(&job);
    let args = ["nest", "job.json", "-o", "out", "--keep-what-fits", "--json"];
    let ran = desk.run(args.iter().chain(&SHORT)).ends_with(1).says(&["left out", "plate", "3"]);
    let told: Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(told["exit_code"], 1);
    assert_eq!(told["left_out"], json!([{ "panel": "plate", "copies": 3 }]));
    assert_eq!(told["pieces"], 2);
    desk.run(["check", "out/layout.json"]).ends_with(0);
}

#[test]
fn what_fits_goes_by_priority() {
    let mut job = rectangles(30.0, 45.0, 2);
    job["roll"]["length"] = json!(50);
    let plate = job["panels"][0].clone();
    for (kit, priority) in [("LATER", 9), ("URGENT", 1)] {
        let mut panel = plate.clone();
        let own = json!({ "id": kit, "kit": kit, "priority": priority });
        panel.as_object_mut().unwrap().extend(own.as_object().unwrap().clone());
        job["panels"].as_array_mut().unwrap().push(panel);
    }
    job["panels"].as_array_mut().unwrap().remove(0);
    let desk = desk_with(&job);
    let args = ["nest", "job.json", "-o", "out", "--keep-what-fits"];
    desk.run(args.iter().chain(&SHORT))
        .ends_with(1)
        .says(&["left out: kit LATER, for want of film (2 x LATER)"]);
}

/// Two plates fit. The urgent kit has three and is left out whole; what comes after it still finds room, and plates that
/// belong to no kit stay one by one.
#[test]
fn what_fits_is_whole_kits() {
    let mut job = rectangles(30.0, 45.0, 2);
    job["roll"]["length"] = json!(50);
    let plate = job["panels"][0].clone();
    for (kit, copies) in [("THREE", 3), ("ONE", 1)] {
        let mut panel = plate.clone();
        let own = json!({ "id": kit, "kit": kit, "copies": copies, "priority": copies });
        panel.as_object_mut().unwrap().extend(own.as_object().unwrap().clone());
        job["panels"].as_array_mut().unwrap().push(panel);
    }
    let none = json!({ "panel": "plate", "copies": 1 });
    let desk = desk_with(&job);
    let args = ["nest", "job.json", "-o", "out", "--keep-what-fits", "--json"];
    let ran = desk.run(args.iter().chain(&SHORT)).ends_with(1);
    let told: Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(told["left_out"], json!([none, { "panel": "THREE", "kit": "THREE", "copies": 3 }]));
    assert_eq!(told["pieces"], 2);
    desk.run(["check", "out/layout.json"]).ends_with(0);
    job["panels"].as_array_mut().unwrap().retain(|panel| panel["id"] == "THREE");
    let desk = desk_with(&job);
    desk.run(args.iter().chain(&SHORT)).ends_with(1).says(&["roll.length", "not even one whole kit"]);
    assert_eq!(desk.names(), ["job.json"]);
}

/// A sheet beside the cut file is of an order that is cut.
#[test]
fn an_order_that_is_left_out_has_no_fit_sheet() {
    let desk = Desk::new();
    let tube = json!({ "id": "tube", "kind": "tube", "diameter": 20, "length": 60 });
    let kit = json!({ "format": "tuckroll-kit-1", "name": "Tube", "unit": "mm", "parts": [tube] });
    desk.put("kit.json", kit.to_string());
    let mut job = rectangles(30.0, 45.0, 1);
    job["panels"] = json!([]);
    job["roll"] = json!({ "width": 80, "length": 75 });
    job["kits"] = json!([{ "id": "A", "file": "kit.json", "copies": 2 }]);
    desk.put("job.json", job.to_string());
    let args = ["nest", "job.json", "-o", "out", "--keep-what-fits"];
    desk.run(args.iter().chain(&SHORT)).ends_with(1).says(&["left out: kit A.2, for want of film"]);
    let made = names(&desk.path("out"));
    let sheets: Vec<&String> = made.iter().filter(|name| name.starts_with("sheet")).collect();
    assert_eq!(sheets, ["sheet-A.1.html"]);
}

/// A roll of which the first layout, without a round, needs more than the short searches that choose what stays.
#[test]
fn what_fits_is_written_however_little_is_searched() {
    let desk = Desk::new();
    let mut job = busy();
    for length in [120, 140, 160, 180, 200, 220, 240] {
        job["roll"]["length"] = json!(length);
        desk.put("job.json", job.to_string());
        let out = length.to_string();
        let args = ["nest", "job.json", "--rounds", "0", "--keep-what-fits", "-o", &out];
        desk.run(args).ends_with(1).says(&["left out"]);
        let layout = format!("{out}/layout.json");
        desk.run(["check", &layout]).ends_with(0);
    }
}

#[test]
fn keeping_what_fits_keeps_to_the_time() {
    let mut job = busy();
    job["roll"]["length"] = json!(200);
    let desk = desk_with(&job);
    let started = std::time::Instant::now();
    desk.run(["nest", "job.json", "-o", "out", "--time", "6", "--keep-what-fits"]).ends_with(1);
    // Twice the time, were it given to both searches.
    assert!(started.elapsed().as_secs_f64() < 10.0, "{:?}", started.elapsed());
}

#[test]
fn an_existing_folder_is_refused_before_the_job_is_read() {
    let desk = Desk::new();
    fs::create_dir(desk.path("out")).unwrap();
    desk.run(["nest", "none.json", "-o", "out"]).ends_with(2).says(&["out", "--replace"]);
}

#[test]
fn only_a_folder_of_our_own_is_replaced() {
    let desk = desk_with(&rectangles(30.0, 45.0, 4));
    let nest =
        |extra: &[&str]| desk.run(["nest", "job.json", "-o", "out", "--rounds", "1"].iter().chain(extra));
    nest(&["--png"]).ends_with(0);
    nest(&[]).ends_with(2);
    nest(&["--replace"]).ends_with(0);
    fs::write(desk.path("out/letter.txt"), "dear").unwrap();
    nest(&["--replace"]).ends_with(2).says(&["out"]);
    assert_eq!(fs::read_to_string(desk.path("out/letter.txt")).unwrap(), "dear");
}

#[test]
fn options_that_contradict_each_other_are_refused() {
    let desk = desk_with(&rectangles(30.0, 45.0, 4));
    desk.run(["nest", "job.json", "-o", "-", "--json"]).ends_with(2).says(&["--json"]);
    desk.run(["nest", "job.json", "-o", "-", "--png"]).ends_with(2).says(&["--png"]);
    desk.run(["nest", "job.json", "-o", "-", "--replace"]).ends_with(2).says(&["--replace"]);
    for vain in [["--cut-unit", "in"], ["--dxf", "r2010"]] {
        let kit = concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/kits/nose-ogive.json");
        desk.run(["nest", "job.json", "-o", "-"].iter().chain(&vain)).ends_with(2).says(&[vain[0]]);
        desk.run(["panels", kit, "-o", "-", "--width", "594"].iter().chain(&vain))
            .ends_with(2)
            .says(&[vain[0]]);
    }
}

#[test]
fn a_drawing_is_not_a_job() {
    let desk = Desk::new();
    desk.put("fin.DXF", "0\nEOF\n");
    desk.run(["nest", "fin.DXF", "-o", "out"]).ends_with(2).says(&["drawing", "outlines"]);
}

const FIN: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="50mm" viewBox="0 0 100 50">
<g id="fin"><path d="M 0 0 H 40 V 20 H 0 Z"/></g><g id="open"><path d="M 50 0 H 90 V 20"/></g></svg>"##;

fn job_of_drawing(extra: Value) -> Value {
    let mut job = rectangles(30.0, 45.0, 1);
    job["panels"][0] = json!({ "id": "fin", "file": "fin.svg" });
    job["panels"][0].as_object_mut().unwrap().extend(extra.as_object().unwrap().clone());
    job
}

#[test]
fn a_panel_comes_from_a_drawing_beside_the_job() {
    let desk = desk_with(&job_of_drawing(json!({ "layer": "fin" })));
    desk.put("fin.svg", FIN);
    desk.run(["nest", "job.json", "-o", "out", "--rounds", "0"]).ends_with(0);
    assert_eq!(read_json(&desk, "out/layout.json")["panel_area"], 800.0);
}

#[test]
fn a_wrong_layer_names_those_that_are_there() {
    let desk = desk_with(&job_of_drawing(json!({ "layer": "cut" })));
    desk.put("fin.svg", FIN);
    desk.run(["nest", "job.json", "-o", "out"]).ends_with(2).says(&["fin.svg", "\"cut\"", "\"fin\""]);
}

#[test]
fn an_open_contour_is_told_with_its_place() {
    let desk = desk_with(&job_of_drawing(json!({ "layer": "open" })));
    desk.put("fin.svg", FIN);
    desk.run(["nest", "job.json", "-o", "out"]).ends_with(2).says(&["fin.svg", "\"open\""]);
    desk.run(["outlines", "fin.svg"]).ends_with(0).says(&["not closed", "line 2"]);
}

#[test]
fn a_wrong_unit_is_refused_with_the_right_ones() {
    let mut job = rectangles(30.0, 45.0, 1);
    job["unit"] = json!("cm");
    desk_with(&job).run(["nest", "job.json", "-o", "out"]).ends_with(2).says(&["unit", "mm", "in"]);
}

#[test]
fn a_missing_drawing_is_named() {
    let desk = desk_with(&job_of_drawing(json!({})));
    desk.run(["nest", "job.json", "-o", "out"]).ends_with(2).says(&["fin.svg", "no file"]);
}

#[test]
fn all_problems_of_a_job_come_at_once() {
    let mut job = rectangles(30.0, 45.0, 1);
    job["gap"] = json!(-1);
    job["panels"][0]["colour"] = json!("red");
    let desk = desk_with(&job);
    let ran = desk.run(["nest", "job.json", "-o", "out"]).ends_with(2).says(&["gap", "colour", "job.json"]);
    assert_eq!(ran.out, "");
    assert_eq!(desk.names(), ["job.json"]);
}

#[test]
fn a_hostile_name_never_reaches_the_terminal_raw() {
    for name in ["\u{1b}[2J", "\u{9b}", "\u{202e}", "two\nerror: lines"] {
        let mut job = rectangles(30.0, 45.0, 1);
        job["name"] = json!(name);
        job["panels"][0]["id"] = json!(name);
        let desk = desk_with(&job);
        for extra in [&[][..], &["--json", "--replace"]] {
            let ran = desk.run(["nest", "job.json", "-o", "out", "--rounds", "0"].iter().chain(extra));
            let said = ran.out + &ran.err;
            assert!(!said.contains(['\u{1b}', '\u{9b}', '\u{202e}']), "{said:?}");
            assert!(!said.contains("\nerror: lines"), "{said}");
        }
    }
}

/// Every two different shapes have a no-fit polygon; room for all of them must not exhaust the memory.
#[test]
fn more_different_shapes_than_the_search_can_hold_are_refused() {
    let mut job = rectangles(30.0, 45.0, 1);
    let plate = |i: usize| {
        let w = 10.0 + 1e-3 * i as f64;
        json!({ "id": format!("p{i}"), "outline": [[0, 0], [w, 0], [w, 5], [0, 5]] })
    };
    job["panels"] = (0..20_000).map(plate).collect();
    let desk = desk_with(&job);
    desk.run(["nest", "job.json", "-o", "out"])
        .ends_with(2)
        .says(&["20000 different shapes", "split the job"]);
    assert_eq!(desk.names(), ["job.json"]);
}

/// A drawing of one outline with so many points.
fn comb(points: u32) -> String {
    let height = |i: u32| if i == 0 || i + 1 == points { 90.0 } else { f64::from(i % 2) };
    let d: Vec<String> = (0..points).map(|i| format!("{} {}", f64::from(i) / 10.0, height(i))).collect();
    format!(
        "<svg xmlns='http://www.w3.org/2000/svg' width='4000mm' height='100mm' viewBox='0 0 4000 100'>\
         <path d='M{}z'/></svg>",
        d.join("L")
    )
}

#[test]
fn what_is_written_at_the_limits_can_be_read() {
    let desk = Desk::new();
    desk.put("comb.svg", comb(20_000));
    desk.put("long.svg", comb(20_001));
    let job = |file: &str, letters: usize| {
        let panel = json!({"id": "x".repeat(letters), "file": file, "all": true});
        json!({"format": "tuckroll-job-1", "name": "limits", "unit": "mm", "roll": {"width": 100, "id": "r"},
            "gap": 1, "panels": [panel]})
    };
    desk.put("job.json", job("comb.svg", 198).to_string());
    desk.run(["nest", "job.json", "-o", "out", "--rounds", "0"]).ends_with(0);
    desk.run(["check", "out/layout.json", "--job", "job.json"]).ends_with(0);
    desk.run(["report", "out/layout.json", "-o", "report"]).ends_with(0);
    let piece = format!("{}/1#1", "x".repeat(198));
    desk.run(["recut", "out/layout.json", "--panel", &piece, "-o", "again.json"])
        .ends_with(2)
        .says(&["202 characters"]);
    desk.put("job.json", job("comb.svg", 196).to_string());
    desk.run(["nest", "job.json", "-o", "out", "--rounds", "0", "--replace"]).ends_with(0);
    let piece = format!("{}/1#1", "x".repeat(196));
    desk.run(["recut", "out/layout.json", "--panel", &piece, "-o", "again.json"]).ends_with(0);
    desk.run(["nest", "again.json", "-o", "twice", "--rounds", "0"]).ends_with(0);
    desk.run(["check", "twice/layout.json", "--job", "again.json"]).ends_with(0);
    let files = desk.names();
    for (file, letters, says) in [("long.svg", 9, "20001 points"), ("comb.svg", 199, "201 characters")] {
        desk.put("job.json", job(file, letters).to_string());
        desk.run(["nest", "job.json", "-o", "none", "--rounds", "0"]).ends_with(2).says(&[says]);
    }
    assert_eq!(desk.names(), files);
}

#[test]
fn a_layout_that_is_longer_than_one_may_be_is_not_written() {
    let desk = Desk::new();
    // Two plates of 6 km, one behind the other.
    let plate = json!([[0, 0], [6_000_000, 0], [6_000_000, 80], [0, 80]]);
    let job = json!({"format": "tuckroll-job-1", "name": "long", "unit": "mm", "roll": {"width": 100},
        "gap": 1, "panels": [{"id": "plate", "copies": 2, "outline": plate}]});
    desk.put("job.json", job.to_string());
    desk.run(["nest", "job.json", "-o", "out", "--rounds", "0"])
        .ends_with(1)
        .says(&["beyond 10 km", "split"]);
    assert_eq!(desk.names(), ["job.json"]);
}

//! Variants of a job side by side, and a job asked for otherwise.

use super::jobs::rectangles;
use crate::support::{Desk, names, run};
use serde_json::{Value, json};
use std::fs;
use std::process::Command;

const FILES: [&str; 3] = ["compare.csv", "compare.html", "compare.json"];

fn desk() -> Desk {
    let desk = Desk::new();
    desk.put("a job.json", rectangles(30.0, 45.0, 4).to_string());
    desk
}

/// Two widths and two gaps, two seeds each.
const ASKED: [&str; 9] =
    ["--width", "100,50", "--gap", "2,3.5", "--seeds", "1-2", "--rounds", "1", "a job.json"];

#[test]
fn the_cheapest_variant_is_the_one_that_takes_least_film() {
    let desk = desk();
    let ran = desk.run(["compare", "-o", "which", "--json"].iter().chain(&ASKED)).ends_with(0);
    assert_eq!(names(&desk.path("which")), FILES);
    let told: Value = serde_json::from_str(&ran.out).unwrap();
    // By hand: plates 30 along and 45 across, two columns of two on 100, or four in a row on 50.
    let expected = [(100.0, 2.0, 62.0), (100.0, 3.5, 63.5), (50.0, 2.0, 126.0), (50.0, 3.5, 130.5)];
    for (variant, (width, gap, length)) in told["variants"].as_array().unwrap().iter().zip(expected) {
        assert_eq!((&variant["width_mm"], &variant["gap_mm"]), (&json!(width), &json!(gap)));
        assert!((variant["length_mm"]["mean"].as_f64().unwrap() - length).abs() < 1e-3, "{variant}");
        assert!((variant["film_area_mm2"]["greatest"].as_f64().unwrap() - length * width).abs() < 0.1);
        assert_eq!(variant["cheapest"], json!((width, gap) == (100.0, 2.0)));
        assert_eq!(variant["runs"].as_array().unwrap().len(), 2);
    }
}

#[test]
fn listed_commands_give_the_same_table_as_one_run() {
    let desk = desk();
    desk.run(["compare", "-o", "which"].iter().chain(&ASKED)).ends_with(0);
    let list = desk.run(["compare", "-o", "cells here", "--list"].iter().chain(&ASKED)).ends_with(0).out;
    assert_eq!(list.lines().count(), 8);
    fs::create_dir(desk.path("cells here")).unwrap();
    let program = format!("tuckroll() {{ '{}' \"$@\"; }}\n", env!("CARGO_BIN_EXE_tuckroll"));
    let status = Command::new("sh")
        .args(["-c", &format!("set -e\n{program}{list}")])
        .current_dir(desk.path("."))
        .output()
        .unwrap();
    assert!(status.status.success(), "{}", String::from_utf8_lossy(&status.stderr));
    desk.run(["compare", "--gather", "cells here", "-o", "gathered"]).ends_with(0);
    for name in FILES {
        let of = |folder: &str| fs::read(desk.path(folder).join(name)).unwrap();
        assert!(of("which") == of("gathered"), "{name}");
    }
    fs::remove_dir_all(desk.path("cells here/02_width-100_gap-3.5_seed-2")).unwrap();
    desk.run(["compare", "--gather", "cells here", "-o", "partly"])
        .ends_with(0)
        .says(&["width 100, gap 3.5", "no layout for seed 2"]);
}

/// Two cells, each nested from a job of its own, and what comes of gathering them.
fn gathered(cells: [(&str, &Value); 2]) -> (Desk, crate::support::Ran) {
    let desk = Desk::new();
    fs::create_dir(desk.path("cells")).unwrap();
    for (cell, job) in cells {
        desk.put("job.json", job.to_string());
        desk.run(["nest", "job.json", "-o", &format!("cells/{cell}"), "--rounds", "0"]).ends_with(0);
    }
    let ran = desk.run(["compare", "--gather", "cells", "-o", "which"]);
    (desk, ran)
}

#[test]
fn cells_of_other_panels_are_no_comparison() {
    let job = rectangles(30.0, 45.0, 4);
    let two = ["01_gap-2_seed-1", "02_gap-3_seed-1"];
    gathered([(two[0], &job), (two[1], &job)]).1.ends_with(0);
    let fewer = rectangles(30.0, 45.0, 3);
    let smaller = rectangles(30.0, 44.0, 4);
    let mut renamed = job.clone();
    renamed["panels"][0]["id"] = json!("other");
    for other in [&fewer, &smaller, &renamed] {
        for cells in [two, ["01_width-100_seed-1", "02_width-90_seed-1"]] {
            let ran = gathered([(cells[0], &job), (cells[1], other)]).1;
            ran.ends_with(2).says(&[cells[1], "other panels"]);
        }
    }
    // Fillers are cut where they cost nothing.
    let mut filled = job.clone();
    let filler = json!({ "id": "f", "optional": true, "outline": [[0, 0], [5, 0], [5, 5]] });
    filled["panels"].as_array_mut().unwrap().push(filler);
    gathered([(two[0], &job), (two[1], &filled)]).1.ends_with(0);
    // Gores of a kit may be others where they were asked for, but not those of no kit, nor other orders.
    let mut kit = job.clone();
    kit["panels"]
        .as_array_mut()
        .unwrap()
        .push(json!({ "id": "K/nose/gore", "kit": "K", "copies": 6, "outline": [[0, 0], [30, 0], [0, 9]] }));
    let mut eight = kit.clone();
    eight["panels"][1]["outline"] = json!([[0, 0], [30, 0], [0, 8]]);
    eight["panels"][1]["copies"] = json!(8);
    let gores = ["01_gores-6_seed-1", "02_gores-8_seed-1"];
    gathered([(gores[0], &kit), (gores[1], &eight)]).1.ends_with(0);
    gathered([(two[0], &kit), (two[1], &eight)]).1.ends_with(2).says(&["other panels"]);
    gathered([(gores[0], &kit), (gores[1], &job)]).1.ends_with(2).says(&["other panels"]);
}

#[test]
fn an_interrupted_cell_is_no_fair_one() {
    let job = rectangles(30.0, 45.0, 4);
    let (desk, ran) = gathered([("01_gap-2_seed-1", &job), ("02_gap-3_seed-1", &job)]);
    ran.ends_with(0);
    let path = desk.path("cells/02_gap-3_seed-1/layout.json");
    let mut layout: Value = serde_json::from_slice(&fs::read(&path).unwrap()).unwrap();
    layout["made_by"]["stopped"] = json!("interrupted");
    fs::write(path, layout.to_string()).unwrap();
    desk.run(["compare", "--gather", "cells", "-o", "again"]).ends_with(2).says(&[
        "02_gap-3_seed-1",
        "interrupted",
        "nest this cell again",
    ]);
}

#[test]
fn listed_commands_load_and_search_as_was_asked() {
    let desk = desk();
    let others = ["--chord-tolerance", "0.5", "--join-tolerance", "0.1", "--outside-files", "--threads", "3"];
    let list = ["compare", "a job.json", "-o", "cells", "--list", "--seeds", "1"];
    let list = desk.run(list.iter().chain(&others)).ends_with(0).out;
    assert!(list.ends_with(&format!(" --seed 1 {}\n", others.join(" "))), "{list}");
}

#[test]
fn what_cannot_be_compared_is_said() {
    let desk = desk();
    desk.run(["compare", "-o", "x"]).ends_with(2).says(&["JOB.json"]);
    desk.run(["compare", "a job.json", "-o", "-"]).ends_with(2).says(&["standard output"]);
    assert_eq!(desk.names(), ["a job.json"]);
    desk.run(["compare", "none.json", "-o", "x"]).ends_with(2).says(&["none.json"]);
    desk.run(["compare", "--gather", "none", "-o", "x"]).ends_with(2).says(&["no such folder"]);
    fs::create_dir(desk.path("empty")).unwrap();
    desk.run(["compare", "--gather", "empty", "-o", "x"]).ends_with(2).says(&["no layout to compare"]);
    desk.run(["compare", "a job.json", "-o", "x", "--gores", "6,8"])
        .ends_with(2)
        .says(&["no kits with a nose"]);
    desk.run(["compare", "a job.json", "-o", "x", "--width", "40"]).ends_with(1).says(&["plate"]);
    desk.run(["compare", "-", "-o", "x"]).ends_with(2).says(&["standard input"]);
    desk.run(["compare", "a job.json", "-o", "x", "--width", "1,,2"]).ends_with(2);
    desk.run(["compare", "a job.json", "-o", "x", "--seeds", "3-1"]).ends_with(2).says(&["1-3"]);
    assert!(!desk.path("x").exists());
}

#[test]
fn a_job_is_nested_and_checked_as_it_was_asked_for() {
    let desk = desk();
    let other = ["--width", "50", "--gap", "3", "--grain", "two-way"];
    desk.run(["nest", "a job.json", "-o", "out", "--rounds", "1"].iter().chain(&other)).ends_with(0);
    let layout: Value = serde_json::from_slice(&fs::read(desk.path("out/layout.json")).unwrap()).unwrap();
    assert_eq!((&layout["roll"]["width"], &layout["gap"]), (&json!(50.0), &json!(3.0)));
    assert_eq!(layout["panels"][0]["grain"]["rule"], "two-way");
    desk.run(["check", "out/layout.json", "--job", "a job.json"].iter().chain(&other)).ends_with(0);
    let tolerances = ["--join-tolerance", "0.1", "--outside-files", "--keep-what-fits"];
    let asked = ["nest", "a job.json", "-o", "two", "--time", "1", "--patience", "1"];
    let ran = desk.run(asked.iter().chain(&other).chain(&tolerances)).ends_with(0);
    let repeat = ran.out.lines().find_map(|line| line.trim().strip_prefix("repeat ")).unwrap().trim();
    let last = "--width 50 --gap 3 --grain two-way --keep-what-fits --join-tolerance 0.1 --outside-files";
    assert!(repeat.ends_with(last), "{repeat}");
    let again = ["nest", "a job.json", "-o", "again"];
    desk.run(again.into_iter().chain(repeat.split(' '))).ends_with(0);
    let bytes = |out: &str| fs::read(desk.path(out).join("layout.json")).unwrap();
    assert!(bytes("two") == bytes("again"));
    desk.run(["check", "out/layout.json", "--job", "a job.json"]).ends_with(1);
    desk.run(["check", "out/layout.json", "--width", "50"]).ends_with(2).says(&["--job"]);
}

/// No command would read the layout.
#[test]
fn lengths_that_no_file_may_have_are_refused_where_they_are_asked_for() {
    let desk = desk();
    for option in ["--width", "--gap"] {
        for value in ["2e7", "1e12"] {
            desk.run(["nest", "a job.json", "-o", "out", "--rounds", "0", option, value])
                .ends_with(2)
                .says(&[&format!("error: {option}: "), "beyond 10 km"]);
        }
        desk.run(["compare", "a job.json", "-o", "out", "--rounds", "0", option, "100,2e7"])
            .ends_with(2)
            .says(&[option, "20000000 mm is beyond 10 km"]);
    }
    let kit = concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/kits/nose-ogive.json");
    desk.run(["panels", kit, "-o", "out", "--width", "2e7"]).ends_with(2).says(&["--width"]);
    assert_eq!(desk.names(), ["a job.json"]);
}

#[test]
fn noses_get_the_gores_that_are_asked_for() {
    let desk = Desk::new();
    let kit = concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/kits/nose-ogive.json");
    desk.put("nose.json", fs::read(kit).unwrap());
    let job = json!({ "format": "tuckroll-job-1", "name": "noses", "unit": "mm", "roll": { "width": 594 },
        "gap": 2, "kits": [{ "id": "N", "file": "nose.json" }] });
    desk.put("job.json", job.to_string());
    for gores in [8, 12] {
        let (text, out) = (gores.to_string(), format!("out{gores}"));
        desk.run(["nest", "job.json", "-o", &out, "--rounds", "1", "--gores", &text]).ends_with(0);
        let report = fs::read(desk.path(&out).join("report.json")).unwrap();
        let report: Value = serde_json::from_slice(&report).unwrap();
        let pieces = report["pieces"].as_array().unwrap().iter();
        let gore = pieces.filter(|p| p["panel"].as_str().unwrap().ends_with("gore"));
        assert_eq!(gore.count(), gores);
    }
    // No panels beside the kits is what the schema gives where they are left out.
    let mut empty = job.clone();
    empty["panels"] = json!([]);
    desk.put("empty.json", empty.to_string());
    desk.run(["nest", "empty.json", "-o", "empty", "--rounds", "1", "--gores", "8"]).ends_with(0);
    let bytes = |out: &str| fs::read(desk.path(out).join("layout.json")).unwrap();
    assert!(bytes("empty") == bytes("out8"));
    let tube = json!({ "format": "tuckroll-kit-1", "name": "tube", "unit": "mm", "parts": [
        { "id": "t", "kind": "tube", "circumference": 200, "length": 300 }] });
    desk.put("nose.json", tube.to_string());
    desk.run(["nest", "job.json", "-o", "tube", "--rounds", "1"]).ends_with(0);
    desk.run(["compare", "job.json", "-o", "x", "--gores", "6,8"])
        .ends_with(2)
        .says(&["no kits with a nose"]);
    desk.put("nose.json", "{");
    let ran = desk.run(["compare", "job.json", "-o", "x", "--gores", "6,8"]).ends_with(2);
    assert!(!ran.err.contains("no kits with a nose"), "{}", ran.err);
}

/// Files are read once, so that a job may come from a pipe and cannot change between variants.
#[cfg(unix)]
#[test]
fn a_job_is_read_once_for_all_variants() {
    let desk = desk();
    assert!(Command::new("mkfifo").arg(desk.path("pipe")).status().unwrap().success());
    let text = fs::read(desk.path("a job.json")).unwrap();
    let pipe = desk.path("pipe");
    let writer = std::thread::spawn(move || fs::write(pipe, text).unwrap());
    let mut command = desk.command();
    command.args(["compare", "pipe", "-o", "which", "--width", "100,50", "--seeds", "1-2", "--rounds", "0"]);
    let mut child = command.stdout(std::process::Stdio::null()).spawn().unwrap();
    let until = std::time::Instant::now() + std::time::Duration::from_secs(60);
    let status = loop {
        if let Some(status) = child.try_wait().unwrap() {
            break Some(status);
        }
        if std::time::Instant::now() > until {
            // It waits for a second writer.
            child.kill().unwrap();
            child.wait().unwrap();
            break None;
        }
        std::thread::sleep(std::time::Duration::from_millis(20));
    };
    assert!(status.is_some_and(|s| s.success()), "{status:?}");
    writer.join().unwrap();
    assert_eq!(names(&desk.path("which")), FILES);
}

#[test]
fn the_schema_of_the_comparison_is_printed() {
    let schema: Value = serde_json::from_str(&run(["schema", "comparison"]).ends_with(0).out).unwrap();
    assert_eq!(schema["properties"]["format"]["const"], "tuckroll-comparison-1");
}

/// The job on film that is paid for by its length.
fn priced() -> Desk {
    let mut job = rectangles(30.0, 45.0, 4);
    job["roll"]["price"] = json!({ "amount": "10", "per": "m" });
    job["rates"] = json!({ "currency": "EUR", "labour": { "per_hour": "36.00", "minutes_per_job": 1 } });
    let desk = Desk::new();
    desk.put("a job.json", job.to_string());
    desk
}

#[test]
fn each_width_has_its_price_and_the_least_cost_wins() {
    let desk = priced();
    let widths = ["--width", "100,50", "--gap", "2", "--seeds", "1-2", "--rounds", "1", "a job.json"];
    desk.run(["compare", "-o", "which"].iter().chain(&widths))
        .ends_with(2)
        .says(&["--price", "another width"]);
    desk.run(["compare", "-o", "which", "--price", "1,2,3"].iter().chain(&widths))
        .ends_with(2)
        .says(&["2 widths and 3 prices"]);
    let asked = ["compare", "-o", "which", "--json", "--price", "10,3"];
    let ran = desk.run(asked.iter().chain(&widths)).ends_with(0);
    let told: Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!((&told["currency"], &told["cheapest_by"]), (&json!("EUR"), &json!("mean cost")));
    // By hand: 62 mm at 10 a metre is 0.62, 126 mm at 3 is 0.378; a minute at 36 an hour is 0.60.
    for (variant, (film, total, cheapest)) in
        told["variants"].as_array().unwrap().iter().zip([("0.62", "1.22", false), ("0.38", "0.98", true)])
    {
        let cost = &variant["cost"];
        assert_eq!((&cost["film_cost_mean"], &cost["total_cost_mean"]), (&json!(film), &json!(total)));
        assert_eq!(variant["cheapest"], json!(cheapest));
        assert_eq!(variant["runs"][1]["film_cost"], json!(film));
        assert!(variant["cut_time_s"]["mean"].as_f64().unwrap() > 4.0 * 150.0 / 200.0);
    }
    let csv = fs::read_to_string(desk.path("which/compare.csv")).unwrap();
    assert!(csv.lines().nth(2).unwrap().ends_with(",EUR,0.38,0.98,0.98,0.98,1"), "{csv}");
    desk.run(["nest", "a job.json", "-o", "out", "--rounds", "1", "--width", "50", "--price", "3"])
        .ends_with(0);
    let list =
        desk.run(["compare", "-o", "x", "--list", "--price", "10,3"].iter().chain(&widths)).ends_with(0);
    assert!(list.out.contains(" --width 50 --price 3 --gap 2"), "{}", list.out);
}

#[test]
fn several_pieces_of_film_are_summed_up() {
    let desk = Desk::new();
    let mut job = rectangles(30.0, 45.0, 4);
    job.as_object_mut().unwrap().remove("roll");
    let price = json!({ "amount": "10", "per": "m" });
    job["rolls"] = json!([
        { "id": "white", "width": 50, "film": "white", "price": price },
        { "id": "black", "width": 100, "film": "black", "price": price }
    ]);
    job["panels"][0]["film"] = json!("white");
    job["panels"]
        .as_array_mut()
        .unwrap()
        .push(json!({ "id": "disc", "film": "black", "outline": [[0, 0], [20, 0], [20, 20], [0, 20]] }));
    desk.put("a job.json", job.to_string());
    let asked = ["--gap", "2,3.5", "--seeds", "1-2", "--rounds", "1", "a job.json"];
    let ran = desk.run(["compare", "-o", "which", "--json"].iter().chain(&asked)).ends_with(0);
    let told: Value = serde_json::from_str(&ran.out).unwrap();
    // By hand: four in a row on white, one on black.
    for (variant, length) in told["variants"].as_array().unwrap().iter().zip([126.0 + 20.0, 130.5 + 20.0]) {
        assert!((variant["length_mm"]["mean"].as_f64().unwrap() - length).abs() < 1e-3, "{variant}");
        let area = (length - 20.0) * 50.0 + 20.0 * 100.0;
        assert!((variant["film_area_mm2"]["mean"].as_f64().unwrap() - area).abs() < 0.1);
        assert_eq!((&variant["pieces"], variant.get("width_mm")), (&json!(5), None));
    }
    assert_eq!(told["variants"][0]["cost"]["film_cost_mean"], "1.46");
    let list = desk.run(["compare", "-o", "cells", "--list"].iter().chain(&asked)).ends_with(0).out;
    fs::create_dir(desk.path("cells")).unwrap();
    let program = format!("tuckroll() {{ '{}' \"$@\"; }}\n", env!("CARGO_BIN_EXE_tuckroll"));
    let script = format!("set -e\n{program}{list}");
    let status = Command::new("sh").args(["-c", &script]).current_dir(desk.path(".")).output().unwrap();
    assert!(status.status.success(), "{}", String::from_utf8_lossy(&status.stderr));
    desk.run(["compare", "--gather", "cells", "-o", "gathered"]).ends_with(0);
    for name in FILES {
        let of = |folder: &str| fs::read(desk.path(folder).join(name)).unwrap();
        assert!(of("which") == of("gathered"), "{name}");
    }
    job["rolls"][0]["length"] = json!(40);
    desk.put("a job.json", job.to_string());
    desk.run(["compare", "-o", "short"].iter().chain(&asked)).ends_with(1).says(&["left out"]);
    assert!(!desk.path("short").exists());
}

//! `tuckroll cut`: plotter files, plan and sections.

use crate::support::{Desk, names};
use serde_json::{Value, json};
use std::fs;
use tuckroll::read::ReadOptions;

/// Six plates with a hole in two columns, margins all round.
fn plates() -> Value {
    let place = |copy: u32| {
        let (column, row) = (f64::from((copy - 1) / 3), f64::from((copy - 1) % 3));
        json!({ "panel": "plate", "copy": copy, "x": 30.0 + 62.0 * column, "y": 10.0 + 62.0 * row, "rotation": 0,
                "mirrored": false })
    };
    let area = 6.0 * (60.0 * 60.0 - 100.0);
    json!({
        "format": "tuckroll-layout-1",
        "name": "six plates",
        "unit": "mm",
        "roll": { "width": 210, "edge_margin": [8, 12], "lead_margin": 30, "tail_margin": 8 },
        "gap": 2,
        "panels": [{ "id": "plate", "copies": 6, "outline": [[0, 0], [60, 0], [60, 60], [0, 60]],
                     "holes": [[[20, 20], [30, 20], [30, 30], [20, 30]]] }],
        "placements": (1..=6).map(place).collect::<Vec<_>>(),
        "length": 160,
        "panel_area": area,
        "waste_percent": 100.0 * (1.0 - area / (210.0 * 160.0)),
        "density_percent": 100.0 * area / (190.0 * 122.0),
    })
}

/// Rectangles, each x, y, width and height, and a tail margin of nothing.
fn rectangles(roll: &Value, list: &[[f64; 4]]) -> Value {
    let panel = |(i, &[_, _, w, h]): (usize, &[f64; 4])| {
        let outline = [[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]];
        json!({ "id": format!("p{i}"), "outline": outline })
    };
    let place = |(i, &[x, y, ..]): (usize, &[f64; 4])| {
        let id = format!("p{i}");
        json!({ "panel": id, "copy": 1, "x": x, "y": y, "rotation": 0, "mirrored": false })
    };
    let number = |key: &str| roll[key].as_f64().unwrap_or(0.0);
    let area: f64 = list.iter().map(|[_, _, w, h]| w * h).sum();
    let length = list.iter().map(|[x, _, w, _]| x + w).fold(0.0, f64::max);
    let usable = (number("width") - 2.0 * number("edge_margin")) * (length - number("lead_margin"));
    json!({
        "format": "tuckroll-layout-1",
        "name": "rectangles",
        "unit": "mm",
        "roll": roll,
        "gap": 2,
        "panels": list.iter().enumerate().map(panel).collect::<Vec<_>>(),
        "placements": list.iter().enumerate().map(place).collect::<Vec<_>>(),
        "length": length,
        "panel_area": area,
        "waste_percent": 100.0 * (1.0 - area / (number("width") * length)),
        "density_percent": 100.0 * area / usable,
    })
}

fn desk() -> Desk {
    let desk = Desk::new();
    desk.put("layout.json", plates().to_string());
    desk
}

fn read(desk: &Desk, name: &str) -> String {
    fs::read_to_string(desk.path(name)).unwrap()
}

/// All numbers of PU and PD in a plotter file.
fn coordinates(plot: &str) -> Vec<i64> {
    let words = plot.split(';').filter(|w| w.starts_with("PU") || w.starts_with("PD"));
    words.flat_map(|w| w[2..].split(',').filter(|n| !n.is_empty())).map(|n| n.parse().unwrap()).collect()
}

#[test]
fn a_layout_becomes_plan_plotter_file_and_drawing() {
    let desk = desk();
    let ran = desk.run(["cut", "layout.json", "-o", "out"]).ends_with(0);
    assert!(ran.out.contains("12 contours in 1 section"), "{}", ran.out);
    assert_eq!(names(&desk.path("out")), ["cut.dxf", "cut.plt", "plan.json"]);
    let plot = read(&desk, "out/cut.plt");
    assert!(plot.starts_with("IN;PU;SP1;PA;") && plot.ends_with("SP0;"), "{plot}");
    // From 30 mm to 152 mm, 40 units to the millimetre; the head is parked at 160 mm.
    let most = coordinates(&plot).into_iter().max();
    assert_eq!(most, Some(194 * 40));
    let plan: Value = serde_json::from_str(&read(&desk, "out/plan.json")).unwrap();
    assert_eq!(plan["format"], "tuckroll-plan-1");
    assert_eq!(plan["totals"]["cut_mm"], 6.0 * 280.0);
    let steps = plan["sections"][0]["steps"].as_array().unwrap();
    let place = |name: &str| steps.iter().position(|s| s["contour"] == name).unwrap();
    for copy in 1..=6 {
        assert!(place(&format!("plate#{copy}/hole 1")) < place(&format!("plate#{copy}/outline")));
    }
    // The same again, in the place of the first.
    desk.run(["cut", "layout.json", "-o", "out"]).ends_with(2).says(&["is there already"]);
    desk.run(["cut", "layout.json", "-o", "out", "--replace"]).ends_with(0);
    assert_eq!(read(&desk, "out/cut.plt"), plot);
}

#[test]
fn sections_are_cut_apart_and_taken_up_again() {
    let desk = desk();
    let words = ["cut", "layout.json", "--section-length", "70", "--device", "sixteen-bit"];
    desk.run(words.iter().chain(&["-o", "all"])).ends_with(0);
    let files = ["cut-1.dxf", "cut-1.plt", "cut-2.dxf", "cut-2.plt", "plan.json"];
    assert_eq!(names(&desk.path("all")), files);
    desk.run(words.iter().chain(&["-o", "rest", "--from-section", "2"])).ends_with(0);
    assert_eq!(names(&desk.path("rest")), ["cut-2.dxf", "cut-2.plt", "plan.json"]);
    assert_eq!(read(&desk, "rest/cut-2.plt"), read(&desk, "all/cut-2.plt"));
    desk.run(words.iter().chain(&["-o", "no", "--from-section", "3"]))
        .ends_with(2)
        .says(&["sections 1 to 2"]);
    desk.run(["cut", "layout.json", "-o", "no", "--section-length", "59"]).ends_with(1).says(&[
        "plate",
        "60.0 mm long",
        "longer sections",
    ]);
    assert!(!desk.path("no").exists());
}

#[test]
fn marks_test_cut_and_cuts_in_the_waste_are_drawn_where_there_is_room() {
    let desk = desk();
    let words = ["cut", "layout.json", "-o", "out", "--marks", "--test-cut", "10", "--weed-strips", "61"];
    desk.run(words.iter().chain(&["--weed-frame"])).ends_with(0);
    let plan: Value = serde_json::from_str(&read(&desk, "out/plan.json")).unwrap();
    let section = &plan["sections"][0];
    assert_eq!(section["marks"], json!([[33.0, 4.0], [33.0, 204.0], [149.0, 4.0], [149.0, 204.0]]));
    let steps = section["steps"].as_array().unwrap();
    assert_eq!(steps[0]["contour"], "test cut/square");
    assert_eq!(steps[1]["contour"], "test cut/triangle");
    assert!(steps.last().unwrap()["contour"].as_str().unwrap().starts_with("waste/"));
    let told = ["needs an edge margin of 10 mm", "wider edge margins"];
    desk.run(["cut", "layout.json", "-o", "no", "--marks", "--mark-arm", "4"]).ends_with(1).says(&told);
    desk.run(["cut", "layout.json", "-o", "no", "--test-cut", "28"])
        .ends_with(1)
        .says(&["longer lead margin"]);
}

#[test]
fn a_mark_of_ones_own_is_drawn_instead_of_the_cross() {
    let desk = desk();
    let svg = r#"<svg xmlns="http://www.w3.org/2000/svg" width="4mm" height="4mm" viewBox="0 0 4 4"><path d="M0 0H4V2H2V4H0Z"/></svg>"#;
    desk.put("mark.svg", svg);
    desk.run(["cut", "layout.json", "-o", "out", "--marks", "--mark-drawing", "mark.svg"]).ends_with(0);
    assert!(read(&desk, "out/cut.dxf").contains("TR_PRINTED"));
    desk.run(["cut", "layout.json", "-o", "no", "--mark-drawing", "mark.svg"]).ends_with(2);
}

#[test]
fn open_lines_of_a_mark_are_drawn_and_what_is_left_out_is_told() {
    let desk = desk();
    let cross = r#"<line x1="0" y1="3" x2="6" y2="3"/><line x1="3" y1="0" x2="3" y2="6"/>"#;
    let words = ["cut", "layout.json", "--json", "--marks", "--mark-drawing", "mark.svg", "-o"];
    for (name, more, lines, left_out) in [
        ("cross", "", 2, 0),
        ("circled", r#"<circle cx="3" cy="3" r="1"/>"#, 3, 0),
        ("named", "<text x=\"0\" y=\"0\">M</text>", 2, 1),
    ] {
        let head = r#"<svg xmlns="http://www.w3.org/2000/svg" width="6mm" height="6mm" viewBox="0 0 6 6">"#;
        desk.put("mark.svg", format!("{head}{cross}{more}</svg>"));
        let ran = desk.run(words.iter().chain(&[name])).ends_with(0);
        let told: Value = serde_json::from_str(&ran.out).unwrap();
        assert_eq!(told["warnings"].as_array().unwrap().len(), left_out, "{}", ran.out);
        assert_eq!(ran.err.contains("warning"), left_out > 0, "{}", ran.err);
        let drawing = fs::read(desk.path(&format!("{name}/cut.dxf"))).unwrap();
        let drawn = tuckroll::read::lines(&drawing, "cut.dxf", &ReadOptions::default()).unwrap().drawn;
        // Twelve contours, both edges of the film, and four marks.
        assert_eq!(drawn.len(), 12 + 2 + 4 * lines);
    }
    desk.put(
        "mark.svg",
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="6mm" height="6mm" viewBox="0 0 6 6"/>"#,
    );
    desk.run(words.iter().chain(&["no"])).ends_with(2).says(&["the drawing is empty"]);
}

#[test]
fn a_short_section_has_marks_at_two_places_and_all_of_them_on_the_film() {
    let desk = Desk::new();
    let roll = json!({ "width": 600, "edge_margin": 10 });
    let words = ["cut", "layout.json", "--marks", "--section-length", "480", "-o"];
    let layout = rectangles(&roll, &[[20.0, 20.0, 480.0, 50.0], [496.0, 100.0, 6.0, 40.0]]);
    desk.put("layout.json", layout.to_string());
    desk.run(words.iter().chain(&["out"])).ends_with(0);
    let plan: Value = serde_json::from_str(&read(&desk, "out/plan.json")).unwrap();
    assert_eq!(
        plan["sections"][1]["marks"],
        json!([[490.0, 5.0], [490.0, 595.0], [497.0, 5.0], [497.0, 595.0]])
    );
    desk.put("layout.json", rectangles(&roll, &[[0.0, 20.0, 10.0, 50.0]]).to_string());
    let told = ["need 15 mm of film", "the layout is 10.0 mm long", "tail margin longer by 5 mm"];
    desk.run(words.iter().chain(&["no"])).ends_with(1).says(&told);
}

#[test]
fn a_test_cut_without_room_says_which_way_it_is_missing() {
    let desk = desk();
    let words = ["cut", "layout.json", "-o", "no", "--test-cut", "10"];
    desk.run(words.iter().chain(&["--half-turn"]))
        .ends_with(1)
        .says(&["a tail margin of 14 mm, and it is 8 mm", "longer tail margin"]);
    let roll = json!({ "width": 12, "lead_margin": 40 });
    desk.put("layout.json", rectangles(&roll, &[[40.0, 1.0, 50.0, 10.0]]).to_string());
    let ran = desk.run(words).ends_with(1).says(&["14 mm between the edge margins, and there are 12 mm"]);
    assert!(!ran.err.contains("lead margin"), "{}", ran.err);
}

#[test]
fn a_frame_stays_away_from_the_test_cut() {
    let desk = Desk::new();
    let roll = json!({ "width": 200, "edge_margin": 8, "lead_margin": 14 });
    desk.put("layout.json", rectangles(&roll, &[[14.0, 8.0, 100.0, 100.0]]).to_string());
    let words = ["cut", "layout.json", "-o", "out", "--weed-frame", "--weed-clearance", "5"];
    desk.run(words.iter().chain(&["--test-cut", "10"])).ends_with(0);
    let plan: Value = serde_json::from_str(&read(&desk, "out/plan.json")).unwrap();
    let steps = plan["sections"][0]["steps"].as_array().unwrap();
    let of_left_side = |s: &&Value| {
        s["contour"].as_str().unwrap().starts_with("waste/") && s["start"][0] == 9.0 && s["end"][0] == 9.0
    };
    let left: Vec<&Value> = steps.iter().filter(of_left_side).collect();
    assert_eq!(left.len(), 1, "{steps:?}");
    // The triangle reaches from 10 mm to 18.66 mm across the film.
    for end in ["start", "end"] {
        assert!(left[0][end][1].as_f64().unwrap() > 18.66 + 3.0, "{left:?}");
    }
}

#[test]
fn dashes_and_bridges_shorter_than_a_knife_can_cut_are_refused() {
    let desk = desk();
    for typed in [["0.0005", "0.0001"], ["10", "0.09"], ["1001", "1"], ["2", "2"]] {
        desk.run(["cut", "layout.json", "-o", "no", "--dash", typed[0], "--bridge", typed[1]])
            .ends_with(2)
            .says(&["through cuts", "from 0.1 to 1000 mm"]);
    }
    desk.run(["cut", "layout.json", "-o", "out", "--dash", "0.2", "--bridge", "0.1"]).ends_with(0);
}

#[test]
fn extreme_numbers_are_told_shortly() {
    let desk = desk();
    for (typed, code, told) in [
        (["--section-length", "1e-300"].as_slice(), 1, "longer than 1e-300 mm"),
        (&["--marks", "--mark-arm", "1e300"], 1, "needs an edge margin of 2e300 mm"),
        (&["--test-cut", "1e308"], 1, "a lead margin of 1e308 mm"),
        (&["--test-cut=-1e308"], 2, "-1e308 mm is no size"),
        (&["--overcut", "1e300"], 2, "1e300 mm is not within 0 to 20"),
    ] {
        desk.run(["cut", "layout.json", "-o", "no"].iter().chain(typed)).ends_with(code).says(&[told]);
    }
    desk.put("bad.json", profile(&json!({ "overcut_mm": 1e300 })));
    desk.run(["cut", "layout.json", "-o", "no", "--device", "bad.json"])
        .ends_with(2)
        .says(&["1e300 is not within 0 to 20"]);
}

#[test]
fn the_whole_layout_can_be_turned_and_mirrored() {
    let desk = desk();
    for (name, words) in [
        ("plain", [].as_slice()),
        ("turned", ["--half-turn"].as_slice()),
        ("mirrored", ["--mirrored"].as_slice()),
    ] {
        desk.run(["cut", "layout.json", "-o", name].iter().chain(words)).ends_with(0);
    }
    let least = |name: &str| {
        let all = coordinates(&read(&desk, &format!("{name}/cut.plt")));
        let cut = &all[..all.len() - 2];
        (cut.iter().step_by(2).min().copied(), cut.iter().skip(1).step_by(2).min().copied())
    };
    assert_eq!(least("plain"), (Some(30 * 40), Some(10 * 40)));
    assert_eq!(least("turned"), (Some(8 * 40), Some(16 * 40)));
    assert_eq!(least("mirrored"), (Some(30 * 40), Some(16 * 40)));
}

fn profile(more: &Value) -> String {
    let mut profile = json!({ "format": "tuckroll-device-1", "name": "mine", "unit_mm": 0.025 });
    for (key, value) in more.as_object().unwrap() {
        profile[key] = value.clone();
    }
    profile.to_string()
}

#[test]
fn a_device_is_never_told_more_than_it_takes() {
    let desk = desk();
    desk.put("small.json", profile(&json!({ "largest": 5000 })));
    let told = ["needs 7760 units along Y", "5000 at most", "125.0 mm"];
    desk.run(["cut", "layout.json", "-o", "no", "--device", "small.json"]).ends_with(1).says(&told);
    // Half of 194 mm on either side of the centre fits.
    desk.put("centre.json", profile(&json!({ "largest": 5000, "origin": "centre" })));
    desk.run(["cut", "layout.json", "-o", "yes", "--device", "centre.json"]).ends_with(0);
    assert!(coordinates(&read(&desk, "yes/cut.plt")).iter().all(|v| v.abs() <= 5000));
}

#[test]
fn differences_are_never_more_than_a_device_takes() {
    let desk = Desk::new();
    let roll = json!({ "width": 600, "lead_margin": 20, "edge_margin": 8 });
    desk.put("layout.json", rectangles(&roll, &[[20.0, 20.0, 1200.0, 50.0]]).to_string());
    desk.put("centre.json", profile(&json!({ "origin": "centre", "relative": true, "zero": "section" })));
    desk.run(["cut", "layout.json", "-o", "out", "--device", "centre.json"]).ends_with(0);
    let plot = read(&desk, "out/cut.plt");
    assert!(coordinates(&plot).iter().all(|v| v.abs() <= 32_767), "{plot}");
    // 1200 mm are 48000 units.
    assert!(plot.contains("24000,0,24000,0") && plot.contains("-24000,0,-24000,0"), "{plot}");
}

#[test]
fn the_file_of_a_section_parks_the_head_at_the_end_of_the_section() {
    let desk = desk();
    desk.put("centre.json", profile(&json!({ "origin": "centre" })));
    let words = ["cut", "layout.json", "--section-length", "70", "--device"];
    for (device, parked) in [
        ("large-numbers", ["PU3600,0;SP0;", "PU6400,0;SP0;"]),
        ("centre.json", ["PU400,-4200;SP0;", "PU3200,-4200;SP0;"]),
    ] {
        desk.run(words.iter().chain(&[device, "-o", "all", "--replace"])).ends_with(0);
        desk.run(words.iter().chain(&[device, "-o", "each", "--replace", "--each-section"])).ends_with(0);
        let files = [read(&desk, "each/cut-1.plt"), read(&desk, "each/cut-2.plt")];
        assert!(files[0].ends_with(parked[0]) && files[1].ends_with(parked[1]), "{files:?}");
        let cut = |plot: &str| {
            let mut all = coordinates(plot);
            all.truncate(all.len() - 2);
            all
        };
        // What is cut lies where it lies in one file for all.
        assert_eq!([cut(&files[0]), cut(&files[1])].concat(), cut(&read(&desk, "all/cut.plt")));
    }
}

#[test]
fn units_and_calibration_scale_the_numbers() {
    let desk = desk();
    desk.put("fine.json", profile(&json!({ "unit_mm": 0.02488, "feed_scale": 1.01, "relative": true })));
    desk.run(["cut", "layout.json", "-o", "out", "--device", "fine.json"]).ends_with(0);
    let plot = read(&desk, "out/cut.plt");
    // 152 mm at 1.01 in units of 0.02488 mm.
    assert!(
        plot.contains("PR;") && plot.contains(&format!("PU{},0;SP0;", (160.0 * 1.01 / 0.02488_f64).round())),
        "{plot}"
    );
}

#[test]
fn hostile_profiles_are_refused_with_the_place_and_a_remedy() {
    let desk = desk();
    for (more, told) in [
        (json!({ "unit_mm": 0.1 }), "0.02488"),
        (json!({ "unti_mm": 0.025 }), "did you mean `unit_mm`"),
        (json!({ "feed_scale": 1.5 }), "feed_scale: 1.5 is not within 0.9 to 1.1"),
        (json!({ "largest": 12 }), "largest"),
        (json!({ "origin": "top" }), "origin"),
        (json!({ "speed_cm_per_s": 1e9 }), "speed_cm_per_s"),
        (json!({ "blade_offset_mm": 0.1 }), "blade_offset_mm"),
        (json!({ "tools": { "kiss": 1 } }), "`pen` is missing"),
        (json!({ "format": "tuckroll-layout-1" }), "tuckroll-device-1"),
    ] {
        desk.put("bad.json", profile(&more));
        desk.run(["cut", "layout.json", "-o", "no", "--device", "bad.json"])
            .ends_with(2)
            .says(&["bad.json", told]);
    }
    let told = ["no shipped profile of that name", "large-numbers or sixteen-bit"];
    desk.run(["cut", "layout.json", "-o", "no", "--device", "none.json"]).ends_with(2).says(&told);
    assert!(!desk.path("no").exists());
}

#[test]
fn a_layout_that_breaks_a_rule_is_not_cut() {
    let desk = Desk::new();
    let mut layout = plates();
    layout["placements"][1]["y"] = json!(40);
    desk.put("layout.json", layout.to_string());
    desk.run(["cut", "layout.json", "-o", "no"]).ends_with(1).says(&["plate#1", "plate#2"]);
    desk.run(["cut", "layout.json", "-o", "-"]).ends_with(2);
}

/// Whoever cuts a layout may not have seen what was said when it was nested.
#[test]
fn a_pen_that_leaves_its_panel_is_told_once_more() {
    let desk = Desk::new();
    let mut layout = plates();
    layout["panels"][0]["lines"] = json!([{"role": "draw", "points": [[1, 1], [500, 1]]}]);
    desk.put("layout.json", layout.to_string());
    let ran = desk.run(["cut", "layout.json", "-o", "out", "--json"]).ends_with(0);
    assert!(ran.out.contains("the pen may run over what lies beside the panel"), "{}", ran.out);
    ran.says(&["panel \"plate\"", "the pen may run"]);
}

#[test]
fn plans_and_shipped_profiles_keep_to_their_schemas() {
    let desk = desk();
    for name in ["plan", "device"] {
        let schema: Value = serde_json::from_str(&desk.run(["schema", name]).ends_with(0).out).unwrap();
        assert_eq!(schema["properties"]["format"]["const"], format!("tuckroll-{name}-1"));
    }
}

//! A day on several pieces of film, end to end.

use super::jobs::{busy, rectangles};
use crate::support::{Desk, names};
use serde_json::{Value, json};
use std::fs;
use std::path::Path;

const SHORT: [&str; 2] = ["--rounds", "1"];

/// Four plates of 30 x 45 in two kits on a roll and an offcut of one film, and a plate of another film.
fn day() -> Value {
    let mut job = rectangles(30.0, 45.0, 1);
    job.as_object_mut().unwrap().remove("roll");
    let plate = |id: &str, kit: &str, film: &str, copies: u32| json!({"id": id, "kit": kit, "film": film, "copies": copies, "outline": [[0, 0], [30, 0], [30, 45], [0, 45]]});
    job["panels"] =
        json!([plate("a", "K1", "white", 2), plate("b", "K2", "white", 2), plate("c", "K1", "black", 1)]);
    let price = |amount: &str| json!({"amount": amount, "per": "m"});
    job["rolls"] = json!([
        {"id": "white 100", "width": 100, "film": "white", "length": 500, "price": price("4.50")},
        {"id": "rest", "width": 100, "film": "white", "length": 35, "price": price("0"), "offcut": true},
        {"id": "Black.1", "width": 100, "film": "black", "price": price("9")},
        {"id": "spare", "width": 100, "film": "black", "price": price("12")},
    ]);
    job
}

fn desk_with(job: &Value) -> Desk {
    let desk = Desk::new();
    desk.put("day.json", job.to_string());
    desk
}

fn nest(out: &str) -> Vec<&str> {
    ["nest", "day.json", "-o", out].into_iter().chain(SHORT).collect()
}

fn read(path: &Path) -> Value {
    serde_json::from_slice(&fs::read(path).unwrap()).unwrap()
}

#[test]
fn every_piece_used_has_a_folder_that_checks() {
    let desk = desk_with(&day());
    let ran = desk.run(nest("out").iter().chain(&["--json"])).ends_with(0);
    let told: Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(names(&desk.path("out")), ["Black.1", "rest", "summary.json", "white 100"]);
    for piece in ["Black.1", "rest", "white 100"] {
        assert_eq!(
            names(&desk.path("out").join(piece)),
            ["cut.dxf", "kits.csv", "layout.json", "preview.svg", "report.html", "report.json"]
        );
        let layout = format!("out/{piece}/layout.json");
        desk.run(["check", &layout, "--job", "day.json"]).ends_with(0);
    }
    let summary = read(&desk.path("out/summary.json"));
    assert_eq!(summary["format"], "tuckroll-summary-1");
    assert_eq!(summary["unused"], json!(["spare"]));
    // 30 mm of each: 0.135, 0 and 0.27, each rounded by itself.
    assert_eq!(summary["cost"]["total"]["film_cost"], "0.41");
    assert_eq!(told["cost"], summary["cost"]);
    assert_eq!((&told["exit_code"], &told["left_out"]), (&json!(0), &json!([])));
    let rest = &summary["rolls"][1];
    assert_eq!(
        (&rest["id"], &rest["film_left_mm"], &rest["pieces"]),
        (&json!("rest"), &json!(5.0), &json!(2))
    );
    // An unpriced second opinion: four whites on 60 mm of one roll would cost 0.27.
    assert_eq!(summary["rolls"][0]["length_mm"], 30.0);
    desk.run(nest("out")).ends_with(2).says(&["is there already"]);
    desk.run(nest("out").iter().chain(&["--replace"])).ends_with(0);
    fs::write(desk.path("out/rest/mine.txt"), "keep me").unwrap();
    desk.run(nest("out").iter().chain(&["--replace"])).ends_with(2).says(&["mine.txt"]);
    assert_eq!(desk.names(), ["day.json", "out"]);
}

#[test]
fn film_too_short_leaves_whole_kits_out_and_names_them() {
    let mut job = day();
    job["rolls"] = json!([{"id": "r", "width": 100, "film": "white", "length": 35}, {"id": "s", "width": 100, "film": "black"}]);
    job["panels"][1]["priority"] = json!(1);
    let desk = desk_with(&job);
    let ran = desk.run(nest("out")).ends_with(1).says(&["left out: kit K1", "2 x a, 1 x c"]);
    assert!(ran.out.contains("written"), "{}", ran.out);
    assert_eq!(names(&desk.path("out")), ["r", "summary.json"]);
    let summary = read(&desk.path("out/summary.json"));
    assert_eq!(summary["left_out"][0]["kit"], "K1");
    assert_eq!(read(&desk.path("out/r/layout.json"))["panels"][0]["id"], "b");
}

#[test]
fn what_cannot_be_met_writes_nothing() {
    let mut job = day();
    job["panels"][2]["outline"] = json!([[0, 0], [120, 0], [120, 110], [0, 110]]);
    let desk = desk_with(&job);
    desk.run(nest("out")).ends_with(1).says(&["panel \"c\"", "none of the 2 pieces", "film \"black\""]);
    for id in ["../out", "a/b", "..", "con", ""] {
        let mut job = day();
        job["rolls"][0]["id"] = json!(id);
        desk.put("day.json", job.to_string());
        desk.run(nest("out")).ends_with(2).says(&["rolls[0].id"]);
    }
    desk.put("day.json", day().to_string());
    for option in ["--price", "--width"] {
        let ran = desk.run(nest("out").iter().chain(&[option, "50"])).ends_with(2);
        let ran = ran.says(&["no `roll` of its own", "not as `rolls` or `stock`"]);
        assert!(!ran.err.contains("give `price`"), "{}", ran.err);
    }
    desk.run(["nest", "day.json", "-o", "-"]).ends_with(2).says(&["a folder each"]);
    desk.run(["nest", "day.json", "-o", "out", "--trace", "t.csv"]).ends_with(2).says(&["--trace"]);
    assert!(!desk.path("out").exists());
    assert!(!desk.names().contains(&"t.csv".to_owned()));
}

#[test]
fn a_layout_of_another_piece_is_found_out() {
    let desk = desk_with(&day());
    desk.run(nest("out")).ends_with(0);
    let mut layout = read(&desk.path("out/rest/layout.json"));
    layout["roll"]["id"] = json!("spare");
    desk.put("l.json", layout.to_string());
    desk.run(["check", "l.json", "--job", "day.json"]).ends_with(1).says(&["roll"]);
    layout["roll"]["id"] = json!("nowhere");
    desk.put("l.json", layout.to_string());
    desk.run(["check", "l.json", "--job", "day.json"]).ends_with(2).says(&["nowhere", "Black.1"]);
}

#[test]
fn the_bytes_depend_on_seed_and_rounds_alone() {
    let mut job = busy();
    let roll = job.as_object_mut().unwrap().remove("roll").unwrap();
    let with = |id: &str, length: Value| {
        let mut r = roll.clone();
        r["id"] = json!(id);
        r["length"] = length;
        r
    };
    job["rolls"] = json!([with("a", json!(200)), with("b", json!(200)), with("c", json!(200))]);
    job["panels"][3]["optional"] = json!(true);
    let desk = desk_with(&job);
    let all = |out: &str| {
        let summary = fs::read(desk.path(out).join("summary.json")).unwrap();
        let pieces = names(&desk.path(out)).into_iter().filter(|n| n.len() == 1);
        let layouts: Vec<_> =
            pieces.map(|p| fs::read(desk.path(out).join(p).join("layout.json")).unwrap()).collect();
        (summary, layouts)
    };
    desk.run(["nest", "day.json", "-o", "one", "--rounds", "2", "--threads", "1"]).ends_with(0);
    desk.run(["nest", "day.json", "-o", "two", "--rounds", "2", "--threads", "3"]).ends_with(0);
    assert!(all("one") == all("two"));
    desk.run(["nest", "day.json", "-o", "timed", "--time", "1s"]).ends_with(0);
    let rounds = read(&desk.path("timed/summary.json"))["rounds"].to_string();
    desk.run(["nest", "day.json", "-o", "again", "--rounds", &rounds]).ends_with(0);
    assert!(all("timed") == all("again"));
    assert!(all("timed").1.len() > 1, "several pieces are used");
}

#[test]
fn the_folder_of_a_nest_is_cut_piece_by_piece() {
    let desk = desk_with(&day());
    desk.run(nest("out")).ends_with(0);
    let ran = desk.run(["cut", "out", "-o", "cuts", "--json"]).ends_with(0);
    let pieces = ["Black.1", "rest", "white 100"];
    assert_eq!(names(&desk.path("cuts")), pieces);
    let told: Value = serde_json::from_str(&ran.out).unwrap();
    for piece in pieces {
        let within = desk.path("cuts").join(piece);
        assert_eq!(names(&within), ["cut.dxf", "cut.plt", "plan.json"]);
        // The same as from its layout alone.
        desk.run(["cut", &format!("out/{piece}/layout.json"), "-o", "one", "--replace"]).ends_with(0);
        for file in ["cut.dxf", "cut.plt", "plan.json"] {
            assert_eq!(fs::read(within.join(file)).unwrap(), fs::read(desk.path("one").join(file)).unwrap());
        }
        let roll = told["rolls"].as_array().unwrap().iter().find(|r| r["roll"] == piece).unwrap();
        assert_eq!(roll["contours"], read(&within.join("plan.json"))["totals"]["contours"]);
    }
    let ran = desk.run(["cut", "out", "-o", "cuts", "--replace"]).ends_with(0);
    assert!(ran.out.contains("contours in 1 section") && ran.out.contains(" on white 100: "), "{}", ran.out);
    // A folder with one layout is as good as the layout; sections of several pieces are not numbered through.
    desk.run(["cut", "out/rest", "-o", "one", "--replace"]).ends_with(0);
    desk.run(["cut", "out", "-o", "more", "--from-section", "2"]).ends_with(2).says(&["one of them"]);
    desk.run(["cut", "cuts", "-o", "more"]).ends_with(2).says(&["layout.json", "no such file"]);
    // What is not ours stays.
    desk.put("cuts/rest/notes.txt", "mine");
    desk.run(["cut", "out", "-o", "cuts", "--replace"]).ends_with(2).says(&["notes.txt"]);
}

/// Copies keep the numbers that they have in the day, on labels and for `recut`; the folder tells what is lost.
#[test]
fn copies_keep_their_numbers_and_the_folder_is_checked_as_a_whole() {
    let desk = desk_with(&day());
    desk.run(nest("out")).ends_with(0);
    let layout = |piece: &str| read(&desk.path("out").join(piece).join("layout.json"));
    let numbers = |piece: &str| -> Vec<Value> {
        layout(piece)["panels"].as_array().unwrap().iter().map(|p| json!([p["id"], p["numbers"]])).collect()
    };
    // The rest of 35 mm takes two plates; which ones is settled by cost and order.
    let all: Vec<Value> = ["rest", "white 100"].iter().flat_map(|piece| numbers(piece)).collect();
    assert!(all.len() >= 2, "{all:?}");
    let whole = desk.run(["check", "out", "--job", "day.json"]).ends_with(0);
    assert!(["Black.1", "rest", "white 100"].iter().all(|piece| whole.out.contains(&format!("{piece}, "))));
    let one = desk.run(["check", "out/rest/layout.json", "--job", "day.json"]).ends_with(0);
    assert!(one.out.contains("name the folder"), "{}", one.out);

    // One plate in place of four, the numbers stated rightly: a good layout, and not the whole day.
    let mut job = day();
    job["panels"][0]["copies"] = json!(4);
    desk.put("four.json", job.to_string());
    desk.run(["check", "out", "--job", "four.json"])
        .ends_with(1)
        .says(&["a#3 and 1 more copies of it: not placed"]);

    let mut wide = day();
    wide["panels"] = json!([{"id": "gore", "kit": "K1", "film": "white", "copies": 6,
        "outline": [[0, 0], [30, 0], [30, 45], [0, 45]],
        "lines": (1..=6).map(|k| json!({"role": "draw", "points": [[1, k], [2, k]], "copy": k})).collect::<Vec<_>>()}]);
    desk.put("day.json", wide.to_string());
    desk.run(nest("parts")).ends_with(0);
    let parts = |piece: &str| read(&desk.path("parts").join(piece).join("layout.json"))["panels"][0].clone();
    let (first, second) = (parts("rest"), parts("white 100"));
    let both: Vec<u64> = [&first, &second]
        .iter()
        .flat_map(|p| p["numbers"]["copies"].as_array().unwrap().iter().map(|n| n.as_u64().unwrap()))
        .collect();
    let mut sorted = both.clone();
    sorted.sort_unstable();
    assert_eq!(sorted, [1, 2, 3, 4, 5, 6]);
    assert_eq!((&first["numbers"]["of"], &second["numbers"]["of"]), (&json!(6), &json!(6)));
    let later = second["numbers"]["copies"].as_array().unwrap().last().unwrap().as_u64().unwrap();
    let again = format!("gore#{later}");
    desk.run(["recut", "parts/white 100/layout.json", "--panel", &again, "-o", "again.json"]).ends_with(0);
    let again_job = read(&desk.path("again.json"));
    assert_eq!(again_job["panels"][0]["id"], json!(again));
    // The line of that copy and no other: its number is its height.
    assert_eq!(again_job["panels"][0]["lines"][0]["points"][0][1].as_f64(), Some(later as f64));
    desk.run(["check", "parts", "--job", "day.json"]).ends_with(0);
    let report = fs::read_to_string(desk.path("parts/white 100/report.html")).unwrap();
    assert!(report.contains(&format!("{later} of 6")), "the pick list goes by the numbers of the day");

    // A piece whose numbers are another's: one copy twice, another nowhere.
    let mut wrong = read(&desk.path("parts/white 100/layout.json"));
    let count = second["numbers"]["copies"].as_array().unwrap().len() as u64;
    wrong["panels"][0]["numbers"]["copies"] = json!((1..=count).collect::<Vec<u64>>());
    desk.put("parts/white 100/layout.json", wrong.to_string());
    desk.run(["check", "parts", "--job", "day.json"]).ends_with(1).says(&[
        "placed twice",
        "not placed",
        "lines",
    ]);
}

//! `tuckroll stock confirm`, end to end: once, at the same time, and cut short.

use crate::support::{Desk, tuckroll};
use serde_json::{Value, json};
use std::fs;
use std::process::Stdio;

fn read(desk: &Desk, name: &str) -> Value {
    serde_json::from_slice(&fs::read(desk.path(name)).unwrap()).unwrap()
}

/// A stock of pieces 100 wide and 1000 long, and a job that takes its film from it: one plate for each.
fn desk_with(pieces: usize) -> Desk {
    let desk = Desk::new();
    let rolls: Vec<Value> = (0..pieces)
        .map(|i| json!({"id": format!("r{i}"), "film": format!("f{i}"), "width": 100, "length": 1000, "lead_margin": 5}))
        .collect();
    let stock = json!({"format": "tuckroll-stock-1", "unit": "mm", "keep": {"length": 40, "width": 20}, "rolls": rolls});
    desk.put("stock.json", stock.to_string());
    let panels: Vec<Value> = (0..pieces)
        .map(|i| json!({"id": format!("p{i}"), "film": format!("f{i}"), "outline": [[0, 0], [80, 0], [80, 50], [0, 50]]}))
        .collect();
    let job = json!({"format": "tuckroll-job-1", "name": "day", "unit": "mm", "stock": "stock.json", "gap": 1, "panels": panels});
    desk.put("day.json", job.to_string());
    desk.run(["nest", "day.json", "-o", "out", "--rounds", "1"]).ends_with(0);
    desk
}

#[test]
fn a_layout_leaves_the_stock_once() {
    let desk = desk_with(1);
    let before = fs::read(desk.path("stock.json")).unwrap();
    let ran = desk.run(["stock", "confirm", "out/r0/layout.json"]).ends_with(0);
    assert!(ran.out.contains("r0: 915.0 mm left"), "{}", ran.out);
    let after = fs::read(desk.path("stock.json")).unwrap();
    let stock = read(&desk, "stock.json");
    assert_eq!(stock["rolls"][0]["length"], 915.0);
    // Beside the plate lies an offcut of about 85 x 49.
    assert_eq!((&stock["rolls"][1]["id"], &stock["rolls"][1]["offcut"]), (&json!("r0-1"), &json!(true)));
    let ran = desk.run(["stock", "confirm", "out/r0/layout.json", "--json"]).ends_with(0);
    assert_eq!(serde_json::from_str::<Value>(&ran.out).unwrap()["confirmed_before"], true);
    assert_eq!(fs::read(desk.path("stock.json")).unwrap(), after);
    assert_ne!(before, after);
    // A copy in other blanks is the same layout.
    let copy = serde_json::to_string_pretty(&read(&desk, "out/r0/layout.json")).unwrap();
    desk.put("copy.json", copy);
    desk.run(["stock", "confirm", "copy.json"]).ends_with(0);
    assert_eq!(fs::read(desk.path("stock.json")).unwrap(), after);
    // The next day is nested on what is left, and the layout of the old state is refused.
    desk.run(["nest", "day.json", "-o", "next", "--rounds", "1"]).ends_with(0);
    desk.put("old.json", before);
    desk.run(["stock", "confirm", "next/r0/layout.json", "--stock", "old.json"])
        .ends_with(1)
        .says(&["another state", "nest the job again"]);
}

/// The link stays a link, however many there are on the way, and the file behind it is the one that changes.
#[cfg(unix)]
#[test]
fn a_stock_behind_a_link_is_changed_where_it_is() {
    use std::os::unix::fs::symlink;
    let desk = desk_with(1);
    fs::create_dir(desk.path("store")).unwrap();
    fs::rename(desk.path("stock.json"), desk.path("store/film.json")).unwrap();
    symlink("store/film.json", desk.path("second.json")).unwrap();
    symlink("second.json", desk.path("stock.json")).unwrap();
    desk.run(["stock", "confirm", "out/r0/layout.json"]).ends_with(0);
    let is_link = |name: &str| desk.path(name).symlink_metadata().unwrap().is_symlink();
    assert!(is_link("stock.json") && is_link("second.json") && !is_link("store/film.json"));
    assert_eq!(read(&desk, "store/film.json")["rolls"][0]["length"], 915.0);
    assert_eq!(crate::support::names(&desk.path("store")), ["film.json", "film.json.lock"]);
    // By its own name it is the same file under the same lock.
    let ran = desk.run(["stock", "confirm", "out/r0/layout.json", "--stock", "store/film.json"]).ends_with(0);
    assert!(ran.out.contains("confirmed before"), "{}", ran.out);
    desk.run(["nest", "day.json", "-o", "next", "--rounds", "1"]).ends_with(0);
    // A link that leads nowhere is no stock, and stays.
    fs::remove_file(desk.path("store/film.json")).unwrap();
    desk.run(["stock", "confirm", "next/r0/layout.json"]).ends_with(2).says(&["no such stock file"]);
    assert!(is_link("stock.json") && !desk.path("store/film.json").exists());
}

#[test]
fn bad_input_leaves_the_stock_alone() {
    let desk = desk_with(1);
    let before = fs::read(desk.path("stock.json")).unwrap();
    desk.run(["stock", "confirm", "out/r0/layout.json", "--stock", "none.json"])
        .ends_with(2)
        .says(&["--stock FILE"]);
    let mut layout = read(&desk, "out/r0/layout.json");
    layout["length"] = json!(10);
    desk.put("wrong.json", layout.to_string());
    desk.run(["stock", "confirm", "wrong.json"]).ends_with(1).says(&["wrong.json"]);
    desk.run(["stock", "confirm", "day.json"]).ends_with(2);
    desk.run(["stock"]).ends_with(2);
    assert_eq!(fs::read(desk.path("stock.json")).unwrap(), before);
    desk.put("stock.json", "{");
    desk.run(["stock", "confirm", "out/r0/layout.json"]).ends_with(2).says(&["stock.json"]);
    assert_eq!(fs::read(desk.path("stock.json")).unwrap(), b"{");
}

#[test]
fn confirmations_at_the_same_time_all_count() {
    const PIECES: usize = 6;
    let desk = desk_with(PIECES);
    let confirm = |i: usize| {
        let layout = format!("out/r{}/layout.json", i % PIECES);
        desk.command().args(["stock", "confirm", &layout]).stdout(Stdio::null()).spawn().unwrap()
    };
    // Each twice.
    let running: Vec<_> = (0..2 * PIECES).map(confirm).collect();
    for mut child in running {
        assert!(child.wait().unwrap().success());
    }
    let stock = read(&desk, "stock.json");
    assert_eq!(stock["cut"].as_array().unwrap().len(), PIECES);
    for i in 0..PIECES {
        assert_eq!(stock["rolls"][i]["length"], 915.0, "r{i}");
    }
}

#[test]
fn a_confirmation_that_is_killed_leaves_a_whole_stock() {
    let desk = desk_with(1);
    let before = fs::read(desk.path("stock.json")).unwrap();
    let mut after = None;
    for i in 0..40u64 {
        fs::write(desk.path("stock.json"), &before).unwrap();
        let mut command = tuckroll();
        command.current_dir(desk.path("")).args(["stock", "confirm", "out/r0/layout.json"]);
        let mut child = command.stdout(Stdio::null()).spawn().unwrap();
        std::thread::sleep(std::time::Duration::from_micros(400 * i));
        child.kill().unwrap();
        child.wait().unwrap();
        let now = fs::read(desk.path("stock.json")).unwrap();
        if now != before {
            assert_eq!(&now, after.get_or_insert(now.clone()), "half a stock");
        }
    }
    // The lock of a killed program holds nobody up.
    fs::write(desk.path("stock.json"), &before).unwrap();
    desk.run(["stock", "confirm", "out/r0/layout.json"]).ends_with(0);
    assert_eq!(read(&desk, "stock.json")["rolls"][0]["length"], 915.0);
}

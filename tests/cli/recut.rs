//! `tuckroll recut`, end to end.

use super::jobs::busy;
use crate::support::Desk;
use serde_json::Value;
use std::fs;

fn nested() -> Desk {
    let desk = Desk::new();
    let mut job = busy();
    for panel in job["panels"].as_array_mut().unwrap() {
        panel["copies"] = 2.into();
        panel["kit"] = "K".into();
    }
    desk.put("job.json", job.to_string());
    desk.run(["nest", "job.json", "-o", "out", "--rounds", "1"]).ends_with(0);
    desk
}

fn read(desk: &Desk, name: &str) -> Value {
    serde_json::from_slice(&fs::read(desk.path(name)).unwrap()).unwrap()
}

#[test]
fn a_spoiled_piece_is_cut_again_at_its_heading() {
    let desk = nested();
    let args =
        ["recut", "out/layout.json", "--panel", "wedge 3#2", "--panel", "wedge 5#1", "-o", "again.json"];
    desk.run(args).ends_with(0);
    desk.run(["nest", "again.json", "-o", "new", "--rounds", "1"]).ends_with(0);
    let turn = |layout: &Value, panel: &str, copy: u64| {
        let list = layout["placements"].as_array().unwrap();
        let place = list.iter().find(|p| p["panel"] == panel && p["copy"] == copy).unwrap();
        place["rotation"].as_f64().unwrap()
    };
    let (old, new) = (read(&desk, "out/layout.json"), read(&desk, "new/layout.json"));
    assert_eq!(turn(&old, "wedge 3", 2), turn(&new, "wedge 3#2", 1));
    assert_eq!(turn(&old, "wedge 5", 1), turn(&new, "wedge 5#1", 1));
    assert_eq!(new["placements"].as_array().unwrap().len(), 2);
    desk.run(args).ends_with(2).says(&["again.json", "is there already"]);
}

#[test]
fn pieces_go_into_the_free_film_of_a_layout() {
    let desk = nested();
    let mut large = busy();
    large["panels"] = Value::Array(vec![large["panels"][7].clone()]);
    large["panels"][0]["copies"] = 1.into();
    large["roll"]["id"] = "w".into();
    desk.put("large.json", large.to_string());
    desk.run(["nest", "large.json", "-o", "cut", "--rounds", "1"]).ends_with(0);
    let recut = ["recut", "out/layout.json", "--panel", "wedge 0#1", "--into", "cut/layout.json"];
    desk.put("again.json", desk.run(recut).ends_with(0).out);
    desk.run(["nest", "again.json", "-o", "new", "--rounds", "1"]).ends_with(0);
    let (cut, new) = (read(&desk, "cut/layout.json"), read(&desk, "new/layout.json"));
    assert_eq!(new["roll"]["flaws"].as_array().unwrap().len(), 1);
    assert_eq!((&new["roll"]["length"], &new["roll"]["id"]), (&cut["length"], &Value::Null));
    desk.run(["check", "new/layout.json", "--job", "again.json"]).ends_with(0);
}

#[test]
fn what_is_not_there_is_said() {
    let desk = nested();
    let recut = |args: &[&str]| desk.run(["recut", "out/layout.json"].iter().chain(args));
    recut(&["--panel", "wedge 3#9"]).ends_with(2).says(&["not in the layout", "copies 1, 2"]);
    recut(&["--panel", "wegde 3#1"]).ends_with(2).says(&["did you mean"]);
    recut(&["--kit", "L"]).ends_with(2).says(&["--kit L", "it has K"]);
    recut(&[]).ends_with(2).says(&["nothing is chosen"]);
    recut(&["--panel", "wedge 3"]).ends_with(2).says(&["number of the copy"]);
    recut(&["--kit", "K", "--into", "none.json"]).ends_with(2).says(&["none.json"]);
    recut(&["--kit", "K", "-o", "no/such/job.json"]).ends_with(2).says(&["make it first"]);
    recut(&["--kit", "K", "--json"]).ends_with(2).says(&["--json"]);
    assert_eq!(desk.names(), ["job.json", "out"]);
}

#[test]
fn pieces_of_a_roll_that_is_used_up_are_put_on_a_new_one() {
    let desk = Desk::new();
    let mut job = busy();
    job["roll"]["length"] = 100_000.into();
    desk.put("job.json", job.to_string());
    desk.run(["nest", "job.json", "-o", "out", "--rounds", "1"]).ends_with(0);
    job["roll"]["length"] = read(&desk, "out/layout.json")["length"].clone();
    desk.put("job.json", job.to_string());
    desk.run(["nest", "job.json", "-o", "all", "--rounds", "1"]).ends_with(0);
    let recut = ["recut", "all/layout.json", "--panel", "wedge 0#1", "-o", "again.json"];
    desk.run(recut).ends_with(0).says(&["a new roll like it", "--into"]);
    assert_eq!(read(&desk, "again.json")["roll"]["length"], Value::Null);
    desk.run(["nest", "again.json", "-o", "new", "--rounds", "1"]).ends_with(0);
}

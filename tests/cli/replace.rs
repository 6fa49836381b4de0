//! What `--replace` replaces: an earlier result of the same command, and nothing else.

use super::jobs::rectangles;
use crate::support::{Desk, names};
use serde_json::json;
use std::fs;

const NEST: [&str; 6] = ["nest", "job.json", "-o", "out", "--rounds", "0"];

fn desk() -> Desk {
    let desk = Desk::new();
    desk.put("job.json", rectangles(30.0, 45.0, 4).to_string());
    desk.run(NEST).ends_with(0);
    desk
}

#[test]
fn files_put_there_by_hand_are_spared() {
    let desk = desk();
    for name in
        ["job.json", "sheetmusic.html", "panels.json", "panels.dxf", "cut-7.plt", "plan.json", "compare.csv"]
    {
        desk.put(&format!("out/{name}"), "mine");
        desk.run(NEST.iter().chain(&["--replace"])).ends_with(2).says(&[&format!("it holds {name}")]);
        assert_eq!(fs::read_to_string(desk.path("out").join(name)).unwrap(), "mine");
        fs::remove_file(desk.path("out").join(name)).unwrap();
    }
    desk.put("out/sheet-A.html", "");
    desk.run(NEST.iter().chain(&["--replace"])).ends_with(0);
}

#[test]
fn only_the_same_kind_of_result_is_replaced() {
    let desk = desk();
    let kit = concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/kits/nose-ogive.json");
    let kinds = [
        ("nest", vec!["nest", "job.json", "--rounds", "0"]),
        ("export", vec!["export", "out/layout.json"]),
        ("report", vec!["report", "out/layout.json"]),
        ("cut", vec!["cut", "out/layout.json"]),
        ("panels", vec!["panels", kit, "--width", "594"]),
        ("compare", vec!["compare", "job.json", "--seeds", "1", "--rounds", "0"]),
    ];
    for (folder, line) in &kinds {
        desk.run(line.iter().chain(&["-o", folder])).ends_with(0);
    }
    for (folder, line) in &kinds {
        for (other, _) in &kinds {
            let ran = desk.run(line.iter().chain(&["-o", other, "--replace"]));
            // All that an export writes belongs to a nest, too.
            let may = folder == other || (*folder, *other) == ("nest", "export");
            ran.ends_with(if may { 0 } else { 2 });
            if (*folder, *other) == ("nest", "export") {
                fs::remove_dir_all(desk.path("export")).unwrap();
                desk.run(["export", "out/layout.json", "-o", "export"]).ends_with(0);
            }
        }
    }
}

#[test]
fn what_a_command_reads_is_spared() {
    let desk = desk();
    desk.run(["cut", "out", "-o", "out", "--replace"]).ends_with(2);
    desk.run(["report", "out/layout.json", "-o", "report"]).ends_with(0);
    desk.run(["export", "out/layout.json", "-o", "export"]).ends_with(0);
    fs::rename(desk.path("out/layout.json"), desk.path("export/layout.json")).unwrap();
    desk.run(["export", "export/layout.json", "-o", "./export/", "--replace"])
        .ends_with(2)
        .says(&["holds export/layout.json, which this command reads"]);
    assert!(desk.path("export/layout.json").exists());
}

#[test]
fn the_number_of_pieces_of_film_may_change() {
    let desk = desk();
    let one = fs::read(desk.path("job.json")).unwrap();
    let mut job = rectangles(30.0, 45.0, 4);
    job.as_object_mut().unwrap().remove("roll");
    let rolls = |ids: &[&str]| ids.iter().map(|id| json!({"id": id, "width": 100, "length": 35})).collect();
    let replace = ["--replace"];
    for ids in [&["a", "b"][..], &["b", "c"]] {
        job["rolls"] = rolls(ids);
        desk.put("job.json", job.to_string());
        desk.run(NEST.iter().chain(&replace)).ends_with(0);
        let listed = ids.iter().map(|id| (*id).to_owned()).chain(["summary.json".to_owned()]);
        assert_eq!(names(&desk.path("out")), listed.collect::<Vec<_>>());
        desk.run(["cut", "out", "-o", "cuts", "--replace"]).ends_with(0);
        assert_eq!(names(&desk.path("cuts")), ids);
    }
    desk.run(["cut", "out/b", "-o", "cuts", "--replace"]).ends_with(0);
    desk.run(["cut", "out", "-o", "cuts", "--replace"]).ends_with(0);
    // A folder that the summary does not list is somebody's copy.
    fs::create_dir(desk.path("out/good")).unwrap();
    fs::copy(desk.path("out/b/layout.json"), desk.path("out/good/layout.json")).unwrap();
    desk.run(NEST.iter().chain(&replace)).ends_with(2).says(&["it holds good"]);
    fs::remove_dir_all(desk.path("out/good")).unwrap();
    desk.put("job.json", one);
    desk.run(NEST.iter().chain(&replace)).ends_with(0);
    assert!(desk.path("out/layout.json").exists() && !desk.path("out/b").exists());
}

#[test]
fn a_folder_may_be_named_with_a_point_but_not_from_within() {
    let desk = desk();
    for out in ["out/.", "out/", "./out", "out/../out"] {
        desk.run(["nest", "job.json", "--rounds", "0", "--replace", "-o", out]).ends_with(0);
    }
    for out in [".", "./", "../out"] {
        let mut command = desk.command();
        command.current_dir(desk.path("out"));
        command.args(["nest", "../job.json", "-o", out, "--rounds", "0", "--replace"]);
        crate::support::Ran::of(&command.output().unwrap()).ends_with(2).says(&["current folder", "go up"]);
    }
    assert_eq!(desk.names(), ["job.json", "out"]);
    desk.run(["nest", "job.json", "--rounds", "0", "-o", "new/."]).ends_with(0);
}

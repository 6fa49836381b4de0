//! Files outside the folder of a job: refused, or taken with `--outside-files`.

use crate::support::Desk;
use serde_json::{Value, json};
use std::fs;

const SVG: &str = "<svg xmlns='http://www.w3.org/2000/svg' width='50mm' height='20mm' viewBox='0 0 50 20'>\
                   <rect width='50' height='20'/></svg>";

fn kit() -> Value {
    json!({ "format": "tuckroll-kit-1", "name": "kit", "unit": "mm", "parts": [
        { "id": "lid", "kind": "plate", "outline": [[0, 0], [50, 0], [50, 20], [0, 20]] } ] })
}

fn films() -> Value {
    let limit = json!({ "warn": 5, "stop": 10 });
    json!({ "format": "tuckroll-films-1", "films": [{ "id": "own", "max_stretch": limit, "max_shrink": limit }] })
}

fn stock() -> Value {
    json!({ "format": "tuckroll-stock-1", "unit": "mm", "rolls": [{ "id": "r0", "width": 100, "length": 900 }] })
}

/// A job in `job`, with nothing of what it may name; all of that lies in `else`.
fn desk() -> Desk {
    let desk = Desk::new();
    for folder in ["job", "else"] {
        fs::create_dir(desk.path(folder)).unwrap();
    }
    desk.put("else/art.svg", SVG);
    desk.put("else/kit.json", kit().to_string());
    desk.put("else/films.json", films().to_string());
    desk.put("else/stock.json", stock().to_string());
    desk
}

/// The ways out of the folder `job` to a file in `else`.
fn ways(desk: &Desk, file: &str) -> Vec<String> {
    let mut ways = vec![format!("../else/{file}"), desk.path("else").join(file).to_str().unwrap().to_owned()];
    #[cfg(unix)]
    {
        let link = format!("link-{file}");
        std::os::unix::fs::symlink(format!("../else/{file}"), desk.path("job").join(&link)).unwrap();
        ways.push(link);
        std::os::unix::fs::symlink("../else", desk.path("job/door")).unwrap();
        ways.push(format!("door/{file}"));
    }
    ways
}

/// A job that names `path` under `key`.
fn job(key: &str, path: &str) -> Value {
    let mut job = json!({ "format": "tuckroll-job-1", "name": "day", "unit": "mm", "gap": 2, "roll": { "width": 100 } });
    let plate = json!([{ "id": "plate", "outline": [[0, 0], [30, 0], [30, 45], [0, 45]] }]);
    match key {
        "file" => job["panels"] = json!([{ "id": "plate", "file": path }]),
        "kits" => job["kits"] = json!([{ "id": "K", "file": path }]),
        "films" => {
            job["films"] = json!(path);
            job["kits"] = json!([{ "id": "K", "file": "kit.json" }]);
        }
        _ => {
            job.as_object_mut().unwrap().remove("roll");
            job["stock"] = json!(path);
            job["panels"] = plate;
        }
    }
    job
}

/// Every command that reads a job, refused without the option and done with it.
#[track_caller]
fn asked_first(desk: &Desk, lines: &[String], what: &str) {
    for line in lines {
        let ran = desk.run(line.split(' '));
        assert_eq!(ran.code, Some(2), "{what}: {line}: {}", ran.err);
        ran.says(&["lies outside the job's folder"]);
        assert!(!desk.path("out").exists() && !desk.path("which").exists(), "{what}: {line}");
    }
    for line in lines {
        let ran = desk.run(format!("{line} --outside-files").split(' '));
        assert_eq!(ran.code, Some(0), "{what}: {line} --outside-files: {}", ran.err);
    }
}

#[test]
fn what_a_job_names_outside_its_folder_is_asked_for() {
    for (key, file) in
        [("file", "art.svg"), ("kits", "kit.json"), ("films", "films.json"), ("stock", "stock.json")]
    {
        let desk = desk();
        desk.put("job/kit.json", kit().to_string());
        for way in ways(&desk, file) {
            desk.put("job/day.json", job(key, &way).to_string());
            let lines =
                ["nest job/day.json -o out --rounds 0", "compare job/day.json -o which --rounds 0 --seeds 1"];
            asked_first(&desk, &lines.map(str::to_owned), &way);
            let layout = if key == "stock" { "out/r0/layout.json" } else { "out/layout.json" };
            let check = ["check", layout, "--job", "job/day.json"];
            desk.run(check).ends_with(2).says(&["outside the job's folder"]);
            desk.run(check.iter().chain(&["--outside-files"])).ends_with(0);
            for made in ["out", "which"] {
                fs::remove_dir_all(desk.path(made)).unwrap();
            }
        }
    }
}

#[test]
fn what_a_kit_names_outside_its_folder_is_asked_for() {
    for (key, file) in [("file", "art.svg"), ("films", "films.json")] {
        let desk = desk();
        for way in ways(&desk, file) {
            let mut kit = kit();
            match key {
                "file" => kit["parts"] = json!([{ "id": "lid", "kind": "plate", "file": way }]),
                _ => kit["films"] = json!(way),
            }
            desk.put("job/kit.json", kit.to_string());
            asked_first(&desk, &["panels job/kit.json -o out".to_owned()], &way);
            fs::remove_dir_all(desk.path("out")).unwrap();
            // By way of a job in the same folder.
            desk.put("job/day.json", job("kits", "kit.json").to_string());
            asked_first(&desk, &["nest job/day.json -o out --rounds 0".to_owned()], &way);
            fs::remove_dir_all(desk.path("out")).unwrap();
        }
    }
}

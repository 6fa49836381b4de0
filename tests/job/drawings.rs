//! Panels whose shapes lie in drawings.

use super::{PLATES, change, parse, sample};
use serde_json::{Value, json};
use std::cell::RefCell;
use tuckroll::Error;
use tuckroll::job::{self, Job, LoadOptions};
use tuckroll::read::ReadOptions;
use tuckroll::shape::Point;

/// A job in `unit` with one panel, of which the shape is what `keys` says.
fn job_of(unit: &str, keys: Value) -> Value {
    let mut panel = json!({"id": "p"});
    panel.as_object_mut().unwrap().extend(keys.as_object().unwrap().clone());
    json!({
        "format": "tuckroll-job-1", "name": "", "unit": unit, "roll": {"width": 20}, "gap": 0, "panels": [panel],
    })
}

#[track_caller]
fn complaint(keys: Value) -> String {
    let e = parse(&job_of("mm", keys)).unwrap_err();
    assert_eq!(e.exit_code(), 2);
    e.to_string()
}

fn corners(job: &Job, panel: usize, part: usize) -> Vec<Point> {
    let mut points = job.panels[panel].parts[part].outline().points().to_vec();
    points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    points
}

fn square(x: f64, y: f64, size: f64) -> Vec<Point> {
    [(x, y), (x, y + size), (x + size, y), (x + size, y + size)].map(|(x, y)| Point { x, y }).to_vec()
}

#[test]
fn numbers_of_the_same_unit_are_kept_and_others_scaled_once() {
    let job = parse(&job_of("mm", json!({"file": "a.svg", "pick": [1]}))).unwrap();
    assert_eq!(corners(&job, 0, 0), square(0.0, -25.4, 25.4));
    let job = parse(&job_of("in", json!({"file": "a.svg", "pick": [1]}))).unwrap();
    assert_eq!(corners(&job, 0, 0), square(0.0, -1.0, 1.0));
}

#[test]
fn several_picked_contours_are_one_panel_and_with_all_several() {
    let job = parse(&job_of("mm", json!({"file": "a.svg", "pick": [2, 1]}))).unwrap();
    assert_eq!((job.panels.len(), job.panels[0].parts.len()), (1, 2));
    assert_eq!(corners(&job, 0, 1), square(0.0, -25.4, 25.4));
    let job = parse(&job_of("mm", json!({"file": "a.svg", "all": true, "copies": 3}))).unwrap();
    let ids: Vec<(&str, u32)> = job.panels.iter().map(|p| (p.id.as_str(), p.copies)).collect();
    assert_eq!(ids, [("p/1", 3), ("p/2", 3)]);
}

#[test]
fn a_choice_that_is_missing_or_wrong_is_explained() {
    let several = complaint(json!({"file": "a.svg"}));
    for part in [
        "day.json: panels[0].file (panel \"p\")",
        "has 2 contours",
        "1 (25.400 x 25.400)",
        "2 (12.700",
        "`pick`",
    ] {
        assert!(several.contains(part), "no {part:?} in: {several}");
    }
    assert!(complaint(json!({"file": "a.svg", "pick": [3]})).contains("no contour 3"));
    assert!(complaint(json!({"file": "a.svg", "pick": [1, 1]})).contains("picked twice"));
    assert!(
        complaint(json!({"file": "a.svg", "layer": "cut"})).contains("no closed contour on layer \"cut\"")
    );
    assert!(
        complaint(json!({"file": "a.svg", "outline": [[0, 0], [1, 0], [1, 1]]})).contains("several shapes")
    );
}

/// The sample as far as it names drawings.
fn without_kits() -> Value {
    let mut file = sample();
    change(&mut file, "/kits", None);
    change(&mut file, "/films", None);
    file
}

#[test]
fn a_file_is_fetched_once() {
    let fetched = RefCell::new(Vec::new());
    let files = |name: &str| {
        fetched.borrow_mut().push(name.to_owned());
        Ok(PLATES.as_bytes().to_vec())
    };
    let job = without_kits();
    job::parse(job.to_string().as_bytes(), "day.json", &files, &ReadOptions::default()).unwrap();
    assert_eq!(*fetched.borrow(), ["plates.svg"]);
}

#[test]
fn a_file_that_cannot_be_fetched_is_reported_once_with_the_rest() {
    let missing = |_: &str| Err(Error::input("", "there is no file x", "check its name"));
    let mut file = without_kits();
    let e =
        job::parse(file.to_string().as_bytes(), "day.json", &missing, &ReadOptions::default()).unwrap_err();
    assert_eq!(
        e.to_string(),
        "day.json: panels[2].file (panel \"plate\"): there is no file x (check its name)"
    );
    let denied = |_: &str| Err(Error::io("x.svg", std::io::ErrorKind::PermissionDenied.into()));
    let e =
        job::parse(file.to_string().as_bytes(), "day.json", &denied, &ReadOptions::default()).unwrap_err();
    assert!(e.exit_code() == 3 && e.to_string().starts_with("x.svg: "), "{e}");
    change(&mut file, "/gap", Some(json!(-1)));
    let e =
        job::parse(file.to_string().as_bytes(), "day.json", &denied, &ReadOptions::default()).unwrap_err();
    assert!(e.exit_code() == 2 && e.to_string().contains("x.svg"), "{e}");
}

#[test]
fn a_drawing_beside_the_job_is_found_and_one_elsewhere_is_not() {
    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path().join("jobs");
    std::fs::create_dir(&folder).unwrap();
    std::fs::write(folder.join("a.svg"), PLATES).unwrap();
    std::fs::write(dir.path().join("b.svg"), PLATES).unwrap();
    let day = folder.join("day.json");
    let load = |file: &str| {
        std::fs::write(&day, job_of("mm", json!({"file": file, "all": true})).to_string()).unwrap();
        job::load(&day, &LoadOptions::default())
    };
    assert_eq!(load("a.svg").unwrap().job.panels.len(), 2);
    let e = load("../b.svg").unwrap_err().to_string();
    assert!(
        e.contains("panels[0].file") && e.contains("outside the job's folder") && e.contains("beside"),
        "{e}"
    );
    let e = job::load(&folder.join("none.json"), &LoadOptions::default()).unwrap_err();
    assert!(e.exit_code() == 2 && e.to_string().contains("there is no file"), "{e}");
}

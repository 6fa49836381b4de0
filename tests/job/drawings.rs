//! Panels whose shapes lie in drawings.

use super::{PLATES, change, parse, sample};
use serde_json::{Value, json};
use std::cell::RefCell;
use tuckroll::Error;
use tuckroll::job::{self, Job, LoadOptions};
use tuckroll::layout::{self, MadeBy};
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

/// Of a hole that cannot be cut it would be as if it were not there.
#[test]
fn what_is_broken_at_a_picked_outline_is_refused() {
    let picked = |inside: &str| {
        let svg = format!(
            "<svg xmlns='http://www.w3.org/2000/svg' width='99mm' height='99mm' viewBox='0 0 99 99' fill='none'>\
             <path d='M0 0h40v40h-40z'/><path d='{inside}'/></svg>"
        );
        let drawing = move |_: &str| Ok(svg.clone().into_bytes());
        let text = job_of("mm", json!({"file": "a.svg", "pick": [1]})).to_string();
        job::parse(text.as_bytes(), "day.json", &drawing, &ReadOptions::default())
    };
    let bow_tie = |x: u32, y: u32| format!("M{x} {y}l9 9v-9l-9 9z");
    assert!(picked("M5 5h9v9h-9z").is_ok());
    let told = picked(&bow_tie(5, 5)).unwrap_err().to_string();
    assert!(
        told.contains("contour 1 cannot be told") && told.contains("crosses or touches itself"),
        "{told}"
    );
    assert!(picked(&bow_tie(60, 60)).is_ok(), "another piece");
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

/// Parses a job whose drawings are all this one.
fn with_drawing(job: &Value, drawing: &str) -> Result<Job, Error> {
    let files = |_: &str| Ok(drawing.as_bytes().to_vec());
    job::parse(job.to_string().as_bytes(), "day.json", &files, &ReadOptions::default()).map(|l| l.job)
}

/// An SVG file in mm with this path.
fn path(d: &str) -> String {
    format!(
        "<svg xmlns='http://www.w3.org/2000/svg' width='900mm' height='900mm' viewBox='0 0 900 900'>\
         <path fill-rule='evenodd' d='{d}'/></svg>"
    )
}

/// Squares of 1 mm, 2 mm apart.
fn squares(count: usize) -> String {
    (0..count).map(|i| format!("M{} {}h1v1h-1z", 2 * (i % 400) + 1, 2 * (i / 400) + 1)).collect()
}

/// A gear of so many points.
fn gear(points: usize) -> String {
    let point = |i: usize| {
        let angle = std::f64::consts::TAU * i as f64 / points as f64;
        let radius = if i.is_multiple_of(2) { 400.0 } else { 390.0 };
        format!("{:.6} {:.6}", 450.0 + radius * libm::cos(angle), 450.0 + radius * libm::sin(angle))
    };
    format!("M{}z", (0..points).map(point).collect::<Vec<_>>().join("L"))
}

/// A job on a wide roll with these panels.
fn wide(panels: &Value) -> Value {
    json!({"format": "tuckroll-job-1", "name": "", "unit": "mm", "roll": {"width": 1000}, "gap": 0, "panels": panels})
}

#[track_caller]
fn refused(job: &Value, drawing: &str, place: &str, words: &[&str]) {
    let e = with_drawing(job, drawing).unwrap_err();
    let text = e.to_string();
    assert!(e.exit_code() == 2 && text.starts_with(place) && text.lines().count() == 1, "{text}");
    for word in words {
        assert!(text.contains(word), "no {word:?} in {text}");
    }
}

/// A layout of the job, nothing placed, reads back as it was.
#[track_caller]
fn reads_back(job: &Job) {
    let made_by = MadeBy { version: String::new(), seed: 1, walks: 1, rounds: 0, stopped: String::new() };
    let layout = layout::assemble(job, Vec::new(), made_by);
    let again = layout::read(layout::write(&layout).as_bytes(), "layout.json").unwrap();
    assert!(again.panels == job.panels);
    let again =
        job::parse(job::write(job).as_bytes(), "job.json", &|_: &str| Ok(vec![]), &ReadOptions::default());
    assert!(again.unwrap().job.panels == job.panels);
}

#[test]
fn what_a_drawing_gives_can_be_read_from_a_layout() {
    let one = wide(&json!([{"id": "gear", "file": "a.svg"}]));
    let place = "day.json: panels[0].file (panel \"gear\"): contour 1 of \"a.svg\": ";
    reads_back(&with_drawing(&one, &path(&gear(20_000))).unwrap());
    refused(&one, &path(&gear(30_000)), place, &["30000 points in one contour; 20000", "--chord-tolerance"]);
    let holes = |count| path(&format!("M0 0H900V900H0z{}", squares(count)));
    reads_back(&with_drawing(&one, &holes(5000)).unwrap());
    refused(&one, &holes(5001), place, &["5001 holes in one outline; 5000"]);
    let all = |id: usize| wide(&json!([{"id": "x".repeat(id), "file": "a.svg", "all": true}]));
    reads_back(&with_drawing(&all(198), &path(&squares(9))).unwrap());
    refused(&all(198), &path(&squares(10)), "day.json: panels[0]", &["has 201 characters; 200", "shorten"]);
}

#[test]
fn picked_contours_that_overlap_are_no_panel() {
    let pick = wide(&json!([{"id": "p", "file": "a.svg", "pick": [1, 2]}]));
    let place = "day.json: panels[0].file (panel \"p\"): ";
    let two =
        |second: &str| PLATES.replace("<rect x=\"50\" y=\"10\" width=\"12.7\" height=\"12.7\"/>", second);
    let crossing = two("<rect x='20' y='20' width='30' height='30'/>");
    refused(&pick, &crossing, place, &["contours 1 and 2 of \"a.svg\" overlap", "lie apart"]);
    let touching = two("<rect x='25.4' y='0' width='30' height='30'/>");
    let job = with_drawing(&pick, &touching).unwrap();
    assert_eq!(job.panels[0].parts.len(), 2);
    reads_back(&job);
    // As panels of their own they may lie as they like.
    let all = wide(&json!([{"id": "p", "file": "a.svg", "all": true}]));
    assert_eq!(with_drawing(&all, &crossing).unwrap().panels.len(), 2);
}

#[test]
fn panels_are_counted_before_they_are_made() {
    let started = std::time::Instant::now();
    let many: Vec<Value> =
        (0..100).map(|i| json!({"id": format!("p{i}"), "file": "a.svg", "all": true, "copies": 3})).collect();
    refused(
        &wide(&json!(many)),
        &path(&squares(20_000)),
        "day.json: panels",
        &["6000000 copies in all; 100000 are the most", "split the job"],
    );
    // One drawing of many points again and again: the points are counted as well.
    let many: Vec<Value> = (0..90_000).map(|i| json!({"id": format!("p{i}"), "file": "a.svg"})).collect();
    let says = ["more than 1100000 points in all", "split the job"];
    refused(&wide(&json!(many)), &path(&gear(20_000)), "day.json: panels", &says);
    // Both make gigabytes if all is made first.
    assert!(started.elapsed().as_secs() < 60);
}

#[test]
fn points_on_the_film_are_limited() {
    let job = |copies: u32| wide(&json!([{"id": "gear", "file": "a.svg", "copies": copies}]));
    let drawing = path(&gear(20_000));
    // Each counts 20,025.
    assert!(with_drawing(&job(149), &drawing).is_ok());
    let says = ["more than 3000000 points on the film", "split the job"];
    refused(&job(150), &drawing, "day.json: panels", &says);
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

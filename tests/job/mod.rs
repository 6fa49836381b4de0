//! Job and layout files.

mod bad_job;
mod bad_layout;
mod drawings;
mod fit;
mod mutations;
mod round_trip;
mod schema;

use serde_json::{Value, json};
use tuckroll::job::{self, Job};
use tuckroll::layout::{self, Layout};
use tuckroll::read::ReadOptions;

/// A job that uses every key there is.
const SAMPLE: &str = r#"{
 "format": "tuckroll-job-1", "name": "Two kits", "source": "invented", "unit": "in", "notes": {"a": [1, {"b": null}]},
 "roll": {"width": 24, "edge_margin": [0.25, 0.5], "lead_margin": 1, "tail_margin": 0.1, "length": 300,
          "flaws": [[[10, 10], [11, 10], [10.5, 11]]], "id": "white 24", "film": "white", "offcut": true,
          "price": {"amount": "7.125", "per": "yd2"}},
 "rates": {"currency": "EUR", "decimals": 3, "waste": "box", "ink": {"amount": "3", "per": "m2"},
           "laminate": {"amount": "0.5", "per": "ft2"}, "transfer_tape": {"amount": "0.000001", "per": "m2"},
           "labour": {"per_hour": "36", "minutes_per_job": 10, "minutes_per_kit": 2.5, "minutes_per_panel": 0.1}},
 "keep": {"length": 8, "width": 4},
 "gap": 0.1,
 "panels": [
  {"id": "fin", "kit": "K1", "film": "white", "copies": 3, "outline": [[0, 0], [4, 0.1], [3, 2], [1, 2], [0, 0]],
   "holes": [[[1.5, 1], [2, 1], [2, 1.5]]], "keep_clear": "hull", "fill_holes": true, "match": "set", "mirror": true,
   "grain": {"along": 90, "rule": "two-way", "slack": 2.5},
   "lines": [{"role": "draw", "points": [[0, 0], [1, 1]], "copy": 2},
             {"role": "through", "points": [[1, 0.5], [2, 0.75], [1.25, 1.5]], "closed": true}]},
  {"id": "Größe 3/\"name\"", "copies": 2, "numbers": {"copies": [2, 5], "of": 5}, "optional": true, "priority": 7,
   "parts": [{"outline": [[0, 0], [1, 0], [1, 1], [0, 1]], "holes": [[[0.2, 0.2], [0.8, 0.2], [0.8, 0.8]]]},
             {"outline": [[1.1, 0], [2, -0.0], [2, 0.5]]}]},
  {"id": "plate", "file": "plates.svg", "pick": [1, 2], "all": true},
  {"id": "lid", "file": "plates.svg", "layer": "", "pick": [2], "file_unit": "mm"}
 ],
 "kits": [{"id": "K9", "file": "kit.json", "copies": 2, "priority": 2}], "films": "films.json"
}"#;

/// A kit of one tube.
const KIT: &str = r#"{"format": "tuckroll-kit-1", "name": "Stick", "unit": "mm",
 "parts": [{"id": "body", "kind": "tube", "diameter": 20, "length": 100}]}"#;

/// A film library of one film.
const FILMS: &str = r#"{"format": "tuckroll-films-1", "films": [
 {"id": "own", "max_stretch": {"warn": 5, "stop": 8}, "max_shrink": {"warn": 1, "stop": 2}}]}"#;

/// A stock that uses every key there is.
const STOCK: &str = r#"{"format": "tuckroll-stock-1", "unit": "in", "keep": {"length": 10, "width": 5}, "notes": {"shelf": 3},
 "rolls": [{"id": "a", "width": 24, "film": "white", "length": 100, "price": {"amount": "1.5", "per": "ft2"},
            "edge_margin": 0.5, "lead_margin": 1, "tail_margin": 1, "flaws": [[[1, 1], [2, 1], [2, 2]]], "offcut": true},
           {"id": "b", "width": 12, "film": "white", "price": {"amount": "1", "per": "ft"}}],
 "cut": [{"layout": "0f", "roll": "a", "length": 12.5}]}"#;

/// Two squares of 25.4 and 12.7 mm.
const PLATES: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="50mm" viewBox="0 0 100 50">
<rect x="0" y="0" width="25.4" height="25.4"/><rect x="50" y="10" width="12.7" height="12.7"/></svg>"#;

/// The sample, not yet parsed.
fn sample() -> Value {
    serde_json::from_str(SAMPLE).unwrap()
}

/// A layout that uses every key there is.
fn sample_layout() -> Value {
    let job = parse(&sample()).unwrap();
    let mut layout: Value = serde_json::from_str(&job::write(&job)).unwrap();
    let file = layout.as_object_mut().unwrap();
    file.remove("source");
    let more = json!({
        "format": "tuckroll-layout-1", "length": 12.5, "panel_area": 30, "filler_area": 2,
        "waste_percent": 90.5, "density_percent": 10.25,
        "made_by": {"version": "0.1.0", "seed": 7, "walks": 8, "rounds": 3, "stopped": "rounds"},
        "placements": [{"panel": "fin", "copy": 1, "x": 1.5, "y": 2, "rotation": 90, "mirrored": false}],
    });
    file.extend(more.as_object().unwrap().clone());
    layout
}

/// Parses a job whose drawings are all [`PLATES`], beside [`KIT`] and [`FILMS`].
fn parse(job: &Value) -> Result<Job, tuckroll::Error> {
    parse_text(&job.to_string())
}

/// Parses a job of one piece of film or several, with [`STOCK`] beside it too.
fn parse_day(job: &Value) -> Result<job::Day, tuckroll::Error> {
    job::parse_day(job.to_string().as_bytes(), "day.json", &beside, &ReadOptions::default())
        .map(|loaded| loaded.day)
}

fn beside(name: &str) -> Result<Vec<u8>, tuckroll::Error> {
    let text = match name {
        "kit.json" => KIT,
        "films.json" => FILMS,
        "stock.json" => STOCK,
        _ => PLATES,
    };
    Ok(text.as_bytes().to_vec())
}

fn parse_text(text: &str) -> Result<Job, tuckroll::Error> {
    job::parse(text.as_bytes(), "day.json", &beside, &ReadOptions::default()).map(|loaded| loaded.job)
}

fn parse_layout(layout: &Value) -> Result<Layout, tuckroll::Error> {
    layout::read(layout.to_string().as_bytes(), "layout.json")
}

/// One changed place of a file and what must be said about it.
struct Case {
    /// JSON pointer (RFC 6901) of what is changed; its last step may be new.
    pointer: &'static str,
    /// The new value; nothing removes it.
    value: Option<Value>,
    /// Place as it must be reported, with the file's name.
    place: &'static str,
    /// What the message must contain.
    says: &'static [&'static str],
}

/// Parses the changed file and checks that there is one problem, at its place, with what it says.
#[track_caller]
fn expect_one_problem<T: std::fmt::Debug>(result: Result<T, tuckroll::Error>, case: &Case) {
    let tuckroll::Error::Input(problems) = result.expect_err(case.pointer) else {
        panic!("{}", case.pointer)
    };
    let [problem] = problems.0.as_slice() else { panic!("{}: {problems}", case.pointer) };
    assert_eq!(problem.place, case.place, "{}: {problem}", case.pointer);
    for word in case.says {
        assert!(problem.to_string().contains(word), "no {word:?} in: {problem}");
    }
}

/// Changes, adds or removes the value at `pointer`.
fn change(file: &mut Value, pointer: &str, value: Option<Value>) {
    let (parent, key) = pointer.rsplit_once('/').unwrap();
    match file.pointer_mut(parent).unwrap() {
        Value::Object(map) => {
            match value {
                Some(v) => map.insert(key.to_owned(), v),
                None => map.remove(key),
            };
        }
        Value::Array(list) => {
            let i: usize = key.parse().unwrap();
            match value {
                Some(v) if i == list.len() => list.push(v),
                Some(v) => list[i] = v,
                None => drop(list.remove(i)),
            }
        }
        other => panic!("{pointer} in {other}"),
    }
}

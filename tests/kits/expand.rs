//! Kits in a job.

use super::fixture;
use serde_json::{Value, json};
use std::cell::RefCell;
use std::collections::BTreeMap;
use tuckroll::Error;
use tuckroll::job::{self, Loaded};
use tuckroll::read::ReadOptions;

fn load(job: &Value) -> Result<Loaded, Error> {
    let files = |name: &str| {
        std::fs::read(fixture(name)).map_err(|_| Error::input("", format!("there is no file {name}"), ""))
    };
    job::parse(job.to_string().as_bytes(), "day.json", &files, &ReadOptions::default())
}

fn day(kits: Value) -> Value {
    json!({"format": "tuckroll-job-1", "name": "Day", "unit": "mm", "roll": {"width": 610}, "gap": 3, "kits": kits})
}

fn ids(loaded: &Loaded) -> Vec<&str> {
    loaded.job.panels.iter().map(|p| p.id.as_str()).collect()
}

#[test]
fn each_copy_of_a_kit_is_an_order_of_its_own() {
    let loaded = load(&day(json!([
        {"id": "A17", "file": "nose-ogive.json", "copies": 2},
        {"id": "B3", "file": "nose-measured.json"},
    ])))
    .unwrap();
    assert_eq!(ids(&loaded), ["A17.1/nose/gore", "A17.2/nose/gore", "B3/nose/gore"]);
    let kits: Vec<_> = loaded.job.panels.iter().map(|p| p.kit.as_deref().unwrap()).collect();
    assert_eq!(kits, ["A17.1", "A17.2", "B3"]);
    assert_eq!(loaded.sheets.len(), 3);
    // Equal outlines, other lettering.
    let [a, b, _] = loaded.job.panels.as_slice() else { panic!() };
    assert_eq!(a.parts, b.parts);
    assert_ne!(a.lines, b.lines);
}

#[test]
fn a_part_keeps_its_panel_id_when_the_number_of_gores_changes() {
    for gores in [3, 5, 8] {
        let mut kit: Value =
            serde_json::from_str(&std::fs::read_to_string(fixture("nose-ogive.json")).unwrap()).unwrap();
        kit["parts"][0]["gores"] = gores.into();
        let files = |_: &str| Ok(kit.to_string().into_bytes());
        let job = day(json!([{"id": "A", "file": "k.json"}])).to_string();
        let loaded = job::parse(job.as_bytes(), "day.json", &files, &ReadOptions::default()).unwrap();
        assert_eq!(ids(&loaded), ["A/nose/gore"]);
        assert_eq!(loaded.job.panels[0].copies, gores);
    }
}

#[test]
fn wraps_wider_than_the_roll_get_more_pieces_and_fins_are_split() {
    let mut job = day(json!([{"id": "R", "file": "rocket.json"}]));
    job["roll"]["width"] = json!(120);
    let loaded = load(&job).unwrap();
    let wide = |id: &str| {
        loaded.job.panels.iter().find(|p| p.id == id).map(|p| (p.copies, p.parts[0].bounds().height()))
    };
    let (copies, height) = wide("R/payload/wrap").unwrap();
    assert!(copies == 2 && height <= 120.0, "{copies} x {height}");
    job["roll"]["width"] = json!(60);
    let loaded = load(&job).unwrap();
    assert!(ids(&loaded).contains(&"R/fin/left-1") && ids(&loaded).contains(&"R/fin/left-2"));
    let fin = loaded.sheets[0].parts.iter().find(|p| p.id == "fin").unwrap();
    assert!(fin.notes.iter().any(|n| n.contains("strips in the order of their numbers")), "{:?}", fin.notes);
    assert!(loaded.job.panels.iter().all(|p| p.parts[0].bounds().height() <= 60.0 + 1e-6));
}

#[test]
fn panel_ids_of_kits_and_panels_do_not_meet() {
    let mut job =
        day(json!([{"id": "A", "file": "nose-ogive.json"}, {"id": "A.1", "file": "nose-ogive.json"}]));
    job["panels"] = json!([{"id": "A/nose/gore", "outline": [[0, 0], [9, 0], [9, 9]]}]);
    let e = load(&job).unwrap_err().to_string();
    assert!(e.contains("day.json: kits[0].id") && e.contains("panels[0]"), "{e}");
    job["panels"] = json!([{"id": "x", "outline": [[0, 0], [9, 0], [9, 9]]}]);
    job["kits"][0]["copies"] = json!(2);
    let e = load(&job).unwrap_err().to_string();
    assert!(e.contains("kits[1].id") && e.contains("kits[0]"), "{e}");
}

#[test]
fn what_film_and_roll_cannot_do_is_no_input_error() {
    let mut job = day(json!([{"id": "A", "file": "nose-haack.json"}]));
    job["roll"]["width"] = json!(40);
    let e = load(&job).unwrap_err();
    assert_eq!(e.exit_code(), 1, "{e}");
    assert!(e.to_string().contains("nose-haack.json: parts[0].gores (part \"nose\")"), "{e}");
    let e = load(&day(json!([{"id": "A", "file": "none.json"}]))).unwrap_err();
    assert!(e.exit_code() == 2 && e.to_string().contains("day.json: kits[0].file: there is no file"), "{e}");
}

#[test]
fn spares_are_fillers_without_numbers_of_their_own() {
    let read = |name: &str| std::fs::read(fixture(name)).unwrap();
    let mut kit: Value = serde_json::from_slice(&read("rocket.json")).unwrap();
    kit["parts"][0]["spares"] = 2.into();
    kit["parts"][1]["spares"] = 0.into();
    kit["parts"][4]["film"] = "calendered-polymeric".into();
    let files = |name: &str| Ok(if name == "k.json" { kit.to_string().into_bytes() } else { read(name) });
    let job = day(json!([{"id": "A", "file": "k.json", "priority": 3}])).to_string();
    let loaded = job::parse(job.as_bytes(), "day.json", &files, &ReadOptions::default()).unwrap();
    let spares: Vec<_> = loaded.job.panels.iter().filter(|p| p.optional).collect();
    let [spare] = spares.as_slice() else { panic!("{spares:?}") };
    let gore = loaded.job.panels.iter().find(|p| p.id == "A/nose/gore").unwrap();
    assert_eq!((spare.id.as_str(), spare.copies), ("A/nose/gore/spare", 2));
    assert_eq!((&spare.parts, &spare.kit, &spare.grain), (&gore.parts, &gore.kit, &gore.grain));
    assert!(spare.lines.iter().all(|l| l.copy.is_none()));
    assert!(loaded.job.panels.iter().all(|p| p.priority == Some(3)));
    let films: Vec<_> = loaded.job.panels.iter().map(|p| p.film.as_deref().unwrap()).collect();
    assert!(films.contains(&"cast") && films.contains(&"calendered-polymeric"), "{films:?}");
}

/// A kit of one round plate in a drawing, and how often each file is fetched.
fn counted(job: &Value, fetched: &RefCell<BTreeMap<String, usize>>) -> Result<Loaded, Error> {
    let files = |name: &str| {
        *fetched.borrow_mut().entry(name.to_owned()).or_default() += 1;
        std::fs::read(fixture(name)).map_err(|_| Error::input("", format!("there is no file {name}"), ""))
    };
    job::parse(job.to_string().as_bytes(), "day.json", &files, &ReadOptions::default())
}

#[test]
fn a_kit_and_its_drawings_are_fetched_once_for_all_orders() {
    let fetched = RefCell::default();
    let kits = json!([
        {"id": "A", "file": "plate.json", "copies": 3},
        {"id": "B", "file": "./plate.json"},
        {"id": "C", "file": "plate.json"},
    ]);
    let loaded = counted(&day(kits), &fetched).unwrap();
    assert_eq!(loaded.sheets.len(), 5);
    assert_eq!(loaded.job.panels.len(), 5 * loaded.sheets[0].parts.len());
    let fetched = fetched.into_inner();
    assert!(fetched.contains_key("badge.svg"), "{fetched:?}");
    assert!(fetched.values().all(|times| *times == 1), "{fetched:?}");
}

#[test]
fn a_kit_that_is_wrong_is_told_once() {
    let e =
        load(&day(json!([{"id": "A", "file": "none.json"}, {"id": "B", "file": "none.json"}]))).unwrap_err();
    assert_eq!(e.to_string().lines().count(), 1, "{e}");
}

/// To make all orders first takes minutes and gigabytes.
#[test]
fn orders_are_counted_before_they_are_made() {
    let started = std::time::Instant::now();
    let of = |copies: u32| day(json!([{"id": "A", "file": "nose-ogive.json", "copies": copies}]));
    let gores = load(&of(1)).unwrap().job.panels[0].copies;
    let e = load(&of(100_000)).unwrap_err();
    let all = gores * 100_000;
    let expected = format!("day.json: panels: {all} copies in all; 100000 are the most (split the job)");
    assert_eq!(e.to_string(), expected);
    // As many orders as copies allow: then it is the points.
    let e = load(&of(100_000 / gores)).unwrap_err().to_string();
    assert!(e.starts_with("day.json: panels: more than 1100000 points in all"), "{e}");
    assert!(started.elapsed().as_secs() < 120);
}

#[test]
fn names_that_get_too_long_are_refused() {
    let tube = json!({"format": "tuckroll-kit-1", "name": "K", "unit": "mm",
        "parts": [{"id": "lid", "kind": "plate", "spares": 1, "outline": [[0, 0], [9, 0], [9, 9]]}]});
    let files = |_: &str| Ok(tube.to_string().into_bytes());
    let load = |id: usize| {
        let job = day(json!([{"id": "A".repeat(id), "file": "k.json"}])).to_string();
        job::parse(job.as_bytes(), "day.json", &files, &ReadOptions::default())
    };
    // ID/lid/plate/spare
    let job = load(184).unwrap().job;
    assert_eq!(job.panels[0].id.chars().count(), 200);
    assert!(job::parse(job::write(&job).as_bytes(), "again.json", &files, &ReadOptions::default()).is_ok());
    let e = load(185).unwrap_err();
    assert_eq!(e.exit_code(), 2);
    for words in ["k.json: parts[0] (part \"lid\")", "/lid/plate/spare\" has 201 characters; 200", "shorten"]
    {
        assert!(e.to_string().contains(words), "no {words} in {e}");
    }
}

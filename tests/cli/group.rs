//! Kits kept together along the roll.

use crate::support::Desk;
use serde_json::{Value, json};
use std::fs;

const KITS: [&str; 4] = ["A1", "A2", "A3", "A4"];

/// Orders of six larger and six smaller plates each; the same in every order.
fn orders() -> Value {
    let plate = |kit: &str, length: f64, width: f64| {
        json!({
            "id": format!("{kit}-{length}"), "kit": kit, "copies": 6, "grain": { "rule": "quarter" },
            "outline": [[0, 0], [length, 0], [length, width], [0, width]]
        })
    };
    let panels: Vec<Value> =
        KITS.iter().flat_map(|kit| [plate(kit, 80.0, 50.0), plate(kit, 41.0, 35.0)]).collect();
    json!({
        "format": "tuckroll-job-1", "name": "Four orders", "unit": "mm",
        "roll": { "width": 300 }, "gap": 2, "panels": panels
    })
}

/// The roll's length and how much of it each kit spans.
fn spans(desk: &Desk, folder: &str) -> (f64, Vec<f64>) {
    let report: Value =
        serde_json::from_slice(&fs::read(desk.path(folder).join("report.json")).unwrap()).unwrap();
    let number = |v: &Value| v.as_f64().unwrap();
    let span = |kit: &Value| number(&kit["to_x_mm"]) - number(&kit["from_x_mm"]);
    let kits = report["kits"].as_array().unwrap();
    (number(&report["measured"]["length_mm"]), kits.iter().map(span).collect())
}

#[test]
fn grouped_kits_lie_closer_together_and_the_film_it_takes_is_told() {
    let desk = Desk::new();
    desk.put("job.json", orders().to_string());
    let nest = ["nest", "job.json", "--rounds", "8", "-o"];
    desk.run(nest.iter().chain(&["anywhere"])).ends_with(0);
    let grouped = desk.run(nest.iter().chain(&["grouped", "--group", "kit"])).ends_with(0);
    assert!(grouped.err.contains("--group kit: keeping kits together takes"), "{}", grouped.err);
    assert!(grouped.out.contains("repeat   --rounds 8 --seed 1 --group kit"), "{}", grouped.out);
    desk.run(["check", "grouped/layout.json", "--job", "job.json"]).ends_with(0);
    let ((_, anywhere), (length, near)) = (spans(&desk, "anywhere"), spans(&desk, "grouped"));
    assert_eq!((anywhere.len(), near.len()), (KITS.len(), KITS.len()));
    // A quarter of the film each, and three quarters of the longest plate more on either side.
    assert!(near.iter().all(|span| *span < 0.55 * length), "{near:?} of {length}");
    let sum = |spans: &[f64]| spans.iter().sum::<f64>();
    assert!(sum(&near) < 0.8 * sum(&anywhere), "{near:?}, {anywhere:?}");
}

#[test]
fn the_same_rounds_give_the_same_grouped_layout_on_any_number_of_threads() {
    let desk = Desk::new();
    desk.put("job.json", orders().to_string());
    for threads in ["1", "3"] {
        let typed =
            ["nest", "job.json", "--rounds", "3", "--group", "kit", "--threads", threads, "-o", threads];
        desk.run(typed).ends_with(0);
    }
    let layout = |folder: &str| fs::read(desk.path(folder).join("layout.json")).unwrap();
    assert!(layout("1") == layout("3"));
}

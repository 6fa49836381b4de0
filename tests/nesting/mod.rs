//! The search rule by rule, and on random small jobs: every layout passes the check of all rules.

mod large;
mod one;
mod random;
mod rules;
mod sources;

use serde_json::{Value, json};
use tuckroll::Error;
use tuckroll::job::{self, Job};
use tuckroll::layout::{Fault, Layout, MadeBy, Placement, assemble, check};
use tuckroll::nest::{Effort, Limit, Nested, nest};
use tuckroll::read::ReadOptions;

/// A job as a program would write it; `roll` and `panels` are as in the file.
fn job_text(roll: Value, gap: f64, panels: Vec<Value>) -> String {
    let file = json!({"format": "tuckroll-job-1", "name": "test", "unit": "mm", "roll": roll, "gap": gap,
                      "panels": panels});
    file.to_string()
}

fn parse(text: &str) -> Result<Job, Error> {
    let no_drawing = |file: &str| Err(Error::input("", format!("no drawing {file:?}"), "name none"));
    job::parse(text.as_bytes(), "job", &no_drawing, &ReadOptions::default()).map(|loaded| loaded.job)
}

/// A layout of the job, what the search said of it, and what the check found.
fn lay(job: &Job, rounds: u64) -> Result<(Layout, Nested, Vec<Fault>), Error> {
    let nested = nest(job, &Effort::new(1, Limit::Rounds(rounds)), &mut |_| true)?;
    let made_by = MadeBy {
        version: "test".into(),
        seed: 1,
        walks: nested.walks,
        rounds: nested.rounds,
        stopped: "rounds".into(),
    };
    let layout = assemble(job, nested.placements.clone(), made_by);
    let faults = check(&layout);
    Ok((layout, nested, faults))
}

/// Nests and checks. Two rounds are enough for a handful of panels.
#[track_caller]
fn solve(job: &Job) -> Layout {
    solve_in(job, 2)
}

/// The same with so many rounds.
#[track_caller]
fn solve_in(job: &Job, rounds: u64) -> Layout {
    let (layout, nested, faults) = lay(job, rounds).unwrap();
    assert!(faults.is_empty(), "{faults:?}\n{}", job::write(job));
    assert!(nested.lower_bound <= layout.measures.length + layout.roll.tolerance());
    layout
}

/// A job on a roll 100 mm wide without margins.
#[track_caller]
fn on_100(gap: f64, panels: Vec<Value>) -> Job {
    parse(&job_text(json!({"width": 100}), gap, panels)).unwrap()
}

fn rectangle(id: &str, length: f64, width: f64) -> Value {
    json!({"id": id, "outline": [[0, 0], [length, 0], [length, width], [0, width]]})
}

/// The panel with more keys, or others.
fn with(mut panel: Value, more: Value) -> Value {
    if let (Value::Object(keys), Value::Object(more)) = (&mut panel, more) {
        keys.extend(more);
    }
    panel
}

/// Where the grain of a placed panel points.
fn heading(layout: &Layout, p: &Placement) -> f64 {
    layout.panels[p.panel].grain.heading(p.rotation, p.mirrored)
}

/// How much longer than the best found by hand a layout may be after two rounds: far less than a
/// broken rule would cost or gain in any of these jobs. Common practice, no source.
const NEAR: f64 = 1.005;

/// Asserts that the length is the one worked out by hand, or next to it, and never below it.
#[track_caller]
fn is_long(layout: &Layout, length: f64) {
    let found = layout.measures.length;
    assert!(found >= length - layout.roll.tolerance(), "{found} is shorter than {length}");
    assert!(found <= NEAR * length, "{found} instead of {length}");
}

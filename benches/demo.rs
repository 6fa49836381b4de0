//! The demo day, on which whole steps are measured.

use std::path::Path;
use tuckroll::job::{Job, LoadOptions, load};
use tuckroll::layout::{Layout, MadeBy, assemble};
use tuckroll::nest::{Effort, Limit, Nested, nest};

const DAY: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/demo/day.json");

/// The job with its drawings read.
pub fn job() -> Job {
    load(Path::new(DAY), &LoadOptions::default()).unwrap().job
}

/// The search for so many rounds.
pub fn nested(job: &Job, rounds: u64) -> Nested {
    let effort = Effort::new(1, Limit::Rounds(rounds));
    nest(job, &effort, &mut |_| true).unwrap()
}

/// The constructive start as a layout.
pub fn layout() -> Layout {
    let job = job();
    let made_by = MadeBy { version: String::new(), seed: 1, walks: 4, rounds: 0, stopped: String::new() };
    assemble(&job, nested(&job, 0).placements, made_by)
}

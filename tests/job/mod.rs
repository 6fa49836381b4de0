//! Job and layout files.

mod round_trip;

use tuckroll::job::{self, Job};
use tuckroll::read::ReadOptions;

/// A job that uses every key that does not name a drawing.
const SAMPLE: &str = r#"{
 "format": "tuckroll-job-1", "name": "Two kits", "source": "invented", "unit": "in", "notes": {"a": [1, {"b": null}]},
 "roll": {"width": 24, "edge_margin": [0.25, 0.5], "lead_margin": 1, "tail_margin": 0.1, "length": 300,
          "flaws": [[[10, 10], [11, 10], [10.5, 11]]]},
 "gap": 0.1,
 "panels": [
  {"id": "fin", "kit": "K1", "film": "white", "copies": 3, "outline": [[0, 0], [4, 0.1], [3, 2], [1, 2], [0, 0]],
   "holes": [[[1.5, 1], [2, 1], [2, 1.5]]], "keep_clear": "hull", "fill_holes": true, "match": "set", "mirror": true,
   "grain": {"along": 90, "rule": "two-way", "slack": 2.5},
   "lines": [{"role": "draw", "points": [[0, 0], [1, 1]]},
             {"role": "through", "points": [[0, 0], [1, 1], [0, 2]], "closed": true}]},
  {"id": "Größe 3/\"name\"", "copies": 2, "optional": true,
   "parts": [{"outline": [[0, 0], [1, 0], [1, 1], [0, 1]], "holes": [[[0.2, 0.2], [0.8, 0.2], [0.8, 0.8]]]},
             {"outline": [[1.1, 0], [2, -0.0], [2, 0.5]]}]}
 ]
}"#;

/// The sample, parsed.
fn sample_job() -> Job {
    parse(SAMPLE).unwrap_or_else(|e| panic!("{e}"))
}

/// Parses a job that names no drawing.
fn parse(text: &str) -> Result<Job, tuckroll::Error> {
    let no_files = |file: &str| panic!("{file} is not part of the sample");
    job::parse(text.as_bytes(), "day.json", &no_files, &ReadOptions::default()).map(|loaded| loaded.job)
}

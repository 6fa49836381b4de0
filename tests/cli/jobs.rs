//! Small jobs for the tests.

use serde_json::{Value, json};

/// A roll 100 wide with a rectangle `w` along the feed and `h` across.
pub fn rectangles(w: f64, h: f64, copies: u32) -> Value {
    json!({
        "format": "tuckroll-job-1",
        "name": "rectangles",
        "unit": "mm",
        "roll": { "width": 100 },
        "gap": 2,
        "panels": [
            { "id": "plate", "copies": copies, "outline": [[0, 0], [w, 0], [w, h], [0, h]] },
        ],
    })
}

/// A job that keeps a search busy for longer than any test waits: dozens of free shapes.
pub fn busy() -> Value {
    let wedge = |i: usize| {
        let s = 20.0 + 3.0 * i as f64;
        json!({
            "id": format!("wedge {i}"),
            "copies": 6,
            "outline": [[0, 0], [s, 0], [s * 1.5, s * 0.4], [s * 0.7, s], [s * 0.3, s * 0.5]],
            "grain": { "rule": "quarter" },
        })
    };
    json!({
        "format": "tuckroll-job-1",
        "name": "busy",
        "unit": "mm",
        "roll": { "width": 160, "edge_margin": 3 },
        "gap": 1.5,
        "panels": (0..8).map(wedge).collect::<Vec<_>>(),
    })
}

//! Planning the cuts of a long roll.

use criterion::{Criterion, Throughput, criterion_group};
use std::hint::black_box;
use tuckroll::floor::plan::{Options, plan};
use tuckroll::layout::{self, Layout};

/// Five thousand contours: panels with a hole, in rows on a roll 610 mm wide.
fn layout() -> Layout {
    let mut places = Vec::new();
    for i in 0..2500 {
        let (x, y) = (f64::from(i / 12) * 62.0 + f64::from(i * 37 % 19), f64::from(i % 12) * 50.0);
        places.push(format!(
            r#"{{"panel": "p", "copy": {}, "x": {x}, "y": {y}, "rotation": 0, "mirrored": false}}"#,
            i + 1
        ));
    }
    let text = format!(
        r#"{{"format": "tuckroll-layout-1", "name": "bench", "unit": "mm", "roll": {{"width": 610}}, "gap": 1,
            "panels": [{{"id": "p", "copies": 2500, "outline": [[0, 0], [40, 0], [40, 40], [20, 45], [0, 40]],
                         "holes": [[[10, 10], [20, 10], [15, 20]]]}}],
            "placements": [{}], "length": 13000, "panel_area": 1, "waste_percent": 0, "density_percent": 0}}"#,
        places.join(", ")
    );
    layout::read(text.as_bytes(), "bench").unwrap()
}

fn plans(c: &mut Criterion) {
    let layout = layout();
    let options = Options::default();
    assert_eq!(plan(&layout, &options).unwrap().totals.contours, 5000);
    let mut group = c.benchmark_group("plan");
    group.sample_size(10).throughput(Throughput::Elements(5000));
    group.bench_function("5000 contours", |b| b.iter(|| plan(black_box(&layout), &options).unwrap()));
    group.finish();
}

criterion_group!(benches, plans);

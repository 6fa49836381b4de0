//! Exact distances between outlines, and the check of a whole layout.

use super::demo;
use criterion::{Criterion, Throughput, criterion_group};
use std::f64::consts::TAU;
use std::hint::black_box;
use tuckroll::layout::check;
use tuckroll::shape::{Contours, Point, Pose, Turn};

/// A star of `n` points: no part of it is convex for long.
fn star(n: u32) -> Contours {
    let corner = |i: u32| {
        let (radius, angle) =
            (if i.is_multiple_of(2) { 50.0 } else { 35.0 }, TAU * f64::from(i) / f64::from(n));
        Point { x: radius * libm::cos(angle), y: radius * libm::sin(angle) }
    };
    Contours::of_rings(vec![(0..n).map(corner).collect()])
}

fn distance(c: &mut Criterion) {
    let mut group = c.benchmark_group("distance");
    for n in [20, 200, 2000] {
        let fixed = star(n);
        for (name, x) in [("3 mm apart", 103.0), ("out of reach", 200.0), ("overlapping", 80.0)] {
            let moved =
                fixed.placed(&Pose { mirrored: false, turn: Turn::degrees(7.0), at: Point { x, y: 4.0 } });
            group.bench_function(format!("stars of {n} points, {name}"), |b| {
                b.iter(|| black_box(&fixed).distance(black_box(&moved), 5.0))
            });
        }
    }
    group.finish();
}

fn whole_layout(c: &mut Criterion) {
    let layout = demo::layout();
    assert!(check(&layout).is_empty(), "the demo's layout is refused");
    let mut group = c.benchmark_group("check");
    group.sample_size(20).throughput(Throughput::Elements(layout.placements.len() as u64));
    group.bench_function("demo day", |b| b.iter(|| check(black_box(&layout))));
    group.finish();
}

criterion_group!(benches, distance, whole_layout);

//! Panels of kits from the bytes of their files: what a job of a hundred orders waits for.

use criterion::{Criterion, Throughput, criterion_group};
use std::hint::black_box;
use std::path::Path;
use tuckroll::job::Folder;
use tuckroll::job::kits::{KitOptions, parse_kit};
use tuckroll::write::fit_sheet;

const KITS: u64 = 100;

/// A rocket of nose, two tubes, boat tail, fins and a badge from a drawing.
fn hundred(c: &mut Criterion) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/kits/rocket.json");
    let bytes = std::fs::read(&path).unwrap();
    let files = Folder::of(&path);
    let options = KitOptions { order: Some("A-101"), width: Some(594.0), ..KitOptions::default() };
    let make = || parse_kit(black_box(&bytes), "rocket.json", &files, &options).unwrap();
    assert_eq!(make().panels.len(), 6);
    let mut group = c.benchmark_group("kits");
    group.sample_size(20).throughput(Throughput::Elements(KITS));
    group.bench_function("panels of a hundred rockets", |b| {
        b.iter(|| (0..KITS).map(|_| make().panels.len()).sum::<usize>())
    });
    let sheet = make().sheet;
    group.bench_function("a hundred fit sheets", |b| {
        b.iter(|| (0..KITS).map(|_| fit_sheet(black_box(&sheet)).len()).sum::<usize>())
    });
    group.finish();
}

criterion_group!(benches, hundred);

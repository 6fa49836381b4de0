//! Writing the files of a result.

use super::demo;
use criterion::{Criterion, Throughput, criterion_group};
use std::hint::black_box;
use tuckroll::layout;
use tuckroll::write::{DxfOptions, Version, dxf};

fn files(c: &mut Criterion) {
    let layout = demo::layout();
    let mut group = c.benchmark_group("write");
    group.sample_size(20).throughput(Throughput::Elements(layout.placements.len() as u64));
    group.bench_function("layout.json of the demo", |b| b.iter(|| layout::write(black_box(&layout))));
    for (name, version) in [("R12", Version::R12), ("R2010", Version::R2010)] {
        let options = DxfOptions { version, ..DxfOptions::default() };
        group.bench_function(format!("cut.dxf of the demo, {name}"), |b| {
            b.iter(|| dxf(black_box(&layout), &options).unwrap())
        });
    }
    group.finish();
}

criterion_group!(benches, files);

//! Writing the files of a result.

use super::demo;
use criterion::{Criterion, Throughput, criterion_group};
use std::hint::black_box;
use tuckroll::layout;
use tuckroll::write::{DxfOptions, SvgOptions, Version, dxf, png, svg};

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
    let options = SvgOptions::default();
    group
        .bench_function("preview.svg of the demo", |b| b.iter(|| svg(black_box(&layout), &options).unwrap()));
    let drawn = svg(&layout, &options).unwrap();
    group.bench_function("preview.png of the demo, 1600 pixels wide", |b| {
        b.iter(|| png(black_box(&drawn), 1600).unwrap())
    });
    group.finish();
}

criterion_group!(benches, files);

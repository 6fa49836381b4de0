//! Reading drawings: curves to flatten, and many loose lines to join.

use criterion::{Criterion, Throughput, criterion_group};
use std::fmt::Write;
use std::hint::black_box;
use tuckroll::read::{ReadOptions, read};

/// `count` squares, each of four loose lines, every second one backwards.
fn loose_squares(count: u32) -> String {
    let mut text = String::from("0\nSECTION\n2\nENTITIES\n");
    for i in 0..count {
        let (x, y) = (f64::from(i % 100) * 3.0, f64::from(i / 100) * 3.0);
        let corners = [(x, y), (x + 2.0, y), (x + 2.0, y + 2.0), (x, y + 2.0)];
        for side in 0..4 {
            let (mut a, mut b) = (corners[side], corners[(side + 1) % 4]);
            if side % 2 == 1 {
                (a, b) = (b, a);
            }
            write!(text, "0\nLINE\n8\ncut\n10\n{}\n20\n{}\n11\n{}\n21\n{}\n", a.0, a.1, b.0, b.1).unwrap();
        }
    }
    text + "0\nENDSEC\n0\nEOF\n"
}

fn read_dxf(c: &mut Criterion) {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/dxf/");
    let options = ReadOptions::default();
    let mut group = c.benchmark_group("read_dxf");
    for name in ["curves-R2000-asc.dxf", "curves-R2013-bin.dxf"] {
        let bytes = std::fs::read(format!("{folder}{name}")).unwrap();
        group.throughput(Throughput::Bytes(bytes.len() as u64));
        group.bench_function(name, |b| b.iter(|| read(black_box(&bytes), name, &options).unwrap()));
    }
    let text = loose_squares(2500);
    group.throughput(Throughput::Elements(10_000)).sample_size(20);
    group.bench_function("10 000 loose lines", |b| {
        b.iter(|| read(black_box(text.as_bytes()), "t.dxf", &options))
    });
    group.finish();
}

fn read_svg(c: &mut Criterion) {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/svg/");
    let options = ReadOptions::default();
    let mut group = c.benchmark_group("read_svg");
    for name in ["paths.svg", "styles.svg"] {
        let bytes = std::fs::read(format!("{folder}{name}")).unwrap();
        group.throughput(Throughput::Bytes(bytes.len() as u64));
        group.bench_function(name, |b| b.iter(|| read(black_box(&bytes), name, &options).unwrap()));
    }
    group.finish();
}

criterion_group!(benches, read_dxf, read_svg);

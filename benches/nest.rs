//! The search on the demo day: its start, and one round of every walk.

use super::demo;
use criterion::{Criterion, Throughput, criterion_group};
use std::hint::black_box;

/// A call prepares the no-fit polygons it meets, as it does in every run.
fn whole_steps(c: &mut Criterion) {
    let job = demo::job();
    let copies: u32 = job.panels.iter().map(|p| p.copies).sum();
    let mut group = c.benchmark_group("nest");
    group.sample_size(10).throughput(Throughput::Elements(u64::from(copies)));
    group.bench_function("constructive start", |b| b.iter(|| demo::nested(black_box(&job), 0)));
    group.bench_function("start and one round of all walks", |b| b.iter(|| demo::nested(black_box(&job), 1)));
    group.finish();
}

criterion_group!(benches, whole_steps);

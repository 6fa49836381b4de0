//! The search on the demo day: tests for collision, its start, patterns, a sweep, a round of all walks.

use super::demo;
use criterion::{Criterion, Throughput, criterion_group};
use std::hint::black_box;
use tuckroll::nest::dice::Dice;
use tuckroll::nest::field::{Field, Spot};
use tuckroll::nest::instance::Instance;
use tuckroll::nest::lattice::patterns;
use tuckroll::nest::request::request;
use tuckroll::nest::start::{first_choice, start};
use tuckroll::nest::walk::{Best, Walk};
use tuckroll::nest::weights::GENTLE;

/// Spots for one piece all over the strip, in its first stance.
fn places(inst: &Instance, field: &Field<'_>, dice: &mut Dice) -> Vec<Spot> {
    let at = |dice: &mut Dice| tuckroll::shape::Point {
        x: dice.within(0.0, field.length()),
        y: dice.within(0.0, inst.width),
    };
    (0..1000).map(|_| field.clamp(0, Spot { at: at(dice), ..field.spot(0) })).collect()
}

/// No-fit polygons are made in the first pass, as in a search; what is measured comes after it.
fn collision(c: &mut Criterion) {
    let request = request(&demo::job()).unwrap();
    let inst = &request.instance;
    let mut dice = Dice::new(1, 0);
    let (spots, length) = start(inst, &mut dice, 0.0);
    let mut field = Field::new(inst, spots, length);
    let places = places(inst, &field, &mut dice);
    let weights = vec![1.0; field.len()];
    let mut pushes = Vec::new();
    let mut group = c.benchmark_group("collision");
    group.throughput(Throughput::Elements(places.len() as u64));
    group.bench_function("cost of one piece at 1000 places", |b| {
        b.iter(|| places.iter().map(|s| field.cost(0, black_box(*s), &weights, f32::INFINITY)).sum::<f32>())
    });
    group.bench_function("ways out for one piece at 1000 places", |b| {
        b.iter(|| places.iter().for_each(|s| field.pushes(0, black_box(*s), &mut pushes)))
    });
    group.throughput(Throughput::Elements(field.len() as u64));
    group.bench_function("all overlaps of the layout", |b| b.iter(|| black_box(&field).overlaps()));
    group.finish();
}

/// Evaluations of one sweep: the search's own unit of work.
const SWEEP: u64 = 10_000;

/// The walk goes on from call to call, as it does in a search.
fn sweep(c: &mut Criterion) {
    let request = request(&demo::job()).unwrap();
    let (spots, length) = start(&request.instance, &mut Dice::new(1, 0), 0.0);
    let best = Best { spots, length };
    let mut group = c.benchmark_group("sweep");
    group.sample_size(10).throughput(Throughput::Elements(SWEEP));
    let mut walk = Walk::new(&request.instance, GENTLE, Dice::new(1, 1), best);
    group.bench_function("10 000 evaluations", |b| b.iter(|| walk.work(black_box(SWEEP))));
    group.finish();
}

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

/// The start on days of several sizes; no-fit polygons are there from the call before. The time for a
/// piece should stay the same.
fn starts(c: &mut Criterion) {
    let mut group = c.benchmark_group("start");
    group.sample_size(10);
    for times in [2, 8, 32] {
        let mut job = demo::job();
        job.panels.iter_mut().for_each(|p| p.copies *= times);
        let inst = request(&job).unwrap().instance;
        let pieces = inst.entries.len();
        group.throughput(Throughput::Elements(pieces as u64));
        group.bench_function(format!("{pieces} panels"), |b| {
            b.iter(|| start(black_box(&inst), &mut Dice::new(1, 0), 0.0))
        });
    }
    group.finish();
}

/// Patterns of rows for a hundred copies of the demo's first panel.
fn repetition(c: &mut Criterion) {
    let mut job = demo::job();
    job.panels.truncate(1);
    job.panels[0].copies = 100;
    let inst = request(&job).unwrap().instance;
    let stances = first_choice(&inst, 0, None);
    let mut group = c.benchmark_group("repetition");
    group.sample_size(10);
    group.bench_function("patterns for 100 copies", |b| b.iter(|| patterns(black_box(&inst), &stances, 100)));
    group.finish();
}

criterion_group!(benches, collision, whole_steps, sweep, starts, repetition);

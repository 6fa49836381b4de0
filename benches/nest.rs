//! The search on the demo day: no-fit polygons, tests for collision, its start, patterns, a sweep, the last hair,
//! fillers, the bound, a round of all walks; and on many days like it a stretch and batches.

use super::demo;
use criterion::{BatchSize, Criterion, Throughput, criterion_group};
use std::hint::black_box;
use tuckroll::job::{GrainRule, Job, Panel};
use tuckroll::layout::Placement;
use tuckroll::nest::dice::Dice;
use tuckroll::nest::field::Field;
use tuckroll::nest::instance::{Instance, Spot};
use tuckroll::nest::lattice::patterns;
use tuckroll::nest::lower_bound;
use tuckroll::nest::request::request;
use tuckroll::nest::start::{first_choice, start};
use tuckroll::nest::walk::{Best, Walk};
use tuckroll::nest::weights::GENTLE;
use tuckroll::shape::{Point, Region, Ring};

/// Spots for one piece all over the strip, in its first stance.
fn places(inst: &Instance, field: &Field<'_>, dice: &mut Dice) -> Vec<Spot> {
    let at = |dice: &mut Dice| Point { x: dice.within(0.0, field.length()), y: dice.within(0.0, inst.width) };
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

/// Patterns of rows for a hundred copies of the panel that the demo has most copies of.
fn repetition(c: &mut Criterion) {
    let mut job = demo::job();
    job.panels.sort_by_key(|p| u32::MAX - p.copies);
    job.panels.truncate(1);
    job.panels[0].copies = 100;
    let inst = request(&job).unwrap().instance;
    let stances = first_choice(&inst, 0, None);
    assert!(patterns(&inst, &stances, 100)[0].rows() > 1, "one row is no pattern to look for");
    let mut group = c.benchmark_group("repetition");
    group.sample_size(10);
    group.bench_function("patterns for 100 copies", |b| b.iter(|| patterns(black_box(&inst), &stances, 100)));
    group.finish();
}

/// The demo's panels that lie at quarter turns: free headings have too many polygons to make them all.
fn at_quarter_turns() -> Job {
    let mut job = demo::job();
    job.panels.retain(|p| p.grain.rule != GrainRule::Free && p.grain.slack == 0.0);
    job
}

/// What is made before anything can be tested for collision. Every polygon is made once, by as many threads as
/// there are.
fn polygons(c: &mut Criterion) {
    let job = at_quarter_turns();
    let mut group = c.benchmark_group("polygons");
    group.sample_size(10);
    group.bench_function("the demo day as an instance", |b| b.iter(|| request(black_box(&demo::job()))));
    let fresh = || request(&job).unwrap().instance;
    let stances: Vec<u32> = (0..fresh().stances.len() as u32).collect();
    group.bench_function(format!("of all pairs of {} stances", stances.len()), |b| {
        b.iter_batched(
            fresh,
            |inst| {
                stances.iter().for_each(|fixed| inst.make_about(*fixed, &stances));
                inst
            },
            BatchSize::PerIteration,
        )
    });
    group.finish();
}

/// The double precision after every success: on a layout that lies clear, and on one that has been shaken.
fn last_hair(c: &mut Criterion) {
    let inst = request(&demo::job()).unwrap().instance;
    let mut dice = Dice::new(1, 0);
    let (spots, length) = start(&inst, &mut dice, 0.0);
    let clear = Field::new(&inst, spots, length);
    let mut shaken = clear.clone();
    for i in 0..shaken.movable() {
        let by = |dice: &mut Dice| dice.within(-2.0, 2.0) * inst.slip;
        let (spot, by) = (shaken.spot(i), Point { x: by(&mut dice), y: by(&mut dice) });
        let spot = shaken.clamp(i, Spot { at: spot.at + by, ..spot });
        shaken.set(i, spot);
    }
    let settled = Best::settled(&shaken);
    assert_ne!(settled.spots, shaken.spots(), "it does not come to rest");
    let again = Best::settled(&Field::new(&inst, settled.spots.clone(), settled.length));
    assert_eq!(again, settled, "more than once is needed");
    let mut group = c.benchmark_group("settle");
    group.throughput(Throughput::Elements(clear.movable() as u64));
    group.bench_function("a clear layout", |b| b.iter(|| Best::settled(black_box(&clear))));
    group.bench_function("a shaken layout", |b| b.iter(|| Best::settled(black_box(&shaken))));
    group.finish();
}

fn bound(c: &mut Criterion) {
    let job = demo::job();
    let mut group = c.benchmark_group("bound");
    group.sample_size(20);
    group.bench_function("demo day", |b| b.iter(|| lower_bound(black_box(&job)).unwrap()));
    group.finish();
}

/// The demo's panels, all of them optional, beside one that is as long as they need and leaves them the film.
fn fillers(c: &mut Criterion) {
    let mut job = at_quarter_turns();
    job.panels.iter_mut().for_each(|p| (p.optional, p.match_group) = (true, None));
    let corners = [(0.0, 0.0), (5000.0, 0.0), (5000.0, 20.0), (0.0, 20.0)];
    let strip = Ring::new(corners.map(|(x, y)| Point { x, y }).to_vec()).unwrap();
    let (mut required, optional) = (job.panels[0].clone(), job.panels.clone());
    (required.id, required.copies, required.optional) = ("strip".into(), 1, false);
    (required.parts, required.lines) = (vec![Region::solid(strip)], Vec::new());
    job.panels = [vec![required], optional].concat();
    let laid = demo::nested(&job, 0).placements.len() - 1;
    let offered = job.panels[1..].iter().map(|p| p.copies).sum::<u32>();
    let mut group = c.benchmark_group("fillers");
    group.sample_size(10).throughput(Throughput::Elements(u64::from(offered)));
    group.bench_function(format!("{laid} of {offered} find room"), |b| {
        b.iter(|| demo::nested(black_box(&job), 0))
    });
    group.finish();
}

/// Days of a long job.
const DAYS: u32 = 8;

/// So many days like the demo, each with orders of its own, on film without a flaw: neither a stretch nor a
/// batch could pass one.
fn days(count: u32) -> Job {
    let day = at_quarter_turns();
    let on = |number: u32, p: &Panel| {
        let kit = p.kit.as_ref().map(|k| format!("{number}/{k}"));
        Panel { id: format!("{number}/{}", p.id), kit, ..p.clone() }
    };
    let panels = (0..count).flat_map(|n| day.panels.iter().map(move |p| on(n, p))).collect();
    let mut job = Job { panels, ..day.clone() };
    job.roll.flaws.clear();
    job
}

/// The first layout of a long job that repeats itself, and a round of all walks on its batch.
fn batches(c: &mut Criterion) {
    let job = days(DAYS);
    let copies: u32 = job.panels.iter().filter(|p| !p.optional).map(|p| p.copies).sum();
    let laid = demo::nested(&job, 0).placements;
    let (first, second) = laid[..copies as usize].split_at(copies as usize / DAYS as usize);
    let by = second[0].at.x - first[0].at.x;
    let follows = |(a, b): (&Placement, &Placement)| {
        (b.at.x - a.at.x - by).abs() < 1e-6 && (b.at.y - a.at.y).abs() < 1e-6
    };
    assert!(by > 0.0 && first.iter().zip(second).all(follows), "the second day lies as the first does");
    let mut group = c.benchmark_group("batches");
    group.sample_size(10).throughput(Throughput::Elements(u64::from(copies)));
    group.bench_function(format!("first layout of {copies} panels"), |b| {
        b.iter(|| demo::nested(black_box(&job), 0))
    });
    group.bench_function(format!("{copies} panels and one round"), |b| {
        b.iter(|| demo::nested(black_box(&job), 1))
    });
    group.finish();
}

/// Evaluations of a stretch in one round of the search.
const STRETCH: u64 = 150_000;
/// Pieces of a stretch.
const PIECES: usize = 100;

/// One stretch for one round: a hundred pieces in the middle of the strip, what lies before them fixed, what lies
/// behind them bound to the end. All stretches of a strip do this side by side.
fn stretch(c: &mut Criterion) {
    let inst = request(&days(DAYS)).unwrap().instance;
    let (spots, length) = start(&inst, &mut Dice::new(1, 0), 0.0);
    let mut order: Vec<usize> = (0..spots.len()).collect();
    order.sort_by(|a, b| spots[*a].at.x.total_cmp(&spots[*b].at.x));
    let first = (order.len() - PIECES) / 2;
    let (left, rest) = order.split_at(first);
    let (mine, right) = rest.split_at(PIECES);
    let of = |list: &[usize]| list.iter().map(|i| spots[*i]).collect::<Vec<Spot>>();
    let entries = mine.iter().map(|i| inst.entries[*i].clone()).collect();
    let field = Field::stretch(&inst, entries, of(mine), of(left), of(right), length);
    let mut walk = Walk::on(field, GENTLE, Dice::new(1, 1), 0.002);
    let mut group = c.benchmark_group("stretch");
    group.sample_size(10).throughput(Throughput::Elements(STRETCH));
    group.bench_function(format!("a round on {PIECES} of {} panels", spots.len()), |b| {
        b.iter(|| walk.work(black_box(STRETCH)))
    });
    group.finish();
}

criterion_group!(
    benches,
    polygons,
    collision,
    whole_steps,
    sweep,
    last_hair,
    starts,
    repetition,
    fillers,
    bound,
    batches,
    stretch
);

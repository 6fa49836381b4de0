//! Damaged bytes before every reader of JSON, and what they still accept taken through the rooms behind: no panic,
//! no internal fault, and a search whose layout the check passes. (`dxf_read::hostile`, `svg_read::hostile` do the
//! same for drawings, `job::mutations` damages values instead of bytes.)
//!
//! The same inputs at every run. `TUCKROLL_MUTATIONS=100000 cargo test --release mutated` tries more of them.

use rand::rngs::Xoshiro256PlusPlus;
use rand::{Rng, SeedableRng};
use std::path::Path;
use tuckroll::floor::device;
use tuckroll::job::kits::{Films, KitOptions, parse_kit};
use tuckroll::job::{self, Job, stock};
use tuckroll::layout::{self, MadeBy};
use tuckroll::nest::{Effort, Limit, nest};
use tuckroll::read::ReadOptions;
use tuckroll::{Error, layout::Layout};

/// Damaged inputs for each reader.
fn count() -> usize {
    std::env::var("TUCKROLL_MUTATIONS").ok().and_then(|n| n.parse().ok()).unwrap_or(1500)
}

const JOB: &str = r#"{"format": "tuckroll-job-1", "name": "m", "unit": "mm", "gap": 1.5,
 "roll": {"width": 100, "edge_margin": [2, 3], "lead_margin": 4, "tail_margin": 5, "flaws": [[[9, 9], [19, 9], [9, 19]]]},
 "panels": [
  {"id": "a", "copies": 3, "outline": [[0, 0], [30, 0], [30, 20], [0, 20]], "holes": [[[5, 5], [15, 5], [15, 15]]],
   "fill_holes": true, "grain": {"along": 90, "rule": "two-way", "slack": 2}, "match": "m"},
  {"id": "b", "copies": 2, "outline": [[0, 0], [12, 0], [6, 9], [5, 20]], "grain": {"rule": "quarter"}, "mirror": true},
  {"id": "c", "optional": true, "copies": 2, "keep_clear": "hull", "outline": [[0, 0], [7, 1], [1, 1], [1, 7]],
   "grain": {"rule": "free"}, "lines": [{"role": "draw", "points": [[0, 0], [1, 1]]}]},
  {"id": "d", "parts": [{"outline": [[0, 0], [4, 0], [4, 4]]}, {"outline": [[6, 0], [9, 0], [9, 4]]}]}]}"#;

const STOCK: &str = r#"{"format": "tuckroll-stock-1", "unit": "in", "keep": {"length": 10, "width": 5}, "notes": {"shelf": 3},
 "rolls": [{"id": "a", "width": 24, "film": "white", "length": 100, "price": {"amount": "1.5", "per": "ft2"},
            "edge_margin": 0.5, "lead_margin": 1, "tail_margin": 1, "flaws": [[[1, 1], [2, 1], [2, 2]]], "offcut": true}],
 "cut": [{"layout": "0f", "roll": "a", "length": 12.5}]}"#;

fn file(path: &str) -> Vec<u8> {
    std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).unwrap()
}

/// Damages `seed` over and over and hands it to `judge`, which says whether it was accepted.
fn batter(name: &str, seeds: &[Vec<u8>], mut judge: impl FnMut(&[u8]) -> Result<(), Error>) {
    let mut random = Xoshiro256PlusPlus::seed_from_u64(33);
    let (mut accepted, mut refused) = (0, 0);
    for round in 0..count() {
        let mut bytes = seeds[round % seeds.len()].clone();
        for _ in 0..=random.next_u32() % 3 {
            damage(&mut bytes, &mut random);
        }
        match judge(&bytes) {
            Ok(()) => accepted += 1,
            Err(Error::Input(_) | Error::Unmet(_)) => refused += 1,
            Err(other) => panic!("{name}: {other}\n{}", String::from_utf8_lossy(&bytes)),
        }
    }
    assert!(accepted > 0 && refused > 0, "{name}: {accepted} accepted, {refused} refused");
}

/// One small damage, more often to a number than to anything else: that is what gets past the parser.
fn damage(bytes: &mut Vec<u8>, random: &mut Xoshiro256PlusPlus) {
    const NUMBERS: [&str; 16] = [
        "0",
        "-0.0",
        "-1",
        "1",
        "2",
        "7",
        "0.5",
        "100",
        "1e-9",
        "1e-300",
        "1e300",
        "1e999",
        "99999999999",
        "360",
        "45",
        "null",
    ];
    let mut at = random.next_u32() as usize % bytes.len();
    match random.next_u32() % 8 {
        0 => bytes[at] = random.next_u32() as u8,
        1 => {
            let length = (random.next_u32() as usize % 20).min(bytes.len() - at);
            drop(bytes.drain(at..at + length));
        }
        2 => {
            let length = (random.next_u32() as usize % 60).min(bytes.len() - at);
            let copy = bytes[at..at + length].to_vec();
            bytes.splice(at..at, copy);
        }
        _ => {
            let digit = |b: &u8| b.is_ascii_digit();
            let Some(start) = bytes[at..].iter().position(digit) else { return };
            at += start;
            let end = bytes[at..]
                .iter()
                .position(|b| !digit(b) && !b".eE".contains(b))
                .map_or(bytes.len(), |n| at + n);
            let number = NUMBERS[random.next_u32() as usize % NUMBERS.len()];
            bytes.splice(at..end, number.bytes());
        }
    }
}

fn no_files(name: &str) -> Result<Vec<u8>, Error> {
    Err(Error::input("", format!("there is no file {name}"), "name another"))
}

/// Nests a small job and has the check judge it.
fn nested_and_checked(job: &Job) -> Result<(), Error> {
    let copies: u64 = job.panels.iter().map(|p| u64::from(p.copies)).sum();
    if copies > 60 {
        return Ok(());
    }
    let effort = Effort::new(1, Limit::Rounds(0));
    let found = nest(job, &effort, &mut |_| true)?;
    let made_by = MadeBy { version: String::new(), seed: 1, walks: 4, rounds: 0, stopped: "effort".into() };
    let layout = layout::assemble(job, found.placements, made_by);
    let faults = layout::check(&layout);
    // A roll that is too short is refused by the command, not by the search.
    let other: Vec<String> = faults
        .iter()
        .filter(|f| !matches!(f, layout::Fault::PastEnd { .. }))
        .map(ToString::to_string)
        .collect();
    assert!(other.is_empty(), "{other:?}\n{}", job::write(job));
    Ok(())
}

#[test]
fn jobs_are_nested_and_checked() {
    batter("job", &[JOB.into()], |bytes| {
        let loaded = job::parse(bytes, "job.json", &no_files, &ReadOptions::default())?;
        nested_and_checked(&loaded.job)
    });
}

#[test]
fn days() {
    batter("day", &[file("fixtures/films/day.json")], |bytes| {
        let folder = job::Folder::of(&Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/films/day.json"));
        job::parse_day(bytes, "day.json", &folder, &ReadOptions::default()).map(drop)
    });
}

#[test]
fn layouts_are_checked_and_written_again() {
    let loaded = job::parse(JOB.as_bytes(), "job.json", &no_files, &ReadOptions::default()).unwrap();
    let effort = Effort::new(1, Limit::Rounds(0));
    let found = nest(&loaded.job, &effort, &mut |_| true).unwrap();
    let made_by = MadeBy { version: "v".into(), seed: 1, walks: 4, rounds: 0, stopped: "effort".into() };
    let seed = layout::write(&layout::assemble(&loaded.job, found.placements, made_by));
    batter("layout", &[seed.into_bytes()], |bytes| {
        let layout: Layout = layout::read(bytes, "layout.json")?;
        drop(layout::check(&layout));
        assert_eq!(layout::read(layout::write(&layout).as_bytes(), "again")?, layout);
        Ok(())
    });
}

#[test]
fn kits() {
    let names =
        ["nose-haack", "nose-measured", "nose-ogive", "nose-blunted", "transition", "tube", "fin", "rocket"];
    let seeds: Vec<Vec<u8>> = names.iter().map(|n| file(&format!("fixtures/kits/{n}.json"))).collect();
    let folder = job::Folder::of(&Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/kits/rocket.json"));
    batter("kit", &seeds, |bytes| {
        let options = KitOptions { width: Some(594.0), ..KitOptions::default() };
        parse_kit(bytes, "kit.json", &folder, &options).map(drop)
    });
}

#[test]
fn films() {
    batter("films", &[Films::shipped_text().into()], |bytes| Films::parse(bytes, "films.json").map(drop));
}

#[test]
fn stocks() {
    batter("stock", &[STOCK.into()], |bytes| {
        let stock = stock::parse(bytes, "stock.json")?;
        assert_eq!(
            stock::write(&stock::parse(stock::write(&stock).as_bytes(), "again")?),
            stock::write(&stock)
        );
        Ok(())
    });
}

#[test]
fn device_profiles() {
    let seeds = ["large-numbers", "sixteen-bit"].map(|n| file(&format!("src/floor/device/{n}.json")));
    batter("device", &seeds, |bytes| device::read(bytes, "device.json").map(drop));
}

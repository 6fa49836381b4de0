//! The bounded part of fuzzing: what the coverage-guided targets in `tests/fuzz` judge, on their seeds, on every
//! input that once failed, and on random bytes, the same at every run. `scripts/fuzz` runs the targets themselves.

mod judges;

use judges::beside::beside;
use judges::{TARGETS, judge};
use rand::rngs::Xoshiro256PlusPlus;
use rand::{Rng, SeedableRng};
use std::path::{Path, PathBuf};
use tuckroll::job;
use tuckroll::job::kits::{KitOptions, parse_kit};
use tuckroll::read::ReadOptions;

/// The files in a folder of `tests/fuzz`, in the order of their names; none where there is no such folder.
fn files(folder: &str, target: &str) -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz").join(folder).join(target);
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let mut files: Vec<PathBuf> = entries.map(|e| e.unwrap().path()).collect();
    files.sort();
    files
}

#[test]
fn what_once_failed_is_judged_again() {
    let mut count = 0;
    for (target, judge) in TARGETS {
        for file in files("seeds", target).iter().chain(&files("found", target)) {
            eprintln!("{}", file.display());
            judge(&std::fs::read(file).unwrap());
            count += 1;
        }
    }
    assert!(count >= 6, "{count} files");
}

/// Those that name files beside them get them, so that what comes after the reading is tried, too.
#[test]
fn seeds_with_files_beside_them_are_taken() {
    let read = ReadOptions::default();
    let named = |target: &str, names: &[&str]| {
        names
            .iter()
            .map(|n| files("seeds", target).into_iter().find(|f| f.ends_with(n)).unwrap())
            .collect::<Vec<_>>()
    };
    for file in named("job", &["drawings.json", "stocked.json", "kits.json"]) {
        let taken = job::parse_day(&std::fs::read(&file).unwrap(), "job.json", &beside, &read);
        assert!(taken.is_ok(), "{}: {}", file.display(), taken.unwrap_err());
    }
    for file in named("kit", &["drawings.json"]) {
        let taken = parse_kit(&std::fs::read(&file).unwrap(), "kit.json", &beside, &KitOptions::default());
        assert!(taken.is_ok(), "{}: {}", file.display(), taken.unwrap_err());
    }
}

#[test]
fn the_small_seeds_are_whole_drawings() {
    let seeds = files("seeds", "dxf_binary");
    assert_eq!(seeds.len(), 12);
    for file in seeds {
        let name = file.file_name().unwrap().to_str().unwrap();
        let bytes = std::fs::read(&file).unwrap();
        let drawing = tuckroll::read::read(&bytes, name, &tuckroll::read::ReadOptions::default()).unwrap();
        // An array of two columns and three rows, a block that is placed twice, and what lies on hidden layers.
        let outlines = match name {
            "blocks.dxf" | "blocks-r12.dxf" => 6,
            "nested.dxf" | "round.dxf" => 2,
            "hidden.dxf" => 0,
            _ => 1,
        };
        assert_eq!(drawing.found.len(), outlines, "{name}: {:?}", drawing.warnings);
        assert!(bytes.len() < 400, "{name}");
    }
}

/// Judges so many inputs of random bytes, each up to 200 long.
fn random(target: &str, count: usize) {
    let mut random = Xoshiro256PlusPlus::seed_from_u64(7);
    for _ in 0..count {
        let length = random.next_u32() as usize % 200;
        let data: Vec<u8> = (0..length).map(|_| random.next_u32() as u8).collect();
        judge(target, &data);
    }
}

#[test]
fn jobs_of_random_bytes_are_nested() {
    random("nest", 40);
}

#[test]
fn kits_of_random_bytes_become_panels() {
    random("panels", 60);
}

#[test]
fn layouts_of_random_bytes_become_plotter_files() {
    random("hpgl", 200);
}

#[test]
fn layouts_of_random_bytes_become_drawings() {
    random("dxf_write", 200);
}

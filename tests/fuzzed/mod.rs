//! The bounded part of fuzzing: what the coverage-guided targets in `tests/fuzz` judge, on their seeds, on every
//! input that once failed, and on random bytes, the same at every run. `scripts/fuzz` runs the targets themselves.

mod judges;

use judges::{TARGETS, judge};
use rand::rngs::Xoshiro256PlusPlus;
use rand::{Rng, SeedableRng};
use std::path::{Path, PathBuf};

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

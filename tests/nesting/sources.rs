//! DEVELOPERS.md promises that the head of each file of the search tells its method and where that comes from.

use std::fs;
use std::path::Path;

/// Files that hold data and questions about them, and no method.
const NO_METHOD: [&str; 7] = ["held", "instance", "kind", "lanes", "mod", "placed", "request"];

/// A year of publication, or that it is nobody else's.
fn names_a_source(head: &str) -> bool {
    let years = head.split(|c: char| !c.is_ascii_digit()).filter_map(|w| w.parse::<u32>().ok());
    let own = ["our own", "common practice", "elementary"];
    years.into_iter().any(|y| (1700..2100).contains(&y))
        || own.iter().any(|w| head.to_lowercase().contains(w))
}

#[test]
fn the_head_of_every_file_of_the_search_names_a_source() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/nest");
    let mut seen = 0;
    for entry in fs::read_dir(&folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        let text = fs::read_to_string(&path).unwrap();
        let head: String = text.lines().take_while(|l| l.starts_with("//!")).collect();
        assert!(
            NO_METHOD.contains(&name.as_str()) || names_a_source(&head),
            "{name}.rs names no source: {head}"
        );
        seen += 1;
    }
    assert!(seen > 30, "only {seen} files in {}", folder.display());
}

#[test]
fn a_head_without_a_source_is_seen() {
    assert!(!names_a_source("//! Some 2000000 places are looked at, at 60 a piece."));
    assert!(names_a_source("//! Guided local search (Voudouris, Tsang, EJOR 113, 1999)."));
    assert!(names_a_source("//! Our own: large ones first."));
}

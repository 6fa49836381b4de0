//! The DXF reader against drawings that another library wrote, against the crate that reads
//! DXF elsewhere, and on damaged and hostile files.

mod hostile;
mod rules;
mod samples;
mod second_opinion;

use std::path::PathBuf;
use tuckroll::Error;
use tuckroll::read::{Drawing, ReadOptions, read};

/// A file of `fixtures/dxf`.
fn fixture(name: &str) -> Vec<u8> {
    std::fs::read(PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("fixtures/dxf").join(name)).unwrap()
}

/// A drawing of these entities, one pair after the other: `0 CIRCLE 10 0`.
fn entities(pairs: &str) -> String {
    file("", pairs)
}

/// A file with these pairs before and in its ENTITIES section. Values hold no blanks; `_` is
/// an empty one.
fn file(before: &str, entities: &str) -> String {
    let words: Vec<&str> = before
        .split_whitespace()
        .chain("0 SECTION 2 ENTITIES".split(' '))
        .chain(entities.split_whitespace())
        .chain("0 ENDSEC 0 EOF".split(' '))
        .collect();
    let lines: Vec<&str> = words.iter().map(|w| if *w == "_" { "" } else { w }).collect();
    lines.join("\n") + "\n"
}

fn try_read(text: impl AsRef<[u8]>) -> Result<Drawing, Error> {
    read(text.as_ref(), "t.dxf", &ReadOptions::default())
}

#[track_caller]
fn drawing(text: impl AsRef<[u8]>) -> Drawing {
    try_read(text).unwrap_or_else(|e| panic!("{e}"))
}

/// What all warnings say.
fn told(drawing: &Drawing) -> String {
    drawing.warnings.iter().map(|w| format!("{w}\n")).collect()
}

/// Areas by layer.
fn areas(drawing: &Drawing) -> Vec<(&str, f64)> {
    drawing.found.iter().map(|f| (f.layer.as_str(), f.region.area())).collect()
}

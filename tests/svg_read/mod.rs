//! The SVG reader against closed forms and against a renderer, and on hostile files.

mod against_renderer;
mod closed_forms;
mod hostile;

use std::path::PathBuf;
use tuckroll::read::{Drawing, ReadOptions, read};

/// A drawing of `fixtures/svg`.
fn fixture(name: &str) -> Vec<u8> {
    std::fs::read(PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("fixtures/svg").join(name)).unwrap()
}

fn drawing(name: &str, options: &ReadOptions) -> Drawing {
    read(&fixture(name), name, options).unwrap_or_else(|e| panic!("{e}"))
}

const ALL: [&str; 7] = [
    "shapes.svg",
    "paths.svg",
    "transforms.svg",
    "fill-rules.svg",
    "instances.svg",
    "styles.svg",
    "lettering.svg",
];

//! All integration tests in one binary: one module for each room.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stderr,
    clippy::float_cmp,
    reason = "these are tests: they fail by panicking, say why they skip, and compare exact results"
)]

mod cli;
mod dxf_read;
mod floor;
mod fuzzed;
mod job;
mod kits;
mod mutated;
mod nesting;
mod packings;
mod support;
mod svg_read;
mod write;

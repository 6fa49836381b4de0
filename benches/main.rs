//! All benchmarks in one binary: one module for each room.

#![allow(missing_docs, clippy::unwrap_used, reason = "a benchmark is no library")]

mod check;
mod demo;
mod floor;
mod kits;
mod nest;
mod read;
mod write;

criterion::criterion_main!(
    read::benches,
    kits::benches,
    nest::benches,
    check::benches,
    write::benches,
    floor::benches
);

//! Packs flat vinyl panels onto a fixed-width roll and writes the cut file.
//!
//! The library is the whole job as a line of rooms; the command is a thin shell over it:
//!
//! ```text
//! read, panels -> job -> nest -> layout -> floor -> report -> write
//! ```
//!
//! * [`read`] turns DXF and SVG drawings into outlines with holes;
//! * [`panels`] turns dimensions of a body into flat panels;
//! * [`job`] is what is asked: roll, panels, grain rules, gap;
//! * [`nest`] places the panels and knows no files, labels or money;
//! * [`layout`] is the result, its measures, and the independent check of all rules;
//! * [`floor`] turns a layout into work for the machine: in which order and where the knife goes;
//! * [`report`] is what there is to say about a layout, in numbers;
//! * [`compare`](mod@compare) puts variants of a job side by side;
//! * [`write`](mod@write) makes files out of a layout, as pure functions;
//! * [`shape`] is the geometry that all of them stand on.
//!
//! # Units
//!
//! A job and its layout keep the numbers of their file, in the file's own unit
//! ([`job::Unit`]), from reading to writing; nothing is rounded on the way. Readers convert
//! a drawing into that unit when they load it, writers convert to millimetres when they write.

#![cfg_attr(test, allow(clippy::float_cmp, reason = "tests compare exact results"))]

pub mod compare;
pub mod cost;
pub mod day;
pub mod error;
pub mod floor;
pub mod job;
pub mod json;
pub mod layout;
pub mod money;
pub mod nest;
pub mod offcut;
pub mod panels;
pub mod read;
pub mod recut;
pub mod report;
pub mod shape;
pub mod stock;
pub mod write;

pub use error::{Error, Problem, Problems, Warning};

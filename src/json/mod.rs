//! JSON files in and out: a strict reader that gathers problems with their places, and a
//! writer that keeps files short, readable and the same every time.
//!
//! A file becomes a plain tree first (`parse`); decoders then walk it with `Node`s, which
//! know their place, and `Fields`, which know the keys of one object. Every problem goes
//! to a `Report`, so that a user sees all of them at once.

mod fields;
mod nearest;
mod node;
mod parse;
mod report;
mod write;

pub(crate) use fields::Fields;
pub(crate) use nearest::nearest;
pub(crate) use node::{Node, Path};
pub use parse::{MAX_DEPTH, MAX_INPUT_BYTES, MAX_VALUES, has_format, parse};
pub(crate) use report::Report;
pub(crate) use write::{Weight, schema, to_text, weigh, weigh_object};
pub use write::{steers, tame};

//! The result: where every panel lies, what that measures, and the check of all rules.
//!
//! A [`Layout`] is self-contained: enough to check, to write again, to report and to re-cut.
//! This room knows nothing of how a layout was found.

mod check;
mod file;
#[cfg(test)]
mod fixtures;
mod measure;
mod model;
mod table;
mod wire;

pub use check::{Fault, check, check_against, check_day};
pub use file::{load, read, schema, write};
pub use measure::{assemble, measure};
pub use model::{Layout, MadeBy, Measures, Placement};
pub use table::table;

//! What must hold for any bytes: one function for each kind of input, which panics where it does not.
//!
//! The coverage-guided targets in `tests/fuzz` and the ordinary tests beside this folder call the same
//! functions. Readers take the bytes as a file; the others take them as choices (`choice`) and make a job,
//! a kit or a layout of them.

pub mod beside;
mod choice;
mod jobs;
mod kits;
mod nesting;
mod readers;
mod writers;

#[allow(unused_imports, reason = "one of the targets asks for it")]
pub use readers::SENTINEL;
use tuckroll::Error;

/// A name and the judge that goes by it.
pub type Target = (&'static str, fn(&[u8]));

/// All judges, in the order in which they are run.
pub const TARGETS: [Target; 13] = [
    ("dxf_text", readers::dxf_text),
    ("dxf_binary", readers::dxf_binary),
    ("svg", readers::svg),
    ("job", readers::job),
    ("layout", readers::layout),
    ("kit", readers::kit),
    ("films", readers::films),
    ("stock", readers::stock),
    ("device", readers::device),
    ("nest", nesting::nest),
    ("panels", kits::panels),
    ("hpgl", writers::hpgl),
    ("dxf_write", writers::dxf),
];

/// Runs the judge called `name`.
#[allow(dead_code, reason = "the ordinary tests go through the list")]
pub fn judge(name: &str, data: &[u8]) {
    let (_, judge) = TARGETS.iter().find(|(n, _)| *n == name).expect("a target's name");
    judge(data);
}

/// An input may be refused, with a place and a reason; no other failure is an answer to bytes in memory.
fn refused(error: &Error) {
    let (Error::Input(problems) | Error::Unmet(problems)) = error else { panic!("{error}") };
    assert!(!problems.0.is_empty(), "refused without a reason");
    assert!(problems.0.iter().all(|p| !p.place.is_empty() && !p.what.is_empty()), "{problems:?}");
}

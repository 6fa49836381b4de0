//! Device profiles: what a plotter wants to be told, in small JSON files of our own.

mod decode;
mod model;
mod wire;

pub use decode::{NAMES, load, named, read, schema};
pub use model::{Axis, Device, Origin, Tools, Zero};

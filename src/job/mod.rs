//! What is asked: a roll, the panels to place on it, their grain rules and the gap.
//!
//! The types here are parsed: a [`Job`] in hand has finite numbers, simple outlines, unique
//! ids and copies above zero. All lengths are in the job's own [`Unit`].

mod arcs;
mod caution;
mod day;
pub(crate) mod decode;
mod drawing;
mod files;
mod films;
mod fit;
#[cfg(test)]
pub(crate) mod fixtures;
mod grain;
pub mod kits;
pub mod limits;
mod load;
mod model;
pub mod stock;
mod stray;
mod unit;
mod vary;
mod whole;
pub(crate) mod wire;

pub(crate) use caution::cautions;
pub use caution::stray_pens;
pub use day::{Day, Share};
pub use files::{Files, Folder, Kept, read_input};

pub(crate) use fit::fitting_headings;
pub use fit::{Extent, Extents, check_fits, extents};
pub use grain::{ANGLE_TOLERANCE, Grain, GrainRule};
pub(crate) use load::check_ids;
pub use load::{
    LoadOptions, Loaded, LoadedDay, load, load_day, parse, parse_day, parse_day_varied, parse_varied, schema,
    write,
};
pub use model::{Job, Keep, KeepClear, Line, LineRole, Notes, Numbers, Panel, Piece, Roll, Shop};
pub(crate) use stray::{By, Stray, stray_line};
pub use unit::Unit;
pub use vary::Variation;
#[cfg(test)]
pub(crate) use whole::layout_weight;
pub(crate) use whole::{Size, Tally, check as check_whole, panel_excess};

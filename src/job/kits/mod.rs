//! Kits: orders given by dimensions, expanded into panels.
//!
//! ```text
//! kit file -> Kit (parts, in mm) -> panels room -> Panel of a job, in the job's unit
//!                                              \-> KitSheet, for the sheet that goes with the order
//! ```

mod build;
mod decode;
mod describe;
mod expand;
mod films;
mod joints;
mod load;
mod model;
mod plausible;
mod sheet;
mod wire;

pub use films::Films;
pub use load::{
    KitOptions, KitPanels, films_schema, is_panel_list, kit_schema, load_kit, parse_kit, write_panels,
};
pub use sheet::{KitSheet, PanelRow, PartSheet, StrainSheet};

pub(super) use expand::{Expansion, Orders};

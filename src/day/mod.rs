//! Which panel is cut from which piece of film, where a day has several.
//!
//! Panels go only on pieces of their own film. For each film the pieces are filled one after the
//! other, offcuts and cheap film first, with as much as fits; then every piece is tried without, and
//! stays empty where that costs less. Whether some panels fit a piece is settled by a short search,
//! so that the choice depends on the job and the seed alone. Where the film does not do for all
//! kits, whole kits are left out, the least urgent first. A match group lies on one piece; where none takes
//! it whole it is divided, with a warning.

mod blocks;
mod choose;
mod fill;
mod fits;
mod most;
mod shortage;

pub use blocks::by_order;
pub use fits::check_pieces;
pub use most::{Answer, most};

use crate::job::{Day, Job, Share};
use crate::{Error, Warning};

/// The short search that tells how much film a job takes: the length of a layout on endless film,
/// margins included, in the job's unit.
pub trait Sounding {
    /// The length.
    ///
    /// # Errors
    ///
    /// As the search itself.
    fn length(&mut self, job: &Job) -> Result<f64, Error>;
}

impl<F: FnMut(&Job) -> Result<f64, Error>> Sounding for F {
    fn length(&mut self, job: &Job) -> Result<f64, Error> {
        self(job)
    }
}

/// What is cut from which piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// The pieces that are used, in the order of the job.
    pub pieces: Vec<Load>,
    /// What found no film, kit by kit.
    pub left_out: Vec<LeftOut>,
    /// What the user should know.
    pub warnings: Vec<Warning>,
}

/// One piece of film and what is cut from it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Load {
    /// Index of the piece in the day.
    pub roll: usize,
    /// The required panels, by index.
    pub shares: Vec<Share>,
}

/// An order that found no film: a kit, or a panel that belongs to none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftOut {
    /// The kit.
    pub kit: Option<String>,
    /// Its panels.
    pub shares: Vec<Share>,
}

/// Chooses the film for every panel of a day.
///
/// # Errors
///
/// [`Error::Unmet`] when a panel fits no piece of its film, or not even one kit fits.
pub fn plan(day: &Day, sounding: &mut dyn Sounding) -> Result<Plan, Error> {
    check_pieces(day)?;
    shortage::Planner::new(day, sounding).plan()
}

#[cfg(test)]
mod tests;

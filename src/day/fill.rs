//! How much of a list of blocks one piece of film takes.

use super::Sounding;
use super::blocks::{Block, joined};
use super::most::{Answer, most};
use crate::Error;
use crate::job::{Day, Share, check_fits};
use std::collections::BTreeMap;

/// Blocks that are tried in vain after the first one that does not fit; more would keep a
/// panel more now and then and make the planning several times longer.
const LATE_TRIES: usize = 6;

/// A piece of film, and the copies of each panel on it.
type Question = (usize, Vec<(usize, Vec<u32>)>);

/// Asks how long layouts are, each question once.
pub(super) struct Gauge<'a> {
    pub day: &'a Day,
    sounding: &'a mut dyn Sounding,
    known: BTreeMap<Question, f64>,
}

impl<'a> Gauge<'a> {
    pub fn new(day: &'a Day, sounding: &'a mut dyn Sounding) -> Self {
        Self { day, sounding, known: BTreeMap::new() }
    }

    /// How many questions were asked of the search so far.
    pub fn asked(&self) -> usize {
        self.known.len()
    }

    /// Length of a layout of these shares on endless film of this piece's width.
    pub fn length(&mut self, roll: usize, shares: &[Share]) -> Result<f64, Error> {
        let key = (roll, shares.iter().map(|s| (s.panel, s.copies.clone())).collect());
        if let Some(length) = self.known.get(&key) {
            return Ok(*length);
        }
        let mut job = self.day.job(&self.day.rolls[roll], shares);
        job.roll.length = None;
        let length = self.sounding.length(&job)?;
        self.known.insert(key, length);
        Ok(length)
    }

    /// Area between the margins of a piece.
    pub fn usable_area(&self, roll: usize) -> f64 {
        let film = &self.day.rolls[roll];
        let length = film.length.unwrap_or(f64::INFINITY);
        film.usable_width() * (length - film.lead_margin - film.tail_margin)
    }

    /// Whether these blocks fit the piece together.
    fn fits(&mut self, roll: usize, blocks: &[&Block]) -> Result<bool, Error> {
        let film = &self.day.rolls[roll];
        let Some(left) = film.length else { return Ok(true) };
        if blocks.is_empty() {
            return Ok(true);
        }
        if blocks.iter().map(|b| b.area).sum::<f64>() > self.usable_area(roll) {
            return Ok(false);
        }
        let shares = joined(blocks.iter().copied());
        Ok(self.length(roll, &shares)? <= left)
    }

    /// Whether a block fits the piece by itself, as far as its extents tell.
    fn may_fit(&self, roll: usize, block: &Block) -> bool {
        let ones: Vec<Share> =
            block.shares.iter().map(|s| Share { panel: s.panel, copies: s.copies[..1].to_vec() }).collect();
        check_fits(&self.day.job(&self.day.rolls[roll], &ones)).is_ok()
    }

    /// The blocks, by their index in `blocks`, that the piece takes: the longest run from the
    /// start of the list, and then those that still find room.
    pub fn fill(&mut self, roll: usize, blocks: &[&Block]) -> Result<Vec<usize>, Error> {
        let candidates: Vec<usize> = (0..blocks.len()).filter(|i| self.may_fit(roll, blocks[*i])).collect();
        most(
            &candidates,
            LATE_TRIES,
            |_, ()| true,
            |list| {
                let before = self.asked();
                let tried: Vec<&Block> = list.iter().map(|i| blocks[*i]).collect();
                let fits = self.fits(roll, &tried)?;
                let searched = self.asked() > before;
                Ok(if fits { Answer::Fit } else { Answer::Lacking { what: (), searched } })
            },
        )
    }
}

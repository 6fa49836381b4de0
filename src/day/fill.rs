//! How much of a list of blocks one piece of film takes.

use super::Sounding;
use super::blocks::{Block, joined};
use crate::Error;
use crate::job::{Day, Share, check_fits};
use std::collections::BTreeMap;

/// Blocks that are tried one by one after the first ones that fit together; more would keep a
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

    /// Whether these blocks fit the piece together.
    fn fits(&mut self, roll: usize, blocks: &[&Block]) -> Result<bool, Error> {
        let film = &self.day.rolls[roll];
        let Some(left) = film.length else { return Ok(true) };
        if blocks.is_empty() {
            return Ok(true);
        }
        let usable = film.usable_width() * (left - film.lead_margin - film.tail_margin);
        if blocks.iter().map(|b| b.area).sum::<f64>() > usable {
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
        let pick = |list: &[usize]| list.iter().map(|i| blocks[*i]).collect::<Vec<_>>();
        if self.fits(roll, &pick(&candidates))? {
            return Ok(candidates);
        }
        let (mut fit, mut too_many) = (0, candidates.len());
        while too_many - fit > 1 {
            let middle = fit + (too_many - fit) / 2;
            if self.fits(roll, &pick(&candidates[..middle]))? {
                fit = middle;
            } else {
                too_many = middle;
            }
        }
        let mut taken = candidates[..fit].to_vec();
        let mut tries = 0;
        for &late in candidates.get(too_many..).unwrap_or_default() {
            // The like of one that did not fit will not fit either.
            if tries == LATE_TRIES {
                break;
            }
            taken.push(late);
            let film = &self.day.rolls[roll];
            let usable = film.usable_width() * film.length.unwrap_or(f64::INFINITY);
            let area: f64 = taken.iter().map(|i| blocks[*i].area).sum();
            if area > usable || !self.fits(roll, &pick(&taken))? {
                taken.pop();
            }
            tries += usize::from(area <= usable);
        }
        Ok(taken)
    }
}

//! Long jobs: stretches of the strip, each shortened on its own, side by side.
//!
//! The pieces are cut, in order of their place along the strip, into stretches of about a hundred. Every
//! other stretch is searched while those between lie still: what lies to its left is a fixed
//! wall, what lies to its right moves along as the stretch becomes shorter. The gains of all stretches add up.
//! After some rounds they are cut anew, elsewhere, so that every seam comes to lie inside a stretch. The cost of
//! a round per piece does not depend on the number of pieces.
//!
//! Our own. Squeezing one window after another lost to the search of the whole when it was tried from a poor start: so
//! stretches have their turn where walks or batches have won what they can.

use super::dice::Dice;
use super::field::Field;
use super::instance::{Entry, Instance, Spot};
use super::walk::{Best, Walk};
use super::weights::GENTLE;
use rayon::prelude::*;

/// Pieces in a stretch: as many as a walk can keep in order, and long enough to find room among.
const PIECES: usize = 100;
/// Least length of a stretch in lengths of the longest piece: what lies left of it and what lies
/// right of it must not meet.
const LONGEST: f64 = 3.0;
/// Least number of stretches worth working on side by side.
const LEAST: usize = 4;
/// Rounds until the stretches are cut anew: time for a handful of attempts in each.
const ROUNDS: u64 = 20;
/// The step at first, as a part of the stretch.
const FIRST_STEP: f64 = 0.01;
/// The least step that new stretches begin with.
const LEAST_FIRST_STEP: f64 = 0.002;

/// A strip that is searched in stretches.
#[derive(Debug)]
pub struct Stretches<'a> {
    inst: &'a Instance,
    seed: u64,
    size: usize,
    /// The layout the present stretches were cut from.
    base: Best,
    /// Pieces of `base` from left to right.
    order: Vec<u32>,
    active: Vec<Stretch<'a>>,
    cuts: u64,
    rounds: u64,
    step: f64,
}

/// A run of pieces in order of place, and the walk on it.
#[derive(Debug)]
struct Stretch<'a> {
    walk: Walk<'a>,
    /// The pieces, as places in the order.
    run: std::ops::Range<usize>,
    /// Where its frame begins on the strip.
    origin: f64,
    /// Its length at first.
    length: f64,
}

impl Stretch<'_> {
    fn gain(&self) -> f64 {
        self.length - self.walk.best().length
    }
}

impl<'a> Stretches<'a> {
    /// Whether a layout of this length is long enough for them.
    pub fn suit(inst: &Instance, length: f64) -> bool {
        size(inst, length).is_some()
    }

    /// For a layout that they suit.
    pub fn new(inst: &'a Instance, seed: u64, first: &Best) -> Option<Self> {
        let size = size(inst, first.length)?;
        let mut all = Self {
            inst,
            seed,
            size,
            base: first.clone(),
            order: Vec::new(),
            active: Vec::new(),
            cuts: 0,
            rounds: 0,
            step: FIRST_STEP,
        };
        all.cut();
        Some(all)
    }

    /// One round of all stretches, about `work` evaluations each. Gives the layout they make together.
    pub fn round(&mut self, work: u64) -> Best {
        if self.rounds >= ROUNDS {
            self.base = self.joined();
            self.step = self.next_step();
            self.cut();
        }
        self.rounds += 1;
        self.active.par_iter_mut().for_each(|s| s.walk.work(work));
        self.joined()
    }

    /// The mean step at which the walks have arrived.
    fn next_step(&self) -> f64 {
        let sum: f64 = self.active.iter().map(|s| s.walk.step()).sum();
        (2.0 * sum / self.active.len().max(1) as f64).clamp(LEAST_FIRST_STEP, FIRST_STEP)
    }

    /// Cuts the layout into stretches, a quarter of a stretch further than the last time.
    fn cut(&mut self) {
        let (inst, base) = (self.inst, &self.base);
        let middle = |i: u32| {
            let s = base.spots[i as usize];
            s.at.x + inst.stances[s.stance as usize].box_mid.x
        };
        self.order = (0..base.spots.len() as u32).collect();
        self.order.sort_by(|a, b| middle(*a).total_cmp(&middle(*b)).then(a.cmp(b)));
        let quarter = self.size / 4;
        let shift = (self.cuts as usize % 8) * quarter;
        let n = self.order.len();
        // With a step of two stretches, eight cuts by a quarter come round to the first again.
        let starts = (0..).map(|k| (2 * k * self.size + shift) as isize - self.size as isize);
        let runs = starts.take_while(|s| *s < n as isize).map(|s| {
            let end = (s + self.size as isize).clamp(0, n as isize) as usize;
            s.max(0) as usize..end
        });
        let runs: Vec<_> = runs.filter(|r| r.len() >= quarter.max(1)).collect();
        let mut active: Vec<Stretch<'a>> = Vec::new();
        for run in runs {
            // What stretches do at the same time must not meet, not even across the pieces between them.
            let behind = active.last().map_or(0.0, |s| s.origin + s.length + self.inst.gap);
            active.extend(self.stretch(run).filter(|s| active.is_empty() || s.origin >= behind));
        }
        self.active = active;
        self.cuts += 1;
        self.rounds = 0;
    }

    /// The stretch of a run of pieces; none where what lies left of it reaches what lies right of it.
    fn stretch(&self, run: std::ops::Range<usize>) -> Option<Stretch<'a>> {
        let (inst, base) = (self.inst, &self.base);
        let spot = |i: &u32| base.spots[*i as usize];
        let reach = |s: Spot| {
            let st = &inst.stances[s.stance as usize];
            let (mid, half) = (s.at.x + st.box_mid.x, st.box_half.x + inst.gap);
            (mid - half, mid + half)
        };
        let (left, rest) = self.order.split_at(run.start);
        let (mine, right) = rest.split_at(run.len());
        let left_end = left.iter().map(|i| reach(spot(i)).1).fold(0.0, f64::max);
        let right_start = right.iter().map(|i| reach(spot(i)).0).fold(base.length, f64::min);
        let ends = mine.iter().map(|i| {
            let s = spot(i);
            let st = &inst.stances[s.stance as usize];
            (s.at.x + st.lo.x, s.at.x + st.hi.x)
        });
        let (lo, hi) = ends.fold((f64::INFINITY, 0.0f64), |(l, h), (a, b)| (l.min(a), h.max(b)));
        let origin = if left.is_empty() { 0.0 } else { lo.max(0.0) };
        let end = if right.is_empty() { base.length } else { hi };
        let length = end - origin;
        // A walk may take out a good part of the stretch before it is cut anew; never so much that the sides meet.
        if mine.is_empty() || right_start - left_end < 0.5 * length {
            return None;
        }
        let local = |s: Spot| Spot { at: crate::shape::Point { x: s.at.x - origin, ..s.at }, ..s };
        let meets = |s: &Spot| reach(*s).1 >= origin && reach(*s).0 <= end;
        let others = |list: &[u32]| list.iter().map(spot).filter(meets).map(local).collect::<Vec<_>>();
        let entries: Vec<Entry> = mine.iter().map(|i| inst.entries[*i as usize].clone()).collect();
        let spots = mine.iter().map(|i| local(spot(i))).collect();
        let mut field = Field::stretch(inst, entries, spots, others(left), others(right), length);
        field.keep_at_least(length - (right_start - left_end));
        let stream = 1_000_000 * (self.cuts + 1) + run.start as u64;
        let walk = Walk::on(field, GENTLE, Dice::new(self.seed, stream), self.step);
        Some(Stretch { walk, run, origin, length })
    }

    /// The layout of all stretches together: each moved left by what those before it have won.
    fn joined(&self) -> Best {
        let mut spots = self.base.spots.clone();
        let mut won = 0.0;
        let mut active = self.active.iter().peekable();
        for (place, i) in self.order.iter().enumerate() {
            let spot = &mut spots[*i as usize];
            while active.peek().is_some_and(|s| place >= s.run.end) {
                won += active.next().map_or(0.0, Stretch::gain);
            }
            match active.peek() {
                Some(s) if s.run.contains(&place) => {
                    *spot = s.walk.best().spots[place - s.run.start];
                    spot.at.x += s.origin - won;
                }
                _ => spot.at.x -= won,
            }
        }
        Best::reaching(self.inst, spots)
    }
}

/// Pieces in each stretch of a layout this long; `None` where there would be too few stretches, obstacles past which
/// nothing could be moved along, or pieces that are held to a part of the strip.
fn size(inst: &Instance, length: f64) -> Option<usize> {
    if !inst.obstacles.is_empty() || inst.is_parted() {
        return None;
    }
    let n = inst.entries.len();
    let longest = inst.stances.iter().map(|s| s.length()).fold(0.0, f64::max);
    let size = PIECES.max((LONGEST * longest / length * n as f64).ceil() as usize);
    (n >= LEAST * size).then_some(size)
}

//! Rounds of all walks, side by side, merged in a fixed order.
//!
//! A round is the same work in every walk, whatever the number of threads; walks meet only
//! between rounds, in the order of their numbers. So the threads decide how long it takes and
//! never what comes out.
//!
//! Our own. A walk shares nothing but the best layout, and the second one has harder weights; that long jobs go by
//! batches and stretches is told in `batches.rs` and `stretch.rs`. On a short strip, walks that have won nothing for as long
//! as they won begin anew from another first layout: of nine and a half minutes of kicks after the first half minute
//! most won nothing, while another beginning ends as much as a point denser (benches/record/search.md).

use super::batches::Batches;
use super::dice::Dice;
use super::field::Field;
use super::instance::{Instance, Spot};
use super::repeat::in_patterns;
use super::start::start;
use super::stretch::Stretches;
use super::walk::{Best, Walk};
use super::weights::{GENTLE, Growth, HARD};
use super::{Effort, Limit, Progress, Stop};
use rayon::prelude::*;
use std::time::Instant;

/// How the weights of each walk grow: as many walks as the machine has cores. Four walks with half the evaluations
/// each do no better, nor do two with the same weights (within chance: benches/record/search.md).
const WALKS: [Growth; 2] = [GENTLE, HARD];
/// What a stretch does in a round, as a part of a walk's work: there are many of them.
const STRETCH_PART: u64 = 2;
/// How much the order of the start is disturbed, for all walks but the first.
const NOISE: f64 = 0.1;

/// What a search found.
#[derive(Debug, Clone)]
pub struct Found {
    /// The best layout.
    pub best: Best,
    /// Number of walks.
    pub walks: u32,
    /// Rounds done.
    pub rounds: u64,
    /// Why it ended.
    pub stopped: Stop,
}

/// Searches until the effort is used up, nothing shorter can exist, or `watch` says no. `bound` is a length below
/// which no layout exists; lengths are those of the strip. Time counts from `began`.
pub fn search(
    inst: &Instance,
    effort: &Effort,
    bound: f64,
    began: Instant,
    watch: &mut dyn FnMut(&Progress) -> bool,
) -> Found {
    let first = First::new(inst, effort.seed);
    let mut best = first.best.clone();
    let mut tell =
        |round: u64, best: &Best| watch(&Progress { round, length: best.length, elapsed: began.elapsed() });
    let go = tell(0, &best);
    let done =
        |best: Best, rounds: u64, stopped: Stop| Found { best, walks: WALKS.len() as u32, rounds, stopped };
    let over = |round: u64, best: &Best| {
        if best.length <= bound * (1.0 + 1e-9) {
            return Some(Stop::Bound);
        }
        match effort.limit {
            Limit::Rounds(n) => (round >= n).then_some(Stop::Rounds),
            Limit::Time(t) => (began.elapsed() >= t).then_some(Stop::Time),
        }
    };
    if !go {
        return done(best, 0, Stop::Interrupted);
    }
    if inst.entries.is_empty() {
        return done(best, 0, Stop::Bound);
    }
    if let Some(stop) = over(0, &best) {
        return done(best, 0, stop);
    }
    let mut party = Party::new(inst, effort, first);
    let mut idle = 0;
    for round in 1.. {
        let before = best.length;
        party.round(&mut best);
        idle = if best.length < before { 0 } else { idle + 1 };
        if !tell(round, &best) {
            return done(best, round, Stop::Interrupted);
        }
        if let Some(stop) = over(round, &best) {
            return done(best, round, stop);
        }
        if effort.patience.is_some_and(|most| idle >= most) {
            return done(best, round, Stop::Patience);
        }
    }
    done(best, u64::MAX, Stop::Rounds)
}

/// The first layout, and what belongs to it.
struct First<'a> {
    best: Best,
    /// The constructive start, where a layout in patterns is shorter.
    plain: Option<Best>,
    /// A long job that repeats itself.
    batches: Option<Batches<'a>>,
}

impl<'a> First<'a> {
    fn new(inst: &'a Instance, seed: u64) -> Self {
        let batches = Batches::new(inst, seed, &WALKS, NOISE);
        if let Some(b) = &batches {
            return Self { best: b.laid(), plain: None, batches };
        }
        let plain = begin(inst, seed, 0);
        let patterns = if inst.is_parted() { None } else { in_patterns(inst, plain.length) };
        let patterns = patterns.map(|laid| settled(inst, laid));
        match patterns.filter(|p| p.length < plain.length) {
            Some(best) => Self { best, plain: Some(plain), batches },
            None => Self { best: plain, plain: None, batches },
        }
    }
}

fn begin(inst: &Instance, seed: u64, walk: usize) -> Best {
    let noise = if walk == 0 { 0.0 } else { NOISE };
    settled(inst, start(inst, &mut Dice::new(seed, 1000 + walk as u64), noise))
}

fn settled(inst: &Instance, (spots, length): (Vec<Spot>, f64)) -> Best {
    Best::settled(&Field::new(inst, spots, length))
}

/// Who works side by side: walks over the whole strip; on a long one, by turns, stretches of it, and before these
/// batches, if it has any.
struct Party<'a> {
    inst: &'a Instance,
    seed: u64,
    /// Evaluations of every walk in a round.
    work: u64,
    walks: Vec<Walk<'a>>,
    stretches: Option<Stretches<'a>>,
    batches: Option<Batches<'a>>,
    /// The best of the walks that stay away from a first layout in patterns, while they do.
    apart: Option<Best>,
    age: u64,
    /// Rounds since it was last somebody's turn to begin, or since something was won.
    rounds: u64,
    turns: u64,
    attempt: Attempt,
}

/// What walks over a short strip make of one beginning.
#[derive(Debug, Default)]
struct Attempt {
    /// The best of it, while it is longer than the best of all.
    behind: Option<Best>,
    /// The party's age when it began, and when it last won something worth the name.
    began: u64,
    won: u64,
}

/// Rounds without gain that every attempt has at least.
const IDLE_ATTEMPT: u64 = 300;

impl Attempt {
    /// One that starts from its own layout.
    fn from(start: Best, age: u64) -> Self {
        Self { behind: Some(start), began: age, won: age }
    }

    /// Whether it has won nothing for as long as it did win.
    fn is_over(&self, age: u64) -> bool {
        age - self.won > IDLE_ATTEMPT.max(self.won - self.began)
    }
}

/// Rounds without gain after which walks give way to stretches. Walks are quicker while much is to be won
/// everywhere; later an attempt on the whole of a long strip seldom ends well.
const IDLE_ROUNDS: u64 = 25;
/// Rounds after which batches give way to stretches if they have won nothing worth the name: what they win counts many
/// times, and of 2,000 panels a batch won a point after 200 rounds.
const IDLE_BATCHES: u64 = 150;
/// The part of the length that is worth the name.
const WORTH: f64 = 1e-4;
/// Rounds in which every other walk stays away from a first layout in patterns, unless it finds a shorter one. Walks
/// win nothing from a pattern at first, and may pass it from elsewhere: of 100 gores on 1500 mm the pattern's
/// 84.7 % stood for 40 rounds, and was passed (85.6 %) within 20 with two walks apart.
const APART_ROUNDS: u64 = 120;
/// Rounds of stretches until walks have another turn.
const STRETCH_ROUNDS: u64 = 160;

impl<'a> Party<'a> {
    fn new(inst: &'a Instance, effort: &Effort, first: First<'a>) -> Self {
        let &Effort { seed, work, .. } = effort;
        let walk = |w| walk(inst, seed, w, &first.best);
        let walks = if first.batches.is_some() {
            Vec::new()
        } else {
            (0..WALKS.len()).into_par_iter().map(walk).collect()
        };
        let First { plain: apart, batches, .. } = first;
        let (stretches, attempt) = (None, Attempt::default());
        Self { inst, seed, work, walks, stretches, batches, apart, age: 0, rounds: 0, turns: 0, attempt }
    }

    /// One round; what it wins goes into `best`.
    fn round(&mut self, best: &mut Best) {
        self.rounds += 1;
        self.age += 1;
        if self.batches.is_some() {
            self.round_of_batches(best);
        } else if self.stretches.is_some() {
            self.round_of_stretches(best);
        } else {
            self.round_of_walks(best);
        }
    }

    fn round_of_batches(&mut self, best: &mut Best) {
        let Some(batches) = &mut self.batches else { return };
        if batches.round(self.work) {
            let laid = batches.laid();
            if laid.length < best.length * (1.0 - WORTH) {
                self.rounds = 0;
            }
            if laid.length < best.length {
                *best = laid;
            }
        }
        if self.rounds >= IDLE_BATCHES {
            self.batches = None;
            self.begin_stretches(best);
        }
    }

    fn round_of_stretches(&mut self, best: &mut Best) {
        let Some(stretches) = &mut self.stretches else { return };
        let joined = stretches.round(self.work / STRETCH_PART);
        if joined.length < best.length {
            *best = joined;
        }
        if self.rounds >= STRETCH_ROUNDS {
            (self.stretches, self.rounds) = (None, 0);
        }
    }

    fn round_of_walks(&mut self, best: &mut Best) {
        if self.walks.is_empty() {
            let (inst, seed, turns) = (self.inst, self.seed, self.turns);
            // Another stream each time, so that nothing is tried twice.
            let stream = |n: usize| Dice::new(seed.wrapping_add(turns << 32), n as u64);
            let walk = |n: usize| Walk::new(inst, WALKS[n], stream(n), best.clone());
            self.walks = (0..WALKS.len()).map(walk).collect();
        }
        let is_long = Stretches::suit(self.inst, best.length);
        if self.attempt.is_over(self.age) && !is_long {
            self.begin_anew();
        }
        let mut behind = self.attempt.behind.take();
        let held = behind.as_mut().unwrap_or(best);
        let before = held.length;
        self.walk_on(held);
        if held.length < before * (1.0 - WORTH) {
            self.attempt.won = self.age;
        }
        if held.length < before {
            self.rounds = 0;
        }
        match behind {
            Some(found) if found.length < best.length => *best = found,
            kept => self.attempt.behind = kept,
        }
        if self.rounds >= IDLE_ROUNDS && is_long {
            self.begin_stretches(best);
        }
    }

    fn begin_anew(&mut self) {
        self.turns += 1;
        let (inst, seed) = (self.inst, self.seed.wrapping_add(self.turns << 32));
        let starts: Vec<Best> = (1..=WALKS.len()).into_par_iter().map(|n| begin(inst, seed, n)).collect();
        let shortest = starts.iter().min_by(|a, b| a.length.total_cmp(&b.length)).cloned();
        let walk = |(n, start)| Walk::new(inst, WALKS[n], Dice::new(seed, n as u64), start);
        self.walks = starts.into_iter().enumerate().map(walk).collect();
        self.apart = None;
        self.attempt = shortest.map(|start| Attempt::from(start, self.age)).unwrap_or_default();
    }

    /// A round of all walks.
    fn walk_on(&mut self, best: &mut Best) {
        self.meet(best);
        let (now, apart, work) = (&*best, self.apart.as_ref(), self.work);
        self.walks.par_iter_mut().enumerate().for_each(|(number, w)| {
            w.adopt(apart.filter(|_| stays_apart(number)).unwrap_or(now));
            w.work(work);
        });
        self.meet(best);
    }

    fn begin_stretches(&mut self, best: &Best) {
        self.turns += 1;
        self.stretches = Stretches::new(self.inst, self.seed.wrapping_add(self.turns), best);
        self.rounds = 0;
    }

    /// Takes over the shortest layouts, in `best` and apart from it.
    fn meet(&mut self, best: &mut Best) {
        let Some(apart) = &mut self.apart else { return best.take_over(self.walks.iter()) };
        let of =
            |side| self.walks.iter().enumerate().filter(move |(n, _)| stays_apart(*n) == side).map(|w| w.1);
        best.take_over(of(false));
        apart.take_over(of(true));
        if apart.length < best.length {
            *best = apart.clone();
            self.apart = None;
        } else if self.age >= APART_ROUNDS {
            self.apart = None;
        }
    }
}

/// Whether a walk is one of those that may stay away from a first layout in patterns.
fn stays_apart(walk: usize) -> bool {
    walk % 2 == 1
}

fn walk<'a>(inst: &'a Instance, seed: u64, number: usize, first: &Best) -> Walk<'a> {
    let start = if number == 0 { first.clone() } else { begin(inst, seed, number) };
    Walk::new(inst, WALKS[number], Dice::new(seed, number as u64), start)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::fixtures::{job_of, panel, ring};
    use crate::job::{GrainRule, Job};
    use crate::nest::request::request;
    use crate::shape::Region;

    fn wedges() -> Job {
        let wedge = |i: u32| {
            let s = 20.0 + 4.0 * f64::from(i);
            let outline = ring(&[(0.0, 0.0), (s, 0.0), (1.5 * s, 0.4 * s), (0.7 * s, s), (0.3 * s, 0.5 * s)]);
            let mut wedge = panel(&format!("wedge {i}"), vec![Region::solid(outline)]);
            (wedge.copies, wedge.grain.rule) = (3, GrainRule::Quarter);
            wedge
        };
        Job { gap: 1.0, ..job_of(160.0, (0..6).map(wedge).collect()) }
    }

    #[test]
    fn an_attempt_is_over_when_it_has_won_nothing_for_as_long_as_it_won() {
        let attempt = |began, won| Attempt { behind: None, began, won };
        assert!(!attempt(0, 0).is_over(IDLE_ATTEMPT) && attempt(0, 0).is_over(IDLE_ATTEMPT + 1));
        assert!(!attempt(100, 1100).is_over(2100) && attempt(100, 1100).is_over(2101));
    }

    /// What other beginnings find counts only when it is shorter; walks go on from their own layouts until then.
    #[test]
    fn walks_that_begin_anew_lose_nothing() {
        let inst = request(&wedges()).unwrap().instance;
        let first = First::new(&inst, 1);
        let mut best = first.best.clone();
        let mut party = Party::new(&inst, &Effort::new(1, Limit::Rounds(1)), first);
        for _ in 0..3 {
            party.round(&mut best);
        }
        for _ in 0..2 {
            let before = best.clone();
            party.begin_anew();
            let start = party.attempt.behind.clone().unwrap();
            assert!(start.length > before.length, "{} {}", start.length, before.length);
            party.round(&mut best);
            match &party.attempt.behind {
                Some(behind) => {
                    assert_eq!(best, before);
                    assert!(behind.length < start.length && behind.length >= best.length);
                    assert_eq!(Field::new(&inst, behind.spots.clone(), behind.length).overlaps(), []);
                }
                None => assert!(best.length < before.length),
            }
        }
    }
}

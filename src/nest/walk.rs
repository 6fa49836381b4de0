//! One walk of the search: attempt after attempt to untangle a slightly shorter strip.
//!
//! Every walk starts from the best layout known, takes out a little length at a random place and
//! untangles. An attempt that gets stuck is given half of the film back and goes on from where it stands
//! (as in Imamichi, Yagiura, Nagamochi, Discrete Optimization 6, 2009, whose strip grows again too): what it
//! has learned is not lost, and it ends in another layout than the best. That gained 0.4 points of density at
//! 60 million evaluations, as the mean of six instances and two seeds. So it goes on in steps down to hairs. When
//! not even a hair can be taken out any more, it holds layouts a little below the best length and anneals over
//! them (`anneal.rs`), until it finds one without overlap or another walk has found a shorter one.
//!
//! Departures: the last tightening is no phase of its own, in which all panels move together. After every valley steps go
//! down to hairs of 1e-5 of the length, then `settle.rs` has the last word; only panels that overlap move. Where film is
//! taken out and that the best layout is begun from anew are our own.

use super::anneal::Anneal;
use super::dice::Dice;
use super::field::Field;
use super::instance::{Instance, Spot};
use super::kick::Kicks;
use super::settle::settle;
use super::untangle::{Standing, Untangle};
use super::weights::Growth;

/// A layout without overlap.
#[derive(Debug, Clone, PartialEq)]
pub struct Best {
    /// Where every piece lies.
    pub spots: Vec<Spot>,
    /// The length they reach.
    pub length: f64,
}

impl Best {
    /// What is laid without overlap in single precision, as it is in double precision.
    pub fn settled(field: &Field<'_>) -> Self {
        let laid = || (field.spots().to_vec(), field.length());
        let (spots, length) = settle(field, 1.5 * field.instance().slip).unwrap_or_else(laid);
        Self { spots, length }
    }

    /// What lies clear, with the length it reaches.
    pub fn reaching(inst: &Instance, spots: Vec<Spot>) -> Self {
        let reach = |s: &Spot| s.at.x + inst.stances[s.stance as usize].hi.x;
        let length = spots.iter().map(reach).fold(0.0, f64::max);
        Self { spots, length }
    }

    /// Takes over the shortest layout of some walks; of equals the one of the first.
    pub fn take_over<'w>(&mut self, walks: impl Iterator<Item = &'w Walk<'w>>) {
        for w in walks {
            if w.best.length < self.length {
                *self = w.best.clone();
            }
        }
    }
}

/// The first step of shortening, as a part of the length.
pub const FIRST_STEP: f64 = 0.02;
/// Steps below this one are hairs: not worth much patience.
const HAIR: f64 = 0.001;
/// How far below the best a walk that anneals holds its layouts, as a part of its length.
const AHEAD: f64 = 0.001;
/// The least step.
const LEAST_STEP: f64 = 1e-5;
/// Down to which part of a step film is given back before the attempt is given up.
const RELAXED: f64 = 8.0;
/// Setbacks an attempt is allowed.
const PATIENCE: u32 = 3;
/// Setbacks allowed when only hairs are taken out.
const SHORT_PATIENCE: u32 = 2;

/// A walk: its own random numbers, its own field.
#[derive(Debug)]
pub struct Walk<'a> {
    dice: Dice,
    field: Field<'a>,
    untangle: Untangle,
    best: Best,
    /// What is taken out of the best length when it is shortened next.
    step: f64,
    /// What is still out, after film was given back.
    out: f64,
    anneal: Anneal,
    kicks: Kicks,
    /// Whether it anneals instead of shortening.
    kicking: bool,
    /// Whether another walk has found a shorter layout meanwhile.
    fresh: bool,
}

impl<'a> Walk<'a> {
    /// A walk that starts from its own layout of the whole strip.
    pub fn new(inst: &'a Instance, growth: Growth, dice: Dice, start: Best) -> Self {
        let field = Field::new(inst, start.spots.clone(), start.length);
        Self::on(field, growth, dice, FIRST_STEP)
    }

    /// A walk on a field without overlap; it begins with the given step.
    pub fn on(field: Field<'a>, growth: Growth, dice: Dice, step: f64) -> Self {
        let untangle = Untangle::new(&field, growth);
        let best = Best { spots: field.spots().to_vec(), length: field.length() };
        let (anneal, kicking, fresh, out) = (Anneal::new(), false, false, step);
        let kicks = Kicks::default();
        let mut walk = Self { dice, field, untangle, best, step, out, anneal, kicks, kicking, fresh };
        walk.shorten();
        walk
    }

    /// The step it would take next, as a part of the length.
    pub fn step(&self) -> f64 {
        self.step
    }

    /// The best layout it knows.
    pub fn best(&self) -> &Best {
        &self.best
    }

    /// Takes over a layout if it is shorter than the best it knows.
    pub fn adopt(&mut self, shared: &Best) {
        if shared.length < self.best.length {
            self.best = shared.clone();
            self.fresh = true;
        }
        if self.field.length() >= self.best.length {
            self.next_from_best();
        }
    }

    /// Works for about `work` evaluations.
    pub fn work(&mut self, work: u64) {
        let end = self.field.work + work;
        while self.field.work < end {
            // A pass that touches nothing still takes time.
            self.field.work += 1;
            match self.untangle.pass(&mut self.field, &mut self.dice) {
                Standing::Open => {}
                Standing::Clear => self.cleared(),
                Standing::Stuck => self.failed(),
            }
        }
    }

    fn cleared(&mut self) {
        let inst = self.field.instance();
        self.kicks.judged(true);
        // What is let pass in single precision, and half as much again for its rounding.
        match settle(&self.field, 1.5 * inst.slip) {
            Some((spots, length)) if length < self.best.length => {
                self.best = Best { spots, length };
                self.step = (self.out * 1.5).min(FIRST_STEP);
                self.next_from_best();
            }
            _ => self.failed(),
        }
    }

    fn next_from_best(&mut self) {
        (self.kicking, self.fresh) = (false, false);
        self.kicks.forget();
        self.shorten();
    }

    /// Takes a step's length out of the best layout at a random place.
    fn shorten(&mut self) {
        self.field.resize(self.best.length, f64::INFINITY);
        self.field.restore(&self.best.spots);
        self.out = self.step;
        self.attempt();
    }

    /// Brings the strip to the length that is wanted, at a random place, and begins to untangle it.
    fn attempt(&mut self) {
        let length = self.best.length * (1.0 - self.out);
        let length = length.max(self.field.longest());
        let cut = self.dice.within(0.0, self.field.length());
        self.field.resize(length, cut);
        self.field.turn_what_is_too_long();
        let patience = if self.step < HAIR { SHORT_PATIENCE } else { PATIENCE };
        self.untangle.begin(&self.field, patience);
    }

    fn failed(&mut self) {
        if self.kicking {
            if self.fresh && self.anneal.cycled() {
                self.next_from_best();
            } else {
                self.kick();
            }
        } else if self.out * 0.5 >= LEAST_STEP && self.out * RELAXED > self.step {
            self.relax();
        } else if self.step > LEAST_STEP {
            self.step = (self.out * 0.5).max(LEAST_STEP);
            self.next_from_best();
        } else {
            self.begin_to_kick();
        }
    }

    /// Gives half of the film back and goes on from where the attempt got stuck.
    fn relax(&mut self) {
        self.out *= 0.5;
        self.attempt();
    }

    /// The first layout to be annealed is what becomes of the best one at the shorter length.
    fn begin_to_kick(&mut self) {
        self.step = AHEAD;
        self.next_from_best();
        self.anneal.restart();
        self.kicking = true;
    }

    /// Keeps or drops the outcome of the last attempt, then kicks what is held.
    fn kick(&mut self) {
        let loss = f64::from(self.untangle.best_loss());
        self.kicks.judged(loss < self.anneal.held_loss());
        if let Some(held) = self.anneal.judge(self.field.spots(), loss, &mut self.dice) {
            self.field.restore(held);
        }
        self.kicks.kick(&mut self.field, &mut self.dice);
        self.untangle.begin(&self.field, PATIENCE);
    }
}

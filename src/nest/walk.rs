//! One walk of the search: attempt after attempt to untangle a slightly shorter strip.
//!
//! Pressing walks start from the best layout known, take out a little length at a random
//! place and untangle; the step grows on success and shrinks on failure, down to hairs. Annealing
//! walks hold a layout with some overlap at a length just below the best, kick it, untangle, and
//! accept the outcome by the Metropolis rule on the overlap left (Kirkpatrick, Gelatt, Vecchi,
//! Science 220, 1983; over layouts: Gomes and Oliveira, EJOR 171, 2006), cooling from kick to
//! kick and reheating when a cycle has won nothing.

use super::dice::Dice;
use super::field::{Field, Spot};
use super::instance::Instance;
use super::kick;
use super::settle::settle;
use super::untangle::{Standing, Untangle};

/// A layout without overlap.
#[derive(Debug, Clone, PartialEq)]
pub struct Best {
    /// Where every piece lies.
    pub spots: Vec<Spot>,
    /// The length they reach.
    pub length: f64,
}

/// What a walk is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// Shortens the best layout in steps of any size.
    Press,
    /// Anneals over kicked layouts at a length just below the best.
    Anneal,
}

/// The first step of shortening, as a part of the length.
const FIRST_STEP: f64 = 0.02;
/// The step at which an annealing walk begins to kick.
const KICK_STEP: f64 = 0.001;
/// The least step of a pressing walk.
const LEAST_STEP: f64 = 1e-5;
/// Temperature at the start of a cycle, as a part of the overlap held.
const HOT: f32 = 0.5;
/// Temperature at its end.
const COLD: f32 = 0.02;
/// Kicks in the first cycle.
const FIRST_CYCLE: u32 = 20;
/// Setbacks an attempt is allowed.
const PATIENCE: u32 = 3;
/// Setbacks allowed when only hairs are taken out.
const SHORT_PATIENCE: u32 = 2;

/// A walk: its own random numbers, its own field.
#[derive(Debug)]
pub struct Walk<'a> {
    role: Role,
    dice: Dice,
    field: Field<'a>,
    untangle: Untangle,
    best: Best,
    step: f64,
    held: Option<Held>,
    kicks: u32,
    cycle: u32,
    fresh: bool,
}

/// The layout an annealing walk stands on.
#[derive(Debug, Clone)]
struct Held {
    spots: Vec<Spot>,
    loss: f32,
}

impl<'a> Walk<'a> {
    /// A walk that starts from its own layout.
    pub fn new(inst: &'a Instance, role: Role, dice: Dice, start: Best) -> Self {
        let field = Field::new(inst, start.spots.clone(), start.length);
        let untangle = Untangle::new(field.len());
        let mut walk = Self {
            role,
            dice,
            field,
            untangle,
            best: start,
            step: FIRST_STEP,
            held: None,
            kicks: 0,
            cycle: FIRST_CYCLE,
            fresh: false,
        };
        walk.shorten();
        walk
    }

    /// The best layout it knows.
    pub fn best(&self) -> &Best {
        &self.best
    }

    /// Works for one round of about `work` evaluations. `shared` is the best layout of all walks.
    pub fn round(&mut self, shared: &Best, work: u64) {
        if shared.length < self.best.length {
            self.best = shared.clone();
            self.fresh = true;
        }
        if self.field.length() >= self.best.length {
            self.next_from_best();
        }
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
        // What is let pass in single precision, and half as much again for its rounding.
        match settle(&self.field, 1.5 * inst.slip) {
            Some((spots, length)) if length < self.best.length => {
                self.best = Best { spots, length };
                self.step = match self.role {
                    Role::Press => (self.step * 1.5).min(FIRST_STEP),
                    Role::Anneal => self.step,
                };
                self.next_from_best();
            }
            _ => self.failed(),
        }
    }

    fn next_from_best(&mut self) {
        self.held = None;
        self.kicks = 0;
        self.fresh = false;
        self.shorten();
    }

    /// Takes a step's length out of the best layout at a random place.
    fn shorten(&mut self) {
        self.field.resize(self.best.length, f64::INFINITY);
        self.field.restore(&self.best.spots);
        let length = self.best.length * (1.0 - self.step);
        let length = length.max(self.field.instance().longest());
        let cut = self.dice.within(0.0, self.best.length);
        self.field.resize(length, cut);
        let patience = if self.step < KICK_STEP { SHORT_PATIENCE } else { PATIENCE };
        self.untangle.begin(&self.field, patience);
    }

    fn failed(&mut self) {
        match self.role {
            Role::Press => {
                self.step = (self.step * 0.5).max(LEAST_STEP);
                self.next_from_best();
            }
            Role::Anneal if self.step > KICK_STEP => {
                self.step = (self.step * 0.5).max(KICK_STEP);
                self.next_from_best();
            }
            Role::Anneal if self.fresh => self.next_from_best(),
            Role::Anneal => self.anneal(),
        }
    }

    /// Keeps or drops the outcome of the last attempt, then kicks what is held.
    fn anneal(&mut self) {
        let loss = self.untangle.best_loss();
        let accept = match &self.held {
            None => true,
            Some(h) => {
                let t = self.temperature() * h.loss;
                loss < h.loss || self.dice.unit() < libm::exp(-f64::from((loss - h.loss) / t))
            }
        };
        if accept {
            self.held = Some(Held { spots: self.field.spots().to_vec(), loss });
        } else if let Some(h) = &self.held {
            self.field.restore(&h.spots);
        }
        self.kicks += 1;
        if self.kicks >= self.cycle {
            self.kicks = 0;
            self.cycle += self.cycle / 2;
        }
        kick::kick(&mut self.field, &mut self.dice);
        self.untangle.begin(&self.field, PATIENCE);
    }

    /// Falls geometrically over a cycle.
    fn temperature(&self) -> f32 {
        let t = f64::from(self.kicks) / f64::from(self.cycle);
        HOT * libm::pow(f64::from(COLD / HOT), t) as f32
    }
}

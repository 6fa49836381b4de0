//! Searching a feasible layout at a fixed length: passes of moves under guided weights.
//!
//! Overlap is minimised at a fixed length by guided local search, as in Egeblad, Nielsen, Odgaard (EJOR 183, 2007) and
//! Umetani et al. (2009). Departures: weights are raised after every pass, not only in a valley (from memory); the best
//! state is taken up again with its weights kept, and how long that goes on is our own.

use super::dice::Dice;
use super::field::{Field, Overlap};
use super::instance::Spot;
use super::relocate::Relocate;
use super::weights::{Growth, Weights};

/// What counts as better.
const BETTER: f32 = 0.98;
/// Setbacks at most, however well it goes.
const MOST_SETBACKS: u32 = 12;

/// How an attempt stands after a pass.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Go on.
    Open,
    /// No overlap is left.
    Clear,
    /// No progress; the best state has been restored.
    Stuck,
}

/// One attempt to get rid of all overlap.
#[derive(Debug, Clone)]
pub struct Untangle {
    weights: Weights,
    relocate: Relocate,
    overlaps: Vec<Overlap>,
    order: Vec<u32>,
    moved: Vec<bool>,
    fresh: Vec<Overlap>,
    best: Vec<Spot>,
    best_loss: f32,
    /// Loss at the last time that counted as better.
    pace: f32,
    /// Best loss at the last setback that counted.
    mark: f32,
    idle: u32,
    /// Passes without a better loss before the best state is taken up again.
    most_idle: u32,
    setbacks: u32,
    all_setbacks: u32,
    patience: u32,
}

impl Untangle {
    /// For a field, with weights that grow so fast.
    pub fn new(field: &Field<'_>, growth: Growth) -> Self {
        let n = field.len();
        Self {
            weights: Weights::new(&field.hull_areas(), growth),
            relocate: Relocate::default(),
            overlaps: Vec::new(),
            order: Vec::new(),
            moved: vec![false; n],
            fresh: Vec::new(),
            best: Vec::new(),
            best_loss: f32::INFINITY,
            pace: f32::INFINITY,
            mark: f32::INFINITY,
            idle: 0,
            most_idle: growth.passes,
            setbacks: 0,
            all_setbacks: 0,
            patience: 3,
        }
    }

    /// Begins a new attempt on the field as it is; gives up after `patience` setbacks in a row.
    pub fn begin(&mut self, field: &Field<'_>, patience: u32) {
        self.weights.reset();
        self.overlaps = field.overlaps();
        (self.best_loss, self.pace) = (f32::INFINITY, f32::INFINITY);
        (self.idle, self.setbacks, self.all_setbacks, self.patience) = (0, 0, 0, patience);
        self.note(field);
        self.mark = self.best_loss;
    }

    /// Sum of what all overlaps are felt as, weighed by size, in the best state seen.
    pub fn best_loss(&self) -> f32 {
        self.best_loss
    }

    /// One move for every overlapping piece, in random order.
    pub fn pass(&mut self, field: &mut Field<'_>, dice: &mut Dice) -> Standing {
        if self.overlaps.is_empty() {
            return Standing::Clear;
        }
        self.order.clear();
        let movable = field.movable() as u32;
        self.order.extend(self.overlaps.iter().flat_map(|o| [o.a, o.b]).filter(|i| *i < movable));
        self.order.sort_unstable();
        self.order.dedup();
        dice.shuffle(&mut self.order);
        for k in 0..self.order.len() {
            let i = self.order[k] as usize;
            if self.relocate.run(field, self.weights.row(i), dice, i) {
                self.moved[i] = true;
            }
        }
        self.look_again(field);
        if self.overlaps.is_empty() {
            return Standing::Clear;
        }
        self.weights.update(&self.overlaps);
        self.note(field);
        self.judge(field)
    }

    /// Brings the overlaps up to date; only those of pieces that moved can have changed.
    fn look_again(&mut self, field: &Field<'_>) {
        let (overlaps, moved, fresh) = (&mut self.overlaps, &self.moved, &mut self.fresh);
        overlaps.retain(|o| !moved[o.a as usize] && !moved[o.b as usize]);
        for &i in &self.order {
            if moved[i as usize] {
                fresh.clear();
                field.overlaps_of(i as usize, false, fresh);
                // A pair of which both moved is found twice.
                overlaps.extend(fresh.iter().filter(|o| o.a == i || !moved[o.a as usize]));
            }
        }
        for &i in &self.order {
            self.moved[i as usize] = false;
        }
    }

    fn note(&mut self, field: &Field<'_>) {
        let loss: f32 = self.overlaps.iter().map(|o| self.weights.weigh(o)).sum();
        self.idle += 1;
        if loss < BETTER * self.pace {
            (self.idle, self.pace) = (0, loss);
        }
        if loss < self.best_loss {
            self.best_loss = loss;
            self.best.clear();
            self.best.extend_from_slice(field.spots());
        }
    }

    fn judge(&mut self, field: &mut Field<'_>) -> Standing {
        if self.idle < self.most_idle {
            return Standing::Open;
        }
        field.restore(&self.best);
        self.overlaps = field.overlaps();
        self.idle = 0;
        self.all_setbacks += 1;
        self.setbacks = if self.best_loss < BETTER * self.mark { 0 } else { self.setbacks + 1 };
        self.mark = self.best_loss;
        if self.setbacks >= self.patience || self.all_setbacks >= MOST_SETBACKS {
            Standing::Stuck
        } else {
            Standing::Open
        }
    }
}

//! The tour while it is worked on.

use super::{Choice, Stop, Tour, TourOptions, cost};
use crate::shape::{Point, length};

/// Gains below this, in mm, are rounding.
pub(super) const HAIR: f64 = 1e-7;

/// An order of stops between a fixed beginning and a fixed end.
pub(super) struct State<'a> {
    pub stops: &'a [Stop],
    pub options: &'a TourOptions,
    /// The stops in order.
    pub order: Vec<usize>,
    /// Where each stop stands in the order.
    pub at: Vec<usize>,
    /// The choice taken at each stop.
    choice: Vec<usize>,
    /// What that choice is.
    ways: Vec<Choice>,
    /// The stops that must come after each.
    pub before: Vec<Vec<usize>>,
    /// What the whole way costs.
    pub cost: f64,
    /// Stops that a move may run backwards at most.
    pub longest_reversal: usize,
    /// What was done, to be taken back.
    pub journal: Vec<Done>,
}

/// A change of the order, as it can be undone.
#[derive(Debug, Clone, Copy)]
pub(super) enum Done {
    /// The stops at places `.0..=.1` were reversed.
    Reversed(usize, usize),
    /// The stops at places `.0..=.2` were turned round so that the one at `.1` came first.
    Rotated(usize, usize, usize),
    /// The stop `.0` was passed in the way `.1` before.
    Chosen(usize, usize),
}

impl<'a> State<'a> {
    pub fn new(stops: &'a [Stop], options: &'a TourOptions, order: Vec<usize>) -> Self {
        let mut at = vec![0; stops.len()];
        for (place, &stop) in order.iter().enumerate() {
            at[stop] = place;
        }
        let mut before = vec![Vec::new(); stops.len()];
        for (stop, s) in stops.iter().enumerate() {
            for &first in &s.after {
                before[first].push(stop);
            }
        }
        let choice = vec![0; stops.len()];
        let ways = stops.iter().map(|s| s.choices[0]).collect();
        let mut state = Self {
            stops,
            options,
            order,
            at,
            choice,
            ways,
            before,
            cost: 0.0,
            longest_reversal: usize::MAX,
            journal: Vec::new(),
        };
        state.cost = state.whole_cost();
        state
    }

    pub fn whole_cost(&self) -> f64 {
        (0..=self.order.len()).map(|p| self.cost_of(self.leave(p), self.enter(p + 1))).sum()
    }

    pub fn cost_of(&self, a: Point, b: Point) -> f64 {
        cost(a, b, self.options.feed_weight)
    }

    /// How the stop is passed.
    pub fn way(&self, stop: usize) -> Choice {
        self.ways[stop]
    }

    /// Which of its choices a stop is passed by.
    pub fn choice(&self, stop: usize) -> usize {
        self.choice[stop]
    }

    /// Passes a stop by another of its choices.
    pub fn choose(&mut self, stop: usize, choice: usize) {
        self.choice[stop] = choice;
        self.ways[stop] = self.stops[stop].choices[choice];
    }

    /// No link between two stops as they are passed now costs less, whichever way they are passed.
    pub fn least_link(&self, a: usize, b: usize) -> f64 {
        let (a, b) = (self.ways[a], self.ways[b]);
        let least = |p: Point| {
            let enter = self.cost_of(p, b.enter);
            if b.enter == b.leave { enter } else { enter.min(self.cost_of(p, b.leave)) }
        };
        if a.enter == a.leave { least(a.enter) } else { least(a.enter).min(least(a.leave)) }
    }

    /// Where the stop at place `p` is entered; places count from 1, and the one after the last is the end.
    pub fn enter(&self, p: usize) -> Point {
        if p > self.order.len() { self.options.to } else { self.way(self.order[p - 1]).enter }
    }

    /// Where the stop at place `p` is left; place 0 is the beginning.
    pub fn leave(&self, p: usize) -> Point {
        if p == 0 { self.options.from } else { self.way(self.order[p - 1]).leave }
    }

    /// What the way from place `p` to the next costs.
    pub fn link(&self, p: usize) -> f64 {
        self.cost_of(self.leave(p), self.enter(p + 1))
    }

    /// The class of the stop at place `p`.
    pub fn class(&self, p: usize) -> u32 {
        self.stops[self.order[p - 1]].class
    }

    /// Runs the stops at places `lo..=hi` (from 1) backwards.
    pub fn reverse(&mut self, lo: usize, hi: usize) {
        self.order[lo - 1..hi].reverse();
        for p in lo..=hi {
            let stop = self.order[p - 1];
            self.at[stop] = p - 1;
            let way = self.way(stop);
            if way.enter != way.leave {
                self.choose(stop, 1 - self.choice[stop]);
            }
        }
        self.journal.push(Done::Reversed(lo, hi));
    }

    /// Lets the stops at places `mid..=hi` change places with those at `lo..mid`.
    pub fn rotate(&mut self, lo: usize, mid: usize, hi: usize) {
        self.order[lo - 1..hi].rotate_left(mid - lo);
        for p in lo..=hi {
            let stop = self.order[p - 1];
            self.at[stop] = p - 1;
        }
        self.journal.push(Done::Rotated(lo, mid, hi));
    }

    /// Takes back all that the journal holds.
    pub fn undo(&mut self) {
        while let Some(done) = self.journal.pop() {
            match done {
                Done::Reversed(lo, hi) => {
                    self.reverse(lo, hi);
                    self.journal.pop();
                }
                Done::Rotated(lo, mid, hi) => {
                    self.rotate(lo, lo + hi + 1 - mid, hi);
                    self.journal.pop();
                }
                Done::Chosen(stop, old) => self.choose(stop, old),
            }
        }
    }

    /// Whether the stops at places `lo..=hi` may run backwards: none waits for another of them.
    pub fn may_reverse(&self, lo: usize, hi: usize) -> bool {
        let stretch = lo - 1..hi;
        self.order[stretch.clone()]
            .iter()
            .all(|&stop| self.stops[stop].after.iter().all(|&first| !stretch.contains(&self.at[first])))
    }

    /// Whether the stops at places `mid..=hi` may come before those at `lo..mid`.
    pub fn may_rotate(&self, lo: usize, mid: usize, hi: usize) -> bool {
        let (first, second) = (lo - 1..mid - 1, mid - 1..hi);
        if first.len() < second.len() {
            let waits = |stop: usize| self.before[stop].iter().any(|&s| second.contains(&self.at[s]));
            !self.order[first].iter().any(|&stop| waits(stop))
        } else {
            let waits = |stop: usize| self.stops[stop].after.iter().any(|&s| first.contains(&self.at[s]));
            !self.order[second].iter().any(|&stop| waits(stop))
        }
    }

    /// The tour that has come out.
    pub fn tour(&self) -> Tour {
        let visits = self.order.iter().map(|&stop| (stop, self.choice[stop])).collect();
        let length = (0..=self.order.len()).map(|p| length(self.enter(p + 1) - self.leave(p))).sum();
        Tour { visits, length }
    }
}

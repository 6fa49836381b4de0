//! Moves until none helps any more.

use super::neighbours::neighbours;
use super::state::State;
use std::collections::VecDeque;

/// Stops whose surroundings are still to be looked at.
pub(super) struct Repair {
    near: Vec<Vec<usize>>,
    queue: VecDeque<usize>,
    queued: Vec<bool>,
    /// Whether links are tried only where one of them gains by itself.
    quick: bool,
}

impl Repair {
    pub fn new(state: &State<'_>, quick: bool) -> Self {
        let n = state.stops.len();
        Self { near: neighbours(state), queue: VecDeque::with_capacity(n), queued: vec![false; n], quick }
    }

    /// Asks for a look at some stops.
    pub fn look_at(&mut self, stops: impl IntoIterator<Item = usize>) {
        for stop in stops {
            if !self.queued[stop] {
                self.queued[stop] = true;
                self.queue.push_back(stop);
            }
        }
    }

    /// Makes moves until none near the queued stops helps any more.
    pub fn run(&mut self, state: &mut State<'_>) {
        while let Some(stop) = self.queue.pop_front() {
            self.queued[stop] = false;
            while let Some(changed) = self.improve(state, stop) {
                self.look_at(changed);
            }
        }
    }

    fn improve(&self, state: &mut State<'_>, stop: usize) -> Option<Vec<usize>> {
        let changed = state.try_choice(stop);
        if changed.is_some() {
            return changed;
        }
        let place = state.at[stop] + 1;
        let longest = if self.quick { state.link(place - 1).max(state.link(place)) } else { f64::INFINITY };
        self.near[stop].iter().find_map(|&other| {
            // A move that helps has an end at which the new link is shorter than the old (Bentley's neighbour lists):
            // it is found from there.
            let worth = !self.quick || state.least_link(stop, other) < longest;
            worth.then(|| state.try_link(stop, other)).flatten()
        })
    }
}

/// Looks at all stops.
pub(super) fn all(state: &mut State<'_>, quick: bool) {
    let mut repair = Repair::new(state, quick);
    repair.look_at(state.order.clone());
    repair.run(state);
    state.journal.clear();
}

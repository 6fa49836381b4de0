//! Kicks: two neighbouring stretches change places, and the damage is repaired nearby.

use super::repair::Repair;
use super::state::{HAIR, State};
use rand::rngs::Xoshiro256PlusPlus;
use rand::{Rng, SeedableRng};

/// Longest stretch that changes places: longer ones are rarely worth keeping.
const LONGEST: usize = 50;

/// Stops that the repair of a kick may run backwards at most: longer runs cost more than the kick is worth.
const LONGEST_REVERSAL: usize = 200;

/// Most kicks of one tour: half a second's work for thousands of stops. More than twice as many won nothing on six layouts.
const MOST: usize = 6_000;

/// Kicks the tour `per_stop` times for each stop in `turns` turns, and keeps what is shorter;
/// after each turn `settle` looks at the whole.
pub(super) fn kick(state: &mut State<'_>, per_stop: u32, turns: usize, settle: impl Fn(&mut State<'_>)) {
    let n = state.order.len();
    if n < 3 {
        return;
    }
    let mut dice = Dice(Xoshiro256PlusPlus::seed_from_u64(1));
    let kicks = n.saturating_mul(per_stop as usize).min(MOST);
    for turn in 0..turns {
        kick_times(state, kicks * (turn + 1) / turns - kicks * turn / turns, &mut dice);
        settle(state);
    }
}

fn kick_times(state: &mut State<'_>, times: usize, dice: &mut Dice) {
    let n = state.order.len();
    let mut repair = Repair::new(state, true);
    state.longest_reversal = LONGEST_REVERSAL;
    for _ in 0..times {
        let lo = 1 + dice.below(n - 1);
        let mid = lo + 1 + dice.below(LONGEST.min(n - lo));
        let hi = mid + dice.below(LONGEST.min(n + 1 - mid));
        if state.class(lo) != state.class(hi) || !state.may_rotate(lo, mid, hi) {
            continue;
        }
        let before = state.cost;
        let ends = [lo - 1, lo, mid - 1, mid, hi, hi + 1];
        let ends: Vec<usize> =
            ends.iter().filter(|&&p| p > 0 && p <= n).map(|&p| state.order[p - 1]).collect();
        let old = state.link(lo - 1) + state.link(mid - 1) + state.link(hi);
        let new = state.cost_of(state.leave(lo - 1), state.enter(mid))
            + state.cost_of(state.leave(hi), state.enter(lo))
            + state.cost_of(state.leave(mid - 1), state.enter(hi + 1));
        state.journal.clear();
        state.rotate(lo, mid, hi);
        state.cost += new - old;
        repair.look_at(ends);
        repair.run(state);
        if state.cost > before - HAIR {
            state.undo();
            state.cost = before;
        }
    }
    state.longest_reversal = usize::MAX;
    state.journal.clear();
    // Thousands of small sums drift.
    state.cost = state.whole_cost();
}

/// xoshiro256++ is documented as portable: one seed gives the same numbers everywhere.
struct Dice(Xoshiro256PlusPlus);

impl Dice {
    /// Uniform below `n`, which is above 0.
    fn below(&mut self, n: usize) -> usize {
        (((self.0.next_u64() >> 32) * n as u64) >> 32) as usize
    }
}

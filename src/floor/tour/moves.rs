//! Moves that shorten a tour. Places count from 1; 0 is the beginning.

use super::state::{Done, HAIR, State};

/// Stops that are moved together at most.
const LONGEST_STRETCH: usize = 3;

impl State<'_> {
    /// Tries all moves that bring the stop at `stop` next to `other`; gives the stops at the
    /// ends of what changed when one was made.
    pub fn try_link(&mut self, stop: usize, other: usize) -> Option<Vec<usize>> {
        let (a, b) = (self.at[stop] + 1, self.at[other] + 1);
        let (lo, hi) = (a.min(b), a.max(b));
        // 2-opt: either the ways behind both are replaced, or the ways before both.
        for (first, last) in [(lo + 1, hi), (lo, hi - 1)] {
            if first < last
                && let Some(ends) = self.try_reverse(first, last)
            {
                return Some(ends);
            }
        }
        for len in 1..=LONGEST_STRETCH {
            for first in [a, (a + 1).saturating_sub(len)] {
                if let Some(ends) = self.try_move(first, len, b) {
                    return Some(ends);
                }
            }
        }
        None
    }

    /// Passes the stop at `stop` in another way if that is shorter where it stands.
    pub fn try_choice(&mut self, stop: usize) -> Option<Vec<usize>> {
        let place = self.at[stop] + 1;
        let (from, to) = (self.leave(place - 1), self.enter(place + 1));
        let ways =
            self.stops[stop].choices.iter().map(|c| self.cost_of(from, c.enter) + self.cost_of(c.leave, to));
        let (best, way) = ways.enumerate().min_by(|a, b| a.1.total_cmp(&b.1))?;
        let gain = self.link(place - 1) + self.link(place) - way;
        if gain < HAIR {
            return None;
        }
        self.journal.push(Done::Chosen(stop, self.choice(stop)));
        self.choose(stop, best);
        self.cost -= gain;
        Some(self.ends(&[place - 1, place, place + 1]))
    }

    /// Runs the stops at places `lo..=hi` backwards if that is allowed and shorter.
    fn try_reverse(&mut self, lo: usize, hi: usize) -> Option<Vec<usize>> {
        if hi - lo >= self.longest_reversal || self.class(lo) != self.class(hi) {
            return None;
        }
        let new = self.cost_of(self.leave(lo - 1), self.leave(hi))
            + self.cost_of(self.enter(lo), self.enter(hi + 1));
        let gain = self.link(lo - 1) + self.link(hi) - new;
        if gain < HAIR || !self.may_reverse(lo, hi) {
            return None;
        }
        let ends = self.ends(&[lo - 1, lo, hi, hi + 1]);
        self.reverse(lo, hi);
        self.cost -= gain;
        Some(ends)
    }

    /// Moves the `len` stops from place `first` on to before or behind place `target`.
    fn try_move(&mut self, first: usize, len: usize, target: usize) -> Option<Vec<usize>> {
        let last = first + len - 1;
        if first == 0 || last > self.order.len() || (first..=last).contains(&target) {
            return None;
        }
        let class = self.class(first);
        if self.class(last) != class {
            return None;
        }
        let closed = self.link(first - 1) + self.link(last)
            - self.cost_of(self.leave(first - 1), self.enter(last + 1));
        // Between the places `gap` and `gap + 1`.
        for gap in [target - 1, target] {
            if (first - 1..=last).contains(&gap) || !self.class_fits(class, gap) {
                continue;
            }
            let opened = self.link(gap);
            let straight = self.cost_of(self.leave(gap), self.enter(first))
                + self.cost_of(self.leave(last), self.enter(gap + 1));
            let turned = self.cost_of(self.leave(gap), self.leave(last))
                + self.cost_of(self.enter(first), self.enter(gap + 1));
            for (new, backwards) in [(straight, false), (turned, true)] {
                let gain = closed + opened - new;
                if gain < HAIR || (backwards && !self.may_reverse(first, last)) {
                    continue;
                }
                let ends = self.ends(&[first - 1, first, last, last + 1, gap, gap + 1]);
                if self.shift(first, last, gap, backwards) {
                    self.cost -= gain;
                    return Some(ends);
                }
            }
        }
        None
    }

    /// Moves the stops at `first..=last` to between `gap` and `gap + 1` if precedence allows.
    fn shift(&mut self, first: usize, last: usize, gap: usize, backwards: bool) -> bool {
        let (lo, mid, hi) = if gap > last { (first, last + 1, gap) } else { (gap + 1, first, last) };
        if !self.may_rotate(lo, mid, hi) {
            return false;
        }
        self.rotate(lo, mid, hi);
        if backwards {
            let new = if gap > last { hi + first - last } else { lo };
            self.reverse(new, new + last - first);
        }
        true
    }

    /// Whether a stop of this class may stand between the places `gap` and `gap + 1`.
    fn class_fits(&self, class: u32, gap: usize) -> bool {
        (gap == 0 || self.class(gap) <= class) && (gap >= self.order.len() || self.class(gap + 1) >= class)
    }

    fn ends(&self, places: &[usize]) -> Vec<usize> {
        places.iter().filter(|&&p| p > 0 && p <= self.order.len()).map(|&p| self.order[p - 1]).collect()
    }
}

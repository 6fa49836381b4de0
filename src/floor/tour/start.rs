//! Orders to begin with.

use super::{Stop, TourOptions, cost};
use crate::shape::Point;
use std::collections::BTreeSet;

/// By least x, as far as classes and precedence allow.
pub(super) fn by_least_x(stops: &[Stop]) -> Vec<usize> {
    let mut rank: Vec<usize> = (0..stops.len()).collect();
    let x = |i: usize| stops[i].choices.iter().map(|c| c.enter.x).fold(f64::INFINITY, f64::min);
    rank.sort_by(|&a, &b| x(a).total_cmp(&x(b)).then(a.cmp(&b)));
    let mut place = vec![0; stops.len()];
    for (p, &i) in rank.iter().enumerate() {
        place[i] = p;
    }
    let mut order = Vec::with_capacity(stops.len());
    let mut ready = Ready::new(stops);
    let mut queue: BTreeSet<(u32, usize, usize)> = BTreeSet::new();
    queue.extend(ready.first().into_iter().map(|i| (stops[i].class, place[i], i)));
    while let Some((_, _, i)) = queue.pop_first() {
        order.push(i);
        queue.extend(ready.done(i).into_iter().map(|i| (stops[i].class, place[i], i)));
    }
    order
}

/// Always to the nearest stop that may come next.
pub(super) fn by_nearest(stops: &[Stop], options: &TourOptions) -> Vec<usize> {
    let mut classes: Vec<u32> = stops.iter().map(|s| s.class).collect();
    classes.sort_unstable();
    classes.dedup();
    let mut open: Vec<Vec<usize>> = vec![Vec::new(); classes.len()];
    let class_of = |i: usize| classes.binary_search(&stops[i].class).unwrap_or(0);
    let mut ready = Ready::new(stops);
    for i in ready.first() {
        open[class_of(i)].push(i);
    }
    let mut order = Vec::with_capacity(stops.len());
    let mut here = options.from;
    for class in 0..classes.len() {
        while let Some((k, there)) = nearest(stops, &open[class], here, options.feed_weight) {
            let i = open[class].swap_remove(k);
            here = there;
            order.push(i);
            for next in ready.done(i) {
                open[class_of(next)].push(next);
            }
        }
    }
    order
}

/// The nearest of the open stops, as its place in the list, and where it is left.
fn nearest(stops: &[Stop], open: &[usize], here: Point, feed_weight: f64) -> Option<(usize, Point)> {
    let mut best: Option<(f64, usize, usize, Point)> = None;
    for (k, &i) in open.iter().enumerate() {
        for choice in &stops[i].choices {
            let far = cost(here, choice.enter, feed_weight);
            if best.is_none_or(|(d, b, ..)| far < d || (far <= d && i < b)) {
                best = Some((far, i, k, choice.leave));
            }
        }
    }
    best.map(|(_, _, k, there)| (k, there))
}

/// Which stops wait for none any more.
struct Ready {
    waits: Vec<usize>,
    before: Vec<Vec<usize>>,
}

impl Ready {
    fn new(stops: &[Stop]) -> Self {
        let mut before = vec![Vec::new(); stops.len()];
        for (i, stop) in stops.iter().enumerate() {
            for &first in &stop.after {
                before[first].push(i);
            }
        }
        Self { waits: stops.iter().map(|s| s.after.len()).collect(), before }
    }

    fn first(&self) -> Vec<usize> {
        (0..self.waits.len()).filter(|&i| self.waits[i] == 0).collect()
    }

    /// The stops that are free now that `i` is done.
    fn done(&mut self, i: usize) -> Vec<usize> {
        let mut free = Vec::new();
        for &next in &self.before[i] {
            self.waits[next] -= 1;
            if self.waits[next] == 0 {
                free.push(next);
            }
        }
        free
    }
}

//! What a piece lying fixed leaves free for another that is moved along one line across the strip.
//!
//! Our own, for rows of patterns (`lattice.rs`) and batches one behind the other. Egeblad, Nielsen, Odgaard (EJOR 183,
//! 2007; from memory) move along a line too and reckon how much overlaps; here a place is only free or taken.

use super::contact::Boundary;
use super::instance::{Instance, Spot};
use crate::shape::{Point, dot};

/// An open interval of places that are taken.
pub type Taken = (f64, f64);

/// The no-fit polygon of two stances, grown by the gap, ready to be cut across the strip at any x.
#[derive(Debug)]
pub struct Slices {
    /// Sides by the part of the span that they come near.
    buckets: Vec<Vec<(Point, Point)>>,
    left: f64,
    right: f64,
    /// Greatest y of all.
    top: f64,
    gap: f64,
    /// How far outwards is looked instead, so that a place on the boundary is free.
    outwards: f64,
}

/// Buckets for one side; few sides then lie in each.
const BUCKETS_PER_SIDE: usize = 2;

impl Slices {
    /// For `moving` about `fixed`, two stances by number.
    pub fn new(inst: &Instance, fixed: u32, moving: u32) -> Self {
        let origin = Spot { stance: fixed, at: Point { x: 0.0, y: 0.0 } };
        let boundary = Boundary::new(inst, &inst.stances[moving as usize], origin);
        let (sides, gap) = (boundary.sides(), boundary.gap());
        let ends = || sides.iter().flat_map(|(a, b)| [a, b]);
        let left = ends().map(|p| p.x).fold(f64::INFINITY, f64::min) - gap;
        let right = ends().map(|p| p.x).fold(f64::NEG_INFINITY, f64::max) + gap;
        let top = ends().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max) + gap;
        let buckets = vec![Vec::new(); (BUCKETS_PER_SIDE * sides.len()).max(1)];
        let mut slices = Self { buckets, left, right, top, gap, outwards: 0.5 * inst.slip };
        for (a, b) in sides {
            let (first, last) = (slices.bucket(a.x.min(b.x) - gap), slices.bucket(a.x.max(b.x) + gap));
            slices.buckets[first..=last].iter_mut().for_each(|k| k.push((a, b)));
        }
        slices
    }

    /// Greatest x at which anything is taken.
    pub fn right(&self) -> f64 {
        self.right
    }

    /// Greatest y at which anything is taken.
    pub fn top(&self) -> f64 {
        self.top
    }

    fn bucket(&self, x: f64) -> usize {
        let part = (x - self.left) / (self.right - self.left).max(f64::MIN_POSITIVE);
        ((part * self.buckets.len() as f64).max(0.0) as usize).min(self.buckets.len() - 1)
    }

    /// Adds what a row of fixed pieces takes, `period` apart, seen from one of them at `x`, each y moved by `up`.
    pub fn taken_by_row(&self, x: f64, period: f64, up: f64, out: &mut Vec<Taken>) {
        let mut x = x - ((x - self.left) / period).floor() * period;
        while x < self.right {
            self.taken(x, up, out);
            x += period;
        }
    }

    /// Adds the intervals of y taken at `x`, each moved by `up`.
    pub fn taken(&self, x: f64, up: f64, out: &mut Vec<Taken>) {
        let x = x + if 2.0 * x > self.left + self.right { self.outwards } else { -self.outwards };
        if x <= self.left || x >= self.right {
            return;
        }
        let first = out.len();
        for (a, b) in &self.buckets[self.bucket(x)] {
            if (a.x > x) != (b.x > x) {
                let y = up + a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x);
                out.push((y, y));
            }
        }
        pair_up(out, first);
        if self.gap > 0.0 {
            let near = self.buckets[self.bucket(x)].iter();
            out.extend(near.filter_map(|s| beside(*s, self.gap, x)).map(|(lo, hi)| (lo + up, hi + up)));
        }
    }
}

/// Crossings with a boundary, from number `first` on, to the intervals between them.
fn pair_up(out: &mut Vec<Taken>, first: usize) {
    out[first..].sort_by(|a, b| a.0.total_cmp(&b.0));
    let pairs = (out.len() - first) / 2;
    for k in 0..pairs {
        out[first + k] = (out[first + 2 * k].0, out[first + 2 * k + 1].0);
    }
    out.truncate(first + pairs);
}

/// The part of the line at `x` that is nearer than `gap` to a side.
pub fn beside((a, b): (Point, Point), gap: f64, x: f64) -> Option<Taken> {
    let d = b - a;
    let across = Point { x: d.y, y: -d.x } * (gap / dot(d, d).sqrt().max(f64::MIN_POSITIVE));
    let mut all: Option<Taken> = None;
    let mut see = |lo: f64, hi: f64| all = Some(all.map_or((lo, hi), |(l, h)| (l.min(lo), h.max(hi))));
    for p in [a, b] {
        let square = gap * gap - (x - p.x) * (x - p.x);
        if square > 0.0 {
            see(p.y - square.sqrt(), p.y + square.sqrt());
        }
    }
    for (p, q) in [(a + across, b + across), (a - across, b - across)] {
        if (p.x > x) != (q.x > x) {
            let y = p.y + (q.y - p.y) * (x - p.x) / (q.x - p.x);
            see(y, y);
        }
    }
    all
}

/// The least y from `floor` on that lies in none of the intervals, but for `slack`.
pub fn least_free(taken: &mut [Taken], floor: f64, slack: f64) -> f64 {
    taken.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut y = floor;
    for (lo, hi) in taken.iter() {
        if *lo >= y - slack {
            break;
        }
        y = y.max(*hi);
    }
    y
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::fixtures::{job_of, rectangle};
    use crate::nest::request::request;

    /// By hand: 20 between middles where they touch, 3 more for the gap; 1.8 beyond a corner the gap
    /// reaches 2.4 up, in a triangle of 3, 4 and 5.
    #[test]
    fn squares_take_what_the_gap_adds() {
        let mut job = job_of(100.0, vec![rectangle("a", 20.0, 20.0)]);
        job.gap = 3.0;
        let inst = request(&job).unwrap().instance;
        let stance = inst.kinds[0].stances.start;
        let slices = Slices::new(&inst, stance, stance);
        let free = |x: f64, row: f64| {
            let mut taken = Vec::new();
            slices.taken_by_row(x, row, 0.0, &mut taken);
            least_free(&mut taken, 0.0, 1e-6)
        };
        for (x, y) in
            [(0.0, 23.0), (19.0, 23.0), (21.8, 22.4), (-21.8, 22.4), (23.0, 0.0), (-23.0, 0.0), (30.0, 0.0)]
        {
            assert!((free(x, 1000.0) - y).abs() < 1e-3, "{x}: {}", free(x, 1000.0));
        }
        // In a row 46 apart there is just room between two.
        assert_eq!(free(23.0, 46.0), 0.0);
        // One closer, the left one's gap is met 2 beyond its corner.
        assert!((free(23.0, 45.0) - 20.0 - 5f64.sqrt()).abs() < 1e-3);
    }

    #[test]
    fn the_least_free_place_is_above_what_is_taken() {
        assert_eq!(least_free(&mut [(4.0, 6.0), (-1.0, 2.0), (1.0, 3.0)], 0.0, 1e-9), 3.0);
        assert_eq!(least_free(&mut [(4.0, 6.0), (-1.0, 2.0), (1.0, 3.0)], 3.5, 1e-9), 3.5);
        assert_eq!(least_free(&mut [(0.0, 1.0)], 1.0, 1e-9), 1.0);
    }
}

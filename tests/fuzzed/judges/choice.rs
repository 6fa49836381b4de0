//! Bytes as choices. When they run out, the first of every choice is taken.

use arbitrary::Unstructured;

pub struct Choice<'a>(Unstructured<'a>);

impl<'a> Choice<'a> {
    pub fn new(data: &'a [u8]) -> Self {
        Self(Unstructured::new(data))
    }

    /// A whole number from `least` to `most`.
    pub fn whole(&mut self, least: u32, most: u32) -> u32 {
        self.0.int_in_range(least..=most).unwrap_or(least)
    }

    /// One of a list.
    pub fn of<T: Clone>(&mut self, list: &[T]) -> T {
        let last = list.len() as u32 - 1;
        list[self.whole(0, last) as usize].clone()
    }

    /// True in about `percent` of a hundred cases, and false when the bytes have run out.
    pub fn chance(&mut self, percent: u32) -> bool {
        self.whole(0, 99) >= 100 - percent
    }

    /// A number from `least` to `most`, in 65 536 steps.
    pub fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * f64::from(self.whole(0, 65_535)) / 65_535.0
    }

    /// One of these numbers, or one between the bounds.
    pub fn number(&mut self, special: &[f64], least: f64, most: f64) -> f64 {
        if special.is_empty() || self.chance(60) { self.between(least, most) } else { self.of(special) }
    }
}

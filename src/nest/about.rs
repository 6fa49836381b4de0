//! What lies about the piece that is being moved, gathered once for the many questions of a refinement.
//!
//! A refinement asks some fifty times what one piece in one stance would cost, always near the same place.
//! Everything that does not change between these questions is looked up once: the neighbours, their weights,
//! no-fit polygons and frames. The heaviest neighbours come first, so that a question whose answer only matters
//! below a bound is soon given up.
//!
//! Our own in what is gathered; that neighbours are listed once and the list used while nothing moves far is Verlet's
//! (Physical Review 159, 1967; from memory).

use super::boxes::Block;
use super::held::Held;
use super::instance::Spot;
use super::lanes::LANES;
use super::nfp::Push;
use super::pairs::Link;
use crate::shape::Point;
use pulp::Simd;

/// A neighbour of the piece that is being moved.
#[derive(Debug, Clone)]
pub struct Near<'a> {
    /// Its number.
    pub id: u32,
    /// What a depth in it weighs.
    pub weight: f32,
    /// Where its origin lies.
    pub at: Point,
    /// The way to the frame of `nfp`.
    pub link: Link,
    /// Where the moving piece may not have its origin, seen from this one.
    pub nfp: Held<'a>,
}

impl Near<'_> {
    /// How deep the piece would lie in this one with its origin at `at`.
    #[inline(always)]
    pub fn depth<S: Simd>(&self, simd: S, at: Point) -> f32 {
        self.link.depth(simd, &self.nfp, at - self.at)
    }

    /// The same with the direction in which it gets out soonest.
    #[inline(always)]
    pub fn push<S: Simd>(&self, simd: S, at: Point) -> Option<Push> {
        self.link.push(simd, &self.nfp, at - self.at)
    }
}

/// The neighbours of one piece in one stance about one place.
#[derive(Debug, Clone)]
pub struct About<'a> {
    piece: usize,
    spot: Spot,
    /// How far from that place its neighbours are known.
    reach: Point,
    half: (f32, f32),
    blocks: Vec<Block>,
    near: Vec<Near<'a>>,
}

impl<'a> About<'a> {
    /// Nothing, and answers nothing.
    pub const NOTHING: Self = Self {
        piece: usize::MAX,
        spot: Spot { stance: u32::MAX, at: Point { x: 0.0, y: 0.0 } },
        reach: Point { x: -1.0, y: -1.0 },
        half: (0.0, 0.0),
        blocks: Vec::new(),
        near: Vec::new(),
    };

    /// From now on it answers nothing.
    pub fn clear(&mut self) {
        self.reach = Self::NOTHING.reach;
    }

    /// Begins anew for a piece with a box of half extents `half`, for places no farther than `reach` from its spot.
    pub fn begin(&mut self, piece: usize, spot: Spot, half: Point, reach: Point) {
        (self.piece, self.spot, self.reach) = (piece, spot, reach);
        self.half = (half.x as f32, half.y as f32);
        self.blocks.clear();
        self.near.clear();
    }

    /// Adds a neighbour; the middle of its box is seen from the middle of the piece's own.
    pub fn add(&mut self, mid: Point, half: Point, near: Near<'a>) {
        let l = self.near.len() % LANES;
        if l == 0 {
            self.blocks.push(Block::EMPTY);
        }
        if let Some(b) = self.blocks.last_mut() {
            b.set(l, mid, half, near.id);
        }
        self.near.push(near);
    }

    /// Whether it can answer for piece `i` at `spot`.
    #[inline(always)]
    pub fn answers(&self, i: usize, spot: Spot) -> bool {
        let d = spot.at - self.spot.at;
        (i == self.piece)
            & (spot.stance == self.spot.stance)
            & (d.x.abs() <= self.reach.x)
            & (d.y.abs() <= self.reach.y)
    }

    /// Calls `hit` for every neighbour whose box overlaps that of the piece with its origin at `at`, until it
    /// returns `false`.
    #[inline(always)]
    pub fn meet(&self, at: Point, mut hit: impl FnMut(&Near<'a>) -> bool) {
        let d = at - self.spot.at;
        let (x, y, (hx, hy)) = (d.x as f32, d.y as f32, self.half);
        for (b, near) in self.blocks.iter().zip(self.near.chunks(LANES)) {
            let mut mask = b.near(x, y, hx, hy);
            while mask != 0 {
                let l = mask.trailing_zeros() as usize;
                mask &= mask - 1;
                if let Some(n) = near.get(l)
                    && !hit(n)
                {
                    return;
                }
            }
        }
    }
}

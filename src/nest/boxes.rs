//! Broad phase: which pieces' boxes come near a box.
//!
//! Boxes lie in cells along the strip and are tested eight at a time. Coordinates are kept
//! relative to the cell, so that single precision does even on a long roll. A query looks only
//! at the cells it can reach: the cost does not grow with the length of the roll.
//!
//! Common practice (a grid of buckets), along the strip only: across it there are too few pieces to part them.

#![allow(
    clippy::needless_range_loop,
    reason = "plain loops over lanes are what the compiler turns into vectors"
)]

use super::lanes::{self, LANES};
use crate::shape::Point;

/// Pieces a cell should hold: enough to fill the lanes a few times, few enough to skip most.
const PER_CELL: usize = 24;
/// Where unused lanes lie: near nothing.
const NOWHERE: f32 = 1e30;

/// Boxes, one in each lane.
#[derive(Debug, Clone, Copy)]
pub struct Block {
    x: [f32; LANES],
    y: [f32; LANES],
    half_x: [f32; LANES],
    half_y: [f32; LANES],
    id: [u32; LANES],
}

impl Block {
    /// No boxes.
    pub const EMPTY: Self = Self {
        x: [NOWHERE; LANES],
        y: [NOWHERE; LANES],
        half_x: [0.0; LANES],
        half_y: [0.0; LANES],
        id: [u32::MAX; LANES],
    };
}

impl Block {
    /// Puts a box into a lane.
    pub fn set(&mut self, l: usize, mid: Point, half: Point, id: u32) {
        (self.x[l], self.y[l]) = (mid.x as f32, mid.y as f32);
        (self.half_x[l], self.half_y[l], self.id[l]) = (half.x as f32, half.y as f32, id);
    }

    /// One bit for every box that overlaps the given one.
    #[inline(always)]
    pub fn near(&self, x: f32, y: f32, half_x: f32, half_y: f32) -> u32 {
        let mut bits = [0u32; LANES];
        for l in 0..LANES {
            let apart_x = (self.x[l] - x).abs() - (self.half_x[l] + half_x);
            let apart_y = (self.y[l] - y).abs() - (self.half_y[l] + half_y);
            let apart = if apart_x > apart_y { apart_x } else { apart_y };
            // The sign bit, brought to the lane's own place; the same operations in every lane.
            bits[l] = (apart.to_bits() >> (31 - l)) & (1 << l);
        }
        lanes::fold(bits, |a, b| a | b)
    }
}

#[derive(Debug, Clone, Default)]
struct Cell {
    blocks: Vec<Block>,
    len: usize,
}

/// All boxes, in cells along the strip.
#[derive(Debug, Clone)]
pub struct Boxes {
    cells: Vec<Cell>,
    step: f64,
    /// Greatest half extent along x of any box, gap included.
    reach: f64,
    /// Cell and place of each piece.
    place: Vec<(u32, u32)>,
}

impl Boxes {
    /// Empty cells for `n` pieces on a strip of about `length`; `reach` is the greatest half extent along x.
    pub fn new(n: usize, length: f64, reach: f64) -> Self {
        let wanted = (n / PER_CELL).max(1);
        let step = (length / wanted as f64).max(0.5 * reach).max(f64::MIN_POSITIVE);
        let count = ((length / step).ceil() as usize).clamp(1, n.max(1));
        Self { cells: vec![Cell::default(); count], step, reach, place: vec![(0, u32::MAX); n] }
    }

    fn cell_of(&self, x: f64) -> usize {
        ((x / self.step).max(0.0) as usize).min(self.cells.len() - 1)
    }

    /// Puts piece `id` in with the middle and half extents of its box.
    pub fn insert(&mut self, id: usize, mid: Point, half: Point) {
        let c = self.cell_of(mid.x);
        let origin = c as f64 * self.step;
        let cell = &mut self.cells[c];
        let at = cell.len;
        if at == cell.blocks.len() * LANES {
            cell.blocks.push(Block::EMPTY);
        }
        cell.len += 1;
        let seen = Point { x: mid.x - origin, ..mid };
        cell.blocks[at / LANES].set(at % LANES, seen, half, id as u32);
        self.place[id] = (c as u32, at as u32);
    }

    /// Takes piece `id` out.
    pub fn remove(&mut self, id: usize) {
        let (c, at) = self.place[id];
        let (cell, at) = (&mut self.cells[c as usize], at as usize);
        let last = cell.len - 1;
        let moved = cell.blocks[last / LANES];
        let l = last % LANES;
        if last != at {
            let b = &mut cell.blocks[at / LANES];
            let m = at % LANES;
            (b.x[m], b.y[m], b.half_x[m], b.half_y[m], b.id[m]) =
                (moved.x[l], moved.y[l], moved.half_x[l], moved.half_y[l], moved.id[l]);
            self.place[moved.id[l] as usize].1 = at as u32;
        }
        let b = &mut cell.blocks[last / LANES];
        (b.x[l], b.y[l], b.id[l]) = (NOWHERE, NOWHERE, u32::MAX);
        cell.len = last;
    }

    /// Calls `hit` for every piece whose box overlaps the given one, until it returns `false`.
    #[inline(always)]
    pub fn near(&self, mid: Point, half: Point, mut hit: impl FnMut(usize) -> bool) {
        let span = half.x + self.reach;
        let (first, last) = (self.cell_of(mid.x - span), self.cell_of(mid.x + span));
        let (y, hx, hy) = (mid.y as f32, half.x as f32, half.y as f32);
        for (k, cell) in self.cells[first..=last].iter().enumerate() {
            let x = (mid.x - (first + k) as f64 * self.step) as f32;
            for b in &cell.blocks[..cell.len.div_ceil(LANES)] {
                let mut mask = b.near(x, y, hx, hy);
                while mask != 0 {
                    let l = mask.trailing_zeros() as usize;
                    mask &= mask - 1;
                    if !hit(b.id[l % LANES] as usize) {
                        return;
                    }
                }
            }
        }
    }
}

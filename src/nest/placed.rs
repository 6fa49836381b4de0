//! Pieces placed one after the other: what the constructive start and the fillers build on.

use super::boxes::Boxes;
use super::instance::{Entry, Instance, Spot};
use super::kind::Stance;
use crate::shape::Point;
use pulp::{Arch, Simd, WithSimd};

/// The pieces placed so far, obstacles first.
#[derive(Debug)]
pub struct Placed<'a> {
    inst: &'a Instance,
    spots: Vec<Spot>,
    boxes: Boxes,
    obstacles: usize,
    reach: f64,
    end: f64,
    arch: Arch,
}

/// Length of roll that pieces are thought to need when cells are laid out, as a multiple of what their areas, grown by the
/// gap, come to; a guess only costs time.
const SPREAD: f64 = 1.6;

impl<'a> Placed<'a> {
    /// Only the obstacles.
    pub fn new(inst: &'a Instance) -> Self {
        let count = inst.entries.len() + inst.fillers.len() + inst.obstacles.len();
        let reach = inst.stances.iter().map(|s| s.box_half.x).fold(0.0, f64::max) + inst.gap;
        let grown = |e: &Entry| {
            let kind = &inst.kinds[e.kind as usize];
            let side = kind.area.sqrt() + inst.gap;
            side * side
        };
        let area: f64 = inst.entries.iter().map(grown).sum();
        let length = SPREAD * area / inst.width + 2.0 * reach;
        let boxes = Boxes::new(count, length, reach);
        let mut placed =
            Self { inst, spots: Vec::new(), boxes, obstacles: 0, reach: 0.0, end: 0.0, arch: Arch::new() };
        for o in &inst.obstacles {
            placed.add(Spot { stance: o.stance, at: o.at });
        }
        placed.obstacles = inst.obstacles.len();
        placed.reach = 0.0;
        placed
    }

    /// The instance it belongs to.
    pub fn instance(&self) -> &'a Instance {
        self.inst
    }

    /// Obstacles and pieces.
    pub fn len(&self) -> usize {
        self.spots.len()
    }

    /// Number of obstacles, which come first.
    pub fn obstacles(&self) -> usize {
        self.obstacles
    }

    /// Where an obstacle or a piece lies.
    pub fn spot(&self, number: usize) -> Spot {
        self.spots[number]
    }

    /// Least x that another piece must keep clear of for its sake.
    pub fn begins(&self, number: usize) -> f64 {
        let spot = self.spots[number];
        let (mid, half) = self.box_of(spot);
        mid.x - half.x
    }

    /// Adds a piece.
    pub fn add(&mut self, spot: Spot) {
        let s = self.stance(spot);
        let (mid, half) = self.box_of(spot);
        self.boxes.insert(self.spots.len(), mid, half);
        self.spots.push(spot);
        self.reach = self.reach.max(spot.at.x + s.hi.x);
        self.end = self.end.max(spot.at.x + s.box_mid.x + s.box_half.x);
    }

    /// A piece or obstacle that a piece at `spot` would overlap, if there is one; `guess` is looked at first.
    pub fn taken_by(&self, spot: Spot, guess: usize) -> Option<usize> {
        self.arch.dispatch(Taken { placed: self, spot, guess })
    }

    fn stance(&self, spot: Spot) -> &'a Stance {
        &self.inst.stances[spot.stance as usize]
    }

    fn box_of(&self, spot: Spot) -> (Point, Point) {
        let s = self.stance(spot);
        let pad = 0.5 * self.inst.gap;
        (spot.at + s.box_mid, Point { x: s.box_half.x + pad, y: s.box_half.y + pad })
    }

    /// Greatest x of any piece, obstacles not counted.
    pub fn reach(&self) -> f64 {
        self.reach
    }

    /// Greatest x of anything that must be kept clear of.
    pub fn end(&self) -> f64 {
        self.end
    }
}

struct Taken<'p, 'a> {
    placed: &'p Placed<'a>,
    spot: Spot,
    guess: usize,
}

impl Taken<'_, '_> {
    #[inline(always)]
    fn overlaps<S: Simd>(&self, simd: S, j: usize) -> bool {
        let p = self.placed;
        let other = p.spots[j];
        let depth = p.inst.depth(simd, other.stance, self.spot.stance, self.spot.at - other.at);
        f64::from(depth) > p.inst.slip
    }
}

impl WithSimd for Taken<'_, '_> {
    type Output = Option<usize>;

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) -> Option<usize> {
        let p = self.placed;
        if self.guess < p.spots.len() && self.overlaps(simd, self.guess) {
            return Some(self.guess);
        }
        let (mid, half) = p.box_of(self.spot);
        let mut taken = None;
        p.boxes.near(mid, half, |j| {
            taken = self.overlaps(simd, j).then_some(j);
            taken.is_none()
        });
        taken
    }
}

//! Pieces placed one after the other: what the constructive start and the fillers build on.

use super::boxes::Boxes;
use super::field::Spot;
use super::instance::Instance;
use crate::shape::Point;

/// The pieces placed so far, obstacles first.
#[derive(Debug)]
pub struct Placed<'a> {
    inst: &'a Instance,
    spots: Vec<Spot>,
    boxes: Boxes,
    obstacles: usize,
}

/// Length of roll a piece is thought to need when cells are laid out; a guess only costs time.
const SPREAD: f64 = 1.6;

impl<'a> Placed<'a> {
    /// Only the obstacles.
    pub fn new(inst: &'a Instance) -> Self {
        let count = inst.entries.len() + inst.fillers.len() + inst.obstacles.len();
        let reach = inst.stances.iter().map(|s| s.box_half.x).fold(0.0, f64::max) + inst.gap;
        let length = SPREAD * inst.area() / inst.width + 2.0 * reach;
        let mut placed =
            Self { inst, spots: Vec::new(), boxes: Boxes::new(count, length, reach), obstacles: 0 };
        for o in &inst.obstacles {
            placed.add(Spot { stance: o.stance, at: o.at });
        }
        placed.obstacles = inst.obstacles.len();
        placed
    }

    /// The instance it belongs to.
    pub fn instance(&self) -> &'a Instance {
        self.inst
    }

    /// Adds a piece.
    pub fn add(&mut self, spot: Spot) {
        let s = &self.inst.stances[spot.stance as usize];
        let pad = 0.5 * self.inst.gap;
        let half = Point { x: s.box_half.x + pad, y: s.box_half.y + pad };
        self.boxes.insert(self.spots.len(), spot.at + s.box_mid, half);
        self.spots.push(spot);
    }

    /// The obstacles and the last `n` pieces.
    pub fn latest(&self, n: usize) -> impl Iterator<Item = Spot> + '_ {
        let first = self.spots.len().saturating_sub(n).max(self.obstacles);
        self.spots[..self.obstacles].iter().chain(&self.spots[first..]).copied()
    }

    /// Whether a piece at `spot` would overlap nothing.
    pub fn is_clear(&self, spot: Spot) -> bool {
        let s = &self.inst.stances[spot.stance as usize];
        let pad = 0.5 * self.inst.gap;
        let half = Point { x: s.box_half.x + pad, y: s.box_half.y + pad };
        let mut clear = true;
        self.boxes.near(spot.at + s.box_mid, half, |j| {
            let other = self.spots[j];
            let depth = self.inst.depth(pulp::Scalar::new(), other.stance, spot.stance, spot.at - other.at);
            clear = f64::from(depth) <= self.inst.slip;
            clear
        });
        clear
    }

    /// Greatest x of any piece, obstacles not counted.
    pub fn reach(&self) -> f64 {
        let right = |s: &Spot| s.at.x + self.inst.stances[s.stance as usize].hi.x;
        self.spots[self.obstacles..].iter().map(right).fold(0.0, f64::max)
    }

    /// Greatest x of anything that must be kept clear of.
    pub fn end(&self) -> f64 {
        let right = |s: &Spot| {
            let st = &self.inst.stances[s.stance as usize];
            s.at.x + st.box_mid.x + st.box_half.x
        };
        self.spots.iter().map(right).fold(0.0, f64::max)
    }
}

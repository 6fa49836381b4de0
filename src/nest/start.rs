//! The constructive start: a valid layout in milliseconds.
//!
//! Pieces in falling order of hull area, each at the touching place that reaches least far along
//! the strip (`sweep.rs`). A long job is laid stretch by stretch, each with its share of large and
//! small pieces, and a kind looks back no farther than the stretch before, unless it has been there: so
//! the cost is linear in the number of pieces, and small pieces lie beside large ones everywhere.
//!
//! Bottom-left placement as in `contact.rs`, by falling area. That it goes by how far a piece reaches, and stretches and
//! how far a kind looks back, are our own; the order is not searched over.

use super::contact::Room;
use super::dice::Dice;
use super::instance::{Instance, Spot};
use super::lattice::Pattern;
use super::placed::Placed;
use super::sweep::Sweep;
use crate::shape::Point;
use std::collections::BTreeMap;

/// Pieces in a stretch.
const STRETCH: usize = 150;
/// Places held by all sweeps together before those that are held are given up: 100 MB.
const MOST_HELD: usize = 3_000_000;

/// Pieces that are laid in a pattern, before all others or after them.
#[derive(Debug, Clone, Copy)]
pub struct Block<'a> {
    /// The pieces: entries of the instance.
    pub pieces: &'a [usize],
    /// The pattern.
    pub pattern: &'a Pattern,
}

/// Whether blocks are laid before all other pieces or after them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turn {
    /// Before.
    First,
    /// After.
    Last,
}

/// Spots of all pieces and the length they reach. `noise` disturbs the order (0: none).
pub fn start(inst: &Instance, dice: &mut Dice, noise: f64) -> (Vec<Spot>, f64) {
    start_with(inst, dice, noise, &[], Turn::First)
}

/// Spots of some pieces, where there is nothing else, and the length they reach.
pub fn start_of(inst: &Instance, pieces: &[usize], dice: &mut Dice, noise: f64) -> (Vec<Spot>, f64) {
    let mut start = Start::new(inst);
    start.lay(pieces.iter().copied(), dice, noise);
    (pieces.iter().filter_map(|i| start.spots[*i]).collect(), start.placed.reach())
}

/// As [`start`], with some pieces in patterns.
pub fn start_with(
    inst: &Instance,
    dice: &mut Dice,
    noise: f64,
    blocks: &[Block<'_>],
    turn: Turn,
) -> (Vec<Spot>, f64) {
    let mut start = Start::new(inst);
    if turn == Turn::First {
        blocks.iter().for_each(|b| start.block(b));
    }
    let mut in_block = vec![false; inst.entries.len()];
    blocks.iter().flat_map(|b| b.pieces).for_each(|i| in_block[*i] = true);
    start.lay((0..inst.entries.len()).filter(|i| !in_block[*i]), dice, noise);
    if turn == Turn::Last {
        blocks.iter().for_each(|b| start.block(b));
    }
    let spots = start.spots.into_iter().flatten().collect();
    (spots, start.placed.reach())
}

/// A start under way.
struct Start<'a> {
    inst: &'a Instance,
    placed: Placed<'a>,
    spots: Vec<Option<Spot>>,
    sweeps: BTreeMap<(u32, Option<u32>), Sweep>,
    /// How many pieces lay there when the stretch before this one was begun.
    look_back: usize,
}

impl<'a> Start<'a> {
    fn new(inst: &'a Instance) -> Self {
        let (placed, spots) = (Placed::new(inst), vec![None; inst.entries.len()]);
        Self { inst, placed, spots, sweeps: BTreeMap::new(), look_back: 0 }
    }

    /// Lays pieces at the places of a pattern, but for those that are taken.
    fn block(&mut self, block: &Block<'_>) {
        let mut blocker = 0;
        let mut places = block.pattern.places();
        for &i in block.pieces {
            let placed = &self.placed;
            let free = places.find(|spot| match placed.taken_by(*spot, blocker) {
                None => true,
                Some(by) => {
                    blocker = by;
                    false
                }
            });
            if let Some(spot) = free {
                self.placed.add(spot);
                self.spots[i] = Some(spot);
            }
        }
    }

    /// Lays pieces one by one, large ones first.
    fn lay(&mut self, pieces: impl Iterator<Item = usize>, dice: &mut Dice, noise: f64) {
        let inst = self.inst;
        let mut order: Vec<(f64, usize)> = pieces
            .map(|i| {
                let area = inst.kinds[inst.entries[i].kind as usize].hull_area;
                (area * dice.within(1.0 - noise, 1.0 + noise), i)
            })
            .collect();
        let part = |o: &(f64, usize)| inst.entries[o.1].part;
        order.sort_by(|a, b| {
            let (p, q) = (part(a), part(b));
            let by_part = p.from.total_cmp(&q.from).then(p.to.total_cmp(&q.to));
            by_part.then(b.0.total_cmp(&a.0)).then(a.1.cmp(&b.1))
        });
        // Pieces that are held to different parts of the strip, from left to right.
        for part in order.chunk_by(|a, b| part(a) == part(b)) {
            let stretches = part.len().div_ceil(STRETCH).max(1);
            for number in 0..stretches {
                self.stretch(part.iter().skip(number).step_by(stretches).map(|o| o.1));
            }
            // What comes next lies beside this part or behind it, not in front.
            self.sweeps.clear();
        }
    }

    fn stretch(&mut self, pieces: impl Iterator<Item = usize>) {
        let begun = self.placed.len();
        for i in pieces {
            let e = &self.inst.entries[i];
            let heading = e.group.and_then(|g| self.inst.groups[g as usize].first().copied());
            let spot = self.place(e.kind, heading);
            self.placed.add(spot);
            self.spots[i] = Some(spot);
        }
        self.look_back = begun;
        if self.sweeps.values().map(Sweep::size).sum::<usize>() > MOST_HELD {
            self.sweeps.clear();
        }
    }

    fn place(&mut self, kind: u32, heading: Option<u32>) -> Spot {
        let (inst, placed, first) = (self.inst, &self.placed, self.look_back);
        let sweep = self
            .sweeps
            .entry((kind, heading))
            .or_insert_with(|| Sweep::new(placed, first_choice(inst, kind, heading), first));
        sweep.next(placed, f64::INFINITY).unwrap_or_else(|| at_the_end(placed, kind, heading))
    }
}

/// A heading at which a piece is shorter than this part of its least length at quarter turns is tried by the start too.
const MUCH_SHORTER: f64 = 0.9;

/// Stances tried by the start: those of the group's heading, otherwise the quarter turns among a great many (the
/// search turns them later) and the shortest, where it is much shorter, otherwise all.
pub fn first_choice(inst: &Instance, kind: u32, heading: Option<u32>) -> Vec<u32> {
    let kind = &inst.kinds[kind as usize];
    let of = |s: u32| inst.stances[s as usize].heading;
    if let Some(h) = heading {
        return kind.stances.clone().filter(|s| of(*s) == h).collect();
    }
    if kind.coarse.len() == kind.stances.len() {
        return kind.coarse.clone();
    }
    let mut quarter: Vec<u32> = kind.stances.clone().filter(|s| of(*s) % (inst.per_turn / 4) == 0).collect();
    if quarter.is_empty() {
        return kind.coarse.clone();
    }
    let length = |s: &u32| inst.stances[*s as usize].length();
    let least = quarter.iter().map(length).fold(f64::INFINITY, f64::min);
    let shortest = kind.stances.clone().min_by(|a, b| length(a).total_cmp(&length(b)));
    quarter.extend(shortest.filter(|s| length(s) < MUCH_SHORTER * least));
    quarter
}

/// Behind everything else; always clear.
fn at_the_end(placed: &Placed<'_>, kind: u32, heading: Option<u32>) -> Spot {
    let inst = placed.instance();
    let range = inst.kinds[kind as usize].stances.clone();
    let has = |s: &u32| heading.is_none_or(|h| inst.stances[*s as usize].heading == h);
    let stance = range.clone().find(has).unwrap_or(range.start);
    let s = &inst.stances[stance as usize];
    let x = placed.end() + inst.gap + s.box_half.x - s.box_mid.x;
    let room = Room::of(inst, s);
    Spot { stance, at: Point { x: x.max(room.left), y: room.low } }
}

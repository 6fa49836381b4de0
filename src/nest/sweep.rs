//! The sweep of one kind along the strip: the places at which it touches what lies there, from
//! left to right, each looked at once.
//!
//! Pieces are only ever added, so a place found taken stays taken. A kind with many copies goes on
//! where its last copy was placed, and all copies together look at each place once.
//!
//! Our own: a queue of places, as in any sweep over the plane, kept from copy to copy.

use super::contact::{Boundary, Room, Walls};
use super::instance::{Instance, Spot};
use super::placed::Placed;
use crate::shape::Point;
use std::cmp::{Ordering, Reverse};
use std::collections::BinaryHeap;

/// A place that has not been looked at yet.
#[derive(Debug, Clone, Copy)]
struct Place {
    /// Greatest x that the piece would reach.
    right: f64,
    spot: Spot,
}

/// A piece whose touching places are not made yet.
#[derive(Debug, Clone, Copy)]
struct Ahead {
    /// No place that touches it reaches less far, but for pockets and holes.
    begins: f64,
    piece: usize,
}

/// The sweep of a kind in some of its stances.
#[derive(Debug)]
pub struct Sweep {
    stances: Vec<u32>,
    places: BinaryHeap<Reverse<Place>>,
    ahead: BinaryHeap<Reverse<Ahead>>,
    /// Pieces seen so far.
    seen: usize,
    /// The piece that took the last place: it is likely to take the next one too.
    blocker: usize,
    /// For each stance the boundaries about the pieces passed, where their crossings are wanted.
    walls: Option<Vec<Vec<Walls>>>,
    /// Sides of all walls held.
    sides: usize,
}

/// Sides of walls that are held before crossings are given up: 64 MB.
const MOST_SIDES: usize = 2_000_000;

impl Sweep {
    /// A sweep over the obstacles and all pieces from number `first` on.
    pub fn new(placed: &Placed<'_>, stances: Vec<u32>, first: usize) -> Self {
        let mut sweep = Self {
            stances,
            places: BinaryHeap::new(),
            ahead: BinaryHeap::new(),
            seen: first.max(placed.obstacles()),
            blocker: 0,
            walls: None,
            sides: 0,
        };
        let inst = placed.instance();
        for k in 0..sweep.stances.len() {
            let stance = sweep.stances[k];
            let room = Room::of(inst, &inst.stances[stance as usize]);
            room.corners().for_each(|at| sweep.add(inst, Spot { stance, at }));
        }
        (0..placed.obstacles()).for_each(|o| sweep.look_out_for(placed, o));
        sweep
    }

    /// The same, looking also at the places at which two pieces are touched at once. They are many
    /// times as many, and take their time.
    pub fn thorough(placed: &Placed<'_>, stances: Vec<u32>) -> Self {
        let walls = stances.iter().map(|_| Vec::new()).collect();
        Self { walls: Some(walls), ..Self::new(placed, stances, 0) }
    }

    /// Places and pieces held.
    pub fn size(&self) -> usize {
        self.places.len() + self.ahead.len()
    }

    /// The clear place that reaches least far, if it reaches no farther than `limit`.
    pub fn next(&mut self, placed: &Placed<'_>, limit: f64) -> Option<Spot> {
        for piece in self.seen..placed.len() {
            self.look_out_for(placed, piece);
        }
        self.seen = placed.len();
        loop {
            self.make_places(placed);
            let place = self.places.peek()?.0;
            if place.right > limit {
                return None;
            }
            self.places.pop();
            match placed.taken_by(place.spot, self.blocker) {
                None => return Some(place.spot),
                Some(piece) => self.blocker = piece,
            }
        }
    }

    fn look_out_for(&mut self, placed: &Placed<'_>, piece: usize) {
        self.ahead.push(Reverse(Ahead { begins: placed.begins(piece), piece }));
    }

    /// Makes the touching places of all pieces that begin before the nearest place ends.
    fn make_places(&mut self, placed: &Placed<'_>) {
        let inst = placed.instance();
        while let Some(next) = self.ahead.peek() {
            let Ahead { begins, piece } = next.0;
            if self.places.peek().is_some_and(|p| p.0.right < begins) {
                break;
            }
            self.ahead.pop();
            inst.make_about(placed.spot(piece).stance, &self.stances);
            for k in 0..self.stances.len() {
                let stance = self.stances[k];
                let s = &inst.stances[stance as usize];
                let room = Room::of(inst, s);
                let boundary = Boundary::new(inst, s, placed.spot(piece));
                boundary.touching(&room, |at| self.add(inst, Spot { stance, at }));
                if self.walls.is_some() {
                    self.make_crossings(inst, k, &boundary, &room);
                }
            }
        }
    }

    /// Makes the places that touch one more piece and any passed before.
    fn make_crossings(&mut self, inst: &Instance, k: usize, boundary: &Boundary<'_>, room: &Room) {
        let Some(passed) = self.walls.as_mut().and_then(|w| w.get_mut(k)) else { return };
        let new = boundary.walls();
        let mut found = Vec::new();
        passed.iter().for_each(|old| new.crossings(old, |p| found.push(p)));
        self.sides += new.count();
        passed.push(new);
        if self.sides > MOST_SIDES {
            self.walls = None;
        }
        let stance = self.stances[k];
        for at in found.into_iter().filter(|p| room.holds(*p)) {
            self.add(inst, Spot { stance, at });
        }
    }

    fn add(&mut self, inst: &Instance, spot: Spot) {
        let right = spot.at.x + inst.stances[spot.stance as usize].hi.x;
        self.places.push(Reverse(Place { right, spot }));
    }
}

fn by_place(p: Point, q: Point) -> Ordering {
    p.y.total_cmp(&q.y).then(p.x.total_cmp(&q.x))
}

impl Ord for Place {
    fn cmp(&self, other: &Self) -> Ordering {
        let (a, b) = (self.spot, other.spot);
        self.right.total_cmp(&other.right).then(a.stance.cmp(&b.stance)).then_with(|| by_place(a.at, b.at))
    }
}

impl Ord for Ahead {
    fn cmp(&self, other: &Self) -> Ordering {
        self.begins.total_cmp(&other.begins).then(self.piece.cmp(&other.piece))
    }
}

impl PartialOrd for Place {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialOrd for Ahead {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Place {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl PartialEq for Ahead {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Place {}
impl Eq for Ahead {}

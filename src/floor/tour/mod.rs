//! A short way through many stops, some of which must come before others.
//!
//! Each stop can be passed in several ways (start points of a contour, directions of a line);
//! stops belong to classes that are visited in rising order. The way is built by nearest
//! neighbour and by the order of least x, then shortened by 2-opt and Or-opt moves over
//! neighbour lists (G. A. Croes, Operations Research 6, 1958; I. Or, dissertation, Northwestern
//! University, 1976; J. L. Bentley, ORSA Journal on Computing 4, 1992), in turn with the best
//! choice of start points for the order at hand, and last by kicks: two neighbouring stretches
//! change places, the damage is repaired nearby, start points included, and what is no shorter
//! is taken back
//! (O. Martin, S. W. Otto and E. W. Felten, Complex Systems 5, 1991).
//!
//! The same input gives the same tour.

mod choose;
mod kick;
mod moves;
mod neighbours;
mod repair;
mod start;
mod state;

use crate::shape::{Point, length};
use state::State;

/// One way to pass a stop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Choice {
    /// Where it is entered.
    pub enter: Point,
    /// Where it is left.
    pub leave: Point,
}

/// A stop of a tour.
#[derive(Debug, Clone, PartialEq)]
pub struct Stop {
    /// Stops of a lower class come first.
    pub class: u32,
    /// The ways to pass it, at least one. A line that may run either way has two, of which
    /// each is the other one backwards; all others are left where they are entered.
    pub choices: Vec<Choice>,
    /// Stops that must come before, as indices. They must not run in a circle, and none of
    /// them may be of a higher class.
    pub after: Vec<usize>,
}

/// What a tour is to keep to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TourOptions {
    /// Where it begins.
    pub from: Point,
    /// Where it ends.
    pub to: Point,
    /// What a way along x costs beside its length: 0 counts length alone.
    pub feed_weight: f64,
    /// Kicks for each stop.
    pub kicks_per_stop: u32,
}

/// A way through all stops.
#[derive(Debug, Clone, PartialEq)]
pub struct Tour {
    /// The stops in order, each with the choice taken.
    pub visits: Vec<(usize, usize)>,
    /// Length from stop to stop, the ways from the beginning and to the end included.
    pub length: f64,
}

/// Rounds of ordering and choosing; both only ever shorten the way, and settle in two or three.
const ROUNDS: usize = 6;

/// Turns of kicking: start points and neighbours change, and new kicks help then.
const TURNS: usize = 4;

/// Finds a short tour through all stops.
pub fn tour(stops: &[Stop], options: &TourOptions) -> Tour {
    let settled = |order| {
        let mut state = State::new(stops, options, order);
        settle(&mut state, true);
        state
    };
    let (nearest, least_x) =
        rayon::join(|| settled(start::by_nearest(stops, options)), || settled(start::by_least_x(stops)));
    let mut state = if least_x.cost < nearest.cost { least_x } else { nearest };
    kick::kick(&mut state, options.kicks_per_stop, TURNS, |state| settle(state, false));
    state.tour()
}

/// The way through the stops by least x, as far as classes and precedence allow, with the best
/// start points for that order: what a tour must not be longer than.
pub fn least_x_tour(stops: &[Stop], options: &TourOptions) -> Tour {
    let mut state = State::new(stops, options, start::by_least_x(stops));
    choose::choose(&mut state);
    state.tour()
}

/// Shortens the order and chooses the start points in turn until nothing changes. `quick` leaves out links that are
/// unlikely to help: enough to tell which start is the better one.
fn settle(state: &mut State<'_>, quick: bool) {
    for _ in 0..ROUNDS {
        let before = state.cost;
        choose::choose(state);
        repair::all(state, quick);
        if state.cost >= before - state::HAIR {
            break;
        }
    }
    choose::choose(state);
}

/// What the way between two points costs.
fn cost(a: Point, b: Point, feed_weight: f64) -> f64 {
    length(b - a) + feed_weight * (b.x - a.x).abs()
}

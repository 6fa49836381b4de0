//! The pieces of one film: in which order they are filled, and which are left alone.

use super::blocks::{Block, joined};
use super::fill::Gauge;
use crate::Error;
use crate::job::{Day, Roll, Share};
use crate::money::Price;

/// What lies on which piece, and what does not.
#[derive(Debug, Clone, Default)]
pub(super) struct Spread {
    /// By index of the piece.
    pub loads: Vec<(usize, Vec<Block>)>,
    /// What found no place.
    pub rest: Vec<Block>,
}

impl Spread {
    pub fn shares(&self) -> impl Iterator<Item = (usize, Vec<Share>)> + '_ {
        self.loads.iter().map(|(roll, blocks)| (*roll, joined(blocks)))
    }
}

/// Film that a choice of pieces takes: money first, then area.
type Cost = (i64, f64);

/// The order in which pieces are filled: cheap film first, then offcuts, then what is short.
pub(super) fn filling_order(day: &Day, rolls: &[usize]) -> Vec<usize> {
    let per_area = |roll: &Roll| -> f64 {
        // For the order alone, where a rounded number will do.
        roll.piece.price.map_or(0.0, |p| unit_price(&p, roll, day))
    };
    let mut order = rolls.to_vec();
    order.sort_by(|a, b| {
        let (x, y) = (&day.rolls[*a], &day.rolls[*b]);
        let length = |r: &Roll| r.length.unwrap_or(f64::INFINITY);
        per_area(x)
            .total_cmp(&per_area(y))
            .then(y.piece.offcut.cmp(&x.piece.offcut))
            .then(length(x).total_cmp(&length(y)))
            .then(a.cmp(b))
    });
    order
}

/// Price of an area of film, for comparison.
fn unit_price(price: &Price, roll: &Roll, day: &Day) -> f64 {
    let metre = 1_000_000;
    let width = micrometres(roll.width * day.unit.in_mm());
    // A hundred metres, so that the rounding to minor units does not show.
    let cost = price.of_film(width, 100 * metre, 4).unwrap_or(i64::MAX);
    cost as f64 / (roll.width * day.unit.in_mm()).max(f64::MIN_POSITIVE)
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates; widths are above 0")]
fn micrometres(mm: f64) -> u64 {
    (mm * 1e3).round() as u64
}

/// Fills the pieces one after the other.
pub(super) fn spread(gauge: &mut Gauge<'_>, order: &[usize], blocks: &[Block]) -> Result<Spread, Error> {
    let mut result = Spread { loads: Vec::new(), rest: blocks.to_vec() };
    for &roll in order {
        if result.rest.is_empty() {
            break;
        }
        let list: Vec<&Block> = result.rest.iter().collect();
        let taken = gauge.fill(roll, &list)?;
        if taken.is_empty() {
            continue;
        }
        let (mut load, mut rest) = (Vec::new(), Vec::new());
        for (i, block) in std::mem::take(&mut result.rest).into_iter().enumerate() {
            if taken.contains(&i) { load.push(block) } else { rest.push(block) }
        }
        result.rest = rest;
        result.loads.push((roll, load));
    }
    Ok(result)
}

/// The spread that costs least: that over all pieces, and then without one after the other as long
/// as that is cheaper and everything still finds a place.
pub(super) fn cheapest(gauge: &mut Gauge<'_>, rolls: &[usize], blocks: &[Block]) -> Result<Spread, Error> {
    let mut order = filling_order(gauge.day, rolls);
    let mut best = spread(gauge, &order, blocks)?;
    if !best.rest.is_empty() {
        return Ok(best);
    }
    let mut least = cost(gauge, &best)?;
    for roll in best.loads.iter().map(|(roll, _)| *roll).collect::<Vec<_>>() {
        let without: Vec<usize> = order.iter().copied().filter(|r| *r != roll).collect();
        let other = spread(gauge, &without, blocks)?;
        if !other.rest.is_empty() {
            continue;
        }
        let its = cost(gauge, &other)?;
        if its.0.cmp(&least.0).then(its.1.total_cmp(&least.1)).is_lt() {
            (best, least, order) = (other, its, without);
        }
    }
    Ok(best)
}

/// What a spread costs: its film by price, or, without prices, the area that is no offcut.
fn cost(gauge: &mut Gauge<'_>, spread: &Spread) -> Result<Cost, Error> {
    let (mut money, mut area) = (0i64, 0.0);
    for (index, shares) in spread.shares() {
        let length = gauge.length(index, &shares)?;
        let (roll, mm) = (&gauge.day.rolls[index], gauge.day.unit.in_mm());
        let used = roll.width * length;
        area += used;
        let (width, length) = (micrometres(roll.width * mm), micrometres(length * mm));
        let amount = match roll.piece.price {
            Some(price) => price.of_film(width, length, 4).unwrap_or(i64::MAX),
            None if roll.piece.offcut => 0,
            // Square centimetres; nothing finer decides.
            None => i64::try_from(u128::from(width) * u128::from(length) / 100_000_000).unwrap_or(i64::MAX),
        };
        money = money.saturating_add(amount);
    }
    Ok((money, area))
}

//! The whole plan: all kits where the film does, otherwise as many whole kits as it does for.

use super::blocks::{Block, Order, joined, orders};
use super::choose::{Spread, cheapest, filling_order, spread};
use super::fill::Gauge;
use super::most::{Answer, most};
use super::{LeftOut, Load, Plan, Sounding};
use crate::job::{Day, Share};
use crate::{Error, Warning};
use std::collections::{BTreeMap, BTreeSet};

/// Kits that are tried in vain on the same pieces of film after the first one for which they do not do.
const LATE_KITS: usize = 8;

/// Makes the plan of a day.
pub(super) struct Planner<'a> {
    gauge: Gauge<'a>,
    /// The most urgent first.
    orders: Vec<Order>,
}

impl<'a> Planner<'a> {
    pub fn new(day: &'a Day, sounding: &'a mut dyn Sounding) -> Self {
        Self { gauge: Gauge::new(day, sounding), orders: orders(day) }
    }

    pub fn plan(mut self) -> Result<Plan, Error> {
        let all: Vec<usize> = (0..self.orders.len()).collect();
        let kept = self.most_orders(&all)?;
        if kept.is_empty() {
            return Err(nothing_fits());
        }
        let mut loads: BTreeMap<usize, Vec<Block>> = BTreeMap::new();
        for (rolls, blocks) in self.by_film(&kept) {
            let blocks = self.placeable(&rolls, blocks)?;
            let Some(blocks) = blocks else {
                return Err(Error::Internal("panels that had found film lost it again".into()));
            };
            for (roll, load) in cheapest(&mut self.gauge, &rolls, &blocks)?.loads {
                loads.entry(roll).or_default().extend(load);
            }
        }
        let left_out = all.iter().filter(|i| !kept.contains(i)).map(|i| left_out(&self.orders[*i])).collect();
        let warnings = divided_groups(self.gauge.day, &loads);
        let pieces =
            loads.iter().map(|(roll, blocks)| Load { roll: *roll, shares: joined(blocks) }).collect();
        Ok(Plan { pieces, left_out, warnings })
    }

    /// The orders that are cut: all, or the longest run of the most urgent ones, and then those
    /// that still find room. Orders for other film do not suffer.
    fn most_orders(&mut self, all: &[usize]) -> Result<Vec<usize>, Error> {
        let needs: Vec<Vec<Vec<usize>>> =
            all.iter().map(|i| self.by_film(&[*i]).into_iter().map(|(rolls, _)| rolls).collect()).collect();
        most(all, LATE_KITS, |order, rolls| needs[order].contains(rolls), |orders| self.ask(orders))
    }

    /// Whether film is found for these orders, and which pieces do not do.
    fn ask(&mut self, orders: &[usize]) -> Result<Answer<Vec<usize>>, Error> {
        for (rolls, blocks) in self.by_film(orders) {
            let before = self.gauge.asked();
            if self.placeable(&rolls, blocks)?.is_none() {
                return Ok(Answer::Lacking { what: rolls, searched: self.gauge.asked() > before });
            }
        }
        Ok(Answer::Fit)
    }

    /// The blocks as they find a place on these pieces: match groups whole, or divided where
    /// there is no other way; nothing where even that does not do.
    fn placeable(&mut self, rolls: &[usize], mut blocks: Vec<Block>) -> Result<Option<Vec<Block>>, Error> {
        let usable: f64 = rolls.iter().map(|roll| self.gauge.usable_area(*roll)).sum();
        if blocks.iter().map(|b| b.area).sum::<f64>() > usable {
            return Ok(None);
        }
        let order = filling_order(self.gauge.day, rolls);
        loop {
            let Spread { rest, .. } = spread(&mut self.gauge, &order, &blocks)?;
            if rest.is_empty() {
                return Ok(Some(blocks));
            }
            let whole = |b: &Block| {
                b.group.is_some() && joined([b]).iter().map(|s| s.copies.len()).sum::<usize>() > 1
            };
            if !rest.iter().any(whole) {
                return Ok(None);
            }
            let day = self.gauge.day;
            let divide = |b: Block| if rest.contains(&b) && whole(&b) { b.divided(day) } else { vec![b] };
            blocks = blocks.into_iter().flat_map(divide).collect();
        }
    }

    /// The blocks of some orders by the pieces that they may lie on.
    fn by_film(&self, orders: &[usize]) -> Vec<(Vec<usize>, Vec<Block>)> {
        let mut by_rolls: BTreeMap<Vec<usize>, Vec<Block>> = BTreeMap::new();
        for block in orders.iter().flat_map(|i| &self.orders[*i].blocks) {
            let Some(share) = block.shares.first() else { continue };
            let rolls = self.gauge.day.rolls_for(&self.gauge.day.panels[share.panel]).collect();
            by_rolls.entry(rolls).or_default().push(block.clone());
        }
        by_rolls.into_iter().collect()
    }
}

fn left_out(order: &Order) -> LeftOut {
    LeftOut { kit: order.kit.clone(), shares: joined(&order.blocks) }
}

fn nothing_fits() -> Error {
    Error::unmet(
        "rolls",
        "not even one kit fits the film that is left",
        "take longer pieces of film; the kit must fit on all pieces of its film together",
    )
}

/// A warning for each match group that lies on several pieces.
fn divided_groups(day: &Day, loads: &BTreeMap<usize, Vec<Block>>) -> Vec<Warning> {
    let mut groups: BTreeMap<(Option<&str>, &str), BTreeSet<usize>> = BTreeMap::new();
    for (roll, share) in loads
        .iter()
        .flat_map(|(roll, blocks)| blocks.iter().flat_map(move |b| b.shares.iter().map(move |s| (roll, s))))
    {
        let Share { panel, .. } = share;
        let panel = &day.panels[*panel];
        if let Some(group) = &panel.match_group {
            groups.entry((panel.kit.as_deref(), group)).or_default().insert(*roll);
        }
    }
    let name = |roll: &usize| day.rolls[*roll].piece.id.clone().unwrap_or_default();
    let warn = |((kit, group), rolls): ((Option<&str>, &str), BTreeSet<usize>)| {
        let of_kit = kit.map_or_else(String::new, |kit| format!(" of kit {kit:?}"));
        let pieces: Vec<String> = rolls.iter().map(name).collect();
        let what =
            format!("match group {group:?}{of_kit} lies on several pieces of film: {}", pieces.join(", "));
        Warning::new(
            "rolls",
            what,
            "colours of two rolls seldom match: give a piece that takes the group whole",
        )
    };
    groups.into_iter().filter(|(_, rolls)| rolls.len() > 1).map(warn).collect()
}

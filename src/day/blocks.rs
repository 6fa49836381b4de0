//! What stays together: orders, and in them blocks that lie on one piece of film.

use crate::job::{Day, Panel, Share};
use std::collections::BTreeMap;

/// An order: the panels of one kit, or one panel that belongs to no kit. Cut whole or not at all.
#[derive(Debug, Clone)]
pub(super) struct Order {
    pub kit: Option<String>,
    pub blocks: Vec<Block>,
}

/// Panels that lie on one piece of film.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Block {
    pub shares: Vec<Share>,
    /// The match group that keeps them together.
    pub group: Option<String>,
    pub film: Option<String>,
    /// Area of all of it.
    pub area: f64,
}

/// The indices of the required panels, the most urgent first: by the priority of their kit, which is the highest
/// of its panels, then as the job lists them.
fn by_priority(panels: &[Panel]) -> Vec<usize> {
    let due = |panel: &Panel| panel.priority.unwrap_or(u32::MAX);
    let mut of_kit: BTreeMap<&str, u32> = BTreeMap::new();
    for panel in panels.iter().filter(|p| !p.optional) {
        if let Some(kit) = &panel.kit {
            let known = of_kit.entry(kit).or_insert(u32::MAX);
            *known = due(panel).min(*known);
        }
    }
    let mut order: Vec<usize> = (0..panels.len()).filter(|i| !panels[*i].optional).collect();
    let of = |panel: &Panel| panel.kit.as_ref().and_then(|k| of_kit.get(k.as_str()).copied());
    order.sort_by_key(|i| of(&panels[*i]).unwrap_or(due(&panels[*i]))); // stable
    order
}

/// The indices of the required panels, order by order: those of a kit together, any other panel by itself. The most
/// urgent order first, then as the panels are listed.
pub fn by_order(panels: &[Panel]) -> Vec<Vec<usize>> {
    let mut order_of: BTreeMap<&str, usize> = BTreeMap::new();
    let mut orders: Vec<Vec<usize>> = Vec::new();
    for i in by_priority(panels) {
        let at = match &panels[i].kit {
            Some(kit) => *order_of.entry(kit).or_insert(orders.len()),
            None => orders.len(),
        };
        if at == orders.len() {
            orders.push(Vec::new());
        }
        orders[at].push(i);
    }
    orders
}

/// The orders of a day, the most urgent first: by priority, then as the job lists them.
pub(super) fn orders(day: &Day) -> Vec<Order> {
    by_order(&day.panels)
        .into_iter()
        .map(|panels| Order { kit: day.panels[panels[0]].kit.clone(), blocks: blocks(day, &panels) })
        .collect()
}

/// One block for each match group and film; every copy of a panel without a group by itself.
fn blocks(day: &Day, panels: &[usize]) -> Vec<Block> {
    let mut blocks: Vec<Block> = Vec::new();
    let mut groups: BTreeMap<(&str, Option<&str>), usize> = BTreeMap::new();
    for &i in panels {
        let panel = &day.panels[i];
        let Some(group) = &panel.match_group else {
            blocks.extend((1..=panel.copies).map(|copy| block(panel, i, vec![copy], None)));
            continue;
        };
        let all = block(panel, i, (1..=panel.copies).collect(), Some(group.clone()));
        match groups.get(&(group.as_str(), panel.film.as_deref())) {
            Some(&at) => {
                blocks[at].area += all.area;
                blocks[at].shares.extend(all.shares);
            }
            None => {
                groups.insert((group, panel.film.as_deref()), blocks.len());
                blocks.push(all);
            }
        }
    }
    blocks
}

fn block(panel: &Panel, index: usize, copies: Vec<u32>, group: Option<String>) -> Block {
    let area = panel.area() * copies.len() as f64;
    Block { shares: vec![Share { panel: index, copies }], group, film: panel.film.clone(), area }
}

impl Block {
    /// Every copy by itself, so that the group may lie on several pieces.
    pub fn divided(&self, day: &Day) -> Vec<Self> {
        let each = |share: &Share| {
            let panel = &day.panels[share.panel];
            let one = |copy: &u32| block(panel, share.panel, vec![*copy], self.group.clone());
            share.copies.iter().map(one).collect::<Vec<_>>()
        };
        self.shares.iter().flat_map(each).collect()
    }
}

/// The shares of several blocks, those of one panel joined, by panel and copy.
pub(super) fn joined<'b>(blocks: impl IntoIterator<Item = &'b Block>) -> Vec<Share> {
    let mut by_panel: BTreeMap<usize, Vec<u32>> = BTreeMap::new();
    for share in blocks.into_iter().flat_map(|b| &b.shares) {
        by_panel.entry(share.panel).or_default().extend(&share.copies);
    }
    let sorted = |(panel, mut copies): (usize, Vec<u32>)| {
        copies.sort_unstable();
        Share { panel, copies }
    };
    by_panel.into_iter().map(sorted).collect()
}

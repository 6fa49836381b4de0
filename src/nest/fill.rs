//! Where fillers go: into what the required pieces leave, moving nothing.
//!
//! Our own: bottom-left placement as in `contact.rs`, large fillers first, with double contacts and a limit to how far
//! along.

use super::instance::{Instance, Spot};
use super::placed::Placed;
use super::start::first_choice;
use super::sweep::Sweep;

/// Places fillers into what is left, each on its own, none farther along than the required
/// pieces reach. `None` for those that find no room.
pub fn fill(inst: &Instance, spots: &[Spot]) -> Vec<Option<Spot>> {
    let mut placed = Placed::new(inst);
    for s in spots {
        placed.add(*s);
    }
    let limit = placed.reach() + inst.slip;
    let mut headings: Vec<Option<u32>> = vec![None; inst.groups.len()];
    for (e, s) in inst.entries.iter().zip(spots) {
        if let Some(g) = e.group {
            headings[g as usize] = Some(inst.stances[s.stance as usize].heading);
        }
    }
    let mut order: Vec<usize> = (0..inst.fillers.len()).collect();
    let area = |i: usize| inst.kinds[inst.fillers[i].kind as usize].hull_area;
    let kind = |i: usize| inst.fillers[i].kind;
    order.sort_by(|&i, &j| area(j).total_cmp(&area(i)).then(kind(i).cmp(&kind(j))).then(i.cmp(&j)));
    // Fillers of a kind follow each other, so the sweep of the last one is the only one worth keeping.
    let mut last: Option<((u32, Option<u32>), Sweep)> = None;
    let mut out = vec![None; inst.fillers.len()];
    for i in order {
        let e = &inst.fillers[i];
        let heading = e.group.and_then(|g| headings[g as usize].or(inst.groups[g as usize].first().copied()));
        let held = last.take_if(|(key, _)| *key == (e.kind, heading)).map(|(_, sweep)| sweep);
        let mut sweep = held.unwrap_or_else(|| Sweep::thorough(&placed, first_choice(inst, e.kind, heading)));
        if let Some(spot) = sweep.next(&placed, limit) {
            if let Some(g) = e.group {
                headings[g as usize] = Some(inst.stances[spot.stance as usize].heading);
            }
            placed.add(spot);
            out[i] = Some(spot);
        }
        last = Some(((e.kind, heading), sweep));
    }
    out
}

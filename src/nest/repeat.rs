//! First layouts with sets of many equal pieces in patterns.
//!
//! Our own: which sets are laid in patterns, when, and what is tried beside them. That the pattern with the shortest
//! layout is not always the best to go on from is met in `search.rs`, where a walk stays away from it.

use super::dice::Dice;
use super::instance::{Instance, Spot};
use super::lattice::{Pattern, patterns};
use super::start::{Block, Turn, first_choice, start_with};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Copies from which a pattern is worth a try.
const LEAST_COPIES: usize = 12;
/// The part of all area that a set must have: smaller ones lie in what the others leave.
const LEAST_PART: f64 = 0.1;
/// Sets laid in patterns at most.
const SETS: usize = 3;
/// Patterns of a set that are laid out where there is nothing else.
const LAID: usize = 4;

/// The shortest layout with sets in patterns, if one is shorter than `limit`: spots of all pieces and the length
/// they reach.
pub fn in_patterns(inst: &Instance, limit: f64) -> Option<(Vec<Spot>, f64)> {
    let sets = sets(inst);
    let plans = plans(inst, &sets);
    let lay = |p: &Plan<'_>| start_with(inst, &mut Dice::new(0, 0), 0.0, &p.blocks, p.turn);
    let laid: Vec<(Vec<Spot>, f64)> = plans.par_iter().map(lay).collect();
    laid.into_iter().filter(|l| l.1 < limit).reduce(|best, l| if l.1 < best.1 { l } else { best })
}

/// Equal pieces and the patterns for them, shortest first.
struct Set {
    pieces: Vec<usize>,
    patterns: Vec<Pattern>,
}

/// A choice of sets to lay in patterns, and when.
struct Plan<'a> {
    blocks: Vec<Block<'a>>,
    turn: Turn,
}

/// The sets worth laying in patterns, by falling area.
fn sets(inst: &Instance) -> Vec<Set> {
    let mut equal: BTreeMap<(u32, Option<u32>), Vec<usize>> = BTreeMap::new();
    for (i, e) in inst.entries.iter().enumerate() {
        let heading = e.group.and_then(|g| inst.groups[g as usize].first().copied());
        equal.entry((e.kind, heading)).or_default().push(i);
    }
    let area = |kind: u32, pieces: &[usize]| inst.kinds[kind as usize].area * pieces.len() as f64;
    let least = LEAST_PART * inst.area();
    let mut sets: Vec<_> = equal
        .into_iter()
        .filter(|((k, _), pieces)| pieces.len() >= LEAST_COPIES && area(*k, pieces) >= least)
        .collect();
    sets.sort_by(|((k, _), p), ((l, _), q)| area(*l, q).total_cmp(&area(*k, p)));
    sets.truncate(SETS);
    let laid = sets.into_iter().map(|((kind, heading), pieces)| {
        let patterns = patterns(inst, &first_choice(inst, kind, heading), pieces.len());
        Set { pieces, patterns }
    });
    laid.filter(|s| !s.patterns.is_empty()).collect()
}

fn plans<'a>(inst: &Instance, sets: &'a [Set]) -> Vec<Plan<'a>> {
    match sets {
        [] => Vec::new(),
        [only] if only.pieces.len() == inst.entries.len() => alone(only),
        [first, ..] => {
            let best = |sets: &'a [Set]| sets.iter().filter_map(|s| s.block(0, s.pieces.len())).collect();
            let mut choices: Vec<Vec<Block<'a>>> = vec![best(std::slice::from_ref(first))];
            if sets.len() > 1 {
                choices.push(best(sets));
            }
            let both = |blocks: Vec<Block<'a>>| {
                [Turn::First, Turn::Last].map(|turn| Plan { blocks: blocks.clone(), turn })
            };
            choices.into_iter().flat_map(both).collect()
        }
    }
}

/// Several patterns; the last pieces, as many as make half a column or a whole one, also by themselves.
fn alone(set: &Set) -> Vec<Plan<'_>> {
    let tails = set.patterns.iter().take(LAID).enumerate().flat_map(|(k, p)| {
        [0, p.rows() / 2, p.rows()].map(|tail| set.block(k, set.pieces.len().saturating_sub(tail)))
    });
    tails.flatten().map(|b| Plan { blocks: vec![b], turn: Turn::First }).collect()
}

impl Set {
    fn block(&self, pattern: usize, pieces: usize) -> Option<Block<'_>> {
        Some(Block { pieces: &self.pieces[..pieces], pattern: self.patterns.get(pattern)? })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::fixtures::{frame, job_of, panel, rectangle, ring};
    use crate::job::{GrainRule, Job, Panel};
    use crate::nest::field::Field;
    use crate::nest::request::request;
    use crate::shape::Region;

    fn gores(copies: u32) -> Panel {
        let outline =
            ring(&[(0., 0.), (300., 22.), (390., 32.), (400., 40.), (390., 48.), (300., 58.), (0., 80.)]);
        let mut gore = panel("gore", vec![Region::solid(outline)]);
        gore.grain.rule = GrainRule::TwoWay;
        gore.copies = copies;
        gore
    }

    /// The length of the layout in patterns, after it was seen to be clear.
    #[track_caller]
    fn laid(job: &Job) -> Option<f64> {
        let inst = request(job).unwrap().instance;
        let (spots, length) = in_patterns(&inst, f64::INFINITY)?;
        assert_eq!(spots.len(), inst.entries.len());
        assert_eq!(Field::new(&inst, spots, length).overlaps(), []);
        Some(length)
    }

    #[test]
    fn patterns_go_round_a_flaw() {
        let mut job = job_of(600.0, vec![gores(40)]);
        let free = laid(&job).unwrap();
        let spot: Vec<(f64, f64)> = vec![(500., 250.), (560., 250.), (560., 300.), (500., 300.)];
        job.roll.flaws.push(ring(&spot));
        let round = laid(&job).unwrap();
        // It may fall into waste; at worst every piece that covers it, three at most, begins another column.
        assert!(round >= free - 1e-6 && round <= free + 2.0 * 400.0, "{free} {round}");
    }

    #[test]
    fn patterns_lie_beside_other_pieces() {
        let mut plate = rectangle("plate", 150.0, 100.0);
        plate.copies = 5;
        let mut job = job_of(600.0, vec![gores(40), plate]);
        job.gap = 2.0;
        let alone = laid(&Job { panels: vec![gores(40)], ..job.clone() }).unwrap();
        let both = laid(&job).unwrap();
        // By hand: three plates of 150 lie side by side, so two columns of 100, each with its gap, are enough.
        assert!(both <= alone + 204.0 + 1e-3, "{alone} {both}");
    }

    #[test]
    fn a_few_pieces_lie_in_no_pattern() {
        assert_eq!(laid(&job_of(600.0, vec![gores(LEAST_COPIES as u32 - 1)])), None);
        let region = Region::solid(frame(5.0, 5.0));
        let dots = Panel { copies: 50, ..panel("dot", vec![region]) };
        assert_eq!(laid(&job_of(600.0, vec![gores(5), dots])), None, "small ones lie in what others leave");
    }
}

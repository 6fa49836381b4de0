//! Kicks: changes large enough to leave a valley that moves of single pieces cannot leave.

use super::dice::Dice;
use super::field::{Field, Spot};
use crate::shape::Point;

/// Large pieces are those that make up this part of the hull area together.
const LARGE_PART: f64 = 0.75;

/// Disturbs the layout in one random way.
pub fn kick(field: &mut Field<'_>, dice: &mut Dice) {
    let inst = field.instance();
    let turnable = inst.groups.iter().any(|g| g.len() > 1);
    if turnable && dice.below(3) == 0 {
        turn_group(field, dice);
    } else {
        exchange(field, dice);
    }
}

/// Exchanges two large pieces of different kinds.
fn exchange(field: &mut Field<'_>, dice: &mut Dice) {
    let large = large(field);
    let kind = |f: &Field<'_>, i: usize| f.entry(i).kind;
    for _ in 0..20 {
        let (i, j) = (large[dice.below(large.len())], large[dice.below(large.len())]);
        if kind(field, i) != kind(field, j) {
            swap(field, i, j);
            return;
        }
    }
    let i = dice.below(field.movable());
    let at = Point { x: dice.within(0.0, field.length()), y: dice.within(0.0, field.instance().width) };
    let spot = field.clamp(i, Spot { at, ..field.spot(i) });
    field.set(i, spot);
}

/// The largest pieces, by hull area, until they make up [`LARGE_PART`] of all.
fn large(field: &Field<'_>) -> Vec<usize> {
    let inst = field.instance();
    let area = |i: usize| inst.kinds[field.entry(i).kind as usize].hull_area;
    let mut order: Vec<usize> = (0..field.movable()).collect();
    order.sort_by(|&i, &j| area(j).total_cmp(&area(i)).then(i.cmp(&j)));
    let total: f64 = order.iter().map(|&i| area(i)).sum();
    let mut sum = 0.0;
    order
        .into_iter()
        .take_while(|&i| {
            let before = sum;
            sum += area(i);
            before < LARGE_PART * total
        })
        .collect()
}

fn swap(field: &mut Field<'_>, i: usize, j: usize) {
    let (a, b) = (field.spot(i), field.spot(j));
    let inst = field.instance();
    let mid = |s: Spot| s.at + inst.stances[s.stance as usize].box_mid;
    let at = |s: Spot, m: Point| Spot { at: m - inst.stances[s.stance as usize].box_mid, ..s };
    let (ma, mb) = (mid(a), mid(b));
    let (a, b) = (field.clamp(i, at(a, mb)), field.clamp(j, at(b, ma)));
    field.set(i, a);
    field.set(j, b);
}

/// Gives all pieces of a group another heading.
fn turn_group(field: &mut Field<'_>, dice: &mut Dice) {
    let inst = field.instance();
    let g = dice.below(inst.groups.len());
    let open = &inst.groups[g];
    if open.len() < 2 {
        return;
    }
    let heading = open[dice.below(open.len())];
    for i in 0..field.movable() {
        if field.entry(i).group != Some(g as u32) {
            continue;
        }
        let spot = field.spot(i);
        let mirrored = inst.stances[spot.stance as usize].mirrored;
        let range = inst.kinds[field.entry(i).kind as usize].stances.clone();
        let fits = |s: &u32| {
            let s = &inst.stances[*s as usize];
            s.heading == heading && s.mirrored == mirrored
        };
        if let Some(stance) = range.clone().find(fits) {
            let spot = field.clamp(i, Spot { stance, ..spot });
            field.set(i, spot);
        }
    }
}

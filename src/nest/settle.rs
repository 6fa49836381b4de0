//! The last hair: single precision says the layout is clear; here double precision makes it so.
//!
//! Our own: pairs are moved apart one after the other, each half the way, over and over. Gomes and Oliveira (EJOR 171,
//! 2006) separate by a linear program; what is left here is rounding, and comes to rest without one.

use super::field::Field;
use super::instance::Spot;
use crate::shape::Point;

/// Sweeps over all pieces; a contact chain as long as the strip settles well within it.
const SWEEPS: usize = 60;

/// Moves overlapping neighbours apart until no depth exceeds `allowed`, and gives the spots
/// and the length they reach. `None` when that does not come to rest.
pub fn settle(field: &Field<'_>, allowed: f64) -> Option<(Vec<Spot>, f64)> {
    let mut f = field.clone();
    let mut near = Vec::new();
    // A piece turned so that it is longer than the strip is held across both ends of it: it then
    // begins at the start and reaches beyond the end, so that the length tells.
    for i in 0..f.movable() {
        shift(&mut f, i, Point { x: 0.0, y: 0.0 });
    }
    for _ in 0..SWEEPS {
        let mut worst = 0.0f64;
        for i in 0..f.movable() {
            near.clear();
            neighbours(&f, i, &mut near);
            for &j in &near {
                worst = worst.max(part(&mut f, i, j, allowed));
            }
        }
        if worst <= allowed {
            let reach = f.reach();
            return Some((f.spots().to_vec(), reach));
        }
    }
    None
}

fn neighbours(f: &Field<'_>, i: usize, out: &mut Vec<usize>) {
    f.near(i, |j| {
        if j > i {
            out.push(j);
        }
    });
    out.sort_unstable();
}

/// Moves `i` and `j` apart if they lie deeper than `allowed`; gives the depth found.
fn part(f: &mut Field<'_>, i: usize, j: usize, allowed: f64) -> f64 {
    let inst = f.instance();
    let (a, b) = (f.spot(i), f.spot(j));
    let (sa, sb) = (&inst.stances[a.stance as usize], &inst.stances[b.stance as usize]);
    let (depth, way) = inst.push_exact(sa, sb, b.at - a.at);
    if depth <= allowed {
        return depth;
    }
    // A little more than needed, so that rounding does not bring the same pair back.
    let by = depth - 0.5 * allowed;
    let share = if j < f.movable() { 0.5 } else { 1.0 };
    shift(f, i, way * (-by * share));
    if j < f.movable() {
        shift(f, j, way * (by * share));
    }
    depth
}

/// Moves a piece; it may come to reach beyond the strip's end, never beyond its other sides.
fn shift(f: &mut Field<'_>, i: usize, by: Point) {
    let spot = f.spot(i);
    let s = &f.instance().stances[spot.stance as usize];
    let (lo, hi, width) = (s.lo, s.hi, f.instance().width);
    let mut at = spot.at + by;
    at.x = at.x.max(-lo.x);
    if hi.y - lo.y <= width {
        at.y = at.y.clamp(-lo.y, width - hi.y);
    }
    f.set(i, Spot { at, ..spot });
}

//! The last hair: single precision says the layout is clear; here double precision makes it so.
//!
//! Our own: pairs are moved apart one after the other, each half the way, over and over. Gomes and Oliveira (EJOR 171,
//! 2006) separate by a linear program; what is left here is rounding, and comes to rest without one.

use super::field::{Field, held};
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
    let at = spot.at + by;
    let at = Point { x: at.x.max(-s.lo.x), y: held(at.y, f.instance().across(s)) };
    f.set(i, Spot { at, ..spot });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::fixtures::{job_of, panel, ring};
    use crate::nest::request::request;
    use crate::shape::Region;

    /// By rounding alone, a panel as wide as the film may not have room for its origin.
    #[test]
    fn a_panel_as_wide_as_the_film_stays_where_it_is() {
        let mut tight = 0;
        for k in 0..200 {
            let low = 0.1 * f64::from(k);
            let width = 593.7;
            let outline = ring(&[(0.0, low), (80.0, low), (60.0, low + width), (0.0, low + width)]);
            let inst =
                request(&job_of(width, vec![panel("wrap", vec![Region::solid(outline)])])).unwrap().instance;
            let Some(s) = inst.stances.first() else { continue };
            let (from, to) = inst.across(s);
            tight += usize::from(from > to);
            let spot = Spot { stance: 0, at: Point { x: -s.lo.x, y: from } };
            let (spots, length) = settle(&Field::new(&inst, vec![spot], 100.0), 0.0).unwrap();
            assert!((spots[0].at.y - from).abs() < 1e-9 && (length - 80.0).abs() < 1e-9);
        }
        assert!(tight > 0, "no rounding that tells");
    }
}

//! The move: one overlapping piece goes to the best place found on the whole strip.
//!
//! Cheap samples near its place and all over the strip; the best few are refined by exact
//! push-out and by descent along lines; each evaluation is abandoned as soon as it cannot be
//! among the best. Inside a convex no-fit polygon the depth is concave, so minima of a weighted
//! sum of depths lie where boundaries meet: at single and double contacts, which push-out visits and
//! sampling never hits.
//!
//! One piece at a time to where it overlaps least is Egeblad, Nielsen, Odgaard (EJOR 183, 2007), who look along one axis
//! exactly (from memory); sampling and giving up early is Gardeyn, Vanden Berghe, Wauters (2025; from memory). Elkeran
//! (EJOR 231, 2013) and Sato et al. (2019) visit exact contacts too; that they are reached out of an overlap is our own.

use super::dice::Dice;
use super::field::Field;
use super::instance::Spot;
use super::nfp::Push;
use crate::shape::Point;

/// Samples in a box of the piece's own size about its place.
const NEAR_SAMPLES: usize = 20;
/// Samples all over the strip.
const WIDE_SAMPLES: usize = 40;
/// Samples that are refined. One instead of three costs 0.4 points of density.
const REFINED: usize = 3;
/// Rounds of push-out at most; most end after two or three.
const PUSH_ROUNDS: usize = 6;
/// Neighbours taken into account in a push-out.
const MOST_PUSHES: usize = 16;
/// Of these the heaviest, whose double contacts are tried.
const PAIRED: usize = 4;
/// A push-out must gain this part to go on.
const WORTH: f32 = 1e-4;

/// Working memory of the move.
#[derive(Debug, Clone, Default)]
pub struct Relocate {
    tops: Vec<(f32, Spot)>,
    pushes: Vec<(u32, Push)>,
}

impl Relocate {
    /// Moves piece `i` if a better place is found; says whether it moved.
    pub fn run(&mut self, field: &mut Field<'_>, weights: &[f32], dice: &mut Dice, i: usize) -> bool {
        let here = field.spot(i);
        let present = field.cost(i, here, weights, f32::INFINITY);
        if present <= 0.0 {
            return false;
        }
        let mut best = (present, here);
        if self.sample(field, weights, dice, i) {
            best = self.tops[0];
        } else {
            self.tops.push((present, here));
            for t in 0..self.tops.len() {
                let refined = self.refine(field, weights, dice, i, self.tops[t], best.0);
                if refined.0 < best.0 {
                    best = refined;
                }
                if best.0 <= 0.0 {
                    break;
                }
            }
            if best.0 > 0.0 {
                let size = self.size(field, best.1);
                field.look_about(i, best.1, weights);
                best = self.descend(field, weights, dice, i, best, 2e-3 * size, 1e-4 * size);
            }
        }
        let moved = best.0 < present;
        if moved {
            field.set(i, best.1);
        }
        moved
    }

    /// Fills `tops` with the best samples, best first; true as soon as one is clear of all others.
    fn sample(&mut self, field: &mut Field<'_>, weights: &[f32], dice: &mut Dice, i: usize) -> bool {
        self.tops.clear();
        let here = field.spot(i);
        for k in 0..NEAR_SAMPLES + WIDE_SAMPLES {
            let stance = random_stance(field, dice, i, here.stance, k < NEAR_SAMPLES);
            let spot = if k < NEAR_SAMPLES {
                let s = &field.instance().stances[stance as usize];
                let (w, h) = (s.length(), s.across());
                let by = Point { x: dice.within(-0.5, 0.5) * w, y: dice.within(-0.5, 0.5) * h };
                field.clamp(i, Spot { stance, at: here.at + by })
            } else {
                field.anywhere(i, stance, dice)
            };
            let full = self.tops.len() == REFINED;
            let bound = if full { self.tops[REFINED - 1].0 } else { f32::INFINITY };
            let cost = field.cost(i, spot, weights, bound);
            if cost < bound {
                if full {
                    self.tops.pop();
                }
                let place = self.tops.partition_point(|t| t.0 <= cost);
                self.tops.insert(place, (cost, spot));
                if cost <= 0.0 {
                    return true;
                }
            }
        }
        false
    }

    fn size(&self, field: &Field<'_>, spot: Spot) -> f64 {
        let s = &field.instance().stances[spot.stance as usize];
        s.length().min(s.across())
    }

    /// Pushes a place out of overlap. Only if that beats what there is already it is worth a descent: of places that
    /// push-out left above that, one descent in forty went below, and they took a third of all evaluations.
    #[allow(clippy::too_many_arguments, reason = "a step of the move above, split off for reading only")]
    fn refine(
        &mut self,
        field: &mut Field<'_>,
        weights: &[f32],
        dice: &mut Dice,
        i: usize,
        from: (f32, Spot),
        beat: f32,
    ) -> (f32, Spot) {
        field.look_about(i, from.1, weights);
        let mut best = self.push_out(field, weights, i, from);
        if best.0 > 0.0 && many_stances(field, i) {
            best = self.turn(field, weights, i, best);
        }
        if best.0 <= 0.0 || best.0 >= beat {
            return best;
        }
        let size = self.size(field, best.1);
        self.descend(field, weights, dice, i, best, 0.1 * size, 1e-3 * size)
    }

    /// Steps to single and double contacts with the neighbours that are overlapped, while that helps.
    fn push_out(
        &mut self,
        field: &mut Field<'_>,
        weights: &[f32],
        i: usize,
        from: (f32, Spot),
    ) -> (f32, Spot) {
        let mut cur = from;
        let lift = 0.5 * field.instance().slip;
        for _ in 0..PUSH_ROUNDS {
            if cur.0 <= 0.0 {
                break;
            }
            field.pushes(i, cur.1, &mut self.pushes);
            let weight = |p: &(u32, Push)| weights[p.0 as usize] * p.1.depth;
            self.pushes.sort_unstable_by(|p, q| weight(q).total_cmp(&weight(p)).then(p.0.cmp(&q.0)));
            self.pushes.truncate(MOST_PUSHES);
            let mut best = cur;
            for k in 0..self.pushes.len() {
                let p = self.pushes[k].1;
                try_move(field, weights, i, cur.1, single(p, lift), &mut best);
                let heavier = if k < PAIRED { k } else { 0 };
                for q in 0..heavier {
                    if let Some(v) = double(p, self.pushes[q].1, lift) {
                        try_move(field, weights, i, cur.1, v, &mut best);
                    }
                }
            }
            let gained = best.0 < cur.0 * (1.0 - WORTH);
            if best.0 < cur.0 {
                cur = best;
            }
            if !gained {
                break;
            }
        }
        cur
    }

    /// Descent along the axes and the diagonals with a step that grows on success and shrinks on failure.
    #[allow(clippy::too_many_arguments, reason = "a step of the move above, split off for reading only")]
    fn descend(
        &mut self,
        field: &mut Field<'_>,
        weights: &[f32],
        dice: &mut Dice,
        i: usize,
        from: (f32, Spot),
        first: f64,
        last: f64,
    ) -> (f32, Spot) {
        let mut cur = from;
        let mut step = first;
        while step >= last && cur.0 > 0.0 {
            let (ux, uy) = [(1.0, 0.0), (0.0, 1.0), (0.7, 0.7), (0.7, -0.7)][dice.below(4)];
            let before = cur.0;
            for s in [step, -step] {
                let v = Point { x: s * ux, y: s * uy };
                let base = cur.1;
                if cur.0 >= before {
                    try_move(field, weights, i, base, v, &mut cur);
                }
            }
            step *= if cur.0 < before { 1.1 } else { 0.5 };
        }
        cur
    }

    /// Tries the headings next to the present one, in falling steps.
    fn turn(&mut self, field: &mut Field<'_>, weights: &[f32], i: usize, from: (f32, Spot)) -> (f32, Spot) {
        let mut cur = from;
        let range = field.instance().kinds[field.entry(i).kind as usize].stances.clone();
        let n = range.len() as u32;
        for step in [n / 48, n / 200, 1] {
            if step == 0 {
                continue;
            }
            for ahead in [step, n - step] {
                let stance = range.start + (cur.1.stance - range.start + ahead) % n;
                if !field.has_room(stance) {
                    continue;
                }
                let spot = field.clamp(i, Spot { stance, at: cur.1.at });
                let cost = field.cost(i, spot, weights, cur.0);
                if cost < cur.0 {
                    field.look_about(i, spot, weights);
                    cur = self.push_out(field, weights, i, (cost, spot));
                    break;
                }
            }
        }
        cur
    }
}

/// Whether a piece has so many stances that neighbouring ones are alike.
fn many_stances(field: &Field<'_>, i: usize) -> bool {
    let e = field.entry(i);
    let kind = &field.instance().kinds[e.kind as usize];
    e.group.is_none() && kind.coarse.len() < kind.stances.len()
}

/// A stance to sample: any for a wide sample, mostly the present one near where it lies.
fn random_stance(field: &Field<'_>, dice: &mut Dice, i: usize, present: u32, near: bool) -> u32 {
    let e = field.entry(i);
    let kind = &field.instance().kinds[e.kind as usize];
    if e.group.is_some() || kind.stances.len() < 2 || (near && many_stances(field, i) && dice.below(2) == 0) {
        return present;
    }
    let stance = kind.coarse[dice.below(kind.coarse.len())];
    if field.has_room(stance) { stance } else { present }
}

fn try_move(field: &mut Field<'_>, weights: &[f32], i: usize, from: Spot, by: Point, best: &mut (f32, Spot)) {
    let spot = field.clamp(i, Spot { at: from.at + by, ..from });
    let cost = field.cost(i, spot, weights, best.0);
    if cost < best.0 {
        *best = (cost, spot);
    }
}

/// The move that ends one overlap.
fn single(p: Push, lift: f64) -> Point {
    let d = f64::from(p.depth) + lift;
    Point { x: d * f64::from(p.x), y: d * f64::from(p.y) }
}

/// The move that ends two overlaps at once: into contact with both.
fn double(p: Push, q: Push, lift: f64) -> Option<Point> {
    let (px, py, qx, qy) = (f64::from(p.x), f64::from(p.y), f64::from(q.x), f64::from(q.y));
    let det = px * qy - py * qx;
    if det.abs() < 0.05 {
        return None;
    }
    let (a, b) = (f64::from(p.depth) + lift, f64::from(q.depth) + lift);
    Some(Point { x: (a * qy - b * py) / det, y: (b * px - a * qx) / det })
}

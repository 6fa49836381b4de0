//! The constructive start: a valid layout in milliseconds.
//!
//! Pieces in falling order of hull area, each at the leftmost touching position found:
//! corners of the strip, vertices of no-fit polygons with the pieces placed last, and where
//! those polygons cross the strip's sides (bottom-left with no-fit polygons, after Gomes and
//! Oliveira, EJOR 141, 2002). Looking back at a fixed number of pieces keeps the cost linear.

use super::dice::Dice;
use super::field::Spot;
use super::instance::Instance;
use super::kind::Stance;
use super::placed::Placed;
use crate::shape::Point;

/// How many of the pieces placed last a piece may lean on.
const LOOK_BACK: usize = 150;

/// Spots of all pieces and the length they reach. `noise` disturbs the order (0: none).
pub fn start(inst: &Instance, dice: &mut Dice, noise: f64) -> (Vec<Spot>, f64) {
    let mut order: Vec<(f64, usize)> = (0..inst.entries.len())
        .map(|i| {
            let area = inst.kinds[inst.entries[i].kind as usize].hull_area;
            (area * dice.within(1.0 - noise, 1.0 + noise), i)
        })
        .collect();
    order.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    let mut placed = Placed::new(inst);
    let mut spots = vec![None; inst.entries.len()];
    for (_, i) in order {
        let e = &inst.entries[i];
        let group = e.group.and_then(|g| inst.groups[g as usize].first().copied());
        let spot = leftmost(&placed, e.kind, group, f64::INFINITY, LOOK_BACK)
            .map_or_else(|| at_the_end(&placed, e.kind, group), |b| b.1);
        placed.add(spot);
        spots[i] = Some(spot);
    }
    let spots: Vec<Spot> = spots.into_iter().flatten().collect();
    (spots, placed.reach())
}

/// Places fillers into what is left, each on its own, none farther along than the required
/// pieces reach. `None` for those that find no room.
pub fn fill(inst: &Instance, spots: &[Spot]) -> Vec<Option<Spot>> {
    let mut placed = Placed::new(inst);
    for s in spots {
        placed.add(*s);
    }
    let reach = placed.reach();
    let mut headings: Vec<Option<u32>> = vec![None; inst.groups.len()];
    for (e, s) in inst.entries.iter().zip(spots) {
        if let Some(g) = e.group {
            headings[g as usize] = Some(inst.stances[s.stance as usize].heading);
        }
    }
    let mut order: Vec<usize> = (0..inst.fillers.len()).collect();
    let area = |i: usize| inst.kinds[inst.fillers[i].kind as usize].hull_area;
    order.sort_by(|&i, &j| area(j).total_cmp(&area(i)).then(i.cmp(&j)));
    let mut out = vec![None; inst.fillers.len()];
    for i in order {
        let e = &inst.fillers[i];
        let heading = e.group.and_then(|g| headings[g as usize].or(inst.groups[g as usize].first().copied()));
        if let Some((_, spot)) = leftmost(&placed, e.kind, heading, reach, usize::MAX) {
            if let Some(g) = e.group {
                headings[g as usize] = Some(inst.stances[spot.stance as usize].heading);
            }
            placed.add(spot);
            out[i] = Some(spot);
        }
    }
    out
}

/// The clear spot of a kind whose right edge is leftmost and left of `limit`, with that edge.
fn leftmost(
    placed: &Placed<'_>,
    kind: u32,
    heading: Option<u32>,
    limit: f64,
    look_back: usize,
) -> Option<(f64, Spot)> {
    let inst = placed.instance();
    let mut best: Option<(f64, Spot)> = None;
    for stance in first_choice(inst, kind, heading) {
        let s = &inst.stances[stance as usize];
        let limit = best.map_or(limit, |b| b.0);
        if let Some(spot) = leftmost_at(placed, stance, limit, look_back) {
            let right = spot.at.x + s.hi.x;
            if right < limit {
                best = Some((right, spot));
            }
        }
    }
    best
}

/// Stances tried by the start: those of the group's heading, otherwise the quarter turns among
/// a great many (the search turns them later), otherwise all.
fn first_choice(inst: &Instance, kind: u32, heading: Option<u32>) -> Vec<u32> {
    let kind = &inst.kinds[kind as usize];
    let of = |s: u32| inst.stances[s as usize].heading;
    if let Some(h) = heading {
        return kind.stances.clone().filter(|s| of(*s) == h).collect();
    }
    if kind.coarse.len() == kind.stances.len() {
        return kind.coarse.clone();
    }
    let quarter: Vec<u32> = kind.stances.clone().filter(|s| of(*s) % (inst.per_turn / 4) == 0).collect();
    if quarter.is_empty() { kind.coarse.clone() } else { quarter }
}

/// Behind everything else; always clear.
fn at_the_end(placed: &Placed<'_>, kind: u32, heading: Option<u32>) -> Spot {
    let inst = placed.instance();
    let range = inst.kinds[kind as usize].stances.clone();
    let has = |s: &u32| heading.is_none_or(|h| inst.stances[*s as usize].heading == h);
    let stance = range.clone().find(has).unwrap_or(range.start);
    let s = &inst.stances[stance as usize];
    let x = placed.end() + inst.gap + s.box_half.x - s.box_mid.x;
    Spot { stance, at: Point { x: x.max(-s.lo.x), y: middle(inst, s) } }
}

fn middle(inst: &Instance, s: &Stance) -> f64 {
    if s.across() > inst.width { 0.5 * (inst.width - s.hi.y - s.lo.y) } else { -s.lo.y }
}

fn leftmost_at(placed: &Placed<'_>, stance: u32, limit: f64, look_back: usize) -> Option<Spot> {
    let inst = placed.instance();
    let s = &inst.stances[stance as usize];
    let (low, high) = (-s.lo.y, inst.width - s.hi.y);
    let mut places = vec![Point { x: -s.lo.x, y: middle(inst, s) }];
    if high > low {
        places.push(Point { x: -s.lo.x, y: high });
        for other in placed.latest(look_back) {
            touching(inst, s, other, low, high, &mut places);
        }
    }
    places.retain(|p| p.x >= -s.lo.x && p.x + s.hi.x < limit);
    places.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    places.into_iter().map(|at| Spot { stance, at }).find(|spot| placed.is_clear(*spot))
}

/// Places of the origin of `s` at which it touches a piece that lies at `other`, inside the strip.
fn touching(inst: &Instance, s: &Stance, other: Spot, low: f64, high: f64, out: &mut Vec<Point>) {
    let fixed = &inst.stances[other.stance as usize];
    let (nfp, fixed_at_origin) = inst.no_fit(fixed, s);
    let on_roll = |p: Point| if fixed_at_origin { other.at + fixed.out(p) } else { other.at - s.out(p) };
    let gap = inst.gap;
    // A mirrored frame turns contours round, and their outward side with them.
    let turn = if (if fixed_at_origin { fixed } else { s }).mirrored { -1.0 } else { 1.0 };
    for c in nfp.contours() {
        let n = c.len();
        for i in 0..n {
            let (a, p, b) = (on_roll(c[(i + n - 1) % n]), on_roll(c[i]), on_roll(c[(i + 1) % n]));
            let p_out = if gap > 0.0 { p + outwards(a, p, b) * (gap * turn) } else { p };
            if p_out.y >= low && p_out.y <= high {
                out.push(p_out);
            }
            for y in [low, high] {
                if (p.y > y) != (b.y > y) {
                    let x = p.x + (b.x - p.x) * (y - p.y) / (b.y - p.y);
                    let slope = crate::shape::length(b - p) / (b.y - p.y).abs();
                    out.push(Point { x: x + gap * slope, y });
                }
            }
        }
    }
}

/// The vector that leads away from a corner of a counter-clockwise contour, long enough to
/// clear both of its sides by 1.
fn outwards(a: Point, p: Point, b: Point) -> Point {
    let normal = |u: Point, v: Point| {
        let d = v - u;
        Point { x: d.y, y: -d.x } * (1.0 / crate::shape::length(d).max(f64::MIN_POSITIVE))
    };
    let (m, n) = (normal(a, p), normal(p, b));
    let sum = m + n;
    let k = crate::shape::dot(sum, m);
    if k > 0.1 { sum * (1.0 / k) } else { m }
}

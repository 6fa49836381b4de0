//! Long jobs in which the same pieces come again and again: a batch of them is searched, and laid many times along
//! the strip.
//!
//! Twenty like days are one day, twenty times: what a search wins on a hundred pieces is won in every batch. What does
//! not come often enough for all batches, the rest, lies behind them as the constructive start leaves it. A batch
//! follows the one before as near as its pieces let it when it is pushed up against it along the strip; what stays
//! open between them is left to the stretches (`stretch.rs`).
//!
//! A batch is judged by its length, not by how near the next one comes to it: that differs by little, and its ends are
//! flat once it is tight.
//!
//! Pieces of one match group stay together, so that every group keeps one heading.
//!
//! Our own. One batch laid many times is to a job of many like days what a pattern (`lattice.rs`) is to many like pieces.

use super::contact::Boundary;
use super::dice::Dice;
use super::field::Field;
use super::instance::{Entry, Instance, Spot};
use super::slice::beside;
use super::start::start_of;
use super::walk::{Best, FIRST_STEP, Walk};
use super::weights::Growth;
use crate::shape::Point;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Pieces from which on a job is long.
const LONG: usize = 400;
/// Pieces of a batch: about a hundred, as many as a walk can keep in order.
const PIECES: std::ops::Range<usize> = 80..180;
/// Least length of a batch in lengths of the longest piece: on a shorter one the ends cost too much.
const LONGEST: f64 = 3.0;
/// The part of all area that batches must have.
const LEAST_PART: f64 = 0.75;
/// Pieces of one kind with more than this part of all area lie in patterns (`lattice.rs`).
const MOST_OF_ONE: f64 = 0.5;

/// A long job as equal batches and a rest.
#[derive(Debug)]
pub struct Batches<'a> {
    inst: &'a Instance,
    /// For every piece of a batch the pieces of the instance that it stands for, one for each batch.
    members: Vec<Vec<usize>>,
    rest: Vec<usize>,
    rest_spots: Vec<Spot>,
    walks: Vec<Walk<'a>>,
    /// The best layout of a batch.
    batch: Best,
}

impl<'a> Batches<'a> {
    /// For a job that is long enough and repeats itself, without obstacles and pieces that are held to a part of the
    /// strip. One walk for each of `growths`.
    pub fn new(inst: &'a Instance, seed: u64, growths: &[Growth], noise: f64) -> Option<Self> {
        if !inst.obstacles.is_empty() || inst.is_parted() || inst.entries.len() < LONG {
            return None;
        }
        let (members, rest) = split(inst)?;
        let first: Vec<usize> = members.iter().map(|m| m[0]).collect();
        let walk = |number: usize| {
            let field = begun(inst, &first, seed, number, if number == 0 { 0.0 } else { noise });
            Walk::on(field, growths[number], Dice::new(seed, number as u64), FIRST_STEP)
        };
        let walks: Vec<Walk<'a>> = (0..growths.len()).into_par_iter().map(walk).collect();
        let rest_spots = begun(inst, &rest, seed, 0, 0.0).spots().to_vec();
        let batch = walks.first()?.best().clone();
        let mut batches = Self { inst, members, rest, rest_spots, walks, batch };
        batches.meet();
        Some(batches)
    }

    /// One round of all walks on a batch, about `work` evaluations each; says whether the batch became shorter.
    pub fn round(&mut self, work: u64) -> bool {
        let batch = &self.batch;
        self.walks.par_iter_mut().for_each(|w| {
            w.adopt(batch);
            w.work(work);
        });
        self.meet()
    }

    fn meet(&mut self) -> bool {
        let before = self.batch.length;
        self.batch.take_over(self.walks.iter());
        self.batch.length < before
    }

    /// All batches one behind the other, and the rest.
    pub fn laid(&self) -> Best {
        let (inst, batch) = (self.inst, &self.batch);
        let times = self.members.first().map_or(0, Vec::len);
        let least = 0.5 * batch.length + inst.gap;
        let by = follow(inst, &batch.spots, &batch.spots).max(least);
        let last = by * times.saturating_sub(1) as f64;
        let rest_by = last + follow(inst, &batch.spots, &self.rest_spots).max(least);
        let along = |s: &Spot, by: f64| Spot { at: Point { x: s.at.x + by, ..s.at }, ..*s };
        let mut spots = vec![Spot { stance: 0, at: Point { x: 0.0, y: 0.0 } }; inst.entries.len()];
        for (spot, members) in batch.spots.iter().zip(&self.members) {
            for (time, i) in members.iter().enumerate() {
                spots[*i] = along(spot, by * time as f64);
            }
        }
        for (spot, i) in self.rest_spots.iter().zip(&self.rest) {
            spots[*i] = along(spot, rest_by);
        }
        Best::reaching(inst, spots)
    }
}

/// Some pieces as the constructive start lays them.
fn begun<'a>(inst: &'a Instance, pieces: &[usize], seed: u64, walk: usize, noise: f64) -> Field<'a> {
    let (spots, length) = start_of(inst, pieces, &mut Dice::new(seed, 1000 + walk as u64), noise);
    let entries: Vec<Entry> = pieces.iter().map(|i| inst.entries[*i].clone()).collect();
    let mut field = Field::stretch(inst, entries, spots, vec![], vec![], length);
    let best = Best::settled(&field);
    field.resize(best.length, f64::INFINITY);
    field.restore(&best.spots);
    field
}

/// Pieces of batches, and the rest.
type Split = (Vec<Vec<usize>>, Vec<usize>);

/// Splits the pieces so that as little as can be is left over.
fn split(inst: &Instance) -> Option<Split> {
    let classes = classes(inst);
    let area = |piece: usize| inst.kinds[inst.entries[piece].kind as usize].area;
    let of_class = |c: &Vec<Vec<usize>>| c[0].iter().map(|i| area(*i)).sum::<f64>();
    let classes: Vec<(f64, Vec<Vec<usize>>)> = classes.into_iter().map(|c| (of_class(&c), c)).collect();
    let all = inst.area();
    let mut of_kind = vec![0.0; inst.kinds.len()];
    (0..inst.entries.len()).for_each(|i| of_kind[inst.entries[i].kind as usize] += area(i));
    if of_kind.iter().any(|a| *a > MOST_OF_ONE * all) {
        return None;
    }
    let longest = inst.stances.iter().map(|s| s.length()).fold(0.0, f64::max);
    let least_area = LONGEST * longest * inst.width;
    let n = inst.entries.len();
    let fits = |times: &usize| {
        let pieces: usize = classes.iter().map(|(_, u)| u.len() / times * u[0].len()).sum();
        PIECES.contains(&pieces) && in_batch(&classes, *times) >= least_area
    };
    let part = |times: usize| in_batch(&classes, times) * times as f64 / all;
    let times = (2..=n / PIECES.start).filter(fits).max_by(|a, b| part(*a).total_cmp(&part(*b)))?;
    if part(times) < LEAST_PART {
        return None;
    }
    let (mut members, mut rest) = (Vec::new(), Vec::new());
    for (_, units) in classes {
        let per_batch = units.len() / times;
        for unit in 0..per_batch {
            let of_piece = |k: usize| (0..times).map(|time| units[time * per_batch + unit][k]).collect();
            members.extend((0..units[0].len()).map(of_piece));
        }
        rest.extend(units.into_iter().skip(times * per_batch).flatten());
    }
    Some((members, rest))
}

/// Area of a batch where there are so many.
fn in_batch(classes: &[(f64, Vec<Vec<usize>>)], times: usize) -> f64 {
    classes.iter().map(|(area, units)| area * (units.len() / times) as f64).sum()
}

/// What like units have in common: the headings open to a group, and the kinds of their pieces.
type Like<'a> = (Option<&'a [u32]>, Vec<u32>);

/// Units that may stand for each other: single pieces of one kind, and match groups with the same pieces.
fn classes(inst: &Instance) -> Vec<Vec<Vec<usize>>> {
    let mut groups: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
    let mut units = Vec::new();
    for (i, e) in inst.entries.iter().enumerate() {
        match e.group {
            Some(g) => groups.entry(g).or_default().push(i),
            None => units.push(vec![i]),
        }
    }
    units.extend(groups.into_values());
    let mut classes: BTreeMap<Like<'_>, Vec<Vec<usize>>> = BTreeMap::new();
    for mut unit in units {
        let kind = |i: usize| inst.entries[i].kind;
        unit.sort_by_key(|i| (kind(*i), *i));
        let open = inst.entries[unit[0]].group.map(|g| inst.groups[g as usize].as_slice());
        let like = (open, unit.iter().map(|i| kind(*i)).collect());
        classes.entry(like).or_default().push(unit);
    }
    classes.into_values().collect()
}

/// How far along the strip `behind` must be moved at least, to lie clear of `front` when it comes from behind.
fn follow(inst: &Instance, front: &[Spot], behind: &[Spot]) -> f64 {
    let stance = |s: &Spot| &inst.stances[s.stance as usize];
    let mut pairs = Vec::new();
    for f in front {
        for b in behind {
            let (p, q) = (stance(f), stance(b));
            let apart = (f.at.y + p.box_mid.y - b.at.y - q.box_mid.y).abs();
            if apart < p.box_half.y + q.box_half.y + inst.gap {
                let ends = (f.at.x + p.box_mid.x + p.box_half.x, b.at.x + q.box_mid.x - q.box_half.x);
                pairs.push((ends.0 + inst.gap - ends.1, f, b));
            }
        }
    }
    // Where boxes are what keeps two apart, most need not be looked at any more.
    pairs.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut by = 0.0f64;
    for (most, f, b) in pairs {
        if most <= by {
            break;
        }
        by = by.max(right_end(inst, *f, b).map_or(0.0, |x| x - b.at.x));
    }
    by
}

/// The greatest x at which a piece in the place of `moving`, moved along the strip, is taken by `fixed`.
fn right_end(inst: &Instance, fixed: Spot, moving: &Spot) -> Option<f64> {
    let boundary = Boundary::new(inst, &inst.stances[moving.stance as usize], fixed);
    let (sides, gap) = (boundary.sides(), boundary.gap());
    let turned = |p: Point| Point { x: p.y, y: p.x };
    let at = |y: f64| {
        let taken = sides.iter().filter_map(|(a, b)| beside((turned(*a), turned(*b)), gap, y));
        taken.map(|t| t.1).fold(None, |most: Option<f64>, x| Some(most.map_or(x, |m| m.max(x))))
    };
    // What is only touched sideways keeps nobody off.
    let slack = 0.5 * inst.slip;
    let ends = (at(moving.at.y - slack)?, at(moving.at.y + slack)?);
    Some(ends.0.min(ends.1) + slack)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::fixtures::{job_of, panel, rectangle, ring};
    use crate::job::{GrainRule, Job, Panel};
    use crate::nest::request::request;
    use crate::nest::weights::{GENTLE, HARD};
    use crate::shape::Region;

    fn triangle(copies: u32) -> Panel {
        let outline = ring(&[(0.0, 0.0), (100.0, 0.0), (0.0, 100.0)]);
        let mut triangle = panel("triangle", vec![Region::solid(outline)]);
        triangle.grain.rule = GrainRule::OneWay;
        triangle.copies = copies;
        triangle
    }

    fn plates(id: &str, length: f64, copies: u32) -> Panel {
        let mut plate = rectangle(id, length, 60.0);
        (plate.copies, plate.grain.rule) = (copies, GrainRule::TwoWay);
        plate
    }

    /// Orders of three triangles, two plates and a pair with one heading; and one odd plate.
    fn orders(count: u32) -> Job {
        let mut panels = vec![triangle(3 * count), plates("plate", 140.0, 2 * count), plates("odd", 90.0, 1)];
        for order in 0..count {
            let mut pair = triangle(2);
            (pair.id, pair.match_group) = (format!("pair {order}"), Some(format!("pair {order}")));
            pair.grain.rule = GrainRule::TwoWay;
            panels.push(pair);
        }
        Job { gap: 3.0, ..job_of(500.0, panels) }
    }

    #[test]
    fn batches_hold_every_piece_once_and_clear_of_all_others() {
        let inst = request(&orders(70)).unwrap().instance;
        let mut batches = Batches::new(&inst, 1, &[GENTLE, HARD], 0.1).unwrap();
        for _ in 0..3 {
            let laid = batches.laid();
            assert_eq!(Field::new(&inst, laid.spots.clone(), laid.length).overlaps(), []);
            let mut of_group = BTreeMap::new();
            for (spot, e) in laid.spots.iter().zip(&inst.entries) {
                let s = &inst.stances[spot.stance as usize];
                assert_eq!(s.kind, e.kind);
                assert!(spot.at.x + s.lo.x >= -1e-9 && spot.at.x + s.hi.x <= laid.length + 1e-9);
                if let Some(g) = e.group {
                    assert_eq!(*of_group.entry(g).or_insert(s.heading), s.heading, "one heading a group");
                }
            }
            batches.round(20_000);
        }
        // By hand: five batches of 14 orders, 98 pieces each, leave the odd plate over; no other number leaves less.
        assert!(batches.members.iter().all(|m| m.len() == 5));
        assert_eq!((batches.members.len(), batches.rest.len()), (98, 1));
    }

    #[test]
    fn what_does_not_repeat_itself_has_no_batches() {
        let new = |job: &Job| {
            let inst = request(job).unwrap().instance;
            Batches::new(&inst, 1, &[GENTLE], 0.1).is_some()
        };
        assert!(new(&orders(70)));
        assert!(!new(&orders(50)), "350 pieces are not many");
        assert!(!new(&job_of(500.0, vec![triangle(600)])), "patterns do better");
        let mut flawed = orders(70);
        flawed.roll.flaws.push(ring(&[(500., 250.), (560., 250.), (560., 300.), (500., 300.)]));
        assert!(!new(&flawed), "a flaw does not move along");
        let each = |k: u32| plates(&format!("plate {k}"), 100.0 + f64::from(k) * 0.1, 1);
        assert!(!new(&job_of(500.0, (0..450).map(each).collect())), "no two are alike");
    }

    /// By hand: the sloping side of the one in front is 100 - y from its left edge, and a gap of 5 measured square to
    /// it is 5 x sqrt(2) along the strip.
    #[test]
    fn what_follows_comes_as_near_as_its_pieces_let_it() {
        for (gap, up, by) in
            [(0.0, 0.0, 100.0), (0.0, 50.0, 50.0), (5.0, 50.0, 50.0 + 5.0 * 2f64.sqrt()), (5.0, 0.0, 105.0)]
        {
            let mut job = job_of(300.0, vec![triangle(2)]);
            job.gap = gap;
            let inst = request(&job).unwrap().instance;
            let stance = inst.kinds[0].stances.start;
            let at =
                |y: f64| Spot { stance, at: Point { x: 0.0, y: y - inst.stances[stance as usize].lo.y } };
            let found = follow(&inst, &[at(0.0)], &[at(up)]);
            assert!((found - by).abs() < 1e-3, "gap {gap}, {up} up: {found} for {by}");
        }
    }
}

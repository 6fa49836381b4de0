//! The pieces on the strip: where each lies, and how deep it lies in its neighbours.
//!
//! That a piece is judged by the weighted sum over those it overlaps is guided local search (`weights.rs`); that depths
//! are felt by the power of 3/4 is our own, and measured.

use super::about::{About, Near};
use super::boxes::Boxes;
use super::dice::Dice;
use super::instance::{Entry, Instance, Spot};
use super::kind::Stance;
use super::nfp::Push;
use crate::shape::Point;
use pulp::{Arch, Simd, WithSimd};

/// Two pieces that overlap and how strongly that is felt (beyond what is let pass).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Overlap {
    /// The one with the smaller number.
    pub a: u32,
    /// The other; may be an obstacle.
    pub b: u32,
    /// Its depth, as a part of the width, to the power of 3/4.
    pub felt: f32,
}

/// How strongly an overlap is felt: its depth, as a part of the strip's width, to the power of 3/4. Of two places with
/// the same sum of depths the one with fewer overlaps is the better one then; that gained 0.34 points of density
/// (benches/record/search.md).
#[inline(always)]
fn felt(part: f32) -> f32 {
    let root = part.sqrt();
    root * root.sqrt()
}

/// Pieces at their places on a strip of a given length. What does not move by itself follows the
/// pieces in number: first what is fixed, then what is bound to the end of the strip and goes with it.
#[derive(Debug, Clone)]
pub struct Field<'a> {
    inst: &'a Instance,
    entries: Vec<Entry>,
    spots: Vec<Spot>,
    /// Number of the first spot that is bound to the end.
    bound: usize,
    /// Length that the longest piece needs.
    longest: f64,
    boxes: Boxes,
    about: About<'a>,
    /// Working memory of [`Field::look_about`].
    gathered: Vec<u32>,
    length: f64,
    arch: Arch,
    /// One by the strip's width.
    per_width: f32,
    /// Evaluations done: the unit of work.
    pub work: u64,
}

/// A coordinate brought between two others; to their middle where there is nothing between them.
pub fn held(v: f64, (from, to): (f64, f64)) -> f64 {
    if from > to { 0.5 * (from + to) } else { v.max(from).min(to) }
}

/// How much larger than a piece's box the box is within which its neighbours are gathered.
const ABOUT: f64 = 1.6;
/// Single precision on boxes may miss a contact by this part of the strip's size; boxes are that much wider.
const BOX_ROUNDING: f64 = 1e-6;

impl<'a> Field<'a> {
    /// All pieces of an instance at the given spots on a strip of `length`.
    pub fn new(inst: &'a Instance, spots: Vec<Spot>, length: f64) -> Self {
        let fixed = inst.obstacles.iter().map(|o| Spot { stance: o.stance, at: o.at }).collect();
        Self::stretch(inst, inst.entries.clone(), spots, fixed, Vec::new(), length)
    }

    /// Some pieces of an instance among others that are fixed or bound to the end of the strip.
    pub fn stretch(
        inst: &'a Instance,
        entries: Vec<Entry>,
        mut spots: Vec<Spot>,
        fixed: Vec<Spot>,
        bound: Vec<Spot>,
        length: f64,
    ) -> Self {
        spots.truncate(entries.len());
        spots.extend(fixed);
        let first_bound = spots.len();
        spots.extend(bound);
        let reach = inst.stances.iter().map(|s| s.box_half.x).fold(0.0, f64::max) + 0.5 * inst.gap;
        let end = spots.iter().map(|s| s.at.x).fold(length, f64::max);
        let boxes = Boxes::new(spots.len(), end, reach * (1.0 + BOX_ROUNDING));
        let longest = entries.iter().map(|e| inst.shortest_length(e)).fold(0.0, f64::max);
        let mut field = Self {
            inst,
            entries,
            spots,
            bound: first_bound,
            longest,
            boxes,
            about: About::NOTHING,
            gathered: Vec::new(),
            length,
            arch: Arch::new(),
            per_width: 1.0 / inst.width as f32,
            work: 0,
        };
        for i in 0..field.spots.len() {
            field.put_box(i);
        }
        field
    }

    /// What piece `i` is.
    pub fn entry(&self, i: usize) -> &Entry {
        &self.entries[i]
    }

    /// No strip shorter than this holds the longest piece.
    pub fn longest(&self) -> f64 {
        self.longest
    }

    /// From now on the strip is not made shorter than this.
    pub fn keep_at_least(&mut self, length: f64) {
        self.longest = self.longest.max(length);
    }

    /// Whether a stance is no longer than the strip.
    pub fn has_room(&self, stance: u32) -> bool {
        self.stance(stance).length() <= self.length
    }

    /// Turns pieces that are longer than the strip to where they are shortest. Left as they lie they overlap nothing,
    /// and would never be moved.
    pub fn turn_what_is_too_long(&mut self) {
        for i in 0..self.movable() {
            let spot = self.spots[i];
            if self.has_room(spot.stance) || self.entries[i].group.is_some() {
                continue;
            }
            let length = |s: &u32| self.stance(*s).length();
            let range = self.inst.kinds[self.entries[i].kind as usize].stances.clone();
            if let Some(stance) = range.min_by(|a, b| length(a).total_cmp(&length(b))) {
                let spot = self.clamp(i, Spot { stance, ..spot });
                self.set(i, spot);
            }
        }
    }

    /// Areas of the hulls of all pieces, 0 for what does not move.
    pub fn hull_areas(&self) -> Vec<f64> {
        let area = |e: &Entry| self.inst.kinds[e.kind as usize].hull_area;
        let fixed = std::iter::repeat_n(0.0, self.len() - self.movable());
        self.entries.iter().map(area).chain(fixed).collect()
    }

    /// The instance it belongs to.
    pub fn instance(&self) -> &'a Instance {
        self.inst
    }

    /// Length of the strip within which pieces may move.
    pub fn length(&self) -> f64 {
        self.length
    }

    /// Number of pieces that may move.
    pub fn movable(&self) -> usize {
        self.entries.len()
    }

    /// Pieces and obstacles together.
    pub fn len(&self) -> usize {
        self.spots.len()
    }

    /// Whether there is neither a piece nor an obstacle.
    pub fn is_empty(&self) -> bool {
        self.spots.is_empty()
    }

    /// Where piece `i` lies.
    pub fn spot(&self, i: usize) -> Spot {
        self.spots[i]
    }

    /// The spots of the pieces that may move.
    pub fn spots(&self) -> &[Spot] {
        &self.spots[..self.movable()]
    }

    fn stance(&self, i: u32) -> &'a Stance {
        &self.inst.stances[i as usize]
    }

    fn box_of(&self, spot: Spot) -> (Point, Point) {
        let s = self.stance(spot.stance);
        let pad = 0.5 * self.inst.gap + BOX_ROUNDING * (s.box_half.x + s.box_half.y);
        (spot.at + s.box_mid, Point { x: s.box_half.x + pad, y: s.box_half.y + pad })
    }

    fn put_box(&mut self, i: usize) {
        let (mid, half) = self.box_of(self.spots[i]);
        self.boxes.insert(i, mid, half);
    }

    /// Moves piece `i`.
    pub fn set(&mut self, i: usize, spot: Spot) {
        self.about.clear();
        self.boxes.remove(i);
        self.spots[i] = spot;
        self.put_box(i);
    }

    /// Gathers what lies about a place, for the questions about piece `i` in that stance and with these weights
    /// that follow until a piece is moved.
    pub fn look_about(&mut self, i: usize, spot: Spot, weights: &[f32]) {
        let (mid, half) = self.box_of(spot);
        let gathered = &mut self.gathered;
        gathered.clear();
        self.boxes.near(mid, half * ABOUT, |j| {
            if j != i {
                gathered.push(j as u32);
            }
            true
        });
        gathered
            .sort_unstable_by(|j, k| weights[*k as usize].total_cmp(&weights[*j as usize]).then(j.cmp(k)));
        self.about.begin(i, spot, half, half * (ABOUT - 1.0));
        for &id in &self.gathered {
            let other = self.spots[id as usize];
            let (about, half) = self.box_of(other);
            let (link, nfp) = self.inst.linked(other.stance, spot.stance);
            let near = Near { id, weight: weights[id as usize], at: other.at, link, nfp };
            self.about.add(about - mid, half, near);
        }
    }

    /// Calls `hit` for pieces whose box overlaps that of piece `i` at `spot`, until it returns `false`.
    #[inline(always)]
    fn meet(&self, i: usize, spot: Spot, mut hit: impl FnMut(usize) -> bool) {
        let (mid, half) = self.box_of(spot);
        self.boxes.near(mid, half, |j| j == i || hit(j));
    }

    /// Where the origin of piece `i` in a stance may lie along the strip, from and to; `from` is greater where the
    /// stance is longer than that.
    fn span(&self, i: usize, s: &Stance) -> (f64, f64) {
        let part = self.entries[i].part;
        (part.from * self.length - s.lo.x, part.to * self.length - s.hi.x)
    }

    /// A random place for piece `i` in a stance, all over the strip, or the part of it where the piece is to lie.
    pub fn anywhere(&self, i: usize, stance: u32, dice: &mut Dice) -> Spot {
        let s = self.stance(stance);
        let ((from, to), (low, high)) = (self.span(i, s), self.inst.across(s));
        let at = Point { x: dice.within(from, to), y: dice.within(low, high) };
        self.clamp(i, Spot { stance, at })
    }

    /// Brings a place for piece `i` inside the strip, or the part of it where the piece is to lie.
    pub fn clamp(&self, i: usize, spot: Spot) -> Spot {
        let s = self.stance(spot.stance);
        let at = Point { x: held(spot.at.x, self.span(i, s)), y: held(spot.at.y, self.inst.across(s)) };
        Spot { at, ..spot }
    }

    /// Weighted sum of what piece `i` would feel if it lay at `spot`; any number from `bound` up once that is reached.
    #[inline]
    pub fn cost(&mut self, i: usize, spot: Spot, weights: &[f32], bound: f32) -> f32 {
        self.work += 1;
        self.arch.dispatch(Cost { field: self, i, spot, weights, bound })
    }

    /// Every piece that piece `i` would overlap at `spot`, with the way out.
    pub fn pushes(&mut self, i: usize, spot: Spot, out: &mut Vec<(u32, Push)>) {
        self.work += 1;
        out.clear();
        self.arch.dispatch(Pushes { field: self, i, spot, out });
    }

    /// Overlaps of piece `i` where it lies, with pieces of higher number only if `above`.
    pub fn overlaps_of(&self, i: usize, above: bool, out: &mut Vec<Overlap>) {
        self.arch.dispatch(Overlaps { field: self, i, above, out });
    }

    /// All overlaps, in order of the first piece.
    pub fn overlaps(&self) -> Vec<Overlap> {
        let mut out = Vec::new();
        for i in 0..self.movable() {
            self.overlaps_of(i, true, &mut out);
        }
        out
    }

    /// Calls `hit` for every piece or obstacle whose box overlaps that of piece `i`.
    pub fn near(&self, i: usize, mut hit: impl FnMut(usize)) {
        let (mid, half) = self.box_of(self.spots[i]);
        self.boxes.near(mid, half, |j| {
            if j != i {
                hit(j);
            }
            true
        });
    }

    #[inline(always)]
    fn depth_with<S: Simd>(&self, simd: S, j: usize, spot: Spot) -> f32 {
        let other = self.spots[j];
        self.inst.depth(simd, other.stance, spot.stance, spot.at - other.at)
    }

    /// Greatest x that any piece reaches; the length where something is bound to the end.
    pub fn reach(&self) -> f64 {
        if self.bound < self.spots.len() {
            return self.length;
        }
        self.spots().iter().map(|s| s.at.x + self.stance(s.stance).hi.x).fold(0.0, f64::max)
    }

    /// Gives the strip a new length by taking film out at (or adding it to) the right of `cut`:
    /// what lies right of it moves along, then everything is brought inside.
    pub fn resize(&mut self, length: f64, cut: f64) {
        let shift = length - self.length;
        self.length = length;
        for i in 0..self.movable() {
            let mut spot = self.spots[i];
            if spot.at.x > cut {
                spot.at.x += shift;
            }
            let spot = self.clamp(i, spot);
            if spot != self.spots[i] {
                self.set(i, spot);
            }
        }
        for i in self.bound..self.spots.len() {
            let mut spot = self.spots[i];
            spot.at.x += shift;
            self.set(i, spot);
        }
    }

    /// Replaces all places at once.
    pub fn restore(&mut self, spots: &[Spot]) {
        for (i, s) in spots.iter().enumerate() {
            if self.spots[i] != *s {
                self.set(i, *s);
            }
        }
    }
}

struct Cost<'f, 'a> {
    field: &'f Field<'a>,
    i: usize,
    spot: Spot,
    weights: &'f [f32],
    bound: f32,
}

impl WithSimd for Cost<'_, '_> {
    type Output = f32;

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) -> f32 {
        let (f, mut sum) = (self.field, 0.0f32);
        let mut add = |weight: f32, depth: f32| {
            let depth = depth - f.inst.slip as f32;
            sum += weight * felt(if depth > 0.0 { depth * f.per_width } else { 0.0 });
            sum < self.bound
        };
        if f.about.answers(self.i, self.spot) {
            f.about.meet(self.spot.at, |near| add(near.weight, near.depth(simd, self.spot.at)));
        } else {
            f.meet(self.i, self.spot, |j| add(self.weights[j], f.depth_with(simd, j, self.spot)));
        }
        sum
    }
}

struct Pushes<'f, 'a> {
    field: &'f Field<'a>,
    i: usize,
    spot: Spot,
    out: &'f mut Vec<(u32, Push)>,
}

impl WithSimd for Pushes<'_, '_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) {
        let f = self.field;
        let mut note = |j: u32, push: Option<Push>| {
            if let Some(p) = push.filter(|p| p.depth > f.inst.slip as f32) {
                self.out.push((j, p));
            }
            true
        };
        if f.about.answers(self.i, self.spot) {
            f.about.meet(self.spot.at, |near| note(near.id, near.push(simd, self.spot.at)));
        } else {
            f.meet(self.i, self.spot, |j| {
                let other = f.spots[j];
                note(j as u32, f.inst.push(simd, other.stance, self.spot.stance, self.spot.at - other.at))
            });
        }
    }
}

struct Overlaps<'f, 'a> {
    field: &'f Field<'a>,
    i: usize,
    above: bool,
    out: &'f mut Vec<Overlap>,
}

impl WithSimd for Overlaps<'_, '_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) {
        let f = self.field;
        let spot = f.spots[self.i];
        let (mid, half) = f.box_of(spot);
        f.boxes.near(mid, half, |j| {
            if (j > self.i) | (!self.above & (j != self.i)) {
                let depth = f.depth_with(simd, j, spot) - f.inst.slip as f32;
                if depth > 0.0 {
                    let (a, b) = (self.i.min(j) as u32, self.i.max(j) as u32);
                    self.out.push(Overlap { a, b, felt: felt(depth * f.per_width) });
                }
            }
            true
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::fixtures::{job_of, rectangle};
    use crate::nest::request::request;

    #[test]
    fn a_piece_longer_than_the_strip_is_turned_to_where_it_is_shortest() {
        let mut bar = rectangle("bar", 80.0, 10.0);
        bar.grain.rule = crate::job::GrainRule::Quarter;
        let inst = request(&job_of(100.0, vec![bar])).unwrap().instance;
        let long = inst.kinds[0].stances.clone().find(|s| inst.stances[*s as usize].length() > 50.0).unwrap();
        let mut field = Field::new(&inst, vec![Spot { stance: long, at: Point { x: 40.0, y: 50.0 } }], 80.0);
        field.turn_what_is_too_long();
        assert_eq!(field.spot(0).stance, long);
        field.resize(60.0, 0.0);
        field.turn_what_is_too_long();
        assert!((inst.stances[field.spot(0).stance as usize].length() - 10.0).abs() < 1e-9);
    }

    /// What was gathered for one piece leaves that piece out: it must not answer for another.
    #[test]
    fn what_was_gathered_for_a_piece_answers_for_that_piece_alone() {
        let job = job_of(100.0, vec![rectangle("a", 20.0, 20.0), rectangle("b", 30.0, 30.0)]);
        let inst = request(&job).unwrap().instance;
        let at = |k: usize, x| Spot { stance: inst.kinds[k].stances.start, at: Point { x, y: 50.0 } };
        let mut field = Field::new(&inst, vec![at(0, 50.0), at(1, 60.0)], 200.0);
        let weights = [1.0; 2];
        let ask = |field: &mut Field<'_>, i, spot| field.cost(i, spot, &weights, f32::INFINITY);
        let (first, second) = (field.spot(0), field.spot(1));
        let expected = [ask(&mut field, 0, first), ask(&mut field, 1, second)];
        // From middle to middle it is 10 of the 25 at which they would just touch.
        assert!(expected.iter().all(|cost| (cost - (15f32 / 100.0).powf(0.75)).abs() < 1e-4), "{expected:?}");
        for about in [0, 1] {
            field.look_about(about, field.spot(about), &weights);
            assert_eq!([ask(&mut field, 0, first), ask(&mut field, 1, second)], expected);
            field.set(1, at(1, 150.0));
            assert_eq!(ask(&mut field, 0, first), 0.0, "it has moved away since");
            field.set(1, second);
        }
    }
}

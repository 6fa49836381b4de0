//! No-fit polygons of all pairs of kinds, made when first asked for, and kept while there is room.
//!
//! Our own: that one polygon serves two kinds at all headings that differ alike, and what becomes of holes. The sums are
//! made in `minkowski.rs`.

use super::held::{self, Held};
use super::kind::{Kind, Stance, matrix};
use super::minkowski::{self, Contour};
use super::nfp::{Nfp, Push};
use super::offset::widened;
use crate::shape::{Bounds, Point};
use pulp::Simd;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicUsize, Ordering};

type Slots = Box<[OnceLock<Box<Nfp>>]>;

/// One slot for every pair of kinds and every heading of the one relative to the other. A slot
/// is a pure function of its place, so it does not matter which thread fills it, nor whether it is
/// filled or made anew at every question.
#[derive(Debug)]
pub struct Pairs {
    /// Made at the first question: a bound or the count of headings asks none, and for many free shapes the empty
    /// slots alone are 256 MB.
    slots: OnceLock<Slots>,
    count: usize,
    /// Bytes of what is in the slots, and how many there may be.
    kept: AtomicUsize,
    pub(super) room: usize,
    /// Tells the loans of these pairs from those of others.
    owner: usize,
    per_turn: u32,
    mirrors: u32,
    kinds: u32,
    /// By how much holes are taken to be wider, see [`no_fit`]. Where rounding may come to more than that, as between
    /// panels many widths long or of parts far apart, the gap is wider by it.
    hair: f64,
}

/// Which slot serves two stances, and which of the two sits at its origin.
#[derive(Debug, Clone, Copy)]
pub struct Relation {
    slot: usize,
    relative: u32,
    mirrored: bool,
    /// Whether the first stance of the question sits at the origin.
    pub first_at_origin: bool,
}

/// The way from two stances to their no-fit polygon: the slot, and the matrix that brings the
/// moving one's origin, as seen from the fixed one, into the frame of that slot. It fits half a line of cache.
#[derive(Debug, Clone, Copy)]
pub struct Link {
    matrix: [f32; 4],
    /// The slot.
    pub slot: u32,
}

impl Link {
    /// For `fixed` and `moving` and their relation.
    pub fn new(r: Relation, fixed: &Stance, moving: &Stance) -> Self {
        let m = if r.first_at_origin { fixed.matrix } else { moving.matrix.map(|v| -v) };
        Self { matrix: [m[0] as f32, m[2] as f32, m[1] as f32, m[3] as f32], slot: r.slot as u32 }
    }

    /// A vector on the roll in the frame of the no-fit polygon.
    #[inline(always)]
    fn back(&self, x: f32, y: f32) -> (f32, f32) {
        let m = &self.matrix;
        (m[0] * x + m[1] * y, m[2] * x + m[3] * y)
    }

    /// And the other way round.
    #[inline(always)]
    fn out(&self, x: f32, y: f32) -> (f32, f32) {
        let m = &self.matrix;
        (m[0] * x + m[2] * y, m[1] * x + m[3] * y)
    }

    /// How deep the moving one lies in the fixed one when `d` is its origin seen from the other's.
    #[inline(always)]
    pub fn depth<S: Simd>(&self, simd: S, nfp: &Nfp, d: Point) -> f32 {
        let (x, y) = self.back(d.x as f32, d.y as f32);
        nfp.depth(simd, x, y)
    }

    /// The same with the direction, on the roll, in which the moving one gets out soonest.
    #[inline(always)]
    pub fn push<S: Simd>(&self, simd: S, nfp: &Nfp, d: Point) -> Option<Push> {
        let (x, y) = self.back(d.x as f32, d.y as f32);
        let p = nfp.push(simd, x, y)?;
        let (x, y) = self.out(p.x, p.y);
        Some(Push { depth: p.depth, x, y })
    }
}

/// Bytes for slots and what they hold. With the job, the walks and what threads hold besides, a search then
/// stays under 1 GiB. Only jobs of a thousand free shapes come to fill it.
const MOST_BYTES: usize = 704 << 20;

impl Pairs {
    /// How many slots so many kinds need.
    pub fn count(kinds: usize, per_turn: u32, mirrors: bool) -> usize {
        kinds * (kinds + 1) / 2 * (per_turn * if mirrors { 2 } else { 1 }) as usize
    }

    /// Empty slots for so many kinds, whose holes are taken to be wider by `hair`.
    pub fn new(kinds: usize, per_turn: u32, mirrors: bool, hair: f64) -> Self {
        let count = Self::count(kinds, per_turn, mirrors);
        let mirrors = if mirrors { 2 } else { 1 };
        let room = MOST_BYTES.saturating_sub(count * size_of::<OnceLock<Box<Nfp>>>());
        Self {
            slots: OnceLock::new(),
            count,
            kept: 0.into(),
            room,
            owner: held::owner(),
            per_turn,
            mirrors,
            kinds: kinds as u32,
            hair,
        }
    }

    #[inline(always)]
    fn slots(&self) -> &Slots {
        self.slots.get_or_init(|| std::iter::repeat_with(OnceLock::new).take(self.count).collect())
    }

    /// How `b` stands to `a`.
    #[inline(always)]
    pub fn relation(&self, a: &Stance, b: &Stance) -> Relation {
        let first_at_origin = a.kind <= b.kind;
        let (p, q) = if first_at_origin { (a, b) } else { (b, a) };
        let (from, to) = if p.mirrored { (q.heading, p.heading) } else { (p.heading, q.heading) };
        let relative = if to >= from { to - from } else { to + self.per_turn - from };
        let mirrored = p.mirrored != q.mirrored;
        let (i, j) = (p.kind as usize, q.kind as usize);
        let pair = i * (2 * self.kinds as usize - i + 1) / 2 + (j - i);
        let turn = pair * self.per_turn as usize + relative as usize;
        let slot = turn * self.mirrors as usize + usize::from(mirrored);
        Relation { slot, relative, mirrored, first_at_origin }
    }

    /// The no-fit polygon for a relation between `a` and `b`, made now if it is not there yet.
    #[inline(always)]
    pub fn get(&self, r: Relation, a: &Stance, b: &Stance, kinds: &[Kind], gap: f64) -> Held<'_> {
        match self.slots()[r.slot].get() {
            Some(nfp) => Held::Kept(nfp),
            None => self.make(r, a, b, kinds, gap),
        }
    }

    /// The no-fit polygon in a slot, if it has been made and kept.
    #[inline(always)]
    pub fn made(&self, slot: u32) -> Option<&Nfp> {
        self.slots()[slot as usize].get().map(|b| &**b)
    }

    /// Whether what is made will be kept.
    pub fn have_room(&self) -> bool {
        self.kept.load(Ordering::Relaxed) < self.room
    }

    #[cold]
    #[inline(never)]
    fn make(&self, r: Relation, a: &Stance, b: &Stance, kinds: &[Kind], gap: f64) -> Held<'_> {
        let (p, q) = if r.first_at_origin { (a, b) } else { (b, a) };
        let (p, q) = (&kinds[p.kind as usize], &kinds[q.kind as usize]);
        let new = || {
            let m = matrix(r.relative, self.per_turn, r.mirrored);
            let mut contours = no_fit(p, q, &m, r.mirrored, self.hair);
            contours.iter_mut().for_each(Vec::shrink_to_fit);
            let rounding =
                if is_one_convex(p) && is_one_convex(q) { 0.0 } else { minkowski::rounding(&contours) };
            Nfp::new(contours, if rounding > self.hair { gap + rounding } else { gap })
        };
        if !self.have_room() {
            return Held::Lent(held::lend((self.owner, r.slot), new));
        }
        Held::Kept(self.slots()[r.slot].get_or_init(|| {
            let nfp = Box::new(new());
            self.kept.fetch_add(held::size(&nfp), Ordering::Relaxed);
            nfp
        }))
    }
}

/// Whether a kind is one convex outline: its sums are not rounded.
fn is_one_convex(kind: &Kind) -> bool {
    kind.keep.len() == 1
        && kind.holes.is_empty()
        && kind.keep.iter().chain(&kind.solid).all(|c| minkowski::is_convex(c))
}

/// Where `b` (turned by `m` relative to `a`) may not have its origin.
///
/// Each one's solid must stay clear of what the other keeps clear; with usable holes, the
/// places where the one lies wholly in a hole of the other are free again, but for those on another part that lies in
/// that hole. Where it fits exactly, these places are a single point or a line, which no contour encloses: so holes
/// are taken to be wider by a hair.
fn no_fit(a: &Kind, b: &Kind, m: &[f64; 4], mirrored: bool, hair: f64) -> Vec<Contour> {
    let reflect = |c: &Contour| -> Contour {
        let mut out: Contour = c
            .iter()
            .map(|p| Point { x: -(m[0] * p.x + m[1] * p.y), y: -(m[2] * p.x + m[3] * p.y) })
            .collect();
        if mirrored {
            out.reverse();
        }
        out
    };
    let (solid_b, keep_b): (Vec<Contour>, Vec<Contour>) =
        (b.solid.iter().map(reflect).collect(), b.keep.iter().map(reflect).collect());
    let mut sums = all_sums(&a.keep, &solid_b);
    if a.keep != a.solid || b.keep != b.solid {
        sums.extend(all_sums(&a.solid, &keep_b));
    }
    let mut forbidden = minkowski::union(sums);
    if let [only] = keep_b.as_slice() {
        for hole in a.holes.iter().filter(|h| could_hold(h, only, hair)) {
            forbidden = minkowski::difference(&forbidden, &room_in(hole, &a.solid, only, hair));
        }
    }
    if let [only] = a.keep.as_slice() {
        // -b holds a's origin; seen from b's hole the moving outline is a, not reflected.
        for hole in b.holes.iter().map(reflect).filter(|h| could_hold(h, only, hair)) {
            forbidden = minkowski::difference(&forbidden, &room_in(&hole, &solid_b, only, hair));
        }
    }
    forbidden
}

/// Where `piece` lies wholly in a hole of some parts, clear of those parts that lie in it too.
fn room_in(hole: &Contour, parts: &[Contour], piece: &Contour, hair: f64) -> Vec<Contour> {
    let mut room = minkowski::inner_fit(&widened(hole, hair), piece);
    // What is thinner than any exact fit are cracks that rounding has opened.
    room.retain(|c| minkowski::doubled_area(c).abs() > 0.5 * hair * minkowski::perimeter(c));
    let islands: Vec<Contour> = parts.iter().filter(|c| lies_in(c, hole)).cloned().collect();
    if room.is_empty() || islands.is_empty() {
        return room;
    }
    minkowski::difference(&room, &minkowski::union(all_sums(&islands, std::slice::from_ref(piece))))
}

/// Whether a contour's box is large enough for the other's: most holes hold nothing.
fn could_hold(hole: &Contour, piece: &Contour, hair: f64) -> bool {
    match (Bounds::of(hole), Bounds::of(piece)) {
        (Some(h), Some(p)) => h.width() + 2.0 * hair > p.width() && h.height() + 2.0 * hair > p.height(),
        _ => false,
    }
}

/// Whether a part lies in a hole: the parts of a panel do not cross each other, so that one corner tells. The part
/// that has the hole has all of its corners outside.
fn lies_in(part: &Contour, hole: &Contour) -> bool {
    part.first().is_some_and(|p| encloses(hole, *p))
}

/// By counting the sides to the right of the point (M. Shimrat, Communications of the ACM 5, 1962).
fn encloses(c: &Contour, p: Point) -> bool {
    let ends = c.iter().zip(c.iter().cycle().skip(1));
    let right = ends
        .filter(|(a, b)| (a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * ((p.y - a.y) / (b.y - a.y)));
    right.count() % 2 == 1
}

fn all_sums(a: &[Contour], b: &[Contour]) -> Vec<Vec<Contour>> {
    a.iter().flat_map(|p| b.iter().map(|q| minkowski::sum(p, q))).collect()
}

#[cfg(test)]
impl Pairs {
    pub fn kept(&self) -> usize {
        self.kept.load(Ordering::Relaxed)
    }

    pub fn has_table(&self) -> bool {
        self.slots.get().is_some()
    }
}

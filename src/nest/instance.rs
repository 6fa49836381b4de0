//! One problem as the search sees it: a strip of known width and unknown length, kinds of
//! shapes with their permitted stances, and the pieces to place.

use super::held::Held;
use super::kind::{Headings, Kind, Shape, Stance, coarsen, permitted};
use super::nfp::Push;
use super::pairs::{Link, Pairs};
use super::simplify;
use crate::shape::Point;
use pulp::Simd;
use rayon::prelude::*;
use std::collections::BTreeSet;

/// A piece to place, or a fixed obstacle.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Index of its kind.
    pub kind: u32,
    /// The group with which it shares a heading.
    pub group: Option<u32>,
    /// The part of the strip in which it is to lie.
    pub part: Part,
}

/// A part of the strip: where it begins and ends, as parts of the strip's length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// Where it begins.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
}

impl Part {
    /// The whole strip.
    pub const WHOLE: Self = Self { from: 0.0, to: 1.0 };
}

/// A place and stance on the strip.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// The stance.
    pub stance: u32,
    /// Where the origin lies.
    pub at: Point,
}

/// A fixed obstacle: no gap is kept to it, but nothing may lie on it.
#[derive(Debug, Clone, PartialEq)]
pub struct Obstacle {
    /// Its only stance.
    pub stance: u32,
    /// Where its origin lies, in the strip's frame.
    pub at: Point,
}

/// What the search is to solve. x runs along the strip from 0, y across it from 0 to `width`.
#[derive(Debug)]
pub struct Instance {
    /// Usable width.
    pub width: f64,
    /// Least distance between pieces.
    pub gap: f64,
    /// Depth that is let pass: well inside what the check allows.
    pub slip: f64,
    /// The true shapes of the kinds, obstacles left out.
    pub shapes: Vec<Shape>,
    /// The kinds of shapes, obstacles last.
    pub kinds: Vec<Kind>,
    /// All stances of all kinds that fit the width.
    pub stances: Vec<Stance>,
    /// The pieces that must be placed. [`super::request`] has seen that each has a stance.
    pub entries: Vec<Entry>,
    /// The fillers.
    pub fillers: Vec<Entry>,
    /// Obstacles.
    pub obstacles: Vec<Obstacle>,
    /// Headings open to each group, as grid steps.
    pub groups: Vec<Vec<u32>>,
    /// Steps of the heading grid.
    pub per_turn: u32,
    pairs: Pairs,
    /// For every moving stance those of all fixed ones; empty where there are too many.
    links: Vec<Link>,
    first_obstacle: u32,
}

/// The parts from which an [`Instance`] is built.
#[derive(Debug, Clone, Default)]
pub struct Parts {
    /// Usable width.
    pub width: f64,
    /// Least distance between pieces.
    pub gap: f64,
    /// The tolerance of the check; the search keeps well inside it.
    pub tolerance: f64,
    /// Different shapes.
    pub shapes: Vec<Shape>,
    /// Pieces: index of the shape, group.
    pub entries: Vec<Entry>,
    /// Fillers.
    pub fillers: Vec<Entry>,
    /// Number of groups.
    pub groups: usize,
    /// Obstacles, in the strip's frame.
    pub flaws: Vec<Vec<Point>>,
}

/// No-fit polygons for which there may be room: 16 bytes each, 256 MB in all, before the first is made.
/// Some 2900 different shapes at quarter turns; a day of real orders has a few hundred.
const MOST_PAIRS: usize = 16 << 20;
/// Steps per turn that are tried where headings are free, finest first. All are multiples of
/// four, so that quarter turns stay exact.
const GRIDS: [u32; 10] = [1440, 720, 360, 180, 120, 72, 48, 36, 24, 12];
/// No-fit polygons that may come to be kept for free headings: about 2 KB each.
const MOST_FREE_PAIRS: usize = 60_000;
/// Stances up to which all links are kept: 5 MB.
const MOST_LINKED: usize = 512;
/// Headings sampled from where there are many: every 15 degrees.
const COARSE: usize = 24;
/// How far outlines with many points may be moved outwards, as a part of the width.
const OUTWARDS: f64 = 2e-4;
/// What counts as a straight line, as a part of the width: far below the tolerance.
const STRAIGHT: f64 = 1e-9;
/// Depth let pass by the search, as a part of the tolerance. The program keeps within a quarter.
const SLIP: f64 = 0.15;
/// By how much holes are taken to be wider, as a part of that depth: together with what [`super::settle`] lets pass
/// it stays within the quarter.
const HAIR: f64 = 0.15;
/// How much wider than the strip a stance may be, as a part of the tolerance: the quarter that
/// `job::check_fits` lets pass, and its rounding.
const ROOM: f64 = 0.26;

impl Parts {
    /// Shapes and flaws, where there are more of them than the search can hold in memory.
    pub fn too_many(&self) -> Option<usize> {
        let kinds = self.shapes.len() + self.flaws.len();
        (self.pairs(grid(self)) > MOST_PAIRS).then_some(kinds)
    }

    /// No-fit polygons there may be with so many steps per turn.
    fn pairs(&self, per_turn: u32) -> usize {
        let mirrors = self.shapes.iter().any(|s| s.mirror);
        Pairs::count(self.shapes.len() + self.flaws.len(), per_turn, mirrors)
    }
}

impl Instance {
    /// Builds kinds and stances. A kind that fits at no heading has an empty range of stances.
    pub fn new(parts: Parts) -> Self {
        let per_turn = grid(&parts);
        let mut kinds: Vec<Kind> = parts
            .shapes
            .iter()
            .map(|s| Kind::new(s, STRAIGHT * parts.width, OUTWARDS * parts.width))
            .collect();
        let mut stances = Vec::new();
        let room = parts.width + ROOM * parts.tolerance;
        for (k, shape) in parts.shapes.iter().enumerate() {
            add_stances(&mut kinds[k], k as u32, shape, per_turn, room, &mut stances);
        }
        let first_obstacle = kinds.len() as u32;
        let obstacles =
            parts.flaws.iter().map(|f| obstacle(f, parts.width, &mut kinds, &mut stances)).collect();
        let groups = group_headings(&parts, &kinds, &stances);
        let mirrors = parts.shapes.iter().any(|s| s.mirror);
        let slip = SLIP * parts.tolerance;
        let pairs = Pairs::new(kinds.len(), per_turn, mirrors, HAIR * slip);
        Self {
            links: links(&pairs, &stances),
            pairs,
            width: parts.width,
            gap: parts.gap,
            slip: SLIP * parts.tolerance,
            shapes: parts.shapes,
            kinds,
            stances,
            entries: parts.entries,
            fillers: parts.fillers,
            obstacles,
            groups,
            per_turn,
            first_obstacle,
        }
    }

    /// Where the origin of a stance may lie across the strip, from and to; `from` is greater for a piece as wide as the
    /// strip, or wider by the tolerance, if only by rounding.
    pub fn across(&self, s: &Stance) -> (f64, f64) {
        (-s.lo.y, self.width - s.hi.y)
    }

    /// The no-fit polygon of two stances; true where the first of them sits at its origin.
    #[inline(always)]
    pub fn no_fit(&self, a: &Stance, b: &Stance) -> (Held<'_>, bool) {
        let r = self.pairs.relation(a, b);
        (self.pairs.get(r, a, b, &self.kinds, self.gap_between(a, b)), r.first_at_origin)
    }

    /// The gap to keep between two stances: none to an obstacle.
    #[inline(always)]
    fn gap_between(&self, a: &Stance, b: &Stance) -> f64 {
        let last = if a.kind > b.kind { a.kind } else { b.kind };
        if last >= self.first_obstacle { 0.0 } else { self.gap }
    }

    /// How `moving` and `fixed`, two stances by number, stand to each other.
    #[inline(always)]
    fn link(&self, fixed: u32, moving: u32) -> Link {
        match self.links.get(moving as usize * self.stances.len() + fixed as usize) {
            Some(l) => *l,
            None => {
                let (f, m) = (&self.stances[fixed as usize], &self.stances[moving as usize]);
                Link::new(self.pairs.relation(f, m), f, m)
            }
        }
    }

    /// The no-fit polygon of two stances, by number, and the way to its frame.
    pub fn linked(&self, fixed: u32, moving: u32) -> (Link, Held<'_>) {
        let link = self.link(fixed, moving);
        let nfp = match self.pairs.made(link.slot) {
            Some(nfp) => Held::Kept(nfp),
            None => self.no_fit(&self.stances[fixed as usize], &self.stances[moving as usize]).0,
        };
        (link, nfp)
    }

    /// Makes the no-fit polygons of some stances about a fixed one, side by side: between outlines of hundreds of
    /// corners each takes many milliseconds.
    pub fn make_about(&self, fixed: u32, moving: &[u32]) {
        let unmade = |m: &&u32| self.pairs.made(self.link(fixed, **m).slot).is_none();
        if self.pairs.have_room() && moving.iter().filter(unmade).nth(1).is_some() {
            moving.par_iter().for_each(|m| drop(self.linked(fixed, *m)));
        }
    }

    /// How deep the stance `moving` lies in the stance `fixed` when `d` is its origin seen from the other's.
    #[inline(always)]
    pub fn depth<S: Simd>(&self, simd: S, fixed: u32, moving: u32, d: Point) -> f32 {
        let link = self.link(fixed, moving);
        match self.pairs.made(link.slot) {
            Some(nfp) => link.depth(simd, nfp, d),
            None => self.depth_in_unmade(simd, fixed, moving, d),
        }
    }

    /// Apart from [`Self::depth`], which must be short to become part of the loops that ask.
    #[cold]
    #[inline(never)]
    fn depth_in_unmade<S: Simd>(&self, simd: S, fixed: u32, moving: u32, d: Point) -> f32 {
        let (link, nfp) = self.linked(fixed, moving);
        link.depth(simd, &nfp, d)
    }

    /// The same with the direction, on the roll, in which `moving` gets out soonest.
    #[inline(always)]
    pub fn push<S: Simd>(&self, simd: S, fixed: u32, moving: u32, d: Point) -> Option<Push> {
        let link = self.link(fixed, moving);
        match self.pairs.made(link.slot) {
            Some(nfp) => link.push(simd, nfp, d),
            None => self.push_out_of_unmade(simd, fixed, moving, d),
        }
    }

    #[cold]
    #[inline(never)]
    fn push_out_of_unmade<S: Simd>(&self, simd: S, fixed: u32, moving: u32, d: Point) -> Option<Push> {
        let (link, nfp) = self.linked(fixed, moving);
        link.push(simd, &nfp, d)
    }

    /// Depth in double precision and the unit vector on the roll in which `moving` gets out.
    pub fn push_exact(&self, fixed: &Stance, moving: &Stance, d: Point) -> (f64, Point) {
        let (nfp, fixed_at_origin) = self.no_fit(fixed, moving);
        if fixed_at_origin {
            let (depth, way) = nfp.push_exact(fixed.back(d));
            (depth, fixed.out(way))
        } else {
            let (depth, way) = nfp.push_exact(moving.back(Point { x: -d.x, y: -d.y }));
            (depth, moving.out(way) * -1.0)
        }
    }

    /// Whether any piece is held to a part of the strip.
    pub fn is_parted(&self) -> bool {
        self.entries.iter().any(|e| e.part != Part::WHOLE)
    }

    /// Area of all pieces that must be placed.
    pub fn area(&self) -> f64 {
        self.entries.iter().map(|e| self.kinds[e.kind as usize].area).sum()
    }

    /// No strip shorter than this holds the pieces, by the length of the longest alone.
    pub fn longest(&self) -> f64 {
        self.entries.iter().map(|e| self.shortest_length(e)).fold(0.0, f64::max)
    }

    /// The least length a piece takes along the roll at any of its headings.
    pub fn shortest_length(&self, e: &Entry) -> f64 {
        let range = self.kinds[e.kind as usize].stances.clone();
        range.map(|s| self.stances[s as usize].length()).fold(f64::INFINITY, f64::min)
    }
}

/// The finest heading grid that keeps the number of no-fit polygons in bounds.
fn grid(parts: &Parts) -> u32 {
    let shapes = &parts.shapes;
    let free = |s: &Shape| match &s.headings {
        Headings::Any => true,
        Headings::Near { slack, nominal } => *slack > 0.0 || nominal.iter().any(|n| n % 90.0 != 0.0),
    };
    let n = shapes.iter().filter(|s| free(s)).count();
    if n == 0 {
        return 4;
    }
    let pairs = n * shapes.len();
    let fits = |g: &&u32| pairs * **g as usize <= MOST_FREE_PAIRS && parts.pairs(**g) <= MOST_PAIRS;
    *GRIDS.iter().find(fits).unwrap_or(&GRIDS[GRIDS.len() - 1])
}

fn add_stances(kind: &mut Kind, k: u32, shape: &Shape, per_turn: u32, room: f64, stances: &mut Vec<Stance>) {
    let first = stances.len();
    // Off the grid, mirrored and plain stances of a group could not share a heading.
    let both = shape.mirror && !(shape.bound && shape.offset != 0.0);
    for mirrored in if both { &[false, true][..] } else { &[false][..] } {
        for heading in permitted(shape, per_turn, *mirrored) {
            let s = kind.stance(k, heading, per_turn, *mirrored);
            if s.across() > room {
                continue;
            }
            let few = per_turn == 4 && !shape.bound;
            if few && stances[first..].iter().any(|t: &Stance| looks_equal(kind, t, &s)) {
                continue;
            }
            stances.push(s);
        }
    }
    kind.stances = first as u32..stances.len() as u32;
    let all: Vec<u32> = kind.stances.clone().collect();
    let step = all.len().div_ceil(COARSE).max(1);
    kind.coarse = all.into_iter().step_by(step).collect();
}

/// All links, unless there are too many stances.
fn links(pairs: &Pairs, stances: &[Stance]) -> Vec<Link> {
    if stances.len() > MOST_LINKED {
        return Vec::new();
    }
    let row =
        |moving| stances.iter().map(move |fixed| Link::new(pairs.relation(fixed, moving), fixed, moving));
    stances.iter().flat_map(row).collect()
}

/// Whether two stances put every outline on the same place, so that one of them will do: corner by corner, for
/// different outlines may have the same corners.
fn looks_equal(kind: &Kind, a: &Stance, b: &Stance) -> bool {
    let near = |p: Point, q: Point| {
        let d = p - q;
        d.x.abs().max(d.y.abs()) <= 1e-9 * (a.length() + a.across())
    };
    let put = |s: &Stance, c: &[Point]| c.iter().map(|p| s.out(*p)).collect::<Vec<_>>();
    kind.solid.iter().chain(&kind.holes).all(|c| {
        let (p, mut q) = (put(a, c), put(b, c));
        if a.mirrored != b.mirrored {
            q.reverse();
        }
        (0..q.len()).any(|from| p.iter().zip(q.iter().cycle().skip(from)).all(|(x, y)| near(*x, *y)))
    })
}

/// Headings open to each group: those at which every member fits; fillers count as far as they
/// leave any to the pieces that must be placed.
fn group_headings(parts: &Parts, kinds: &[Kind], stances: &[Stance]) -> Vec<Vec<u32>> {
    let fitting: Vec<BTreeSet<u32>> =
        kinds.iter().map(|k| k.stances.clone().map(|s| stances[s as usize].heading).collect()).collect();
    let mut groups: Vec<Option<BTreeSet<u32>>> = vec![None; parts.groups];
    let mut narrow = |e: &Entry, must: bool| {
        let (Some(g), Some(mine)) = (e.group, fitting.get(e.kind as usize)) else { return };
        let Some(slot) = groups.get_mut(g as usize) else { return };
        let open = slot.as_ref().map_or_else(|| mine.clone(), |held| held & mine);
        if must || slot.is_none() || !open.is_empty() {
            *slot = Some(open);
        }
    };
    parts.entries.iter().for_each(|e| narrow(e, true));
    parts.fillers.iter().for_each(|e| narrow(e, false));
    groups.into_iter().map(|g| g.unwrap_or_default().into_iter().collect()).collect()
}

/// Makes a flaw a kind of its own with a single stance.
fn obstacle(flaw: &[Point], width: f64, kinds: &mut Vec<Kind>, stances: &mut Vec<Stance>) -> Obstacle {
    let centre = crate::shape::Bounds::of(flaw).map_or(Point { x: 0.0, y: 0.0 }, |b| b.centre());
    let contour: Vec<Point> = flaw.iter().map(|p| *p - centre).collect();
    let hull = crate::shape::convex_hull(&contour);
    let mut solid = vec![simplify::outwards(&contour, STRAIGHT * width, 0.0)];
    let coarsened = coarsen(&mut solid, &hull, STRAIGHT * width, OUTWARDS * width);
    let mut kind = Kind {
        keep: solid.clone(),
        solid,
        holes: Vec::new(),
        coarsened,
        hull,
        area: 0.0,
        hull_area: 0.0,
        stances: 0..0,
        coarse: Vec::new(),
    };
    let id = stances.len() as u32;
    kind.stances = id..id + 1;
    stances.push(kind.stance(kinds.len() as u32, 0, 4, false));
    kinds.push(kind);
    Obstacle { stance: id, at: centre }
}

#[cfg(test)]
impl Instance {
    /// The same with so many bytes for no-fit polygons.
    pub fn with_room(mut self, bytes: usize) -> Self {
        self.pairs.room = bytes;
        self
    }

    /// Bytes taken by no-fit polygons that are kept.
    pub fn kept(&self) -> usize {
        self.pairs.kept()
    }

    /// Whether the table of pairs has been asked for anything.
    pub fn has_table(&self) -> bool {
        self.pairs.has_table()
    }
}

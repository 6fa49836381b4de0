//! Places at which a stance touches what lies on the strip already: the candidates of bottom-left
//! placement with no-fit polygons (after Gomes and Oliveira, EJOR 141, 2002).
//!
//! Departures: the order of pieces, over which that paper searches by exchanges, is the start's own and stays. Crossings
//! of two no-fit polygons are many times as many as their corners, and are looked at for fillers only (`sweep.rs`). The
//! gap is kept by moving sides outwards, so no outline is grown.

use super::instance::{Instance, Spot};
use super::kind::Stance;
use super::offset::outwards;
use crate::shape::{Bounds, Point, length};

/// Where the origin of a stance may lie on the strip.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// Least x.
    pub left: f64,
    /// Least y.
    pub low: f64,
    /// Greatest y; a stance that is wider than the strip by a part of the tolerance has its middle only.
    pub high: f64,
}

impl Room {
    /// The room of a stance on the strip of an instance.
    pub fn of(inst: &Instance, s: &Stance) -> Self {
        let (low, high) = inst.across(s);
        let middle = 0.5 * (low + high);
        let (low, high) = if low <= high { (low, high) } else { (middle, middle) };
        Self { left: -s.lo.x, low, high }
    }

    /// The places at the strip's start.
    pub fn corners(&self) -> impl Iterator<Item = Point> {
        let at = |y| Point { x: self.left, y };
        std::iter::once(at(self.low)).chain((self.high > self.low).then_some(at(self.high)))
    }

    /// Whether a place lies in it.
    pub fn holds(&self, p: Point) -> bool {
        p.x >= self.left && p.y >= self.low && p.y <= self.high
    }
}

/// The boundary of a piece as straight sides, moved outwards by the gap.
#[derive(Debug)]
pub struct Walls {
    bounds: Bounds,
    sides: Vec<(Point, Point)>,
}

impl Walls {
    /// How many sides there are.
    pub fn count(&self) -> usize {
        self.sides.len()
    }

    /// Calls `found` with every place at which sides of both cross: the stance touches both pieces there.
    pub fn crossings(&self, other: &Self, mut found: impl FnMut(Point)) {
        if !self.bounds.near(&other.bounds, 0.0) {
            return;
        }
        for s in self.sides.iter().filter(|s| around(s).near(&other.bounds, 0.0)) {
            let near = around(s);
            other
                .sides
                .iter()
                .filter(|t| around(t).near(&near, 0.0))
                .filter_map(|t| meet(s, t))
                .for_each(&mut found);
        }
    }
}

fn around((a, b): &(Point, Point)) -> Bounds {
    Bounds { min: *a, max: *a }.with(Bounds { min: *b, max: *b })
}

/// Where two segments cross.
fn meet((a, b): &(Point, Point), (c, d): &(Point, Point)) -> Option<Point> {
    let (r, s, w) = (*b - *a, *d - *c, *c - *a);
    let det = r.x * s.y - r.y * s.x;
    let (t, u) = ((w.x * s.y - w.y * s.x) / det, (w.x * r.y - w.y * r.x) / det);
    ((0.0..=1.0).contains(&t) && (0.0..=1.0).contains(&u)).then(|| *a + r * t)
}

/// The boundary of the places at which a stance overlaps a piece.
pub struct Boundary<'a> {
    inst: &'a Instance,
    moving: &'a Stance,
    fixed: &'a Stance,
    other: Spot,
}

impl<'a> Boundary<'a> {
    /// For `moving` about a piece that lies at `other`.
    pub fn new(inst: &'a Instance, moving: &'a Stance, other: Spot) -> Self {
        Self { inst, moving, fixed: &inst.stances[other.stance as usize], other }
    }

    /// Calls `found` with every corner and every crossing with the sides of the room, each moved
    /// outwards by the gap.
    pub fn touching(&self, room: &Room, mut found: impl FnMut(Point)) {
        let gap = self.gap();
        self.visit(|a, p, b, out| {
            let corner = if gap == 0.0 { p } else { p + outwards(a, p, b) * (gap * out) };
            if room.holds(corner) {
                found(corner);
            }
            crossings(p, b, gap * out, room, &mut found);
        });
    }

    /// Its sides. Where they are moved they are made longer too, so that they meet at most corners; a
    /// place on what is added lies farther away than need be.
    pub fn walls(&self) -> Walls {
        let gap = self.gap();
        let mut sides = Vec::new();
        self.visit(|_, p, b, out| {
            let along = (b - p) * (gap / length(b - p).max(f64::MIN_POSITIVE));
            let by = Point { x: along.y, y: -along.x } * out;
            sides.push((p + by - along, b + by + along));
        });
        let bounds = Bounds::of(sides.iter().flat_map(|(a, b)| [a, b]));
        Walls { bounds: bounds.unwrap_or(Bounds { min: self.other.at, max: self.other.at }), sides }
    }

    /// The gap to keep between the two: that of the job, and more where rounding tells.
    pub fn gap(&self) -> f64 {
        self.inst.no_fit(self.fixed, self.moving).0.gap()
    }

    /// Its sides where they are, the gap not counted.
    pub fn sides(&self) -> Vec<(Point, Point)> {
        let mut sides = Vec::new();
        self.visit(|_, p, b, _| sides.push((p, b)));
        sides
    }

    /// Calls `see` with every corner between its neighbours on the roll, and 1 where the outer side of
    /// the contour is to its right, -1 where it is to its left.
    fn visit(&self, mut see: impl FnMut(Point, Point, Point, f64)) {
        let (nfp, fixed_at_origin) = self.inst.no_fit(self.fixed, self.moving);
        let at = self.other.at;
        let on_roll =
            |p: Point| if fixed_at_origin { at + self.fixed.out(p) } else { at - self.moving.out(p) };
        // A mirrored frame turns contours round, and their outer side with them.
        let turned = if fixed_at_origin { self.fixed } else { self.moving }.mirrored;
        let out = if turned { -1.0 } else { 1.0 };
        for c in nfp.contours() {
            let (Some(first), Some(last)) = (c.first(), c.last()) else { continue };
            let (mut a, mut p) = (on_roll(*last), on_roll(*first));
            for next in c.iter().skip(1).chain([first]) {
                let b = on_roll(*next);
                see(a, p, b, out);
                (a, p) = (p, b);
            }
        }
    }
}

/// Where the side from `p` to `b`, moved by `gap` to its right, crosses the sides of the room.
fn crossings(p: Point, b: Point, gap: f64, room: &Room, found: &mut impl FnMut(Point)) {
    let d = b - p;
    let ys = [room.low, room.high];
    for y in &ys[..if room.high > room.low { 2 } else { 1 }] {
        if (p.y > *y) != (b.y > *y) {
            let x = p.x + d.x * (y - p.y) / d.y + gap * length(d) / d.y;
            if x >= room.left {
                found(Point { x, y: *y });
            }
        }
    }
    if (p.x > room.left) != (b.x > room.left) {
        let y = p.y + d.y * (room.left - p.x) / d.x - gap * length(d) / d.x;
        if y >= room.low && y <= room.high {
            found(Point { x: room.left, y });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;
    use crate::job::fixtures::{job_of, panel, rectangle, ring};
    use crate::nest::request::request;
    use crate::shape::Region;

    /// The stance of the second kind, about the first lying at (100, 50).
    fn about(job: &Job, see: impl FnOnce(&Boundary<'_>, &Room)) {
        let inst = request(job).unwrap().instance;
        let moving = &inst.stances[inst.kinds[1].stances.start as usize];
        let other = Spot { stance: inst.kinds[0].stances.start, at: Point { x: 100.0, y: 50.0 } };
        see(&Boundary::new(&inst, moving, other), &Room::of(&inst, moving));
    }

    #[test]
    fn squares_touch_at_the_corners_of_the_square_between_and_at_the_edges_of_the_film() {
        let mut job = job_of(100.0, vec![rectangle("a", 20.0, 20.0), rectangle("b", 90.0, 90.0)]);
        job.panels.iter_mut().for_each(|p| p.grain.rule = crate::job::GrainRule::OneWay);
        job.gap = 3.0;
        about(&job, |boundary, room| {
            assert_eq!((room.left, room.low, room.high), (45.0, 45.0, 55.0));
            let mut found = Vec::new();
            boundary.touching(room, |p| found.push((p.x.round(), p.y.round())));
            // 10 + 45 + 3 from the middle of the one to the middle of the other.
            found.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.1.total_cmp(&q.1)));
            // The corners themselves lie off the film; to the left there is no room either.
            assert_eq!(found, [(158.0, 45.0), (158.0, 55.0)]);
        });
    }

    #[test]
    fn walls_cross_where_both_are_touched() {
        let triangle = panel("a", vec![Region::solid(ring(&[(0., 0.), (40., 0.), (20., 40.)]))]);
        let job = job_of(400.0, vec![triangle, rectangle("b", 10.0, 10.0)]);
        let inst = request(&job).unwrap().instance;
        let (a, b) = (inst.kinds[0].stances.start, &inst.stances[inst.kinds[1].stances.start as usize]);
        let walls = |x| Boundary::new(&inst, b, Spot { stance: a, at: Point { x, y: 100.0 } }).walls();
        let mut found = Vec::new();
        walls(100.0).crossings(&walls(140.0), |p| found.push(p));
        // Base to base the square lies in the notch between the slopes: 5 beside both, where they are 10 apart.
        let lowest = found.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
        let highest = found.iter().map(|p| p.y).fold(0.0, f64::max);
        assert!((highest - (100.0 - 20.0 + 10.0 + 5.0)).abs() < 1e-9 && lowest < highest, "{found:?}");
        assert!(found.iter().any(|p| (p.x - 120.0).abs() < 1e-9 && p.y == highest));
    }
}

//! Cuts in the waste that let it come off in strips: straight lines that stop short of every panel.

use crate::error::{Error, Problems};
use crate::shape::{Bounds, Contours, Point, dot, length};

/// Which cuts are made in the waste. Lengths in mm.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Weeding {
    /// Distance along the feed of lines across the film.
    pub strips: Option<f64>,
    /// Whether a frame is cut round each section.
    pub frame: bool,
    /// Film left between such a cut and a panel; also how far a frame lies outside its panels.
    pub clearance: f64,
}

impl Weeding {
    /// Refuses numbers that nobody can mean.
    pub(super) fn check(&self) -> Result<(), Error> {
        let mut problems = Problems::default();
        if let Some(strips) = self.strips
            && !(strips >= 10.0 && strips.is_finite())
        {
            problems.push(
                "weeding strips",
                format!("{strips} mm is no width of a strip"),
                "give 10 mm or more",
            );
        }
        if (self.strips.is_some() || self.frame) && !(self.clearance > 0.0 && self.clearance <= 100.0) {
            let what = format!("a clearance of {} mm is not above 0 and at most 100", self.clearance);
            problems.push("weeding", what, "a cut in the waste must stay away from panels");
        }
        problems.or_ok(())
    }
}

/// Lines in the waste shorter than this, in mm, help nobody.
const SHORTEST: f64 = 5.0;

/// Something that no cut in the waste may come near.
pub(super) struct Obstacle {
    bounds: Bounds,
    area: Contours,
}

impl Obstacle {
    /// The area inside a closed contour.
    pub fn of(ring: &[Point]) -> Option<Self> {
        Some(Self { bounds: Bounds::of(ring)?, area: Contours::of_rings(vec![ring.to_vec()]) })
    }
}

/// The film on which the lines of one section may be cut.
pub(super) struct Ground<'a> {
    pub obstacles: &'a [Obstacle],
    pub weeding: &'a Weeding,
    /// Least and greatest y.
    pub across: [f64; 2],
}

impl Ground<'_> {
    /// The lines of the section from `from` to `to`, whose panels lie within `panels`.
    pub fn lines(&self, (from, to): (f64, f64), last: bool, panels: &Bounds) -> Vec<[Point; 2]> {
        let mut wanted = Vec::new();
        let line = |x0, y0, x1, y1| [Point { x: x0, y: y0 }, Point { x: x1, y: y1 }];
        let [low, high] = self.across;
        if let Some(step) = self.weeding.strips {
            let first = (from / step).floor() + 1.0;
            let count = ((to - first * step) / step).ceil().max(0.0) as usize;
            wanted.extend((0..count).map(|i| (first + i as f64) * step).map(|x| line(x, low, x, high)));
        }
        if self.weeding.frame {
            let c = self.weeding.clearance;
            let (low, high) = ((panels.min.y - c).max(low), (panels.max.y + c).min(high));
            let left = (from - c).max(0.0);
            let right = if last { to + c } else { to - c };
            wanted.extend([
                line(left, low, right, low),
                line(left, high, right, high),
                line(left, low, left, high),
            ]);
            wanted.extend(last.then(|| line(right, low, right, high)));
        }
        wanted.iter().flat_map(|l| self.free(l)).collect()
    }

    /// The parts of a line that keep the clearance to everything.
    fn free(&self, [a, b]: &[Point; 2]) -> Vec<[Point; 2]> {
        let way = length(*b - *a);
        if way < SHORTEST {
            return Vec::new();
        }
        let clearance = self.weeding.clearance;
        let Some(bounds) = Bounds::of([a, b]) else { return Vec::new() };
        let near: Vec<&Obstacle> =
            self.obstacles.iter().filter(|o| o.bounds.near(&bounds, clearance)).collect();
        let mut taken: Vec<(f64, f64)> = Vec::new();
        for obstacle in &near {
            let edges = (0..obstacle.area.len()).map(|i| obstacle.area.edge(i));
            taken.extend(edges.filter_map(|edge| Beside { a: *a, b: *b, reach: clearance }.interval(edge)));
        }
        taken.sort_by(|p, q| p.0.total_cmp(&q.0));
        let mut parts = Vec::new();
        let mut from = 0.0;
        for (begin, end) in taken.into_iter().chain([(1.0, 1.0)]) {
            if (begin - from) * way >= SHORTEST {
                let [p, q] = [from, begin].map(|t| *a + (*b - *a) * t);
                let middle = (p + q) * 0.5;
                // Away from every contour, a part lies wholly inside or outside each.
                if near.iter().all(|o| o.area.locate(middle) == Some(false)) {
                    parts.push([p, q]);
                }
            }
            from = from.max(end);
        }
        parts
    }
}

/// A line, and how near is too near.
struct Beside {
    a: Point,
    b: Point,
    reach: f64,
}

impl Beside {
    /// The part of the line, from 0 to 1, that is nearer than the reach to a segment. The film
    /// within reach of a segment is convex, so it is one part: that of both discs about the
    /// ends and of the rectangle between.
    fn interval(&self, (p, q): (Point, Point)) -> Option<(f64, f64)> {
        let found = [self.in_disc(p), self.in_disc(q), self.in_rectangle(p, q)];
        found.into_iter().flatten().reduce(|m, i| (m.0.min(i.0), m.1.max(i.1)))
    }

    fn in_disc(&self, centre: Point) -> Option<(f64, f64)> {
        let (d, f) = (self.b - self.a, self.a - centre);
        let (aa, bb, cc) = (dot(d, d), dot(f, d), dot(f, f) - self.reach * self.reach);
        let disc = bb * bb - aa * cc;
        (disc >= 0.0).then(|| ((-bb - disc.sqrt()) / aa, (-bb + disc.sqrt()) / aa)).and_then(within)
    }

    fn in_rectangle(&self, p: Point, q: Point) -> Option<(f64, f64)> {
        let way = length(q - p);
        if way <= 0.0 {
            return None;
        }
        let u = (q - p) * (1.0 / way);
        let v = Point { x: -u.y, y: u.x };
        let clip = |axis: Point, low: f64, high: f64| {
            let (s, e) = (dot(self.a - p, axis), dot(self.b - p, axis));
            if (e - s).abs() < 1e-12 {
                return (s >= low && s <= high).then_some((0.0, 1.0));
            }
            let (t0, t1) = ((low - s) / (e - s), (high - s) / (e - s));
            Some((t0.min(t1), t0.max(t1)))
        };
        let along = clip(u, 0.0, way)?;
        let beside = clip(v, -self.reach, self.reach)?;
        within((along.0.max(beside.0), along.1.min(beside.1)))
    }
}

/// The part between 0 and 1.
fn within((from, to): (f64, f64)) -> Option<(f64, f64)> {
    let (from, to) = (from.max(0.0), to.min(1.0));
    (from <= to).then_some((from, to))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shape::point_segment_distance;

    #[test]
    fn cuts_in_the_waste_keep_their_distance_and_miss_little() {
        let star: Vec<Point> = (0..14)
            .map(|i| {
                let (s, c) = libm::sincos(f64::from(i) * std::f64::consts::TAU / 14.0);
                let r = if i % 2 == 0 { 40.0 } else { 18.0 };
                Point { x: 100.0 + r * c, y: 60.0 + r * s }
            })
            .collect();
        let obstacles = [Obstacle::of(&star).unwrap()];
        let weeding = Weeding { strips: Some(10.0), frame: true, clearance: 2.0 };
        let ground = Ground { obstacles: &obstacles, weeding: &weeding, across: [5.0, 115.0] };
        let bounds = Bounds::of(&star).unwrap();
        let lines = ground.lines((bounds.min.x, bounds.max.x), true, &bounds);
        let mut nearest = f64::INFINITY;
        for [a, b] in &lines {
            for i in 0..=400 {
                let p = *a + (*b - *a) * (f64::from(i) / 400.0);
                assert!(obstacles[0].area.locate(p) == Some(false));
                for k in 0..star.len() {
                    nearest = nearest.min(point_segment_distance(p, star[k], star[(k + 1) % star.len()]));
                }
            }
        }
        assert!(nearest > 2.0 - 1e-9 && nearest < 2.01, "{nearest}");
        assert!(lines.len() >= 15, "{}", lines.len());
    }
}

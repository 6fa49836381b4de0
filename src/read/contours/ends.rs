//! Which ends of strokes belong together.

use super::grid::{Grid, segment_box};
use super::report::{Kind, Report};
use super::{Ranked, Stroke};
use crate::shape::{Point, length};

/// Strokes as edges between numbered places.
pub(super) struct Joined {
    /// In the order of the file; their ends lie exactly on their nodes.
    pub edges: Vec<Edge>,
    /// Where the ends meet.
    pub nodes: Vec<Point>,
}

/// A stroke between two nodes, which may be the same.
pub(super) struct Edge {
    pub rank: usize,
    pub stroke: Stroke,
    /// Node of the first and of the last point.
    pub nodes: [usize; 2],
}

/// Other ends looked at near one lone end. Where more crowd into the join tolerance the
/// tolerance is too wide, or the unit wrong, and ends beyond that number are not joined.
const MOST_NEAR: usize = 64;

/// Joins ends: equal ones first, then lone ones nearest-first within `tolerance`, then what is
/// still alone with the nearest place where others meet.
pub(super) fn join(strokes: Vec<Ranked>, tolerance: f64, report: &mut Report) -> Joined {
    let mut spots = Spots::of(&strokes, tolerance);
    let candidates = spots.candidates(report, &strokes);
    spots.pair(&candidates);
    spots.attach(&candidates);
    spots.tell(report, &strokes);
    spots.into_edges(strokes)
}

/// The different places at which strokes end, sorted by coordinates.
struct Spots {
    tolerance: f64,
    at: Vec<Point>,
    /// How many ends lie exactly here.
    ends: Vec<usize>,
    /// Spot of the first and of the last point of each stroke.
    of_stroke: Vec<[usize; 2]>,
    /// The stroke of a spot with a single end; any of them otherwise.
    stroke: Vec<usize>,
    /// Whether a stroke is too short to be closed by joining its own ends.
    short: Vec<bool>,
    /// The spot that a spot was joined to; itself at first.
    joined_to: Vec<usize>,
}

/// A lone spot, another spot within the tolerance, and how far apart they are.
type Candidate = (f64, usize, usize);

impl Spots {
    fn of(strokes: &[Ranked], tolerance: f64) -> Self {
        let mut ends: Vec<(Point, usize, usize)> = Vec::with_capacity(2 * strokes.len());
        for (i, (_, s)) in strokes.iter().enumerate() {
            ends.push((s.points[0], i, 0));
            ends.push((s.points[s.points.len() - 1], i, 1));
        }
        ends.sort_by(|(p, i, a), (q, j, b)| {
            p.x.total_cmp(&q.x).then(p.y.total_cmp(&q.y)).then((i, a).cmp(&(j, b)))
        });
        let mut spots = Self {
            tolerance,
            at: Vec::new(),
            ends: Vec::new(),
            of_stroke: vec![[0; 2]; strokes.len()],
            stroke: Vec::new(),
            short: strokes.iter().map(|(_, s)| is_short(&s.points, 2.0 * tolerance)).collect(),
            joined_to: Vec::new(),
        };
        for (p, stroke, which) in ends {
            if spots.at.last() != Some(&p) {
                spots.joined_to.push(spots.at.len());
                spots.at.push(p);
                spots.ends.push(0);
                spots.stroke.push(stroke);
            }
            let spot = spots.at.len() - 1;
            spots.ends[spot] += 1;
            spots.of_stroke[stroke][which] = spot;
        }
        spots
    }

    fn is_lone(&self, spot: usize) -> bool {
        self.ends[spot] == 1
    }

    /// All pairs of a lone spot and another one within the tolerance, nearest first.
    fn candidates(&self, report: &mut Report, strokes: &[Ranked]) -> Vec<Candidate> {
        let boxes: Vec<_> = self.at.iter().map(|p| segment_box(*p, *p, self.tolerance)).collect();
        let grid = Grid::new(&boxes);
        let mut found = Vec::new();
        for s in (0..self.at.len()).filter(|s| self.is_lone(*s)) {
            let near = |t: usize| (length(self.at[t] - self.at[s]), s, t);
            let fits = |c: &Candidate| c.0 <= self.tolerance && c.2 != s && self.may_join(s, c.2);
            let before = found.len();
            found.extend(grid.at(self.at[s]).map(near).filter(fits).take(MOST_NEAR));
            if found.len() - before == MOST_NEAR {
                let (_, stroke) = &strokes[self.stroke[s]];
                let what = "more ends crowd here than can be told apart";
                let remedy = "check the drawing's unit, or lower the join tolerance";
                report.warn(Kind::Dense, &stroke.layer, &stroke.place, self.at[s], what, remedy);
            }
        }
        found.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
        found
    }

    /// A stroke hardly longer than the tolerance does not close on itself.
    fn may_join(&self, s: usize, t: usize) -> bool {
        let stroke = self.stroke[s];
        !(self.short[stroke] && self.of_stroke[stroke].contains(&t))
    }

    /// Joins lone spots with each other; both move to the middle.
    fn pair(&mut self, candidates: &[Candidate]) {
        for &(gap, s, t) in candidates {
            if s < t && self.is_lone(s) && self.is_lone(t) {
                debug_assert!(gap <= self.tolerance);
                self.at[s] = (self.at[s] + self.at[t]) * 0.5;
                self.joined_to[t] = s;
                (self.ends[s], self.ends[t]) = (2, 2);
            }
        }
    }

    /// Joins what is still alone with the nearest place where others meet.
    fn attach(&mut self, candidates: &[Candidate]) {
        for &(_, s, t) in candidates {
            let place = self.joined_to[t];
            if self.is_lone(s)
                && !self.is_lone(place)
                && length(self.at[place] - self.at[s]) <= self.tolerance
            {
                self.joined_to[s] = place;
                self.ends[s] = 2;
            }
        }
    }

    /// Says how many gaps were closed and how wide the widest was.
    fn tell(&self, report: &mut Report, strokes: &[Ranked]) {
        let mut gaps = 0;
        let mut widest: f64 = 0.0;
        for (ends, (_, stroke)) in self.of_stroke.iter().zip(strokes) {
            let tips = [stroke.points[0], stroke.points[stroke.points.len() - 1]];
            for (spot, tip) in ends.iter().zip(tips) {
                let moved = length(self.at[self.joined_to[*spot]] - tip);
                gaps += usize::from(moved > 0.0);
                widest = widest.max(moved);
            }
        }
        if let Some((_, stroke)) = strokes.first() {
            report.gaps_closed(&stroke.layer, gaps, widest);
        }
    }

    fn into_edges(self, strokes: Vec<Ranked>) -> Joined {
        let mut edges = Vec::with_capacity(strokes.len());
        for ((rank, mut stroke), ends) in strokes.into_iter().zip(&self.of_stroke) {
            let nodes = ends.map(|spot| self.joined_to[spot]);
            let last = stroke.points.len() - 1;
            stroke.points[0] = self.at[nodes[0]];
            stroke.points[last] = self.at[nodes[1]];
            stroke.points.dedup();
            if stroke.points.len() > 1 {
                edges.push(Edge { rank, stroke, nodes });
            }
        }
        Joined { edges, nodes: self.at }
    }
}

/// Whether a run is no longer than `limit`.
fn is_short(points: &[Point], limit: f64) -> bool {
    let mut sum = 0.0;
    points.windows(2).all(|w| {
        sum += length(w[1] - w[0]);
        sum <= limit
    })
}

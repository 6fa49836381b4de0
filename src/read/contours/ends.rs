//! Which ends of strokes belong together.

use super::report::{Kind, Report};
use super::{Ranked, Stroke};
use crate::Error;
use crate::read::grid::{Grid, segment_box};
use crate::shape::{Point, length};
use std::collections::BTreeMap;

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

/// Ends so near to each other, as a part of the join tolerance, are one place that was reckoned twice.
const SAME_PLACE: f64 = 1e-3;

/// Places join whose ends were joined over a gap, when they lie no farther apart than so many such gaps: their own, or
/// the usual ones of the layer, that this part of its joined ends do not exceed.
const ALIKE: f64 = 3.0;
const USUAL: f64 = 0.9;

/// The join tolerance as a part of the greatest coordinate: below it, numbers do not tell neighbouring places apart.
const FINEST: f64 = 1e-15;

/// Most pairs of ends within the join tolerance of each other, and most pairs looked at to find them: some seconds.
const MOST_CANDIDATES: usize = 4_000_000;
const MOST_LOOKED_AT: usize = 400_000_000;

/// Joins ends: those at one place first, then lone ones nearest-first within `tolerance`, then what is
/// still alone with the nearest place where others meet, and places that lie as near as their ends did.
pub(super) fn join(strokes: Vec<Ranked>, tolerance: f64, report: &mut Report) -> Result<Joined, Error> {
    let mut spots = Spots::of(&strokes, tolerance);
    let candidates = spots.candidates(report, &strokes)?;
    spots.pair(&candidates);
    spots.attach(&candidates);
    spots.gather(&candidates);
    spots.tell(report, &strokes);
    Ok(spots.into_edges(strokes))
}

/// The different places at which strokes end, in the order of their coordinates.
struct Spots {
    tolerance: f64,
    at: Vec<Point>,
    /// How many ends lie here.
    ends: Vec<usize>,
    /// The widest gap over which ends were joined here.
    gap: Vec<f64>,
    /// Spot of the first and of the last point of each stroke.
    of_stroke: Vec<[usize; 2]>,
    /// The stroke of a spot with a single end; any of them otherwise.
    stroke: Vec<usize>,
    /// Whether a stroke is too short to be closed by joining its own ends.
    short: Vec<bool>,
    /// The spot that a spot was joined to; itself at first.
    joined_to: Vec<usize>,
    /// Whether the tolerance tells places of the drawing apart at all.
    is_fine: bool,
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
        let farthest = ends.iter().map(|(p, ..)| p.x.abs().max(p.y.abs())).fold(0.0, f64::max);
        let mut spots = Self {
            tolerance,
            at: Vec::new(),
            ends: Vec::new(),
            gap: Vec::new(),
            of_stroke: vec![[0; 2]; strokes.len()],
            stroke: Vec::new(),
            short: strokes.iter().map(|(_, s)| is_short(&s.points, 2.0 * tolerance)).collect(),
            joined_to: Vec::new(),
            is_fine: SAME_PLACE * tolerance > FINEST * farthest,
        };
        let mut places = Places { reach: SAME_PLACE * tolerance, spots: BTreeMap::new() };
        let mut last = None;
        for (p, stroke, which) in ends {
            let known = last.filter(|(at, _)| *at == p).map(|(_, spot)| spot);
            let known = known.or_else(|| if spots.is_fine { places.near(p, &spots.at) } else { None });
            let spot = known.unwrap_or_else(|| {
                let new = spots.at.len();
                spots.joined_to.push(new);
                spots.at.push(p);
                spots.ends.push(0);
                spots.gap.push(0.0);
                spots.stroke.push(stroke);
                places.add(p, new);
                new
            });
            last = Some((p, spot));
            spots.ends[spot] += 1;
            spots.of_stroke[stroke][which] = spot;
        }
        spots
    }

    fn is_lone(&self, spot: usize) -> bool {
        self.ends[spot] == 1
    }

    /// All pairs of a lone spot and another one within the tolerance, nearest first.
    fn candidates(&self, report: &mut Report, strokes: &[Ranked]) -> Result<Vec<Candidate>, Error> {
        if !self.is_fine {
            return Ok(Vec::new());
        }
        let boxes: Vec<_> = self.at.iter().map(|p| segment_box(*p, *p, self.tolerance)).collect();
        let grid = Grid::new(&boxes);
        let (mut found, mut looked_at) = (Vec::new(), 0);
        for s in (0..self.at.len()).filter(|s| self.is_lone(*s)) {
            let near = |t: usize| {
                looked_at += 1;
                (length(self.at[t] - self.at[s]), s, t)
            };
            let fits = |c: &Candidate| c.0 <= self.tolerance && c.2 != s && self.may_join(s, c.2);
            let before = found.len();
            found.extend(grid.at(self.at[s]).map(near).filter(fits).take(MOST_NEAR));
            if found.len() - before == MOST_NEAR {
                let (_, stroke) = &strokes[self.stroke[s]];
                let what = "more ends crowd here than can be told apart";
                let remedy = "check the drawing's unit, or lower the join tolerance";
                report.warn(Kind::Dense, &stroke.layer, &stroke.place, self.at[s], what, remedy);
            }
            if found.len() > MOST_CANDIDATES || looked_at > MOST_LOOKED_AT {
                let what = "too many ends of lines lie within the join tolerance of each other";
                return Err(report.refused(what, "check the drawing's unit, or lower the join tolerance"));
            }
        }
        found.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
        Ok(found)
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
                self.gap[s] = gap;
                (self.ends[s], self.ends[t]) = (2, 2);
            }
        }
    }

    /// Joins what is still alone with the nearest place where others meet.
    fn attach(&mut self, candidates: &[Candidate]) {
        for &(_, s, t) in candidates {
            let place = self.joined_to[t];
            let gap = length(self.at[place] - self.at[s]);
            if self.is_lone(s) && !self.is_lone(place) && gap <= self.tolerance {
                self.joined_to[s] = place;
                self.gap[place] = self.gap[place].max(gap);
                self.ends[s] = 2;
            }
        }
    }

    /// Joins places that lie about as near to each other as the ends that were joined there: of four ends at one corner
    /// that are all a little off, two pairs are made first.
    fn gather(&mut self, candidates: &[Candidate]) {
        let mut gaps: Vec<f64> = self.gap.iter().copied().filter(|gap| *gap > 0.0).collect();
        gaps.sort_by(f64::total_cmp);
        let usual = gaps.get((USUAL * gaps.len() as f64) as usize).copied().unwrap_or(0.0);
        for &(_, s, t) in candidates {
            let (a, b) = (self.place(s), self.place(t));
            let apart = length(self.at[a] - self.at[b]);
            let own = self.gap[a].max(self.gap[b]);
            if a != b && own > 0.0 && apart <= self.tolerance.min(ALIKE * own.max(usual)) {
                self.at[a] = (self.at[a] + self.at[b]) * 0.5;
                self.gap[a] = self.gap[a].max(self.gap[b]);
                self.joined_to[b] = a;
            }
        }
    }

    /// The spot at which the ends of this one lie now.
    fn place(&self, spot: usize) -> usize {
        let mut place = spot;
        while self.joined_to[place] != place {
            place = self.joined_to[place];
        }
        place
    }

    /// Says how many gaps were closed and how wide the widest was.
    fn tell(&self, report: &mut Report, strokes: &[Ranked]) {
        let mut gaps = 0;
        let mut widest: f64 = 0.0;
        for (ends, (_, stroke)) in self.of_stroke.iter().zip(strokes) {
            let tips = [stroke.points[0], stroke.points[stroke.points.len() - 1]];
            for (spot, tip) in ends.iter().zip(tips) {
                let moved = length(self.at[self.place(*spot)] - tip);
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
            let nodes = ends.map(|spot| self.place(spot));
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

/// Spots by the cells of a grid, to find one within the reach of a point.
struct Places {
    reach: f64,
    spots: BTreeMap<(i64, i64), Vec<usize>>,
}

impl Places {
    fn cell(&self, p: Point) -> (i64, i64) {
        ((p.x / self.reach).floor() as i64, (p.y / self.reach).floor() as i64)
    }

    fn add(&mut self, p: Point, spot: usize) {
        self.spots.entry(self.cell(p)).or_default().push(spot);
    }

    /// The first spot within reach. A cell holds a few at most: those in it are farther from each other than the reach.
    fn near(&self, p: Point, at: &[Point]) -> Option<usize> {
        let (x, y) = self.cell(p);
        let cells = (x - 1..=x + 1).flat_map(|x| (y - 1..=y + 1).map(move |y| (x, y)));
        let spots = cells.filter_map(|cell| self.spots.get(&cell)).flatten().copied();
        spots.filter(|spot| length(at[*spot] - p) <= self.reach).min()
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

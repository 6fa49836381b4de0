//! Straight lines that lie on each other in part are cut at each other's ends, so that the
//! shared part becomes one line drawn twice.

use super::report::{Kind, Report};
use super::{Ranked, Stroke};
use crate::Error;
use crate::read::grid::{Grid, segment_box};
use crate::shape::{Point, cross, dot, length};

/// Two lines lie on each other when they are this part of the join tolerance apart: the same
/// numbers up to rounding. At the tolerance itself the sides of a narrow tip would melt.
const SAME_LINE: f64 = 0.02;

/// Most places at which the lines of one layer are cut. Of a thousand lines each may lie on all others.
const MOST_CUTS: usize = 1_000_000;

/// Most lines looked at near ends, all ends together: some seconds.
const MOST_NEAR: usize = 1_000_000_000;

/// Cuts overlapping single lines at each other's ends. Runs of several points stay whole.
pub(super) fn split(strokes: Vec<Ranked>, tolerance: f64, report: &mut Report) -> Result<Vec<Ranked>, Error> {
    let lines: Vec<(usize, Line)> =
        strokes.iter().enumerate().filter_map(|(i, (_, s))| Some((i, Line::of(s)?))).collect();
    let reach = SAME_LINE * tolerance;
    let boxes: Vec<_> = lines.iter().map(|(_, l)| segment_box(l.from, l.to, reach)).collect();
    let grid = Grid::new(&boxes);
    let mut cuts: Vec<Vec<Point>> = vec![Vec::new(); strokes.len()];
    let (mut looked_at, mut cut) = (0, 0);
    for (j, (_, other)) in lines.iter().enumerate() {
        for end in [other.from, other.to] {
            for i in grid.at(end).filter(|i| *i != j) {
                let (stroke, line) = &lines[i];
                looked_at += 1;
                if line.is_inside(end, reach) && line.lies_on(other, reach) {
                    cuts[*stroke].push(end);
                    cut += 1;
                }
            }
        }
        if cut > MOST_CUTS || looked_at > MOST_NEAR {
            let what = "too many lines lie on each other in part, or close together";
            return Err(report.refused(what, "keep only the outlines of the panels, each line once"));
        }
    }
    Ok(strokes.into_iter().zip(cuts).flat_map(|(s, at)| pieces(s, at, report)).collect())
}

/// A stroke of one straight line.
#[derive(Clone, Copy)]
struct Line {
    from: Point,
    to: Point,
}

impl Line {
    fn of(stroke: &Stroke) -> Option<Self> {
        match *stroke.points.as_slice() {
            [from, to] => Some(Self { from, to }),
            _ => None,
        }
    }

    /// How far along and how far to the left of the line `p` lies.
    fn along_and_beside(&self, p: Point) -> (f64, f64) {
        let d = self.to - self.from;
        let l = length(d);
        (dot(p - self.from, d) / l, cross(self.from, self.to, p) / l)
    }

    fn length(&self) -> f64 {
        length(self.to - self.from)
    }

    /// Whether `p` lies on the line and apart from its ends.
    fn is_inside(&self, p: Point, reach: f64) -> bool {
        let (along, beside) = self.along_and_beside(p);
        beside.abs() <= reach && along > reach && along < self.length() - reach
    }

    /// Whether the two lines run along each other for more than a point.
    fn lies_on(&self, other: &Self, reach: f64) -> bool {
        let (a, beside_a) = self.along_and_beside(other.from);
        let (b, beside_b) = self.along_and_beside(other.to);
        let (low, high) = (a.min(b).max(0.0), a.max(b).min(self.length()));
        let beside = |t: f64| beside_a + (beside_b - beside_a) * ((t - a) / (b - a));
        high - low > 2.0 * reach && beside(low).abs() <= reach && beside(high).abs() <= reach
    }
}

fn pieces((rank, stroke): Ranked, mut at: Vec<Point>, report: &mut Report) -> Vec<Ranked> {
    let [from, to] = *stroke.points.as_slice() else { return vec![(rank, stroke)] };
    if at.is_empty() {
        return vec![(rank, stroke)];
    }
    let what = "a line lies on another in part; the shared part is cut once";
    report.warn(Kind::Overlap, &stroke.layer, &stroke.place, at[0], what, "");
    let along = |p: &Point| dot(*p - from, to - from);
    at.sort_by(|p, q| along(p).total_cmp(&along(q)));
    at.insert(0, from);
    at.push(to);
    at.dedup();
    at.windows(2).map(|w| (rank, Stroke { points: w.to_vec(), ..stroke.clone() })).collect()
}

//! What the tip of the tool draws on the film for one contour: overcut, dashes and bridges.

use super::plan::contour::Tool;
use crate::error::{Problem, Shown};
use crate::shape::{Point, dot, length};

/// Lengths of the dashes of a through cut, in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dashes {
    /// About the length of a dash.
    pub cut: f64,
    /// Length of an uncut bridge between two dashes.
    pub bridge: f64,
}

impl Default for Dashes {
    /// 10 mm cut, 0.8 mm left: common practice, no source.
    fn default() -> Self {
        Self { cut: 10.0, bridge: 0.8 }
    }
}

impl Dashes {
    /// Shortest dash and bridge in mm: no knife is set down or lifted within less.
    pub const LEAST: f64 = 0.1;
    /// Longest dash in mm.
    pub const LONGEST: f64 = 1000.0;

    /// What is wrong with these lengths, if anything is.
    pub(super) fn problem(&self) -> Option<Problem> {
        let Self { cut, bridge } = *self;
        if bridge >= Self::LEAST && bridge < cut && cut <= Self::LONGEST {
            return None;
        }
        let what = format!("dashes of {} mm with bridges of {} mm", Shown(cut), Shown(bridge));
        let remedy =
            format!("give lengths from {} to {} mm, bridges shorter than dashes", Self::LEAST, Self::LONGEST);
        Some(Problem::new("through cuts", what, remedy))
    }
}

/// How contours are cut.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Cutting {
    /// How far a closed contour is cut on past its start point, along itself, in mm.
    pub overcut: f64,
    /// Dashes of through cuts.
    pub dashes: Dashes,
}

/// The strokes of one contour that starts at its first point, in order. Each is a line of at
/// least two points along which the tool is down.
pub(super) fn strokes(points: &[Point], closed: bool, tool: Tool, how: &Cutting) -> Vec<Vec<Point>> {
    let mut line = points.to_vec();
    if closed {
        line.extend(points.first());
    }
    match tool {
        Tool::Through => dashed(&line, closed, &how.dashes),
        Tool::Kiss if closed => {
            let more = Measured::of(&line).between(0.0, how.overcut);
            line.extend(more.into_iter().skip(1));
            vec![line]
        }
        _ => vec![line],
    }
}

/// A line with the way to each of its points.
struct Measured<'a> {
    points: &'a [Point],
    way: Vec<f64>,
}

impl<'a> Measured<'a> {
    fn of(points: &'a [Point]) -> Self {
        let mut way = Vec::with_capacity(points.len());
        let mut sum = 0.0;
        for (i, p) in points.iter().enumerate() {
            if i > 0 {
                sum += length(*p - points[i - 1]);
            }
            way.push(sum);
        }
        Self { points, way }
    }

    fn whole(&self) -> f64 {
        self.way.last().copied().unwrap_or(0.0)
    }

    fn at(&self, s: f64) -> Option<Point> {
        let next = self.way.partition_point(|w| *w <= s);
        let (a, last) = (*self.points.get(next.checked_sub(1)?)?, self.points.last()?);
        let Some(b) = self.points.get(next) else { return Some(*last) };
        let (from, to) = (self.way[next - 1], self.way[next]);
        Some(a + (*b - a) * ((s - from) / (to - from)))
    }

    /// The part of the line from `from` to `to`; nothing when that is no way at all.
    fn between(&self, from: f64, to: f64) -> Vec<Point> {
        let (from, to) = (from.max(0.0), to.min(self.whole()));
        let (Some(a), Some(b)) = (self.at(from), self.at(to)) else { return Vec::new() };
        if to <= from {
            return Vec::new();
        }
        let inner = self.points.iter().zip(&self.way).filter(|(_, w)| **w > from && **w < to);
        let mut part: Vec<Point> = std::iter::once(a).chain(inner.map(|(p, _)| *p)).collect();
        part.push(b);
        part
    }
}

/// Cosine of the turn from which a point counts as a corner: 20 degrees. Corners are cut
/// through, as liner that hangs on a corner tears.
const CORNER_COS: f64 = 0.939_692_620_785_908_4;

/// A line as dashes: each stretch from corner to corner begins and ends with a whole dash, and
/// bridges lie evenly between.
fn dashed(line: &[Point], closed: bool, dashes: &Dashes) -> Vec<Vec<Point>> {
    let measured = Measured::of(line);
    let corners = corners(&measured);
    let mut bridges: Vec<(f64, f64)> = Vec::new();
    for w in corners.windows(2) {
        bridges.extend(in_stretch(w[0], w[1], dashes));
    }
    if bridges.is_empty() && closed {
        bridges.extend(in_longest(&corners, dashes));
    }
    let mut strokes = Vec::new();
    let mut from = 0.0;
    for (begin, end) in bridges {
        strokes.push(measured.between(from, begin));
        from = end;
    }
    strokes.push(measured.between(from, measured.whole()));
    strokes.retain(|s| s.len() > 1);
    strokes
}

/// The ways at which the line has a corner, its two ends included.
fn corners(line: &Measured<'_>) -> Vec<f64> {
    let mut found = vec![0.0];
    for (i, w) in line.points.windows(3).enumerate() {
        let (a, b) = (w[1] - w[0], w[2] - w[1]);
        if dot(a, b) < CORNER_COS * length(a) * length(b) {
            found.push(line.way[i + 1]);
        }
    }
    // A closed line is begun with a whole dash and ended with one, corner or not.
    found.push(line.whole());
    found
}

/// Bridges of a stretch between two corners: as many as give dashes of about the length asked for.
fn in_stretch(from: f64, to: f64, dashes: &Dashes) -> Vec<(f64, f64)> {
    let way = to - from;
    let count = ((way - dashes.cut) / (dashes.cut + dashes.bridge)).round().max(0.0);
    let dash = (way - count * dashes.bridge) / (count + 1.0);
    (0..count as usize)
        .map(|i| {
            let begin = from + dash * (i + 1) as f64 + dashes.bridge * i as f64;
            (begin, begin + dashes.bridge)
        })
        .collect()
}

/// A piece so small that no stretch has room for a bridge must not fall into the machine: one
/// bridge in the middle of its longest stretch.
fn in_longest(corners: &[f64], dashes: &Dashes) -> Option<(f64, f64)> {
    let (from, to) =
        corners.windows(2).map(|w| (w[0], w[1])).max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)))?;
    let (middle, half) = (0.5 * (from + to), (0.5 * dashes.bridge).min(0.25 * (to - from)));
    Some((middle - half, middle + half))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(size: f64) -> Vec<Point> {
        [(0.0, 0.0), (size, 0.0), (size, size), (0.0, size)].map(|(x, y)| Point { x, y }).to_vec()
    }

    fn len(line: &[Point]) -> f64 {
        line.windows(2).map(|w| length(w[1] - w[0])).sum()
    }

    #[test]
    fn an_overcut_runs_on_along_the_contour_and_round_its_corners() {
        let how = Cutting { overcut: 12.0, ..Cutting::default() };
        let found = strokes(&square(10.0), true, Tool::Kiss, &how);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].last(), Some(&Point { x: 10.0, y: 2.0 }));
        assert_eq!(len(&found[0]), 52.0);
        let plain = strokes(&square(10.0), true, Tool::Kiss, &Cutting::default());
        assert_eq!(plain[0].last(), plain[0].first());
        assert_eq!(len(&strokes(&square(10.0), false, Tool::Pen, &how)[0]), 30.0);
    }

    #[test]
    fn dashes_and_bridges_make_up_the_whole_contour_and_corners_are_cut() {
        let dashes = Dashes { cut: 10.0, bridge: 0.8 };
        let how = Cutting { overcut: 5.0, dashes };
        for size in [3.0, 12.0, 25.0, 100.0, 333.3] {
            let found = strokes(&square(size), true, Tool::Through, &how);
            let cut: f64 = found.iter().map(|s| len(s)).sum();
            // One dash begins and one ends at the start point; all others have a bridge between.
            let bridges: f64 = found.windows(2).map(|w| length(w[1][0] - w[0][w[0].len() - 1])).sum();
            assert!((cut + bridges - 4.0 * size).abs() < 1e-9, "{size}");
            assert!(found.len() > 1, "a piece of {size} mm would fall out");
            let ends =
                found.iter().flat_map(|s| [s[0], s[s.len() - 1]]).filter(|p| *p != Point { x: 0.0, y: 0.0 });
            for end in ends {
                let corner = square(size).iter().map(|c| length(*c - end)).fold(f64::INFINITY, f64::min);
                assert!(
                    corner >= 0.45 * dashes.cut.min(size - dashes.bridge),
                    "a bridge {corner} mm from a corner of {size}"
                );
            }
        }
    }

    #[test]
    fn dashes_that_no_knife_cuts_are_refused() {
        for (cut, bridge) in [(0.000_5, 0.000_1), (0.1, 0.1), (10.0, 0.09), (1000.5, 1.0), (10.0, f64::NAN)] {
            let problem = Dashes { cut, bridge }.problem().unwrap();
            assert!(problem.remedy.contains("from 0.1 to 1000 mm"), "{problem}");
        }
        for (cut, bridge) in [(0.11, Dashes::LEAST), (10.0, 0.8), (Dashes::LONGEST, 999.0)] {
            assert_eq!(Dashes { cut, bridge }.problem(), None);
        }
    }

    #[test]
    fn a_smooth_round_line_has_bridges_all_round() {
        let circle: Vec<Point> = (0..400)
            .map(|i| {
                let (s, c) = libm::sincos(f64::from(i) * std::f64::consts::TAU / 400.0);
                Point { x: 50.0 * c, y: 50.0 * s }
            })
            .collect();
        let found = strokes(&circle, true, Tool::Through, &Cutting::default());
        // 314 mm in dashes of 10 mm and bridges of 0.8 mm.
        assert_eq!(found.len(), 29);
        assert!(found.iter().all(|s| (len(s) - 10.0).abs() < 0.2));
    }
}

//! Cuts in the waste that let it come off in strips: straight lines that stop short of every panel.

use crate::error::{Error, Problems, Shown};
use crate::shape::{Bounds, Contours, Point, clear_stretches, length};

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
                format!("{} mm is no width of a strip", Shown(strips)),
                "give 10 mm or more",
            );
        }
        if (self.strips.is_some() || self.frame) && !(self.clearance > 0.0 && self.clearance <= 100.0) {
            let what = format!("a clearance of {} mm is not above 0 and at most 100", Shown(self.clearance));
            problems.push("weeding", what, "a cut in the waste must stay away from panels");
        }
        problems.or_ok(())
    }
}

/// Lines in the waste shorter than this, in mm, help nobody.
const SHORTEST: f64 = 5.0;

/// Far less than any machine can tell, in mm, and more than coordinates are rounded by.
const HAIR: f64 = 1e-6;

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
    fn free(&self, &[a, b]: &[Point; 2]) -> Vec<[Point; 2]> {
        // A frame lies just at the clearance, which is not too near whatever the rounding.
        let reach = self.weeding.clearance - HAIR;
        let Some(bounds) = Bounds::of([&a, &b]) else { return Vec::new() };
        let near: Vec<&Contours> =
            self.obstacles.iter().filter(|o| o.bounds.near(&bounds, reach)).map(|o| &o.area).collect();
        let ends = |(from, to): (f64, f64)| [from, to].map(|part| a + (b - a) * part);
        let parts = clear_stretches([a, b], near.iter().copied(), reach).into_iter().map(ends);
        let outside = |[p, q]: &[Point; 2]| {
            let middle = (*p + *q) * 0.5;
            near.iter().all(|area| area.locate(middle) == Some(false))
        };
        parts.filter(|[p, q]| length(*q - *p) >= SHORTEST).filter(outside).collect()
    }
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
        assert!(nearest > 2.0 - 2e-6 && nearest < 2.01, "{nearest}");
        assert!(lines.len() >= 15, "{}", lines.len());
    }

    /// A frame round one rectangle, reckoned by hand: both ways along it, and across it at both ends.
    #[test]
    fn a_frame_goes_all_round_straight_sides() {
        let corners = [(20.0, 30.1), (220.3, 30.1), (220.3, 130.7), (20.0, 130.7)];
        let panel = corners.map(|(x, y)| Point { x, y });
        let obstacles = [Obstacle::of(&panel).unwrap()];
        let weeding = Weeding { strips: None, frame: true, clearance: 5.0 };
        let ground = Ground { obstacles: &obstacles, weeding: &weeding, across: [3.0, 500.0] };
        let bounds = Bounds::of(&panel).unwrap();
        let lines = ground.lines((bounds.min.x, bounds.max.x), true, &bounds);
        let lengths: Vec<f64> = lines.iter().map(|[a, b]| length(*b - *a)).collect();
        let expected = [210.3, 210.3, 110.6, 110.6];
        assert_eq!(lengths.len(), 4, "{lines:?}");
        assert!(lengths.iter().zip(expected).all(|(l, e)| (l - e).abs() < 1e-9), "{lengths:?}");
    }
}

//! Compensation of a drag knife, for machines that do not do it themselves.
//!
//! The knife swivels about a pivot that runs ahead of its tip by the blade offset d. To lead
//! the tip along a line, the pivot runs on the line's extension by d; at a corner it swings on
//! an arc of radius d about the corner, so that the tip stays there while the knife turns. On
//! a circle of radius r the pivot runs at sqrt(r^2 + d^2).

use crate::shape::{Point, cross, dot, length};

/// Least and greatest blade offset in mm: the range that a maker of blades gives (Edward
/// Mathias & Co, blades.uk.com/cutteroffset.html).
pub const OFFSETS: [f64; 2] = [0.175, 1.0];

/// How far an arc may stray from the true one, in mm.
const SAG: f64 = 0.005;

/// Leads the pivot of a knife; remembers which way the knife points.
#[derive(Debug, Clone, Copy)]
pub struct Blade {
    offset: f64,
    /// The direction from the tip to the pivot.
    points: Point,
}

impl Blade {
    /// A knife with this offset in mm that points along the feed.
    pub fn new(offset: f64) -> Self {
        Self { offset, points: Point { x: 1.0, y: 0.0 } }
    }

    /// The way of the pivot that leads the tip along `line`.
    pub fn lead(&mut self, line: &[Point]) -> Vec<Point> {
        let mut pivot = Vec::with_capacity(line.len() + 8);
        for w in line.windows(2) {
            let way = length(w[1] - w[0]);
            if way <= 0.0 {
                continue;
            }
            self.swing(w[0], (w[1] - w[0]) * (1.0 / way), &mut pivot);
            pivot.push(w[1] + self.points * self.offset);
        }
        pivot.dedup();
        pivot
    }

    /// Turns the knife about its tip at `tip` until it points along `to`.
    fn swing(&mut self, tip: Point, to: Point, pivot: &mut Vec<Point>) {
        let origin = Point { x: 0.0, y: 0.0 };
        let angle = libm::atan2(cross(origin, self.points, to), dot(self.points, to));
        let step = 2.0 * libm::acos((1.0 - SAG / self.offset).max(0.0));
        let count = (angle.abs() / step).ceil().max(1.0);
        if pivot.is_empty() {
            pivot.push(tip + self.points * self.offset);
        }
        for i in 1..count as usize {
            let (s, c) = libm::sincos(angle * i as f64 / count);
            let p = self.points;
            pivot.push(tip + Point { x: c * p.x - s * p.y, y: s * p.x + c * p.y } * self.offset);
        }
        self.points = to;
        pivot.push(tip + to * self.offset);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn p(x: f64, y: f64) -> Point {
        Point { x, y }
    }

    /// What the tip draws when the pivot runs along a line: it is dragged straight towards
    /// the pivot, step by small step (a tractrix).
    fn dragged(pivot: &[Point], offset: f64, mut tip: Point) -> Vec<Point> {
        let mut drawn = vec![tip];
        for w in pivot.windows(2) {
            let steps = (length(w[1] - w[0]) / 0.0005).ceil().max(1.0) as usize;
            for i in 1..=steps {
                let at = w[0] + (w[1] - w[0]) * (i as f64 / steps as f64);
                let far = length(tip - at);
                tip = at + (tip - at) * (offset / far);
                drawn.push(tip);
            }
        }
        drawn
    }

    #[test]
    fn a_quarter_corner_swings_on_an_arc_about_it() {
        let mut blade = Blade::new(0.25);
        let pivot = blade.lead(&[p(0.0, 0.0), p(10.0, 0.0), p(10.0, 10.0)]);
        assert_eq!(pivot[0], p(0.25, 0.0));
        assert_eq!(pivot[pivot.len() - 1], p(10.0, 10.25));
        let arc: Vec<_> = pivot.iter().filter(|q| q.x > 10.0 && q.y < 0.2499).collect();
        assert!(arc.len() >= 3);
        assert!(arc.iter().all(|q| (length(**q - p(10.0, 0.0)) - 0.25).abs() < 1e-12));
    }

    #[test]
    fn on_a_circle_the_pivot_runs_at_the_root_of_the_squares() {
        let circle: Vec<Point> = (0..=2000)
            .map(|i| {
                let (s, c) = libm::sincos(f64::from(i) * std::f64::consts::TAU / 2000.0);
                p(5.0 * c, 5.0 * s)
            })
            .collect();
        let pivot = Blade::new(0.25).lead(&circle);
        // A side points half a step off the tangent: 0.25 mm times pi / 2000.
        for q in &pivot[10..] {
            assert!((length(*q) - 5.006_246).abs() < 4e-4, "{}", length(*q));
        }
    }

    #[test]
    fn the_dragged_tip_draws_the_line_that_was_asked_for() {
        let line = [p(0.0, 0.0), p(10.0, 0.0), p(10.0, 6.0), p(4.0, 6.0), p(9.0, 1.0)];
        let offset = 0.5;
        let pivot = Blade::new(offset).lead(&line);
        for tip in dragged(&pivot, offset, line[0]) {
            let off = line
                .windows(2)
                .map(|w| crate::shape::point_segment_distance(tip, w[0], w[1]))
                .fold(f64::INFINITY, f64::min);
            assert!(off < 0.01, "{tip:?} is {off} mm off");
        }
    }
}

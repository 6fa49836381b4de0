//! How long the chords of a shape are that lie along the strip, from its lowest to its highest.
//!
//! Elementary: every side adds its trapezoid, as in the formula for the area of a polygon.

use crate::shape::Point;

/// Total length of a shape's chord as a function of its height y above the shape's lowest point:
/// linear between its corners, 0 outside.
#[derive(Debug, Clone, PartialEq)]
pub struct Chords {
    /// Heights of corners, rising, from 0.
    y: Vec<f64>,
    /// Chord just above each corner but the last, and just below the next.
    ends: Vec<[f64; 2]>,
    /// Area up to each corner.
    area: Vec<f64>,
}

impl Chords {
    /// The chords of closed contours, of which outer ones run counter-clockwise and holes clockwise.
    pub fn of(contours: &[Vec<Point>]) -> Self {
        let sides = || contours.iter().flat_map(|c| (0..c.len()).map(move |i| (c[i], c[(i + 1) % c.len()])));
        let mut y: Vec<f64> = contours.iter().flatten().map(|p| p.y).collect();
        y.sort_by(f64::total_cmp);
        y.dedup();
        let mut ends = vec![[0.0; 2]; y.len().saturating_sub(1)];
        for (a, b) in sides().filter(|(a, b)| a.y.total_cmp(&b.y).is_ne()) {
            // The solid lies to the left of a side: one that runs upwards ends a chord.
            let sign = if b.y > a.y { 1.0 } else { -1.0 };
            let (low, high) = if b.y > a.y { (a, b) } else { (b, a) };
            let x = |h: f64| low.x + (high.x - low.x) * ((h - low.y) / (high.y - low.y));
            let first = y.partition_point(|v| *v < low.y);
            for (k, e) in ends.iter_mut().enumerate().skip(first).take_while(|(k, _)| y[*k] < high.y) {
                e[0] += sign * x(y[k]);
                e[1] += sign * x(y[k + 1]);
            }
        }
        let lowest = y.first().copied().unwrap_or(0.0);
        y.iter_mut().for_each(|v| *v -= lowest);
        let mut area = vec![0.0; y.len()];
        for (k, e) in ends.iter_mut().enumerate() {
            *e = e.map(|c| c.max(0.0));
            area[k + 1] = area[k] + 0.5 * (e[0] + e[1]) * (y[k + 1] - y[k]);
        }
        Self { y, ends, area }
    }

    /// Greatest height.
    pub fn height(&self) -> f64 {
        self.y.last().copied().unwrap_or(0.0)
    }

    /// Heights of all corners.
    pub fn corners(&self) -> &[f64] {
        &self.y
    }

    /// The piece of the function in which a height lies.
    fn piece(&self, h: f64) -> Option<usize> {
        (h > 0.0 && h < self.height())
            .then(|| self.y.partition_point(|v| *v <= h).saturating_sub(1).min(self.ends.len() - 1))
    }

    /// The chord at a height; 0 outside.
    pub fn at(&self, h: f64) -> f64 {
        let Some(k) = self.piece(h) else { return 0.0 };
        let t = (h - self.y[k]) / (self.y[k + 1] - self.y[k]);
        self.ends[k][0] + t * (self.ends[k][1] - self.ends[k][0])
    }

    /// Area below a height.
    pub fn area_below(&self, h: f64) -> f64 {
        let Some(k) = self.piece(h) else {
            return if h <= 0.0 { 0.0 } else { self.area.last().copied().unwrap_or(0.0) };
        };
        let d = h - self.y[k];
        self.area[k] + 0.5 * (self.ends[k][0] + self.at(h)) * d
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn contour(list: &[(f64, f64)]) -> Vec<Point> {
        list.iter().map(|&(x, y)| Point { x, y }).collect()
    }

    #[test]
    fn a_square_with_a_hole_has_the_chords_one_measures() {
        let outer = contour(&[(0., 5.), (10., 5.), (10., 15.), (0., 15.)]);
        let hole = contour(&[(2., 7.), (2., 11.), (6., 11.), (6., 7.)]);
        let c = Chords::of(&[outer, hole]);
        assert_eq!(c.height(), 10.0);
        assert_eq!([1.0, 3.0, 7.0].map(|h| c.at(h)), [10.0, 6.0, 10.0]);
        assert_eq!([-1.0, 0.0, 10.0, 12.0].map(|h| c.at(h)), [0.0; 4]);
        assert_eq!([2.0, 4.0, 6.0, 10.0, 99.0].map(|h| c.area_below(h)), [20.0, 32.0, 44.0, 84.0, 84.0]);
    }

    #[test]
    fn the_chords_of_a_u_leave_its_mouth_out() {
        let u = contour(&[(0., 0.), (9., 0.), (9., 8.), (6., 8.), (6., 2.), (3., 2.), (3., 6.), (0., 6.)]);
        let c = Chords::of(&[u]);
        assert_eq!([1.0, 3.0, 7.0].map(|h| c.at(h)), [9.0, 6.0, 3.0]);
        assert_eq!(c.area_below(8.0), 18.0 + 24.0 + 6.0);
    }

    #[test]
    fn the_chord_of_a_triangle_shrinks_evenly() {
        let c = Chords::of(&[contour(&[(0., 0.), (8., 0.), (3., 4.)])]);
        assert_eq!([1.0, 2.0, 3.0].map(|h| c.at(h)), [6.0, 4.0, 2.0]);
        assert_eq!(c.area_below(2.0), 12.0);
    }
}

//! A strip between two seams, laid out flat, with its laps and ends.

use super::chart::{Chart, EndName};
use super::seam::{End, Seam};
use super::{Fault, Hand};
use crate::shape::{Point, Ring, RingFault};

/// A chart with what is added round it.
pub(super) struct Strip<C> {
    pub chart: C,
    pub seam: Seam,
    pub aft: End,
    pub fore: End,
    /// Radius of the body at the aft and the fore end.
    pub radii: [f64; 2],
}

/// What a strip becomes on the film.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Flat {
    pub outline: Ring,
    /// Seam lines, left and right, from the aft end to the fore end.
    pub seams: [Vec<Point>; 2],
}

impl<C: Chart> Strip<C> {
    /// The outline and the seam lines.
    pub fn flat(&self) -> Result<Flat, Fault> {
        let mut points = self.long_edge(Hand::Right);
        let left = self.long_edge(Hand::Left);
        points.extend(self.across(EndName::Fore));
        points.extend(left.iter().rev());
        points.extend(self.across(EndName::Aft).iter().rev());
        points.dedup();
        Ok(Flat { outline: ring(points)?, seams: [self.seam_line(Hand::Left), self.seam_line(Hand::Right)] })
    }

    /// Width of the lap at `s`, in `t`. Never more than half the strip: so it runs out to nothing
    /// at a pointed tip.
    pub fn lap(&self, hand: Hand, s: f64) -> f64 {
        let [left, right] = self.seam.laps();
        let finished = if hand == Hand::Left { left } else { right };
        self.chart.lap(finished).min(self.chart.half(s))
    }

    /// The seam's `t` at `s`.
    pub fn seam_at(&self, hand: Hand, s: f64) -> f64 {
        sign(hand) * self.chart.half(s)
    }

    /// The cut edge's `t` at `s`, lap included.
    pub fn edge_at(&self, hand: Hand, s: f64) -> f64 {
        sign(hand) * (self.chart.half(s) + self.lap(hand, s))
    }

    /// What is added at an end.
    pub fn end(&self, which: EndName) -> &End {
        match which {
            EndName::Aft => &self.aft,
            EndName::Fore => &self.fore,
        }
    }

    /// `s` of the film's end at `t`.
    pub fn film_end(&self, which: EndName, t: f64) -> f64 {
        let end = self.chart.end(which, t);
        let length = self.end(which).length();
        if which == EndName::Aft { end - length } else { end + length }
    }

    /// By how much flaps are narrower at their ends than at the fold: they lie on a flat disc.
    fn flap(&self, which: EndName) -> f64 {
        let radius = self.radii[usize::from(which == EndName::Fore)];
        let fold = self.end(which).fold;
        if fold > 0.0 && radius > 0.0 { (radius - fold) / radius } else { 1.0 }
    }

    fn long_edge(&self, hand: Hand) -> Vec<Point> {
        let at = |s: f64| self.chart.at(s, self.edge_at(hand, s));
        let (first, last) = self.corners(hand);
        let mut points = Vec::new();
        points.extend(self.flap_corner(EndName::Aft, hand));
        points.push(at(first));
        points.extend(self.chart.edge().into_iter().filter(|s| *s > first && *s < last).map(at));
        points.push(at(last));
        points.extend(self.flap_corner(EndName::Fore, hand));
        points
    }

    /// `s` of both ends of a cut edge; at the fold where there are flaps.
    fn corners(&self, hand: Hand) -> (f64, f64) {
        let corner = |which: EndName| {
            let middle = self.chart.end(which, 0.0);
            let t = self.edge_at(hand, middle);
            if self.end(which).fold > 0.0 { self.chart.end(which, t) } else { self.film_end(which, t) }
        };
        (corner(EndName::Aft), corner(EndName::Fore))
    }

    fn flap_corner(&self, which: EndName, hand: Hand) -> Option<Point> {
        (self.end(which).fold > 0.0)
            .then(|| self.flap_end(which, self.edge_at(hand, self.chart.end(which, 0.0))))
    }

    /// The end of the flap that starts at `t` of the fold.
    fn flap_end(&self, which: EndName, t: f64) -> Point {
        self.chart.at(self.film_end(which, t), t * self.flap(which))
    }

    /// The film's end from right to left, without its corners.
    fn across(&self, which: EndName) -> Vec<Point> {
        // Flaps start at the fold; other film keeps following the body to its own end.
        let s =
            if self.end(which).fold > 0.0 { self.chart.end(which, 0.0) } else { self.film_end(which, 0.0) };
        let (right, left) = (self.edge_at(Hand::Right, s), self.edge_at(Hand::Left, s));
        let ts = self.chart.across(which, right, left);
        let inner = ts.get(1..ts.len().saturating_sub(1)).unwrap_or_default();
        inner.iter().map(|t| self.flap_end(which, *t)).collect()
    }

    fn seam_line(&self, hand: Hand) -> Vec<Point> {
        let half = self.chart.half(0.0);
        let (first, last) = (
            self.chart.end(EndName::Aft, sign(hand) * half),
            self.chart.end(EndName::Fore, sign(hand) * half),
        );
        let inner = self.chart.edge().into_iter().filter(|s| *s > first && *s < last);
        let mut line: Vec<Point> = std::iter::once(first)
            .chain(inner)
            .chain([last])
            .map(|s| self.chart.at(s, self.seam_at(hand, s)))
            .collect();
        line.dedup();
        line
    }

    /// Slits that part a fold into flaps, from just beyond the fold line to the film's end: the
    /// inner ones; the seams part it anyway.
    pub fn slits(&self, which: EndName) -> Vec<[Point; 2]> {
        if self.end(which).fold <= 0.0 {
            return Vec::new();
        }
        let middle = self.chart.end(which, 0.0);
        let (right, left) = (self.seam_at(Hand::Right, middle), self.seam_at(Hand::Left, middle));
        let flaps = ((left - right) / FLAP_WIDTH).ceil().max(1.0);
        let step = (left - right) / flaps;
        let mut list = Vec::new();
        let mut t = right + step;
        while t < left - 0.5 * step {
            let fold = self.chart.end(which, t);
            let start = if which == EndName::Aft { fold - SLIT_START } else { fold + SLIT_START };
            list.push([self.chart.at(start, t), self.flap_end(which, t)]);
            t += step;
        }
        list
    }
}

/// Width of one flap of a fold in mm. Common practice, no source: a flat flap of this width
/// leaves a round edge of 25 mm radius by half a millimetre.
const FLAP_WIDTH: f64 = 10.0;

/// A slit starts so far from the fold, in mm, that no cut shows on the outside.
const SLIT_START: f64 = 0.5;

/// +1 to the left, -1 to the right.
pub(super) fn sign(hand: Hand) -> f64 {
    if hand == Hand::Left { 1.0 } else { -1.0 }
}

pub(super) fn ring(points: Vec<Point>) -> Result<Ring, Fault> {
    Ring::new(points).map_err(|fault| match fault {
        RingFault::Crossing { near, .. } => Fault::new(
            "",
            format!("the flat panel would run into itself near ({:.1}, {:.1}) mm", near.x, near.y),
            "use more pieces, less overlap or smaller allowances",
        ),
        RingFault::NotFinite { .. } => Fault::new("", "a dimension is beyond reason", "check the unit"),
        RingFault::TooFewPoints | RingFault::NoArea | RingFault::Crowded => {
            Fault::new("", "nothing is left of the flat panel", "check its dimensions")
        }
    })
}

#[cfg(test)]
mod tests;

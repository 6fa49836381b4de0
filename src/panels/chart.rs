//! Charts: from places on a body to places on the film.
//!
//! `s` runs along the film from the aft end (base, 0) to the fore end; `t` runs round the
//! body, in mm along its circle, 0 in the middle of the panel and positive to the left when the
//! fore end points up. A seam lies at t = half width to either side; what is beyond it is lap.

use super::numeric::bisect;
use super::profile::{Edge, Meridian, Station};
use super::strain::runs;
use crate::shape::Point;
use std::f64::consts::PI;

/// An end of a panel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EndName {
    /// Towards the base, at x = 0.
    Aft,
    /// Towards the tip.
    Fore,
}

/// How a strip between two seams is laid out flat.
pub(super) trait Chart {
    /// Length of the strip's middle line.
    fn length(&self) -> f64;
    /// Half the width from seam to seam, on the body.
    fn half(&self, s: f64) -> f64;
    /// The place on the film.
    fn at(&self, s: f64, t: f64) -> Point;
    /// Values of `s` from 0 to the length at which seam lines and lap edges bend; the ends may be
    /// among them.
    fn edge(&self) -> Vec<f64>;
    /// Values of `t` from `from` to `to` that an end of the strip needs.
    fn across(&self, which: EndName, from: f64, to: f64) -> Vec<f64>;
    /// How much `t` a finished lap takes.
    fn lap(&self, finished: f64) -> f64 {
        finished
    }
    /// Where an end of the strip lies at `t`.
    fn end(&self, which: EndName, t: f64) -> f64 {
        let _ = t;
        match which {
            EndName::Aft => 0.0,
            EndName::Fore => self.length(),
        }
    }
}

/// One of n gores of a doubly curved body: every circle at its true length, straight across.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct GoreChart {
    /// (station along the film, half width), aft to fore.
    edge: Vec<(f64, f64)>,
}

impl GoreChart {
    /// Flat edge points of one of `n` gores within `tolerance`. `lap` is where the lap edge has a
    /// corner: below that half width it tapers.
    pub fn new(meridian: &Meridian, n: u32, balance: f64, lap: f64, tolerance: f64) -> Self {
        let per_radius = PI / f64::from(n);
        let edge = Edge { per_radius, doubled_below: lap / per_radius };
        let mut stations = meridian.sample(&edge, tolerance);
        stations.reverse();
        let lengths = flat_lengths(&stations, per_radius, balance);
        let point = |(s, length): (&Station, &f64)| (*length, per_radius * s.radius);
        let mut edge: Vec<(f64, f64)> = stations.iter().zip(&lengths).map(point).collect();
        edge.dedup_by(|b, a| b.0 <= a.0);
        Self { edge }
    }
}

/// Distance along the film of each station from the first, which is the aft end.
fn flat_lengths(stations: &[Station], per_radius: f64, balance: f64) -> Vec<f64> {
    let run = |s: &Station| runs(per_radius * s.slope, balance).centre;
    let mut at = 0.0;
    let mut list = vec![0.0];
    for pair in stations.windows(2) {
        let arc = pair[0].arc - pair[1].arc;
        // Unbalanced gores run 1 per mm exactly; for others the trapezoid rule is far within
        // tolerance at the distance of these stations.
        at = if balance > 0.0 {
            at + 0.5 * (run(&pair[0]) + run(&pair[1])) * arc
        } else {
            stations[0].arc - pair[1].arc
        };
        list.push(at);
    }
    list
}

impl Chart for GoreChart {
    fn length(&self) -> f64 {
        self.edge.last().map_or(0.0, |e| e.0)
    }

    fn half(&self, s: f64) -> f64 {
        let i = self.edge.partition_point(|e| e.0 <= s);
        match (i.checked_sub(1).map(|j| self.edge[j]), self.edge.get(i)) {
            (Some(a), Some(b)) => a.1 + (b.1 - a.1) * (s - a.0) / (b.0 - a.0),
            (Some(a), None) => a.1,
            (None, Some(b)) => b.1,
            (None, None) => 0.0,
        }
    }

    fn at(&self, s: f64, t: f64) -> Point {
        Point { x: s, y: t }
    }

    fn edge(&self) -> Vec<f64> {
        self.edge.iter().map(|e| e.0).collect()
    }

    fn across(&self, _which: EndName, from: f64, to: f64) -> Vec<f64> {
        vec![from, to]
    }
}

/// One of n equal pieces of a cone or frustum, developed exactly: a sector of a ring, its middle
/// along x. A cylinder is the limit, and nothing is lost close to it: everything is computed from
/// the curvature of the developed circles, not from their distant centre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct SectorChart {
    aft_radius: f64,
    fore_radius: f64,
    slant: f64,
    pieces: f64,
    /// Half width at which the lap edge has a corner: below it the lap tapers.
    lap: f64,
    tolerance: f64,
}

impl SectorChart {
    /// A frustum between two radii, `height` long along its axis.
    pub fn new(aft_radius: f64, fore_radius: f64, height: f64, n: u32, lap: f64, tolerance: f64) -> Self {
        let slant = libm::hypot(height, aft_radius - fore_radius);
        Self { aft_radius, fore_radius, slant, pieces: f64::from(n), lap, tolerance }
    }

    /// Sine of the half angle of the cone; negative when it widens forward.
    fn sine(&self) -> f64 {
        (self.aft_radius - self.fore_radius) / self.slant
    }

    fn radius(&self, s: f64) -> f64 {
        self.aft_radius - self.sine() * s
    }

    /// Angle of the whole piece from seam to seam, in radians.
    #[cfg(test)]
    pub fn angle(&self) -> f64 {
        2.0 * PI * self.sine().abs() / self.pieces
    }
}

impl Chart for SectorChart {
    fn length(&self) -> f64 {
        self.slant
    }

    fn half(&self, s: f64) -> f64 {
        (PI * self.radius(s) / self.pieces).max(0.0)
    }

    fn at(&self, s: f64, t: f64) -> Point {
        let radius = self.radius(s);
        if radius <= 0.0 {
            return Point { x: s, y: 0.0 };
        }
        // Of the developed circle; the lap edge runs parallel to the straight seam.
        let curvature = self.sine() / radius;
        let (half, beyond) = (self.half(s), t.abs() - self.half(s));
        let along = if beyond > 0.0 { half + parallel(beyond, curvature) } else { t.abs() };
        let angle = along * curvature;
        let t = if t < 0.0 { -along } else { along };
        Point { x: s + along * libm::sin(0.5 * angle) * sinc(0.5 * angle), y: t * sinc(angle) }
    }

    fn edge(&self) -> Vec<f64> {
        let mut list = vec![0.0, self.slant];
        let (aft, fore) = (self.half(0.0), self.half(self.slant));
        if (aft - self.lap) * (fore - self.lap) < 0.0 {
            list.insert(1, self.slant * (aft - self.lap) / (aft - fore));
        }
        list
    }

    fn across(&self, which: EndName, from: f64, to: f64) -> Vec<f64> {
        let radius = self.radius(self.end(which, 0.0)).max(0.0);
        let curvature = if radius > 0.0 { self.sine().abs() / radius } else { 0.0 };
        even(from, to, (8.0 * self.tolerance / curvature).sqrt())
    }
}

/// Length along a circle of the given curvature that lies at the distance `lap` from a straight
/// line through its centre. Limited where the circle is not much larger than the lap, at a cone's
/// tip, where laps taper anyway.
fn parallel(lap: f64, curvature: f64) -> f64 {
    const MOST: f64 = 0.8;
    let sine = lap * curvature.abs();
    if sine < 1e-9 { lap } else { lap * libm::asin(sine.min(MOST)) / sine.min(MOST) }
}

/// sin(x) / x.
fn sinc(x: f64) -> f64 {
    // Below this x^2 / 6 is less than half a last digit.
    if x.abs() < 1e-8 { 1.0 } else { libm::sin(x) / x }
}

/// Values from `from` to `to` at even steps of at most `step`.
fn even(from: f64, to: f64, step: f64) -> Vec<f64> {
    // A circle needs some hundred; a million is only reached by nonsense.
    const MOST: f64 = 1e5;
    let n = ((to - from).abs() / step).ceil().clamp(1.0, MOST);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to 1..1e5 above")]
    let n = n as u32;
    (0..=n).map(|i| if i == n { to } else { from + (to - from) * f64::from(i) / f64::from(n) }).collect()
}

/// Greatest product of the tangents of a seam's lean and of a cut: at 1 a seam would run along the
/// cut, and where it ends could not be told.
pub(super) const MOST_ALONG: f64 = 0.9;

/// A plane cut through the end of a tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slant {
    /// Angle between the plane and a square cut, in degrees, below 90.
    pub angle: f64,
    /// Where round the tube the cut reaches farthest forward, in degrees from the front centre,
    /// positive to the right.
    pub toward: f64,
}

/// One piece of a tube's wrap, its seams straight or winding round the tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct WrapChart {
    pub radius: f64,
    pub length: f64,
    /// Half the width from seam to seam.
    pub half: f64,
    /// Tangent of the angle between seam and axis.
    pub lean: f64,
    /// Angle of the piece's middle from the front centre, radians, positive to the right.
    pub middle: f64,
    /// Plane cuts of the aft and the fore end.
    pub cuts: [Option<Slant>; 2],
    pub tolerance: f64,
}

impl WrapChart {
    /// How far forward of its middle a slanted end lies at film height y.
    ///
    /// A plane at an angle cuts a cylinder of radius R along x = R tan(angle) cos(y / R) when it
    /// is developed (Mathematics Central, University of Regina).
    fn forward(&self, cut: &Slant, y: f64) -> f64 {
        // To the right of the front centre is towards negative y.
        let round = self.middle - y / self.radius;
        self.radius * libm::tan(cut.angle.to_radians()) * libm::cos(round - cut.toward.to_radians())
    }

    fn cut(&self, which: EndName) -> Option<&Slant> {
        match which {
            EndName::Aft => self.cuts[0].as_ref(),
            EndName::Fore => self.cuts[1].as_ref(),
        }
    }
}

impl Chart for WrapChart {
    fn length(&self) -> f64 {
        self.length
    }

    fn half(&self, _s: f64) -> f64 {
        self.half
    }

    fn at(&self, s: f64, t: f64) -> Point {
        Point { x: s, y: t + s * self.lean }
    }

    fn edge(&self) -> Vec<f64> {
        Vec::new()
    }

    fn across(&self, which: EndName, from: f64, to: f64) -> Vec<f64> {
        let Some(cut) = self.cut(which) else { return vec![from, to] };
        let steep = libm::tan(cut.angle.to_radians()).abs();
        // Greatest curvature of R tan(angle) cos(y / R) is tan(angle) / R. Where the seam leans
        // along the cut, a step of t goes farther along y, at most 1 / (1 - lean tan(angle)) times.
        let bend = steep / self.radius;
        let gain = 1.0 - (self.lean.abs() * steep).min(MOST_ALONG);
        even(from, to, gain * (8.0 * self.tolerance / bend).sqrt())
    }

    fn lap(&self, finished: f64) -> f64 {
        finished * libm::hypot(1.0, self.lean)
    }

    fn end(&self, which: EndName, t: f64) -> f64 {
        let square = if which == EndName::Aft { 0.0 } else { self.length };
        let Some(cut) = self.cut(which) else { return square };
        if self.lean == 0.0 {
            return square + self.forward(cut, t);
        }
        // The end is where s = square + forward(y(s, t)). The difference of the two sides rises with s
        // all the way, by at least 1 - MOST_ALONG per mm, so it has one root.
        let reach = self.radius * libm::tan(cut.angle.to_radians()).abs();
        let at = |w: f64| square + reach * (2.0 * w - 1.0);
        at(bisect(|w| at(w) - square - self.forward(cut, t + at(w) * self.lean)))
    }
}

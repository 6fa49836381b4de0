//! The meridian of a body of revolution: its generating curve, measured by arc length.

use super::curve::Curve;
use crate::panels::numeric::{bisect, integrate};
use std::f64::consts::PI;

/// A place on a meridian. All lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Station {
    /// Arc length from the fore end.
    pub arc: f64,
    /// Distance from the fore end along the axis.
    pub axial: f64,
    /// Radius of the body.
    pub radius: f64,
    /// Change of radius per arc length, -1 to 1; positive where the body widens aft.
    pub slope: f64,
}

/// A stretch of a [`Curve`], possibly run through backwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Piece {
    curve: Curve,
    /// Curve parameter at the fore end.
    from: f64,
    /// Curve parameter at the aft end; below `from` when the body is turned end for end.
    to: f64,
}

impl Piece {
    pub fn whole(curve: Curve) -> Self {
        Self { curve, from: 0.0, to: 1.0 }
    }

    fn place(&self, v: f64) -> f64 {
        self.from + (self.to - self.from) * v
    }

    pub fn radius(&self, v: f64) -> f64 {
        self.curve.radius(self.place(v))
    }

    /// Axial distance aft of the piece's fore end.
    fn axial(&self, v: f64) -> f64 {
        (self.curve.axial(self.place(v)) - self.curve.axial(self.from)).abs()
    }

    pub fn slope(&self, v: f64) -> f64 {
        let slope = self.curve.tangent(self.place(v)).1;
        if self.to < self.from { -slope } else { slope }
    }

    fn arc(&self, v0: f64, v1: f64) -> f64 {
        let (u0, u1) = (self.place(v0), self.place(v1));
        match self.curve {
            // Constant speed.
            Curve::Line { .. } | Curve::Arc { .. } => self.curve.speed(u0) * (u1 - u0).abs(),
            _ => integrate(&|u| self.curve.speed(u), u0, u1).abs(),
        }
    }

    fn integral(&self, f: &impl Fn(f64, f64) -> f64) -> f64 {
        let stretch = (self.to - self.from).abs();
        integrate(&|v| f(self.radius(v), self.slope(v)) * self.curve.speed(self.place(v)) * stretch, 0.0, 1.0)
    }

    fn part(&self, v0: f64, v1: f64) -> Self {
        Self { curve: self.curve, from: self.place(v0), to: self.place(v1) }
    }
}

/// The generating curve of a body of revolution from its fore end (tip) to its aft end (base).
/// It is continuous; its radius is zero at most at the ends.
#[derive(Debug, Clone, PartialEq)]
pub struct Meridian {
    pieces: Vec<Piece>,
    /// Arc length up to the fore end of each piece, and the whole last.
    arcs: Vec<f64>,
    /// The same along the axis.
    axials: Vec<f64>,
}

impl Meridian {
    pub(super) fn new(pieces: Vec<Piece>) -> Self {
        let sums = |f: &dyn Fn(&Piece) -> f64| {
            let mut sum = 0.0;
            let mut list = vec![0.0];
            for piece in &pieces {
                sum += f(piece);
                list.push(sum);
            }
            list
        };
        let arcs = sums(&|p| p.arc(0.0, 1.0));
        let axials = sums(&|p| p.axial(1.0));
        Self { pieces, arcs, axials }
    }

    /// Its arc length.
    pub fn arc_length(&self) -> f64 {
        self.arcs.last().copied().unwrap_or(0.0)
    }

    /// Its extent along the axis.
    pub fn axial_length(&self) -> f64 {
        self.axials.last().copied().unwrap_or(0.0)
    }

    /// Radius at the fore end; 0 at a point or a rounded tip.
    pub fn fore_radius(&self) -> f64 {
        self.pieces.first().map_or(0.0, |p| p.radius(0.0))
    }

    /// Radius at the aft end.
    pub fn aft_radius(&self) -> f64 {
        self.pieces.last().map_or(0.0, |p| p.radius(1.0))
    }

    /// The greatest radius, to the resolution of 64 steps in each piece.
    pub fn greatest_radius(&self) -> f64 {
        self.probes().map(|(piece, v)| piece.radius(v)).fold(0.0, f64::max)
    }

    /// Area of the surface of revolution: the integral of 2 pi r ds.
    pub fn surface_area(&self) -> f64 {
        2.0 * PI * self.integral(&|r, _| r)
    }

    /// Volume that the surface encloses: the integral of pi r^2 dx.
    pub fn volume(&self) -> f64 {
        PI * self.integral(&|r, slope| r * r * (1.0 - slope * slope).max(0.0).sqrt())
    }

    /// Integral over the arc length of a function of radius and slope dr/ds.
    pub fn integral(&self, f: &impl Fn(f64, f64) -> f64) -> f64 {
        self.pieces.iter().map(|p| p.integral(f)).sum()
    }

    /// Whether it is one straight line, to within a billionth of its length: a cone,
    /// a frustum or a cylinder, which can be developed exactly.
    pub fn is_straight(&self) -> bool {
        let (length, fore) = (self.arc_length(), self.fore_radius());
        let slope = (self.aft_radius() - fore) / length;
        self.pieces.iter().zip(&self.arcs).all(|(piece, start)| {
            (0..=16).map(|i| f64::from(i) / 16.0).all(|v| {
                let straight = fore + slope * (start + piece.arc(0.0, v));
                (piece.radius(v) - straight).abs() <= 1e-9 * length
            })
        })
    }

    /// The place at arc length `arc` from the fore end (brought into the meridian).
    pub fn at_arc(&self, arc: f64) -> Station {
        let arc = arc.clamp(0.0, self.arc_length());
        let last = self.pieces.len() - 1;
        let i = self.arcs[1..].iter().position(|end| arc <= *end).unwrap_or(last);
        let piece = &self.pieces[i];
        let inside = arc - self.arcs[i];
        let v = match inside {
            _ if inside <= 0.0 => 0.0,
            _ if arc >= self.arcs[i + 1] => 1.0,
            _ => bisect(|v| piece.arc(0.0, v) - inside),
        };
        self.station(i, v, arc)
    }

    pub(super) fn station(&self, i: usize, v: f64, arc: f64) -> Station {
        let piece = &self.pieces[i];
        Station {
            arc,
            axial: self.axials[i] + piece.axial(v),
            radius: piece.radius(v),
            slope: piece.slope(v),
        }
    }

    /// The arc length at which the radius first reaches `radius` going aft, if it does.
    pub fn arc_at_radius(&self, radius: f64) -> Option<f64> {
        let (i, v) = self.first(|piece, v| piece.radius(v) - radius)?;
        Some(self.arc_up_to(i, v))
    }

    /// Arc length up to parameter `v` of piece `i`.
    pub(super) fn arc_up_to(&self, i: usize, v: f64) -> f64 {
        self.arcs[i] + self.pieces[i].arc(0.0, v)
    }

    /// The same body with one more piece before its fore end.
    pub(super) fn behind(&self, first: Piece) -> Self {
        let mut pieces = vec![first];
        pieces.extend_from_slice(&self.pieces);
        Self::new(pieces)
    }

    /// The distance along the axis at which the radius first reaches `radius` going aft, if it does.
    pub fn axial_at_radius(&self, radius: f64) -> Option<f64> {
        let (i, v) = self.first(|piece, v| piece.radius(v) - radius)?;
        Some(self.axials[i] + self.pieces[i].axial(v))
    }

    /// The arc length at `axial` from the fore end, if the body is that long.
    pub fn arc_at_axial(&self, axial: f64) -> Option<f64> {
        // The length itself may be missed by the last digits of the sum.
        let axial =
            if axial <= self.axial_length() * (1.0 + 1e-12) { axial.min(self.axial_length()) } else { axial };
        let i = (0..self.pieces.len()).find(|&i| axial <= self.axials[i + 1])?;
        let v = bisect(|v| self.axials[i] + self.pieces[i].axial(v) - axial);
        Some(self.arcs[i] + self.pieces[i].arc(0.0, v))
    }

    /// What lies aft of arc length `arc`.
    pub fn aft_of(&self, arc: f64) -> Self {
        let Some(i) = (0..self.pieces.len()).find(|&i| arc < self.arcs[i + 1]) else { return self.clone() };
        let cut = &self.pieces[i];
        let v = bisect(|v| self.arcs[i] + cut.arc(0.0, v) - arc);
        let mut pieces = vec![cut.part(v, 1.0)];
        pieces.extend_from_slice(&self.pieces[i + 1..]);
        Self::new(pieces)
    }

    /// The same body turned end for end.
    pub fn reversed(&self) -> Self {
        let turned = |p: &Piece| Piece { curve: p.curve, from: p.to, to: p.from };
        Self::new(self.pieces.iter().rev().map(turned).collect())
    }

    /// First root going aft of `f`, which is below zero before it.
    pub(super) fn first(&self, f: impl Fn(&Piece, f64) -> f64) -> Option<(usize, f64)> {
        for (i, piece) in self.pieces.iter().enumerate() {
            for step in 0..PROBES {
                let (v0, v1) = (f64::from(step) / f64::from(PROBES), f64::from(step + 1) / f64::from(PROBES));
                if f(piece, v1) >= 0.0 {
                    return Some((i, v0 + (v1 - v0) * bisect(|w| f(piece, v0 + (v1 - v0) * w))));
                }
            }
        }
        None
    }

    fn probes(&self) -> impl Iterator<Item = (&Piece, f64)> {
        self.pieces.iter().flat_map(|p| (0..=PROBES).map(move |i| (p, f64::from(i) / f64::from(PROBES))))
    }

    /// Stations dense enough that the edge with half width `edge.width(radius)` over arc length
    /// keeps within `tolerance` of the straight lines between them.
    pub fn sample(&self, edge: &Edge, tolerance: f64) -> Vec<Station> {
        let mut out = Vec::new();
        for i in 0..self.pieces.len() {
            let start = self.station(i, 0.0, self.arcs[i]);
            if i == 0 {
                out.push(start);
            }
            let sampler = Sampler { meridian: self, piece: i, edge, tolerance };
            let mut here = Knot { v: 0.0, station: start };
            for step in 1..=FIRST_STEPS {
                let v = f64::from(step) / f64::from(FIRST_STEPS);
                let next = sampler.knot(&here, v);
                sampler.refine(here, next, MAX_DEPTH, &mut out);
                here = next;
            }
        }
        out
    }
}

/// Steps in which each piece is searched for a greatest value or a first root. Nose shapes
/// have at most one extreme value in a piece.
const PROBES: u32 = 64;

/// Each piece is cut into so many steps before it is refined, so that an S-shaped piece shows.
const FIRST_STEPS: u32 = 4;

/// Halvings of a first step; 2^-30 of a nose is far below any tolerance.
const MAX_DEPTH: u32 = 30;

/// How the half width of a panel follows from the radius of the body: `per_radius` times it, and
/// below the radius `doubled_below` twice that, where the lap takes as much again.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edge {
    /// Half width per radius: pi / n for one of n gores.
    pub per_radius: f64,
    /// Radius below which the edge runs at twice the width.
    pub doubled_below: f64,
}

/// A parameter value of one piece, and the place there.
#[derive(Clone, Copy)]
struct Knot {
    v: f64,
    station: Station,
}

struct Sampler<'a> {
    meridian: &'a Meridian,
    piece: usize,
    edge: &'a Edge,
    tolerance: f64,
}

impl Sampler<'_> {
    /// The knot at `v`, its arc length carried on from `from`.
    fn knot(&self, from: &Knot, v: f64) -> Knot {
        let arc = from.station.arc + self.meridian.pieces[self.piece].arc(from.v, v);
        Knot { v, station: self.meridian.station(self.piece, v, arc) }
    }

    /// Appends the stations after `a` up to and with `b`.
    fn refine(&self, a: Knot, b: Knot, depth: u32, out: &mut Vec<Station>) {
        if depth == 0 {
            out.push(b.station);
            return;
        }
        let split = match self.kink_between(&a, &b) {
            Some(v) => v,
            None if self.is_flat(&a.station, &b.station) => {
                out.push(b.station);
                return;
            }
            None => 0.5 * (a.v + b.v),
        };
        let mid = self.knot(&a, split);
        self.refine(a, mid, depth - 1, out);
        self.refine(mid, b, depth - 1, out);
    }

    /// Where the edge changes from the doubled to the plain width between two knots.
    fn kink_between(&self, a: &Knot, b: &Knot) -> Option<f64> {
        let limit = self.edge.doubled_below;
        let (low, high) = (a.station.radius - limit, b.station.radius - limit);
        // A knot within this of the kink stands for it.
        let near = 1e-9 * limit;
        if low.abs() <= near || high.abs() <= near || (low > 0.0) == (high > 0.0) {
            return None;
        }
        let piece = &self.meridian.pieces[self.piece];
        let sign = if low < 0.0 { 1.0 } else { -1.0 };
        let w = bisect(|w| sign * (piece.radius(a.v + (b.v - a.v) * w) - limit));
        Some(a.v + (b.v - a.v) * w)
    }

    /// Whether the edge between two stations keeps within the tolerance of its chord. An arc
    /// that leaves its chord at a small angle a stays within length x a / 4 of it; taking the
    /// greater of both ends' angles covers S-shaped stretches too.
    fn is_flat(&self, a: &Station, b: &Station) -> bool {
        let doubled = 0.5 * (a.radius + b.radius) < self.edge.doubled_below;
        let scale = if doubled { 2.0 * self.edge.per_radius } else { self.edge.per_radius };
        let (run, rise) = (b.arc - a.arc, scale * (b.radius - a.radius));
        let sine_times_chord = |slope: f64| {
            let s = scale * slope;
            (rise - s * run).abs() / libm::hypot(1.0, s)
        };
        0.25 * sine_times_chord(a.slope).max(sine_times_chord(b.slope)) <= self.tolerance
    }
}

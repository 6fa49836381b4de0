//! The no-fit polygon of two stances, and how deep a position lies in it.
//!
//! Seen from panel A at the origin, the no-fit polygon holds every place of B's origin at which
//! the two overlap. *Depth* is the one measure of overlap here: the least distance by which B
//! would have to move to stand clear of A by the gap. With the signed distance s to the
//! boundary (positive inside) it is max(0, s + gap): exact for any gap, with no outline ever grown.
//!
//! Queries run in single precision over blocks of eight sides; positions relative to A are
//! small, and what is kept is settled in double precision afterwards ([`Nfp::push_exact`]).

#![allow(
    clippy::needless_range_loop,
    reason = "plain loops over lanes are what the compiler turns into vectors"
)]

use super::lanes::{self, LANES};
use super::minkowski::Contour;
use crate::shape::{Point, nearest_on_segment};

type Lane = [f32; LANES];

/// Eight sides: start, vector, end's y, and one over the squared length.
#[derive(Debug, Clone)]
struct Block {
    ax: Lane,
    ay: Lane,
    dx: Lane,
    dy: Lane,
    by: Lane,
    inv: Lane,
}

/// Where all places of B's origin lie at which it overlaps A.
#[derive(Debug, Clone)]
pub struct Nfp {
    contours: Vec<Contour>,
    blocks: Vec<Block>,
    gap: f32,
}

/// A depth and the least move that ends the overlap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Push {
    /// How deep.
    pub depth: f32,
    /// Unit vector along which to move.
    pub x: f32,
    /// See `x`.
    pub y: f32,
}

impl Nfp {
    /// From clean contours (outer counter-clockwise, holes clockwise) and the gap to keep.
    pub fn new(contours: Vec<Contour>, gap: f64) -> Self {
        let sides: Vec<(Point, Point)> = contours.iter().flat_map(|c| closed(c)).collect();
        Self { blocks: sides.chunks(LANES).map(Block::new).collect(), contours, gap: gap as f32 }
    }

    /// The boundary: touching positions.
    pub fn contours(&self) -> &[Contour] {
        &self.contours
    }

    /// Depth at `(px, py)`; at most 0 when clear.
    #[inline(always)]
    pub fn depth(&self, px: f32, py: f32) -> f32 {
        let (d2, inside) = self.scan(px, py);
        let d = d2.sqrt();
        if inside { d + self.gap } else { self.gap - d }
    }

    /// Squared distance to the boundary, and whether the point is inside (crossing parity).
    #[inline(always)]
    fn scan(&self, px: f32, py: f32) -> (f32, bool) {
        let mut least = [f32::INFINITY; LANES];
        let mut parity = [0u32; LANES];
        for b in &self.blocks {
            for l in 0..LANES {
                let (d2, crosses) = b.lane(l, px, py);
                least[l] = if d2 < least[l] { d2 } else { least[l] };
                parity[l] ^= u32::from(crosses);
            }
        }
        (lanes::fold(least, lanes::min), lanes::fold(parity, |p, v| p ^ v) == 1)
    }

    /// Depth at `(px, py)` with the direction of the shortest way out; `None` when clear.
    #[inline(always)]
    pub fn push(&self, px: f32, py: f32) -> Option<Push> {
        let mut least = [f32::INFINITY; LANES];
        let mut at = [0u32; LANES];
        let mut parity = [0u32; LANES];
        for (k, b) in self.blocks.iter().enumerate() {
            for l in 0..LANES {
                let (d2, crosses) = b.lane(l, px, py);
                let nearer = d2 < least[l];
                least[l] = if nearer { d2 } else { least[l] };
                at[l] = if nearer { k as u32 } else { at[l] };
                parity[l] ^= u32::from(crosses);
            }
        }
        let inside = lanes::fold(parity, |p, v| p ^ v) == 1;
        let d2 = lanes::fold(least, lanes::min);
        let l = least.iter().position(|v| *v <= d2).unwrap_or(0);
        let d = d2.sqrt();
        let depth = if inside { d + self.gap } else { self.gap - d };
        if depth <= 0.0 {
            return None;
        }
        let (x, y) = self.blocks[at[l] as usize].way_out(l, px, py, inside, d);
        Some(Push { depth, x, y })
    }

    /// Depth in double precision and the unit vector of the shortest way out.
    pub fn push_exact(&self, p: Point) -> (f64, Point) {
        let mut best = (f64::INFINITY, p, p, p);
        let mut inside = false;
        for (a, b) in self.contours.iter().flat_map(|c| closed(c)) {
            let q = nearest_on_segment(p, a, b);
            let d2 = crate::shape::dot(p - q, p - q);
            if d2 < best.0 {
                best = (d2, q, a, b);
            }
            if (a.y > p.y) != (b.y > p.y) && (crate::shape::cross(a, b, p) > 0.0) == (b.y > a.y) {
                inside = !inside;
            }
        }
        let (d2, q, a, b) = best;
        let d = d2.sqrt();
        let gap = f64::from(self.gap);
        let out = if d > 1e-9 * (1.0 + d) && d2 > 0.0 {
            (q - p) * (if inside { 1.0 } else { -1.0 } / d)
        } else {
            let s = b - a;
            Point { x: s.y, y: -s.x } * (1.0 / crate::shape::length(s).max(f64::MIN_POSITIVE))
        };
        (if inside { d + gap } else { gap - d }, out)
    }
}

/// The sides of a contour, closing one included, without those of no length.
fn closed(c: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    (0..c.len()).map(|i| (c[i], c[(i + 1) % c.len()])).filter(|(a, b)| a != b)
}

/// A coordinate so far away that a side there is never nearest; its square is still finite.
const FAR: f32 = 1e15;

impl Block {
    fn new(sides: &[(Point, Point)]) -> Self {
        let mut b = Self {
            ax: [FAR; LANES],
            ay: [FAR; LANES],
            dx: [0.0; LANES],
            dy: [0.0; LANES],
            by: [FAR; LANES],
            inv: [0.0; LANES],
        };
        for (l, (p, q)) in sides.iter().enumerate() {
            let d = *q - *p;
            (b.ax[l], b.ay[l], b.by[l]) = (p.x as f32, p.y as f32, q.y as f32);
            (b.dx[l], b.dy[l]) = (d.x as f32, d.y as f32);
            b.inv[l] = (1.0 / crate::shape::dot(d, d)) as f32;
        }
        b
    }

    /// Squared distance of one side, and whether a ray to the right crosses it. Both ends are
    /// compared with `py` as they are stored, so that sides agree about a shared vertex.
    #[inline(always)]
    fn lane(&self, l: usize, px: f32, py: f32) -> (f32, bool) {
        let (qx, qy) = (px - self.ax[l], py - self.ay[l]);
        let (dx, dy) = (self.dx[l], self.dy[l]);
        let t = (qx * dx + qy * dy) * self.inv[l];
        let t = if t < 0.0 { 0.0 } else { t };
        let t = if t > 1.0 { 1.0 } else { t };
        let (ex, ey) = (qx - t * dx, qy - t * dy);
        let spans = (self.ay[l] > py) != (self.by[l] > py);
        let left = (dx * qy - dy * qx > 0.0) == (dy > 0.0);
        (ex * ex + ey * ey, spans & left)
    }

    /// Unit vector from the point out of the no-fit polygon over side `l`; the side's own
    /// outward normal where the point lies on it.
    #[inline(always)]
    fn way_out(&self, l: usize, px: f32, py: f32, inside: bool, d: f32) -> (f32, f32) {
        let (qx, qy) = (px - self.ax[l], py - self.ay[l]);
        let (dx, dy) = (self.dx[l], self.dy[l]);
        let len = (dx * dx + dy * dy).sqrt();
        if d <= 1e-5 * len {
            return (dy / len, -dx / len);
        }
        let t = ((qx * dx + qy * dy) * self.inv[l]).clamp(0.0, 1.0);
        let (ex, ey) = (qx - t * dx, qy - t * dy);
        let s = if inside { -1.0 / d } else { 1.0 / d };
        (ex * s, ey * s)
    }
}

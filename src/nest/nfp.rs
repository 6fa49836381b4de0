//! The no-fit polygon of two stances, and how deep a position lies in it.
//!
//! Seen from panel A at the origin, the no-fit polygon holds every place of B's origin at which
//! the two overlap. *Depth* is the one measure of overlap here: the least distance by which B
//! would have to move to stand clear of A by the gap. With the signed distance s to the
//! boundary (positive inside) it is max(0, s + gap): exact for any gap, with no outline ever grown.
//!
//! Queries run in single precision over blocks of eight sides; positions relative to A are
//! small, and what is kept is settled in double precision afterwards ([`Nfp::push_exact`]).
//!
//! Depth by the no-fit polygon is the penetration depth of Imamichi, Yagiura, Nagamochi (Discrete Optimization 6, 2009;
//! from memory). Departures: they descend with all pieces at once, here one piece is judged at a time and by the depth
//! itself; how the gap counts and the blocks are our own.

#![allow(
    clippy::needless_range_loop,
    reason = "plain loops over lanes are what the compiler turns into vectors"
)]

use super::lanes::LANES;
use super::minkowski::Contour;
use crate::shape::{Point, nearest_on_segment};
use pulp::Simd;

/// Rows of a [`Block`]: the middle of each side, its unit vector (upwards), half its length, the y of both ends.
const ROWS: usize = 8;
const MX: usize = 0;
const MY: usize = 1;
const UX: usize = 2;
const UY: usize = 3;
const HALF: usize = 4;
const LOW: usize = 5;
const HIGH: usize = 6;
/// 1 where the side runs upwards on the contour, -1 where it was turned round.
const SENSE: usize = 7;

/// Eight sides, row by row: whole vector registers on every machine.
#[derive(Debug, Clone)]
struct Block {
    rows: [f32; ROWS * LANES],
}

/// Where all places of B's origin lie at which it overlaps A.
#[derive(Debug, Clone)]
pub struct Nfp {
    contours: Vec<Contour>,
    blocks: Vec<Block>,
    convex: bool,
    /// The gap to keep, in both precisions.
    gap: f32,
    keep: f64,
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
        let convex = is_convex(&contours);
        Self {
            blocks: sides.chunks(LANES).map(Block::new).collect(),
            contours,
            convex,
            gap: gap as f32,
            keep: gap,
        }
    }

    /// The boundary: touching positions.
    pub fn contours(&self) -> &[Contour] {
        &self.contours
    }

    /// The gap that is kept.
    pub fn gap(&self) -> f64 {
        self.keep
    }

    /// Depth at `(px, py)`; at most 0 when clear.
    #[inline(always)]
    pub fn depth<S: Simd>(&self, simd: S, px: f32, py: f32) -> f32 {
        if self.convex { self.depth_in_convex(simd, px, py) } else { self.depth_in_any(simd, px, py) }
    }

    #[inline(always)]
    fn depth_in_any<S: Simd>(&self, simd: S, px: f32, py: f32) -> f32 {
        let (x, y) = (simd.splat_f32s(px), simd.splat_f32s(py));
        let (zero, one) = (simd.splat_f32s(0.0), simd.splat_f32s(1.0));
        let mut least = simd.splat_f32s(f32::INFINITY);
        let mut odd = simd.less_than_f32s(one, zero);
        for b in &self.blocks {
            let (rows, _) = S::as_simd_f32s(&b.rows);
            let per_row = rows.len() / ROWS;
            for k in 0..per_row {
                let row = |r: usize| rows[r * per_row + k];
                let (d2, crosses) = side(simd, x, y, row);
                least = simd.min_f32s(least, d2);
                odd = simd.xor_m32s(odd, crosses);
            }
        }
        // Without a branch: whether it is inside can be guessed badly, and a wrong guess costs more than a root.
        let d = simd.reduce_min_f32s(least).sqrt();
        if is_odd(simd, odd) { d + self.gap } else { self.gap - d }
    }

    /// The same for a convex one, of which one pass over the distances from the lines of its sides tells all, but
    /// for the corners of the gap.
    #[inline(always)]
    fn depth_in_convex<S: Simd>(&self, simd: S, px: f32, py: f32) -> f32 {
        let (x, y) = (simd.splat_f32s(px), simd.splat_f32s(py));
        let mut most = simd.splat_f32s(f32::NEG_INFINITY);
        for b in &self.blocks {
            let (rows, _) = S::as_simd_f32s(&b.rows);
            let per_row = rows.len() / ROWS;
            for k in 0..per_row {
                let row = |r: usize| rows[r * per_row + k];
                let (qx, qy) = (simd.sub_f32s(x, row(MX)), simd.sub_f32s(y, row(MY)));
                let across = simd.mul_add_f32s(qx, row(UY), simd.neg_f32s(simd.mul_f32s(qy, row(UX))));
                most = simd.max_f32s(most, simd.mul_f32s(across, row(SENSE)));
            }
        }
        let beyond = simd.reduce_max_f32s(most);
        if beyond > 0.0 && beyond < self.gap { self.depth_in_any(simd, px, py) } else { self.gap - beyond }
    }

    /// Depth at `(px, py)` with the direction of the shortest way out; `None` when clear. Of equally
    /// near sides it is the first, whatever the width of a register.
    #[inline(always)]
    pub fn push<S: Simd>(&self, simd: S, px: f32, py: f32) -> Option<Push> {
        let depth = self.depth(simd, px, py);
        if depth <= 0.0 {
            return None;
        }
        let mut best = (f32::INFINITY, 0, 0);
        for (i, b) in self.blocks.iter().enumerate() {
            let d2 = b.squared(px, py);
            for l in 0..LANES {
                if d2[l] < best.0 {
                    best = (d2[l], i, l);
                }
            }
        }
        let (d2, i, l) = best;
        let inside = depth > self.gap;
        let (x, y) = self.blocks[i].way_out(l, px, py, inside, d2.sqrt());
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

/// Whether this is one contour that never turns to the right.
fn is_convex(contours: &[Contour]) -> bool {
    let [c] = contours else { return false };
    let corner = |k: usize| crate::shape::cross(c[k], c[(k + 1) % c.len()], c[(k + 2) % c.len()]);
    c.len() > 2 && (0..c.len()).all(|k| corner(k) >= 0.0)
}

/// The sides of a contour, closing one included, without those of no length.
fn closed(c: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    (0..c.len()).map(|i| (c[i], c[(i + 1) % c.len()])).filter(|(a, b)| a != b)
}

/// A coordinate so far away that a side there is never nearest; its square is still finite.
const FAR: f32 = 1e15;

/// Whether an odd number of lanes is set.
#[inline(always)]
fn is_odd<S: Simd>(simd: S, lanes: S::m32s) -> bool {
    let ones = simd.select_u32s(lanes, simd.splat_u32s(1), simd.splat_u32s(0));
    let ones: &[u32] = pulp::bytemuck::cast_slice(std::slice::from_ref(&ones));
    ones.iter().fold(0, |sum, one| sum ^ one) == 1
}

/// Squared distance of some sides, and whether a ray to the right crosses them. Both ends are
/// compared with `y` as they are stored, so that sides agree about a shared vertex.
#[inline(always)]
fn side<S: Simd>(simd: S, x: S::f32s, y: S::f32s, row: impl Fn(usize) -> S::f32s) -> (S::f32s, S::m32s) {
    let (qx, qy) = (simd.sub_f32s(x, row(MX)), simd.sub_f32s(y, row(MY)));
    let along = simd.mul_add_f32s(qx, row(UX), simd.mul_f32s(qy, row(UY)));
    // Positive to the left of the side.
    let across = simd.mul_add_f32s(qy, row(UX), simd.neg_f32s(simd.mul_f32s(qx, row(UY))));
    let zero = simd.splat_f32s(0.0);
    let over = simd.max_f32s(simd.sub_f32s(simd.abs_f32s(along), row(HALF)), zero);
    let d2 = simd.mul_add_f32s(across, across, simd.mul_f32s(over, over));
    let spans = simd.and_m32s(simd.less_than_or_equal_f32s(row(LOW), y), simd.less_than_f32s(y, row(HIGH)));
    (d2, simd.and_m32s(spans, simd.less_than_f32s(zero, across)))
}

impl Block {
    fn new(sides: &[(Point, Point)]) -> Self {
        let mut b = Self { rows: [FAR; ROWS * LANES] };
        for l in sides.len()..LANES {
            (b.rows[UX * LANES + l], b.rows[UY * LANES + l], b.rows[HALF * LANES + l]) = (1.0, 0.0, 0.0);
            // Its line lies above and the point to the inside of it.
            b.rows[SENSE * LANES + l] = -1.0;
        }
        for (l, (p, q)) in sides.iter().enumerate() {
            let upwards = p.y <= q.y;
            let (p, q) = if upwards { (*p, *q) } else { (*q, *p) };
            let (mid, d) = ((p + q) * 0.5, q - p);
            let len = crate::shape::length(d);
            let sense = if upwards { 1.0 } else { -1.0 };
            let side = [mid.x, mid.y, d.x / len, d.y / len, 0.5 * len, p.y, q.y, sense];
            for (r, v) in side.iter().enumerate() {
                b.rows[r * LANES + l] = *v as f32;
            }
        }
        b
    }

    fn side(&self, l: usize, px: f32, py: f32) -> Side {
        let at = |r: usize| self.rows[r * LANES + l];
        let (qx, qy, ux, uy) = (px - at(MX), py - at(MY), at(UX), at(UY));
        Side { qx, qy, ux, uy, half: at(HALF), along: qx * ux + qy * uy }
    }

    /// Squared distances of all sides.
    #[inline(always)]
    fn squared(&self, px: f32, py: f32) -> [f32; LANES] {
        let mut out = [0.0; LANES];
        for l in 0..LANES {
            let s = self.side(l, px, py);
            let across = s.qy * s.ux - s.qx * s.uy;
            let over = s.along.abs() - s.half;
            let over = if over > 0.0 { over } else { 0.0 };
            out[l] = across * across + over * over;
        }
        out
    }

    /// Unit vector from the point out of the no-fit polygon over side `l`; the side's own
    /// outward normal where the point lies on it.
    #[inline(always)]
    fn way_out(&self, l: usize, px: f32, py: f32, inside: bool, d: f32) -> (f32, f32) {
        let s = self.side(l, px, py);
        if d <= 2e-5 * s.half {
            return (self.rows[SENSE * LANES + l] * s.uy, -self.rows[SENSE * LANES + l] * s.ux);
        }
        let t = if s.along > s.half { s.half } else { s.along };
        let t = if t < -s.half { -s.half } else { t };
        let (ex, ey) = (s.qx - t * s.ux, s.qy - t * s.uy);
        let s = if inside { -1.0 / d } else { 1.0 / d };
        (ex * s, ey * s)
    }
}

/// A side as seen from a point.
struct Side {
    qx: f32,
    qy: f32,
    ux: f32,
    uy: f32,
    half: f32,
    along: f32,
}

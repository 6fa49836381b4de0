//! All contours of a shape with a tree of boxes over their sides.
//!
//! The tree lies over the sides in the order in which they follow each other, so that it
//! needs no sorting and a node is a stretch of contour. Built in linear time, it answers
//! "which sides come near" and "is this point inside" in logarithmic time for usual shapes.

use super::{Bounds, Point, Pose, Region, Side, side};
use std::ops::{ControlFlow, Range};

/// Sides in one leaf of the tree: testing four boxes costs about as much as one more level.
const LEAF: usize = 4;

/// No place at all: the box of a leaf without sides, near nothing.
const NOWHERE: Bounds = Bounds {
    min: Point { x: f64::INFINITY, y: f64::INFINITY },
    max: Point { x: f64::NEG_INFINITY, y: f64::NEG_INFINITY },
};

/// Closed contours that bound one shape, the shape always to the left: outer contours run
/// counter-clockwise, holes clockwise. They do not cross; a point is inside when a ray from
/// it meets them an odd number of times.
#[derive(Debug, Clone)]
pub struct Contours {
    points: Vec<Point>,
    rings: Vec<Range<usize>>,
    ring_of: Vec<u32>,
    /// A complete binary tree: the children of node `i` are `2i` and `2i + 1`, the root is 1.
    boxes: Vec<Bounds>,
}

impl Contours {
    /// The contours of some regions that lie apart.
    pub fn of_regions<'a>(regions: impl IntoIterator<Item = &'a Region>) -> Self {
        let mut rings = Vec::new();
        for region in regions {
            rings.push(region.outline().counter_clockwise());
            rings.extend(region.holes().iter().map(|hole| {
                let mut points = hole.counter_clockwise();
                points.reverse();
                points
            }));
        }
        Self::of_rings(rings)
    }

    /// Contours that run the right way round already. Rings of fewer than three points are dropped.
    pub fn of_rings(rings: Vec<Vec<Point>>) -> Self {
        let mut all = Self { points: Vec::new(), rings: Vec::new(), ring_of: Vec::new(), boxes: Vec::new() };
        for mut ring in rings {
            ring.dedup();
            if ring.len() > 1 && ring.first() == ring.last() {
                ring.pop();
            }
            if ring.len() < 3 {
                continue;
            }
            let start = all.points.len();
            all.ring_of.resize(start + ring.len(), all.rings.len() as u32);
            all.points.append(&mut ring);
            all.rings.push(start..all.points.len());
        }
        all.build_tree();
        all
    }

    /// The same contours put on the roll.
    pub fn placed(&self, pose: &Pose) -> Self {
        let mut copy = self.clone();
        for p in &mut copy.points {
            *p = pose.apply(*p);
        }
        if pose.mirrored {
            for ring in &copy.rings {
                copy.points[ring.clone()].reverse();
            }
        }
        copy.build_tree();
        copy
    }

    fn build_tree(&mut self) {
        let leaves = self.points.len().div_ceil(LEAF).next_power_of_two();
        self.boxes = vec![NOWHERE; 2 * leaves];
        for i in 0..self.points.len() {
            let (a, b) = self.edge(i);
            let leaf = &mut self.boxes[leaves + i / LEAF];
            leaf.add(a);
            leaf.add(b);
        }
        for node in (1..leaves).rev() {
            self.boxes[node] = self.boxes[2 * node].with(self.boxes[2 * node + 1]);
        }
    }

    /// Number of sides, which is the number of points.
    pub fn len(&self) -> usize {
        self.points.len()
    }

    /// Whether there is no contour at all.
    pub fn is_empty(&self) -> bool {
        self.points.is_empty()
    }

    /// All points, contour by contour.
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// One point of each contour.
    pub fn ring_starts(&self) -> impl Iterator<Item = Point> + '_ {
        self.rings.iter().map(|ring| self.points[ring.start])
    }

    /// The sides of each contour.
    pub fn ring_ranges(&self) -> impl Iterator<Item = Range<usize>> + '_ {
        self.rings.iter().cloned()
    }

    /// The box round everything; `None` when there is nothing.
    pub fn bounds(&self) -> Option<Bounds> {
        if self.is_empty() { None } else { Some(self.boxes[1]) }
    }

    /// Side `i`, from its start to its end.
    pub fn edge(&self, i: usize) -> (Point, Point) {
        (self.points[i], self.points[self.next(i)])
    }

    /// The side that follows side `i` on its contour.
    pub fn next(&self, i: usize) -> usize {
        let ring = &self.rings[self.ring_of[i] as usize];
        if i + 1 == ring.end { ring.start } else { i + 1 }
    }

    /// The side before side `i` on its contour.
    pub fn previous(&self, i: usize) -> usize {
        let ring = &self.rings[self.ring_of[i] as usize];
        if i == ring.start { ring.end - 1 } else { i - 1 }
    }

    /// The box of a node of the tree.
    pub(super) fn node_box(&self, node: usize) -> &Bounds {
        &self.boxes[node]
    }

    fn leaves(&self) -> usize {
        self.boxes.len() / 2
    }

    /// The sides in a leaf; `None` for an inner node, which has children.
    pub(super) fn leaf(&self, node: usize) -> Option<Range<usize>> {
        let first = node.checked_sub(self.leaves())? * LEAF;
        Some(first.min(self.len())..(first + LEAF).min(self.len()))
    }

    /// The stretch of sides below a node.
    fn stretch(&self, node: usize) -> Range<usize> {
        let (mut first, mut last) = (node, node);
        while first < self.leaves() {
            first *= 2;
            last = 2 * last + 1;
        }
        let (first, end) = ((first - self.leaves()) * LEAF, (last + 1 - self.leaves()) * LEAF);
        first.min(self.len())..end.min(self.len())
    }

    /// Calls `see` with every side whose box comes within `reach` of `place`, until it breaks.
    pub fn visit_near(
        &self,
        place: &Bounds,
        reach: f64,
        see: &mut impl FnMut(usize) -> ControlFlow<()>,
    ) -> ControlFlow<()> {
        self.visit_near_below(1, place, reach, see)
    }

    fn visit_near_below(
        &self,
        node: usize,
        place: &Bounds,
        reach: f64,
        see: &mut impl FnMut(usize) -> ControlFlow<()>,
    ) -> ControlFlow<()> {
        if !self.boxes[node].near(place, reach) {
            return ControlFlow::Continue(());
        }
        let Some(mut sides) = self.leaf(node) else {
            self.visit_near_below(2 * node, place, reach, see)?;
            return self.visit_near_below(2 * node + 1, place, reach, see);
        };
        sides.try_for_each(|i| {
            if self.edge_box(i).near(place, reach) { see(i) } else { ControlFlow::Continue(()) }
        })
    }

    /// Calls `see` with every pair of a side of `self` and a side of `other` whose boxes come
    /// within `reach` of each other, until it breaks.
    pub fn visit_pairs(
        &self,
        other: &Self,
        reach: f64,
        see: &mut impl FnMut(usize, usize) -> ControlFlow<()>,
    ) -> ControlFlow<()> {
        self.visit_pairs_below((1, 1), other, reach, see)
    }

    fn visit_pairs_below(
        &self,
        nodes: (usize, usize),
        other: &Self,
        reach: f64,
        see: &mut impl FnMut(usize, usize) -> ControlFlow<()>,
    ) -> ControlFlow<()> {
        if !self.boxes[nodes.0].near(&other.boxes[nodes.1], reach) {
            return ControlFlow::Continue(());
        }
        for pair in self.split(nodes, other) {
            self.visit_pairs_below(pair, other, reach, see)?;
        }
        let (Some(mut mine), Some(theirs)) = (self.leaf(nodes.0), other.leaf(nodes.1)) else {
            return ControlFlow::Continue(());
        };
        mine.try_for_each(|i| {
            let place = self.edge_box(i);
            theirs.clone().try_for_each(|j| {
                if other.edge_box(j).near(&place, reach) { see(i, j) } else { ControlFlow::Continue(()) }
            })
        })
    }

    /// The two pairs below a pair of nodes: the one with the larger box is split, unless it is
    /// a leaf. Nothing below two leaves.
    pub(super) fn split(
        &self,
        (mine, theirs): (usize, usize),
        other: &Self,
    ) -> impl Iterator<Item = (usize, usize)> + use<> {
        let size = |b: &Bounds| b.width() + b.height();
        let (leaf, other_leaf) = (self.leaf(mine).is_some(), other.leaf(theirs).is_some());
        let split_mine = !leaf && (other_leaf || size(&self.boxes[mine]) >= size(&other.boxes[theirs]));
        let children = match (split_mine, other_leaf) {
            (true, _) => [(2 * mine, theirs), (2 * mine + 1, theirs)],
            (false, _) => [(mine, 2 * theirs), (mine, 2 * theirs + 1)],
        };
        let end = leaf && other_leaf;
        children.into_iter().filter(move |_| !end)
    }

    fn edge_box(&self, i: usize) -> Bounds {
        let (a, b) = self.edge(i);
        Bounds { min: a, max: a }.with(Bounds { min: b, max: b })
    }

    /// Where `p` lies, decided exactly: `Some(true)` inside, `Some(false)` outside, `None` on a contour.
    pub fn locate(&self, p: Point) -> Option<bool> {
        let mut inside = false;
        match self.cast_ray(1, p, &mut inside) {
            ControlFlow::Break(()) => None,
            ControlFlow::Continue(()) => Some(inside),
        }
    }

    /// Flips `inside` for every side below `node` that the ray from `p` towards +x meets;
    /// breaks when `p` lies on a side.
    fn cast_ray(&self, node: usize, p: Point, inside: &mut bool) -> ControlFlow<()> {
        let place = &self.boxes[node];
        if place.max.x < p.x || place.min.y > p.y || place.max.y < p.y {
            return ControlFlow::Continue(());
        }
        if place.min.x > p.x {
            let stretch = self.stretch(node);
            if self.ring_of[stretch.start] == self.ring_of[stretch.end - 1] {
                // The whole stretch lies beyond p: only on which side of the ray it starts and ends counts.
                let end = self.edge(stretch.end - 1).1;
                *inside ^= (self.points[stretch.start].y > p.y) != (end.y > p.y);
                return ControlFlow::Continue(());
            }
        }
        let Some(mut sides) = self.leaf(node) else {
            self.cast_ray(2 * node, p, inside)?;
            return self.cast_ray(2 * node + 1, p, inside);
        };
        sides.try_for_each(|i| ray_meets(p, self.edge(i)).map_continue(|meets| *inside ^= meets))
    }
}

/// Whether the ray from `p` towards +x meets a side, ends with greater y counted; breaks when
/// `p` lies on the side.
fn ray_meets(p: Point, (a, b): (Point, Point)) -> ControlFlow<(), bool> {
    if a.y.min(b.y) > p.y || a.y.max(b.y) < p.y {
        return ControlFlow::Continue(false);
    }
    let s = side(a, b, p);
    if s == Side::On && p.x >= a.x.min(b.x) && p.x <= a.x.max(b.x) {
        return ControlFlow::Break(());
    }
    ControlFlow::Continue((a.y > p.y) != (b.y > p.y) && (s == Side::Left) == (b.y > a.y))
}

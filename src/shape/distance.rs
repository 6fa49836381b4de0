//! Distances between segments, contours and shapes.

use super::{Bounds, Contours, Point, length, point_segment_distance, segments_cross};

/// The distance between two segments: 0 when they cross (decided exactly), otherwise the least
/// of the distances from each end to the other segment.
pub fn segment_distance((a, b): (Point, Point), (c, d): (Point, Point)) -> f64 {
    if segments_cross(a, b, c, d) {
        return 0.0;
    }
    let from_first = point_segment_distance(a, c, d).min(point_segment_distance(b, c, d));
    let from_second = point_segment_distance(c, a, b).min(point_segment_distance(d, a, b));
    from_first.min(from_second)
}

/// The distance between two boxes, 0 when they meet.
fn box_distance(a: &Bounds, b: &Bounds) -> f64 {
    let dx = (a.min.x - b.max.x).max(b.min.x - a.max.x).max(0.0);
    let dy = (a.min.y - b.max.y).max(b.min.y - a.max.y).max(0.0);
    length(Point { x: dx, y: dy })
}

impl Contours {
    /// The least distance between the contours of two shapes, when it is at most `most`.
    pub fn contour_distance(&self, other: &Self, most: f64) -> Option<f64> {
        let mut search = Search { a: self, b: other, most, found: None };
        search.below((1, 1));
        search.found
    }

    /// The distance between two shapes, when it is at most `most`: 0 when they meet or one lies
    /// in the other.
    pub fn distance(&self, other: &Self, most: f64) -> Option<f64> {
        match self.contour_distance(other, most) {
            Some(d) if d > 0.0 && self.holds_piece_of(other) => Some(0.0),
            None if most >= 0.0 && self.holds_piece_of(other) => Some(0.0),
            found => found,
        }
    }

    /// Whether a whole piece of one shape lies in the other, given that no contours meet.
    fn holds_piece_of(&self, other: &Self) -> bool {
        let holds = |a: &Self, b: &Self| b.ring_starts().any(|p| a.locate(p) != Some(false));
        let (Some(a), Some(b)) = (self.bounds(), other.bounds()) else { return false };
        a.near(&b, 0.0) && (holds(self, other) || holds(other, self))
    }

    /// The distance from `p` to the nearest contour, when it is at most `most`.
    pub fn point_distance(&self, p: Point, most: f64) -> Option<f64> {
        let mut nearest = Nearest { shape: self, p, most, found: None };
        nearest.below(1);
        nearest.found
    }
}

/// Branch and bound over the nodes of one tree.
struct Nearest<'a> {
    shape: &'a Contours,
    p: Point,
    most: f64,
    found: Option<f64>,
}

impl Nearest<'_> {
    fn below(&mut self, node: usize) {
        if self.bound(node) > self.found.unwrap_or(self.most) {
            return;
        }
        let Some(sides) = self.shape.leaf(node) else {
            let (near, far) = (2 * node, 2 * node + 1);
            let swap = self.bound(far) < self.bound(near);
            self.below(if swap { far } else { near });
            return self.below(if swap { near } else { far });
        };
        for (a, b) in sides.map(|i| self.shape.edge(i)) {
            let d = point_segment_distance(self.p, a, b);
            if d <= self.found.unwrap_or(self.most) {
                self.found = Some(d);
            }
        }
    }

    fn bound(&self, node: usize) -> f64 {
        box_distance(&Bounds { min: self.p, max: self.p }, self.shape.node_box(node))
    }
}

/// Branch and bound over the pairs of nodes of two trees.
struct Search<'a> {
    a: &'a Contours,
    b: &'a Contours,
    most: f64,
    found: Option<f64>,
}

impl Search<'_> {
    fn below(&mut self, (i, j): (usize, usize)) {
        if !self.may_hold((i, j)) {
            return;
        }
        if let (Some(mine), Some(theirs)) = (self.a.leaf(i), self.b.leaf(j)) {
            for m in mine {
                for t in theirs.clone() {
                    self.offer(segment_distance(self.a.edge(m), self.b.edge(t)));
                }
            }
            return;
        }
        let mut pairs: Vec<(usize, usize)> = self.a.split((i, j), self.b).collect();
        pairs.sort_by(|p, q| self.bound(*p).total_cmp(&self.bound(*q)));
        for pair in pairs {
            self.below(pair);
        }
    }

    fn bound(&self, (i, j): (usize, usize)) -> f64 {
        box_distance(self.a.node_box(i), self.b.node_box(j))
    }

    fn may_hold(&self, nodes: (usize, usize)) -> bool {
        let bound = self.bound(nodes);
        self.found.map_or(bound <= self.most, |d| bound < d)
    }

    fn offer(&mut self, d: f64) {
        if d <= self.most && self.found.is_none_or(|f| d < f) {
            self.found = Some(d);
        }
    }
}

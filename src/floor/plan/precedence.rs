//! Which contour must be cut before which other.

use super::{Contour, Kind, Tool};
use crate::shape::{Contours, Point, area};

/// A piece narrower than this, in mm, counts as small: three quarters of an inch, below which a
/// practitioner sees drag knives pull pieces along (signs101.com, thread 120224, page 2).
const SMALL: f64 = 19.05;

/// Film lifts at pieces this near to a cut, in mm: common practice, no source.
const BESIDE: f64 = 10.0;

/// Contour `first` is cut before contour `then`; both are indices.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Before {
    pub first: usize,
    pub then: usize,
    /// Whether it may be given up where the two lie in different windows.
    pub soft: bool,
}

/// The pairs among the contours `members`, which are cut in one pass over a section. What follows from others is
/// left out: a contour waits for what lies just inside it, and that for what lies deeper.
///
/// They cannot run in a circle. A pair of inside and outside leads to a greater area, and never from a large contour to
/// a small one; a soft pair leads from small to large.
pub(super) fn pairs(contours: &[Contour], members: &[usize]) -> Vec<Before> {
    let shapes: Vec<Member<'_>> = members.iter().map(|&i| Member::new(i, &contours[i])).collect();
    let mut by_x: Vec<&Member<'_>> = shapes.iter().collect();
    by_x.sort_by(|a, b| a.contour.bounds.min.x.total_cmp(&b.contour.bounds.min.x));
    let widest = by_x.iter().map(|m| m.contour.bounds.width()).fold(0.0, f64::max);
    let mut found = Vec::new();
    for a in &shapes {
        let (from, to) = (a.contour.bounds.min.x - BESIDE - widest, a.contour.bounds.max.x + BESIDE);
        let from = by_x.partition_point(|m| m.contour.bounds.min.x < from);
        let to = by_x.partition_point(|m| m.contour.bounds.min.x <= to);
        let beside = by_x[from..to].iter().copied().filter(|b| b.index != a.index);
        let (mut around, others): (Vec<_>, Vec<_>) = beside.partition(|b| b.waits_for(a));
        around.sort_by(|p, q| p.area.total_cmp(&q.area).then(p.index.cmp(&q.index)));
        let mut next: Vec<&Member<'_>> = Vec::new();
        for outer in around {
            if !next.iter().any(|inner| outer.waits_for(inner)) {
                next.push(outer);
            }
        }
        let before = |b: &Member<'_>, soft| Before { first: a.index, then: b.index, soft };
        found.extend(next.into_iter().map(|b| before(b, false)));
        found.extend(others.into_iter().filter(|b| a.would_move_beside(b)).map(|b| before(b, true)));
    }
    found.sort_unstable();
    found.dedup();
    found
}

struct Member<'a> {
    index: usize,
    contour: &'a Contour,
    /// What a closed contour bounds.
    inside: Option<Contours>,
    /// Its area; 0 of an open line.
    area: f64,
    small: bool,
}

impl<'a> Member<'a> {
    fn new(index: usize, contour: &'a Contour) -> Self {
        let b = contour.bounds;
        let inside = contour.closed.then(|| Contours::of_rings(vec![contour.points.clone()]));
        let area = if contour.closed { area(&contour.points) } else { 0.0 };
        Self { index, contour, inside, area, small: b.width().min(b.height()) < SMALL }
    }

    /// Whether `inner` lies inside this contour, or is a line on the piece that it frees.
    fn waits_for(&self, inner: &Self) -> bool {
        let (a, b) = (inner.contour, self.contour);
        let greater = (self.area, self.index) > (inner.area, inner.index) && (inner.small || !self.small);
        if !greater || b.kind == Kind::Waste || b.tool == Tool::Pen {
            return false;
        }
        match (a.kind, b.kind) {
            // Where a line reaches into the piece at all.
            (Kind::Line, Kind::Outline) => a.placement == b.placement && a.bounds.near(&b.bounds, 0.0),
            _ if a.tool != b.tool => false,
            (_, Kind::Line) => self.holds_all_of(a),
            (Kind::Line, _) => false,
            _ => self.holds(a),
        }
    }

    /// Whether a contour of a panel lies inside this one. They do not cross, so that one of its points that is not on
    /// the other contour tells; when all are, the box has told.
    fn holds(&self, inner: &Contour) -> bool {
        let Some(inside) = self.inside_round(inner) else { return false };
        let on_or_in = |p: &Point| inside.locate(*p);
        inner.points.iter().find_map(on_or_in).unwrap_or(inner.bounds != self.contour.bounds)
    }

    /// The same for a contour that this one, a line, may cross.
    fn holds_all_of(&self, inner: &Contour) -> bool {
        let Some(inside) = self.inside_round(inner) else { return false };
        inner.points.iter().all(|p| inside.locate(*p) != Some(false))
    }

    /// What this contour bounds, where its box is round that of `inner`.
    fn inside_round(&self, inner: &Contour) -> Option<&Contours> {
        self.inside.as_ref().filter(|_| self.contour.bounds.encloses(&inner.bounds))
    }

    /// Whether this small piece would be pulled along by the knife that cuts the large one beside it.
    fn would_move_beside(&self, other: &Self) -> bool {
        let (a, b) = (self.contour, other.contour);
        a.kind == Kind::Outline
            && b.kind == Kind::Outline
            && self.small
            && !other.small
            && a.bounds.near(&b.bounds, BESIDE)
            && self
                .inside
                .as_ref()
                .zip(other.inside.as_ref())
                .is_some_and(|(p, q)| p.contour_distance(q, BESIDE).is_some())
    }
}

//! Which contour must be cut before which other.

use super::{Contour, Kind, Tool};
use crate::shape::{Bounds, Contours, Point};
use std::collections::BTreeMap;

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

/// All pairs among the contours `members`, which are cut in one section with one tool.
///
/// They cannot run in a circle: each leads from a line to an outline, from inside to outside,
/// or from small to large, and whatever holds a large contour is itself large.
pub(super) fn pairs(contours: &[Contour], members: &[usize]) -> Vec<Before> {
    let shapes: Vec<Member<'_>> = members.iter().map(|&i| Member::new(i, &contours[i])).collect();
    let mut by_x: Vec<&Member<'_>> = shapes.iter().collect();
    by_x.sort_by(|a, b| a.contour.bounds.min.x.total_cmp(&b.contour.bounds.min.x));
    let widest = by_x.iter().map(|m| m.contour.bounds.width()).fold(0.0, f64::max);
    let mut outlines: BTreeMap<Option<usize>, Vec<&Member<'_>>> = BTreeMap::new();
    for m in shapes.iter().filter(|m| m.contour.kind == Kind::Outline) {
        outlines.entry(m.contour.placement).or_default().push(m);
    }
    let mut found = Vec::new();
    for a in &shapes {
        let (from, to) = (a.contour.bounds.min.x - BESIDE - widest, a.contour.bounds.max.x + BESIDE);
        let from = by_x.partition_point(|m| m.contour.bounds.min.x < from);
        let to = by_x.partition_point(|m| m.contour.bounds.min.x <= to);
        let beside = by_x[from..to].iter().copied();
        // A line may lie anywhere about its panel.
        let own = outlines.get(&a.contour.placement).into_iter().flatten().copied();
        let others = beside.chain(own).filter(|b| b.index != a.index && b.contour.tool == a.contour.tool);
        found.extend(others.filter_map(|b| a.before(b)));
    }
    found.sort_unstable();
    found.dedup();
    found
}

struct Member<'a> {
    index: usize,
    contour: &'a Contour,
    /// A closed contour as an area.
    area: Option<Contours>,
    small: bool,
}

impl<'a> Member<'a> {
    fn new(index: usize, contour: &'a Contour) -> Self {
        let b = contour.bounds;
        let area = contour.closed.then(|| Contours::of_rings(vec![contour.points.clone()]));
        Self { index, contour, area, small: b.width().min(b.height()) < SMALL }
    }

    /// Whether this must come before `other`, and how strictly.
    fn before(&self, other: &Self) -> Option<Before> {
        let yes = |soft| Some(Before { first: self.index, then: other.index, soft });
        let (a, b) = (self.contour, other.contour);
        if matches!(b.kind, Kind::Line | Kind::Waste) || b.tool != Tool::Kiss {
            return None;
        }
        let own = a.placement == b.placement && b.kind == Kind::Outline;
        if own && a.kind == Kind::Line {
            return yes(false);
        }
        if encloses(&b.bounds, &a.bounds) && other.holds(a) {
            return yes(false);
        }
        let freed = a.kind == Kind::Outline && b.kind == Kind::Outline;
        if freed && self.small && !other.small && self.is_beside(other) {
            return yes(true);
        }
        None
    }

    /// Whether a contour lies inside this one. Contours of panels do not cross, so that one
    /// of its points that is not on the other contour tells; when all are, the box has told.
    fn holds(&self, inner: &Contour) -> bool {
        let Some(area) = &self.area else { return false };
        let on_or_in = |p: &Point| area.locate(*p);
        inner.kind != Kind::Line
            && inner.points.iter().find_map(on_or_in).unwrap_or(inner.bounds != self.contour.bounds)
    }

    fn is_beside(&self, other: &Self) -> bool {
        if !self.contour.bounds.near(&other.contour.bounds, BESIDE) {
            return false;
        }
        let (Some(a), Some(b)) = (&self.area, &other.area) else { return false };
        a.contour_distance(b, BESIDE).is_some()
    }
}

fn encloses(outer: &Bounds, inner: &Bounds) -> bool {
    outer.min.x <= inner.min.x
        && outer.min.y <= inner.min.y
        && outer.max.x >= inner.max.x
        && outer.max.y >= inner.max.y
}

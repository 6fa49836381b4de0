//! Which panel is cut in which section.
//!
//! Sections are sets of panels, so the waste between two of them need not be a straight line:
//! a section may end in several places across the film, and the next one fills the bays.

use crate::error::{Error, Problems, Shown};
use crate::layout::Layout;
use crate::shape::Bounds;
use std::collections::BTreeSet;

/// A panel's extent along the feed.
#[derive(Debug, Clone, Copy)]
pub(super) struct Extent {
    /// Index into the layout's placements.
    pub placement: usize,
    /// The box round all its contours, in mm.
    pub bounds: Bounds,
}

/// The placements of each section, from the leading edge on.
///
/// Each section starts at the first panel that is left and takes every panel that ends within
/// its length. No other choice needs fewer sections: the section of the first panel can
/// start no later, and can hold no panel that this one does not.
pub(super) fn assign(
    layout: &Layout,
    extents: &[Extent],
    most: Option<f64>,
) -> Result<Vec<Vec<usize>>, Error> {
    let most = most.unwrap_or(f64::INFINITY);
    refuse_long(layout, extents, most)?;
    let mut left: Vec<&Extent> = extents.iter().collect();
    left.sort_by(|a, b| a.bounds.min.x.total_cmp(&b.bounds.min.x).then(a.placement.cmp(&b.placement)));
    let mut sections = Vec::new();
    while let Some(first) = left.first() {
        let end = first.bounds.min.x + most;
        let (inside, after): (Vec<_>, Vec<_>) = left.into_iter().partition(|e| e.bounds.max.x <= end);
        left = after;
        if inside.is_empty() {
            return Err(Error::Internal("a section of the cut plan holds no panel".into()));
        }
        let mut placements: Vec<usize> = inside.iter().map(|e| e.placement).collect();
        placements.sort_unstable();
        sections.push(placements);
    }
    Ok(sections)
}

/// A panel longer than a section cannot be cut at all.
fn refuse_long(layout: &Layout, extents: &[Extent], most: f64) -> Result<(), Error> {
    let mut problems = Problems::default();
    let mut told = BTreeSet::new();
    for e in extents {
        // The comparison of `assign`, so that what passes here finds room there.
        if e.bounds.max.x <= e.bounds.min.x + most {
            continue;
        }
        let Some(panel) = layout.placements.get(e.placement).and_then(|p| layout.panels.get(p.panel)) else {
            return Err(Error::Internal("a placement has no panel".into()));
        };
        // Once for all copies.
        if !told.insert(&panel.id) {
            continue;
        }
        let place = format!("panel {:?}", panel.id);
        let what = format!(
            "is {:.1} mm long along the feed, and no section may be longer than {} mm",
            e.bounds.width(),
            Shown(most)
        );
        problems.push(place, what, "allow longer sections, split the panel, or turn it if its grain permits");
    }
    if problems.0.is_empty() { Ok(()) } else { Err(Error::Unmet(problems)) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::fixtures::{job_of, rectangle};
    use crate::layout::{MadeBy, Placement, assemble};
    use crate::shape::Point;

    fn layout() -> Layout {
        let places = (0..5).map(|i| Placement {
            panel: 0,
            copy: i + 1,
            at: Point { x: 0.0, y: 0.0 },
            rotation: 0.0,
            mirrored: false,
        });
        let made_by = MadeBy { version: String::new(), seed: 0, walks: 0, rounds: 0, stopped: String::new() };
        assemble(&job_of(100.0, vec![rectangle("gore", 10.0, 10.0)]), places.collect(), made_by)
    }

    fn extents(spans: &[(f64, f64)]) -> Vec<Extent> {
        let bounds =
            |&(a, b): &(f64, f64)| Bounds { min: Point { x: a, y: 0.0 }, max: Point { x: b, y: 1.0 } };
        spans.iter().enumerate().map(|(placement, s)| Extent { placement, bounds: bounds(s) }).collect()
    }

    #[test]
    fn the_line_between_sections_need_not_be_straight() {
        let spans = extents(&[(0.0, 60.0), (10.0, 100.0), (55.0, 130.0), (70.0, 95.0), (132.0, 155.0)]);
        assert_eq!(assign(&layout(), &spans, Some(100.0)).unwrap(), [vec![0, 1, 3], vec![2, 4]]);
        assert_eq!(assign(&layout(), &spans, None).unwrap(), [vec![0, 1, 2, 3, 4]]);
        assert!(assign(&layout(), &[], Some(1.0)).unwrap().is_empty());
    }

    #[test]
    fn a_panel_longer_than_a_section_is_named_with_the_remedy() {
        let spans = extents(&[(0.0, 60.0), (10.0, 111.0)]);
        let told = assign(&layout(), &spans, Some(100.0)).unwrap_err();
        assert_eq!(told.exit_code(), 1);
        let told = told.to_string();
        assert!(
            told.contains("panel \"gore\"") && told.contains("101.0 mm") && told.contains("longer sections")
        );
    }
}

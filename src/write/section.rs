//! The contours of some sections of a plan as lines for a cut file, in the order of the plan.

use super::Layer;
use super::sheet::Contour;
use crate::floor::plan::{Section, Step, Tool};
use crate::job::Unit;
use crate::shape::Point;

/// Points in mm in another unit.
pub(super) fn scaled(points: &[Point], unit: Unit) -> Vec<Point> {
    points.iter().map(|p| *p * (1.0 / unit.in_mm())).collect()
}

/// Marks first, which are printed, then everything that is worked.
pub(super) fn contours(sections: &[&Section], unit: Unit) -> Vec<Contour> {
    let mut found = Vec::new();
    for (points, closed) in sections.iter().flat_map(|s| &s.marks).flat_map(|m| &m.lines) {
        let mark = Contour { layer: Layer::Print, closed: *closed, points: scaled(points, unit) };
        // Neighbouring sections may share a mark.
        if !found.contains(&mark) {
            found.push(mark);
        }
    }
    for step in sections.iter().flat_map(|s| &s.steps) {
        let layer = layer(step);
        if step.tool == Tool::Through {
            // As dashes: a host that joined them would let the piece fall.
            let dash = |s: &Vec<Point>| Contour { layer, closed: false, points: scaled(s, unit) };
            found.extend(step.strokes.iter().map(dash));
        } else {
            found.push(Contour { layer, closed: step.closed, points: scaled(&step.points, unit) });
        }
    }
    found
}

fn layer(step: &Step) -> Layer {
    match step.tool {
        Tool::Pen => Layer::Pen,
        Tool::Kiss => Layer::KissCut,
        Tool::Through => Layer::ThroughCut,
    }
}

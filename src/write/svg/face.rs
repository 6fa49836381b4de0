//! The panels' faces: what is drawn once and used by every copy.

use super::caption::{Caption, Letters};
use super::ink::Ink;
use super::role::Role;
use crate::job::{Line, Panel};
use crate::layout::{Layout, Placement};
use crate::shape::{Bounds, Point, Pose, plain_line};
use rayon::prelude::*;

/// What every drawn line needs to know.
#[derive(Debug, Clone, Copy)]
pub(super) struct Look {
    /// Millimetres in the layout's unit.
    pub mm: f64,
    /// Width of the finest line.
    pub hairline: f64,
    /// Sizes of captions; `None` when there are to be none.
    pub letters: Option<Letters>,
}

/// One panel as it is drawn again for every copy.
#[derive(Debug)]
pub(super) struct Face {
    /// Middle of its box in its own frame, in millimetres. The symbol is drawn about it, so
    /// that an outline far from its origin loses nothing.
    middle: Point,
    /// Outlines and holes about that middle.
    pub rings: Vec<Vec<Point>>,
    /// What is drawn on any copy.
    lines: Vec<Vec<Point>>,
    /// What stands on it.
    pub caption: Option<Caption>,
}

impl Face {
    /// The faces of all panels.
    pub fn all(layout: &Layout, look: &Look) -> Vec<Self> {
        layout.panels.par_iter().map(|panel| Self::of(panel, look)).collect()
    }

    fn of(panel: &Panel, look: &Look) -> Self {
        let contours = || panel.parts.iter().flat_map(|r| r.rings());
        let bounds = Bounds::of(contours().flat_map(|r| r.points()));
        let middle = bounds.map_or(Point { x: 0.0, y: 0.0 }, |b| b.centre() * look.mm);
        let centred = |p: &Point| *p * look.mm - middle;
        let rings: Vec<Vec<Point>> = contours().map(|r| r.points().iter().map(centred).collect()).collect();
        let line = |l: &Line| {
            let closing = l.points.first().filter(|_| l.closed);
            l.points.iter().chain(closing).map(centred).collect()
        };
        let lines: Vec<Vec<Point>> = panel.lines.iter().map(line).collect();
        let caption = look.letters.and_then(|letters| Caption::of(panel, &rings, &lines, letters));
        Self { middle, rings, lines, caption }
    }

    /// The map from the symbol, whose y runs up, to the roll in millimetres.
    pub fn pose(&self, placement: &Placement, mm: f64) -> Pose {
        let pose = placement.pose();
        Pose { at: pose.apply(self.middle / mm) * mm, ..pose }
    }

    /// The caption of the part of one copy that lies between two places along the roll.
    pub fn caption_between(
        &self,
        panel: &Panel,
        pose: &Pose,
        from: f64,
        to: f64,
        look: &Look,
    ) -> Option<Caption> {
        let letters = look.letters?;
        let clipped = |ring: &Vec<Point>| {
            let ring = keep(ring, |p| pose.apply(p).x - from);
            keep(&ring, |p| to - pose.apply(p).x)
        };
        let rings: Vec<Vec<Point>> = self.rings.iter().map(clipped).filter(|r| r.len() > 2).collect();
        Caption::of(panel, &rings, &self.lines, letters)
    }
}

/// The part of a ring on which `f`, a linear function, is not negative: I. E. Sutherland and
/// G. W. Hodgman, *Reentrant polygon clipping*, Comm. ACM 17 (1974). Pieces that fall apart
/// stay joined along the cut, which counts as edge.
fn keep(ring: &[Point], f: impl Fn(Point) -> f64) -> Vec<Point> {
    let mut kept = Vec::with_capacity(ring.len());
    let Some(mut a) = ring.last().copied() else { return kept };
    for &b in ring {
        let (fa, fb) = (f(a), f(b));
        if (fa < 0.0) != (fb < 0.0) {
            kept.push(a + (b - a) * (fa / (fa - fb)));
        }
        if fb >= 0.0 {
            kept.push(b);
        }
        a = b;
    }
    kept
}

/// One symbol for every panel: its face, and the lines that all copies have.
pub(super) fn symbols(ink: &mut Ink, layout: &Layout, faces: &[Face], look: &Look) {
    ink.raw("<defs>\n");
    for (i, (panel, face)) in layout.panels.iter().zip(faces).enumerate() {
        ink.raw(&format!("<g id=\"p{i}\"><path fill-rule=\"evenodd\" d=\""));
        for ring in &face.rings {
            ink.contour(ring.iter().copied(), true);
        }
        ink.raw("\"/>");
        lines(ink, panel, face, look, None);
        ink.raw("</g>\n");
    }
    ink.raw("</defs>\n");
}

/// The lines of a panel that belong to one copy, or to all; one path for each role.
pub(super) fn lines(ink: &mut Ink, panel: &Panel, face: &Face, look: &Look, copy: Option<u32>) {
    for role in Role::ALL {
        let mut of_role = panel.lines.iter().filter(|l| l.role == role.0 && l.copy == copy).peekable();
        if of_role.peek().is_none() {
            continue;
        }
        ink.raw("<path fill=\"none\"").raw(&role.style().attributes(look.hairline)).raw(" d=\"");
        for line in of_role {
            // Dashes there and back would fill each other's gaps.
            let (points, closed) = plain_line(line.points.clone(), line.closed);
            ink.contour(points.iter().map(|p| *p * look.mm - face.middle), closed);
        }
        ink.raw("\"/>");
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ring_is_cut_along_a_line() {
        let ring = [(0.0, 0.0), (4.0, 0.0), (4.0, 2.0), (0.0, 2.0)].map(|(x, y)| Point { x, y });
        let right: Vec<_> = keep(&ring, |p| p.x - 3.0).iter().map(|p| (p.x, p.y)).collect();
        assert_eq!(right, [(3.0, 0.0), (4.0, 0.0), (4.0, 2.0), (3.0, 2.0)]);
        assert_eq!(keep(&ring, |p| p.x + 1.0), ring);
        assert!(keep(&ring, |p| -1.0 - p.x).is_empty());
    }
}

//! The contours of a layout as lines on the film, with names that people and files can use.

use crate::error::Error;
use crate::floor::film::Film;
use crate::job::{LineRole, Panel};
use crate::layout::{Layout, Placement};
use crate::shape::{Bounds, Point, Ring, cross, length, plain_line};

/// What works a contour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Tool {
    /// A pen.
    Pen,
    /// The knife, through the film only.
    Kiss,
    /// The knife, through film and liner.
    Through,
}

/// What a contour is of its panel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// The outer contour of a part: cutting it frees the part.
    Outline,
    /// An inner contour.
    Hole,
    /// A line that travels with the panel.
    Line,
    /// A cut in the waste, to weed it in strips.
    Waste,
    /// A cut that shows whether the knife is set right.
    Test,
}

/// One contour on the film. Lengths in mm, in the roll frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Contour {
    /// `panel#copy/outline`, `panel#copy/hole 1`, `panel#copy/line 2`; `outline 1`, `outline 2`
    /// where a panel has several parts. Holes are counted through all parts, lines as in the file.
    /// Cuts that belong to no panel are `waste/1` and on, `test cut/square` and `test cut/triangle`.
    pub name: String,
    /// Index into the layout's placements; `None` for cuts that belong to no panel.
    pub placement: Option<usize>,
    /// What it is of its panel.
    pub kind: Kind,
    /// What works it.
    pub tool: Tool,
    /// Whether the last point joins the first, which is not repeated.
    pub closed: bool,
    /// The points. Outlines run counter-clockwise and holes clockwise, so that the panel lies
    /// to the left of the knife; lines run as they were drawn.
    pub points: Vec<Point>,
    /// The box round them.
    pub bounds: Bounds,
}

impl Contour {
    /// A cut that belongs to no panel; `None` without points.
    pub(super) fn loose(name: String, kind: Kind, closed: bool, points: Vec<Point>) -> Option<Self> {
        let bounds = Bounds::of(&points)?;
        Some(Self { name, placement: None, kind, tool: Tool::Kiss, closed, points, bounds })
    }

    /// Length of the contour, the closing side included.
    pub fn length(&self) -> f64 {
        path_length(&self.points, self.closed)
    }
}

/// Length of a line, its closing side included where it is closed.
pub(crate) fn path_length(points: &[Point], closed: bool) -> f64 {
    let closing = match (points.first(), points.last()) {
        (Some(a), Some(b)) if closed => length(*a - *b),
        _ => 0.0,
    };
    points.windows(2).map(|w| length(w[1] - w[0])).sum::<f64>() + closing
}

/// All contours of a layout that a machine works, placement by placement; printed lines are
/// not among them. Points that fall together are dropped, and lines of a single point.
///
/// # Errors
///
/// [`Error::Internal`] when a placement names a panel that the layout lacks, which no layout
/// that was read or assembled does.
pub fn contours(layout: &Layout, film: &Film) -> Result<Vec<Contour>, Error> {
    let mut found = Vec::new();
    for (index, placement) in layout.placements.iter().enumerate() {
        let panel = layout.panels.get(placement.panel).ok_or_else(|| {
            Error::Internal(format!("a placement names panel {} of {}", placement.panel, layout.panels.len()))
        })?;
        found.extend(Placed { panel, placement, index, film }.contours());
    }
    Ok(found)
}

/// One placed panel.
struct Placed<'a> {
    panel: &'a Panel,
    placement: &'a Placement,
    index: usize,
    film: &'a Film,
}

impl Placed<'_> {
    fn contours(&self) -> Vec<Contour> {
        let mut found = Vec::new();
        let mut holes = 0;
        for (i, part) in self.panel.parts.iter().enumerate() {
            let name = match self.panel.parts.len() {
                1 => "outline".to_owned(),
                _ => format!("outline {}", i + 1),
            };
            found.extend(self.ring(part.outline(), name, Kind::Outline));
            for hole in part.holes() {
                holes += 1;
                found.extend(self.ring(hole, format!("hole {holes}"), Kind::Hole));
            }
        }
        for (i, line) in self.panel.lines.iter().enumerate().filter(|(_, l)| l.is_on(self.placement.copy)) {
            let Some(tool) = tool(line.role) else { continue };
            let name = format!("line {}", i + 1);
            found.extend(self.contour(&line.points, line.closed, name, Kind::Line, tool));
        }
        found
    }

    fn ring(&self, ring: &Ring, name: String, kind: Kind) -> Option<Contour> {
        let mut contour = self.contour(ring.points(), true, name, kind, Tool::Kiss)?;
        if is_clockwise(&contour.points) != (kind == Kind::Hole) {
            contour.points.reverse();
        }
        Some(contour)
    }

    fn contour(
        &self,
        points: &[Point],
        closed: bool,
        name: String,
        kind: Kind,
        tool: Tool,
    ) -> Option<Contour> {
        let pose = self.placement.pose();
        let points = points.iter().map(|p| self.film.place(pose.apply(*p))).collect();
        let (points, closed) = plain_line(points, closed);
        let bounds = Bounds::of(&points).filter(|_| points.len() > 1)?;
        let name = format!("{}#{}/{name}", self.panel.id, self.placement.copy);
        Some(Contour { name, placement: Some(self.index), kind, tool, closed, points, bounds })
    }
}

/// What works a line; nothing works a printed one.
fn tool(role: LineRole) -> Option<Tool> {
    match role {
        LineRole::Cut => Some(Tool::Kiss),
        LineRole::Through => Some(Tool::Through),
        LineRole::Draw => Some(Tool::Pen),
        LineRole::Print => None,
    }
}

fn is_clockwise(points: &[Point]) -> bool {
    let Some(o) = points.first() else { return false };
    points.windows(2).map(|w| cross(*o, w[0], w[1])).sum::<f64>() < 0.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::floor::film::Whole;
    use crate::job::fixtures::{frame, job_of, panel};
    use crate::job::{Line, Unit};
    use crate::layout::{MadeBy, assemble};
    use crate::shape::Region;

    #[test]
    fn contours_are_named_placed_and_run_with_the_panel_to_the_left() {
        let hole = crate::job::fixtures::ring(&[(2.0, 2.0), (3.0, 2.0), (3.0, 3.0)]);
        let mut p = panel("a", vec![Region::new(frame(10.0, 5.0), vec![hole]).unwrap()]);
        let line = |role, copy| Line {
            role,
            points: vec![Point { x: 1.0, y: 1.0 }, Point { x: 1.0, y: 1.0 }, Point { x: 2.0, y: 1.0 }],
            closed: false,
            copy,
        };
        p.lines =
            vec![line(LineRole::Print, None), line(LineRole::Through, None), line(LineRole::Draw, Some(2))];
        let mut job = job_of(100.0, vec![p]);
        job.unit = Unit::Inch;
        let place =
            Placement { panel: 0, copy: 1, at: Point { x: 20.0, y: 30.0 }, rotation: 90.0, mirrored: true };
        let made_by = MadeBy { version: String::new(), seed: 0, walks: 0, rounds: 0, stopped: String::new() };
        let layout = assemble(&job, vec![place], made_by);
        let found = contours(&layout, &Film::of(&layout, Whole::default())).unwrap();
        let names: Vec<_> = found.iter().map(|c| (c.name.as_str(), c.tool)).collect();
        assert_eq!(
            names,
            [("a#1/outline", Tool::Kiss), ("a#1/hole 1", Tool::Kiss), ("a#1/line 2", Tool::Through)]
        );
        assert!(!is_clockwise(&found[0].points) && is_clockwise(&found[1].points));
        // Mirrored, then turned a quarter: (x, y) comes to (20 + y, 30 + x).
        assert_eq!(found[0].bounds.min, Point { x: 20.0 * 25.4, y: 30.0 * 25.4 });
        assert_eq!(found[0].bounds.max, Point { x: 25.0 * 25.4, y: 40.0 * 25.4 });
        assert_eq!(found[2].points.len(), 2);
        assert!((found[0].length() - 30.0 * 25.4).abs() < 1e-9);
    }
}

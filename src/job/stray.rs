//! Lines that leave their panel.
//!
//! Panels keep the gap from contour to contour; a line that a knife follows out of its panel would run into what lies
//! beside it, or off the film. As far as half the gap it stays clear of everything.

use super::{Line, LineRole, Panel};
use crate::shape::{Bounds, Contours, Point, Region, clear_stretches};

/// A line that leaves its panel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Stray {
    /// Its number, from 1.
    pub line: usize,
    /// A point of it beyond the outline.
    pub near: Point,
}

/// What works a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum By {
    Knife,
    Pen,
}

impl By {
    fn works(self, line: &Line) -> bool {
        match line.role {
            LineRole::Cut | LineRole::Through => self == Self::Knife,
            LineRole::Draw => self == Self::Pen,
            LineRole::Print => false,
        }
    }
}

/// The first line of the knife or the pen that leaves its panel's outlines by more than `most`. Holes count as inside:
/// what lies in them is waste or another panel, which the check of the layout sees.
pub(crate) fn stray_line(panel: &Panel, by: By, most: f64) -> Option<Stray> {
    let mut lines = panel.lines.iter().enumerate().filter(|(_, line)| by.works(line)).peekable();
    // Without a shape, that is what there is to say.
    lines.peek().filter(|_| !panel.parts.is_empty())?;
    let shells: Vec<Shell> = panel.parts.iter().map(Shell::new).collect();
    let mut sides = lines.flat_map(|(i, line)| sides(line).map(move |side| (i, side)));
    sides.find_map(|(i, side)| beyond(side, &shells, most).map(|near| Stray { line: i + 1, near }))
}

/// The outline of a part, its holes left out.
struct Shell {
    area: Contours,
    bounds: Bounds,
}

impl Shell {
    fn new(part: &Region) -> Self {
        let outline = part.outline();
        Self { area: Contours::of_rings(vec![outline.counter_clockwise()]), bounds: outline.bounds() }
    }
}

/// Stretches of a side that are not longer than this part of it come of rounding where two outlines' sides meet.
const SHORTEST: f64 = 1e-9;

/// The straight pieces of a line.
fn sides(line: &Line) -> impl Iterator<Item = [Point; 2]> + '_ {
    let points = &line.points;
    let closing = points.last().zip(points.first()).filter(|_| line.closed).map(|(a, b)| [*a, *b]);
    points.windows(2).map(|w| [w[0], w[1]]).chain(closing)
}

/// A point of a straight line that lies outside all outlines and farther from each than `most`.
fn beyond(line: [Point; 2], shells: &[Shell], most: f64) -> Option<Point> {
    let [a, b] = line;
    let place = Bounds::of(&line)?;
    let near = shells.iter().filter(|s| s.bounds.near(&place, most)).map(|s| &s.area);
    let clear = clear_stretches(line, near, most).into_iter().filter(|(from, to)| to - from > SHORTEST);
    let mut middles = clear.map(|(from, to)| a + (b - a) * (0.5 * (from + to)));
    let holds = |s: &Shell, p: Point| {
        s.bounds.near(&Bounds { min: p, max: p }, 0.0) && s.area.locate(p) != Some(false)
    };
    middles.find(|p| !shells.iter().any(|s| holds(s, *p)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::fixtures::{frame, panel};

    fn with(role: LineRole, points: &[(f64, f64)], closed: bool) -> Panel {
        let mut panel = panel("a", vec![Region::solid(frame(50.0, 50.0))]);
        let points = points.iter().map(|&(x, y)| Point { x, y }).collect();
        panel.lines = vec![Line { role, points, closed, copy: None }];
        panel
    }

    fn stray(panel: &Panel, most: f64) -> bool {
        stray_line(panel, By::Knife, most).is_some()
    }

    #[test]
    fn a_cut_may_reach_out_of_its_panel_by_as_much_as_is_allowed() {
        let out = |by: f64| with(LineRole::Cut, &[(25.0, 25.0), (50.0 + by, 25.0)], false);
        assert!(!stray(&out(0.0), 1e-4));
        assert!(!stray(&out(0.999), 1.0));
        assert!(stray(&out(1.001), 1.0));
        // From corner to corner along the outline, and round all of it.
        assert!(!stray(
            &with(LineRole::Through, &[(0.0, 0.0), (50.0, 0.0), (50.0, 50.0), (0.0, 50.0)], true),
            1e-4
        ));
        let found = stray_line(&out(100.0), By::Knife, 1.0).unwrap();
        assert!(found.line == 1 && found.near.x > 51.0, "{found:?}");
    }

    /// In the middle of the closing side of a line whose corners all lie inside.
    #[test]
    fn the_closing_side_and_the_ways_between_parts_count() {
        let mut two = with(LineRole::Cut, &[(10.0, 10.0), (110.0, 10.0), (110.0, 40.0)], true);
        two.parts.push(Region::solid(crate::job::fixtures::ring(&[
            (100.0, 0.0),
            (150.0, 0.0),
            (150.0, 50.0),
            (100.0, 50.0),
        ])));
        assert!(stray(&two, 1.0) && !stray(&two, 25.1));
    }

    #[test]
    fn pens_are_told_apart_and_prints_may_lie_anywhere() {
        let far = &[(25.0, 25.0), (500.0, 25.0)];
        assert!(!stray(&with(LineRole::Draw, far, false), 1.0));
        assert!(stray_line(&with(LineRole::Draw, far, false), By::Pen, 1.0).is_some());
        let print = with(LineRole::Print, far, false);
        assert!(!stray(&print, 1.0) && stray_line(&print, By::Pen, 1.0).is_none());
    }
}

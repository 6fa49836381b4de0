//! Whether each panel can lie on the film at all: its least extents over the permitted headings.
//!
//! The extent of a convex shape, as a function of the heading, is a chain of arcs of cosines;
//! each is concave, so it is least where a side of the convex hull lies along the roll or
//! across it, or at an end of the permitted headings (H. Freeman and R. Shapira, Communications of the ACM 18,
//! 1975). Opposite corners are followed round the hull by rotating calipers (M. Shamos, 1978).

use super::arcs::{self, Arcs, hulls};
use super::{Grain, Job, Panel, Roll};
use crate::shape::{Bounds, Point, Turn, cross, length};
use crate::{Error, Problems};
use std::collections::BTreeMap;

/// A least extent of a panel, and how it must lie for that.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extent {
    /// The extent, in the job's unit.
    pub size: f64,
    /// The heading of its grain.
    pub heading: f64,
    /// Whether it is mirrored.
    pub mirrored: bool,
}

/// The least extents of a panel over its permitted headings, each by itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extents {
    /// Across the roll.
    pub across: Extent,
    /// Along the roll.
    pub along: Extent,
}

/// The least extents of a panel over all headings that its grain permits, mirrored too where
/// that is allowed.
pub fn extents(panel: &Panel) -> Extents {
    let mut best = Least::default();
    for (hull, mirrored) in hulls(panel) {
        for heading in ends(&panel.grain) {
            let size = extents_at(&hull, &panel.grain, heading, mirrored);
            best.across.offer(size[1], heading, mirrored);
            best.along.offer(size[0], heading, mirrored);
        }
        if panel.grain.slack > 0.0 || panel.grain.rule.headings().is_none() {
            best.offer_sides(&hull, &panel.grain, mirrored);
        }
    }
    Extents { across: best.across.0, along: best.along.0 }
}

/// Checks that every required panel fits between the edge margins, and on the length that is
/// left on the roll, at a permitted heading; panels of a match group at a common one.
///
/// What passes may still not fit together with the others: that is for the search to find.
///
/// # Errors
///
/// [`Error::Unmet`] with every panel that does not fit, its least extent, and the film it needs, or
/// with every match group whose panels fit at no common heading.
pub fn check_fits(job: &Job) -> Result<(), Error> {
    let mut problems = Problems::default();
    for panel in job.panels.iter().filter(|p| !p.optional) {
        check_panel(panel, job, &mut problems);
    }
    if problems.0.is_empty() {
        check_groups(job, &mut problems);
    }
    if problems.0.is_empty() { Ok(()) } else { Err(Error::Unmet(problems)) }
}

/// How much more than the film a panel may measure: what the program keeps within.
fn allowance(roll: &Roll) -> f64 {
    0.25 * roll.tolerance()
}

fn check_panel(panel: &Panel, job: &Job, problems: &mut Problems) {
    let (roll, unit) = (&job.roll, job.unit.name());
    let least = extents(panel);
    let place = format!("panel {:?}", panel.id);
    let usable = roll.usable_width();
    if least.across.size > usable + allowance(roll) {
        let what = format!(
            "it is too wide: {:.3} {unit} across the roll at least ({}), and {usable:.3} {unit} of film are usable",
            least.across.size,
            how(&least.across)
        );
        let film = least.across.size + roll.edge_margin[0] + roll.edge_margin[1];
        problems.push(
            place,
            what,
            format!("it needs film {film:.3} {unit} wide with these margins, {}", free(panel)),
        );
        return;
    }
    let Some(left) = roll.length else { return };
    let along = shortest_that_fits(panel, roll).unwrap_or(least.along);
    let needed = along.size + roll.lead_margin + roll.tail_margin;
    if needed > left + allowance(roll) {
        let what = format!(
            "the roll is too short for it: {needed:.3} {unit} with lead and tail margin ({}), and {left:.3} {unit} are \
             left, {:.3} {unit} too little",
            how(&along),
            needed - left
        );
        problems.push(place, what, format!("take a longer roll, {}", free(panel)));
    }
}

fn how(extent: &Extent) -> String {
    format!("at heading {:.3}{}", extent.heading, if extent.mirrored { ", mirrored" } else { "" })
}

/// What to change in the panel.
fn free(panel: &Panel) -> &'static str {
    match panel.grain.rule.headings() {
        None => "or must be cut in two",
        Some(_) => "or another `grain.rule`, or must be cut in two",
    }
}

/// The least extent along the roll at those headings at which the panel fits across it, where
/// there are finitely many.
fn shortest_that_fits(panel: &Panel, roll: &Roll) -> Option<Extent> {
    let headings = finite(&panel.grain)?;
    let mut best = Best::default();
    for (hull, mirrored) in hulls(panel) {
        for &heading in headings {
            let [along, across] = extents_at(&hull, &panel.grain, heading, mirrored);
            if across <= roll.usable_width() + allowance(roll) {
                best.offer(along, heading, mirrored);
            }
        }
    }
    best.0.size.is_finite().then_some(best.0)
}

/// Every match group needs one heading at which each of its panels fits across the roll.
fn check_groups(job: &Job, problems: &mut Problems) {
    let mut groups: BTreeMap<(&str, Option<&str>), Vec<&Panel>> = BTreeMap::new();
    for panel in job.panels.iter().filter(|p| !p.optional) {
        if let Some(group) = &panel.match_group {
            groups.entry((group, panel.kit.as_deref())).or_default().push(panel);
        }
    }
    for ((group, kit), panels) in groups {
        let Some(odd) = without_common_heading(&panels, &job.roll) else { continue };
        let kit = kit.map_or_else(String::new, |k| format!(" of kit {k:?}"));
        let place = format!("match group {group:?}{kit}");
        let what = format!(
            "its {} panels fit across the roll at no common heading: where those before panel {:?} fit, that one does not",
            panels.len(),
            odd.id
        );
        problems.push(place, what, "take wider film, give that panel another `grain`, or split the group");
    }
}

/// The first panel that fits at no heading at which all before it fit.
fn without_common_heading<'p>(panels: &[&'p Panel], roll: &Roll) -> Option<&'p Panel> {
    let mut open = Arcs::full();
    panels.iter().copied().find(|panel| {
        open = open.common(&fitting_headings(panel, roll));
        open.is_empty()
    })
}

/// The permitted headings at which a panel fits between the edge margins.
pub fn fitting_headings(panel: &Panel, roll: &Roll) -> Arcs {
    arcs::fitting(panel, roll.usable_width() + allowance(roll))
}

/// The permitted headings, where there are finitely many.
fn finite(grain: &Grain) -> Option<&'static [f64]> {
    grain.rule.headings().filter(|_| grain.slack == 0.0)
}

/// The rule's headings and the ends of the slack on both sides; 0 for a free panel.
fn ends(grain: &Grain) -> impl Iterator<Item = f64> {
    let slack = grain.slack;
    let headings = grain.rule.headings().unwrap_or(&[0.0]).iter();
    headings.flat_map(move |h| [*h, h - slack, h + slack].into_iter().take(if slack > 0.0 { 3 } else { 1 }))
}

/// Extents along and across the roll at a heading; `hull` is mirrored already where it is to be.
fn extents_at(hull: &[Point], grain: &Grain, heading: f64, mirrored: bool) -> [f64; 2] {
    let turn = Turn::degrees(grain.rotation(heading, mirrored));
    let turned: Vec<Point> = hull.iter().map(|p| turn.apply(*p)).collect();
    Bounds::of(&turned).map_or([0.0; 2], |b| [b.width(), b.height()])
}

/// The least extent found so far; the first of equals.
struct Best(Extent);

impl Default for Best {
    fn default() -> Self {
        Self(Extent { size: f64::INFINITY, heading: 0.0, mirrored: false })
    }
}

impl Best {
    fn offer(&mut self, size: f64, heading: f64, mirrored: bool) {
        if size < self.0.size {
            self.0 = Extent { size, heading: crate::shape::wrap_degrees(heading), mirrored };
        }
    }
}

/// The least extents found so far.
#[derive(Default)]
struct Least {
    across: Best,
    along: Best,
}

impl Least {
    /// Tries every side of the hull along the roll and across it.
    fn offer_sides(&mut self, hull: &[Point], grain: &Grain, mirrored: bool) {
        for (side, height) in heights(hull) {
            let flat = -libm::atan2(side.y, side.x).to_degrees();
            for quarter in 0..4_u8 {
                let heading = grain.heading(flat + 90.0 * f64::from(quarter), mirrored);
                if !grain.allows(heading) {
                    continue;
                }
                let best = if quarter % 2 == 0 { &mut self.across } else { &mut self.along };
                best.offer(height, heading, mirrored);
            }
        }
    }
}

/// Every side of a convex contour with the height of the contour above it.
fn heights(hull: &[Point]) -> Vec<(Point, f64)> {
    let n = hull.len();
    let mut far = 1;
    let mut found = Vec::with_capacity(n);
    for i in 0..n {
        let (a, b) = (hull[i], hull[(i + 1) % n]);
        let above = |j: usize| cross(a, b, hull[j % n]);
        far = far.max(i + 1);
        while far < i + n && above(far + 1) > above(far) {
            far += 1;
        }
        found.push((b - a, above(far) / length(b - a)));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{GrainRule, fixtures};
    use crate::shape::Region;

    fn panel(points: &[(f64, f64)], rule: GrainRule, along: f64, slack: f64) -> Panel {
        let grain = Grain { along, rule, slack };
        Panel { grain, ..fixtures::panel("p", vec![Region::solid(fixtures::ring(points))]) }
    }

    fn job(width: f64, length: Option<f64>, panels: Vec<Panel>) -> Job {
        let plain = fixtures::job_of(width, panels);
        let roll =
            Roll { edge_margin: [5.0, 5.0], lead_margin: 10.0, tail_margin: 10.0, length, ..plain.roll };
        Job { roll, gap: 3.0, ..plain }
    }

    const BOX: [(f64, f64); 4] = [(0., 0.), (300., 0.), (300., 60.), (0., 60.)];

    fn close(a: f64, b: f64) -> bool {
        (a - b).abs() < 1e-9
    }

    #[test]
    fn fixed_headings_are_exact() {
        let e = extents(&panel(&BOX, GrainRule::OneWay, 0.0, 0.0));
        assert_eq!((e.across.size, e.along.size), (60.0, 300.0));
        let e = extents(&panel(&BOX, GrainRule::OneWay, 90.0, 0.0));
        assert_eq!((e.across.size, e.along.size), (300.0, 60.0));
        let e = extents(&panel(&BOX, GrainRule::Quarter, 0.0, 0.0));
        assert_eq!((e.across.size, e.along.size, e.along.heading), (60.0, 60.0, 90.0));
    }

    #[test]
    fn a_free_regular_triangle_is_as_wide_as_it_is_high() {
        // Height of a regular triangle of side 2: the square root of 3.
        let third = 3f64.sqrt();
        let e = extents(&panel(&[(0., 0.), (2., 0.), (1., third)], GrainRule::Free, 17.0, 0.0));
        assert!(close(e.across.size, third) && close(e.along.size, third), "{e:?}");
    }

    #[test]
    fn a_turned_box_is_straightened_as_far_as_its_slack_allows() {
        let t = Turn::degrees(10.0);
        let turned: Vec<(f64, f64)> =
            BOX.iter().map(|&(x, y)| t.apply(Point { x, y })).map(|p| (p.x, p.y)).collect();
        let wide = |slack| extents(&panel(&turned, GrainRule::TwoWay, 0.0, slack)).across;
        assert!(close(wide(15.0).size, 60.0) && close(wide(15.0).heading, 350.0), "{:?}", wide(15.0));
        let (sin, cos) = libm::sincos(4f64.to_radians());
        assert!(close(wide(6.0).size, 300.0 * sin + 60.0 * cos), "{:?}", wide(6.0));
    }

    #[test]
    fn least_extents_are_those_of_a_scan_over_all_headings() {
        let shape = [(0., 0.), (7., -2.), (11., 3.), (9., 8.), (3., 9.), (-2., 5.), (2., 4.)];
        for (rule, along, slack, mirror) in [
            (GrainRule::Free, 0.0, 0.0, false),
            (GrainRule::OneWay, 33.0, 20.0, false),
            (GrainRule::Quarter, 70.0, 8.0, true),
            (GrainRule::TwoWay, 250.0, 45.0, true),
        ] {
            let p = Panel { mirror, ..panel(&shape, rule, along, slack) };
            let least = extents(&p);
            let mut scan = [f64::INFINITY; 2];
            for (hull, mirrored) in hulls(&p) {
                for step in 0..36_000 {
                    let heading = 0.01 * f64::from(step);
                    if p.grain.allows(heading) {
                        let e = extents_at(&hull, &p.grain, heading, mirrored);
                        scan = [scan[0].min(e[0]), scan[1].min(e[1])];
                    }
                }
            }
            // A step of 0.01 degrees changes an extent of 12 by at most 12 x 0.01 x pi / 180.
            for (found, scanned) in [(least.along.size, scan[0]), (least.across.size, scan[1])] {
                assert!(found <= scanned + 1e-9 && scanned <= found + 0.0021, "{rule:?} {found} {scanned}");
            }
        }
    }

    #[test]
    fn what_does_not_fit_is_named_with_the_film_it_needs() {
        let tall = Panel { id: "tall".into(), ..panel(&BOX, GrainRule::OneWay, 90.0, 0.0) };
        let filler = Panel { optional: true, ..tall.clone() };
        assert!(check_fits(&job(310.0, None, vec![tall.clone()])).is_ok());
        assert!(check_fits(&job(200.0, None, vec![filler])).is_ok());
        let e = check_fits(&job(309.0, None, vec![tall])).unwrap_err();
        assert_eq!(e.exit_code(), 1);
        for part in ["panel \"tall\"", "300.000 mm", "299.000 mm", "310.000 mm wide", "`grain.rule`"] {
            assert!(e.to_string().contains(part), "no {part} in {e}");
        }
    }

    #[test]
    fn a_roll_that_is_too_short_is_told_by_how_much() {
        let p = panel(&BOX, GrainRule::Quarter, 0.0, 0.0);
        assert!(check_fits(&job(310.0, Some(80.0), vec![p.clone()])).is_ok());
        // On narrow film it can only lie along the roll.
        assert!(check_fits(&job(200.0, Some(320.0), vec![p.clone()])).is_ok());
        let e = check_fits(&job(200.0, Some(319.0), vec![p])).unwrap_err().to_string();
        assert!(e.contains("320.000 mm with lead and tail") && e.contains("1.000 mm too little"), "{e}");
    }

    #[test]
    fn a_match_group_needs_a_common_heading() {
        let one = Panel { match_group: Some("g".into()), ..panel(&BOX, GrainRule::Quarter, 0.0, 0.0) };
        let other = Panel { id: "q".into(), grain: Grain { along: 90.0, ..one.grain }, ..one.clone() };
        assert!(check_fits(&job(310.0, None, vec![one.clone(), other.clone()])).is_ok());
        let e = check_fits(&job(200.0, None, vec![one.clone(), other.clone()])).unwrap_err().to_string();
        assert!(e.contains("match group \"g\"") && e.contains("no common heading"), "{e}");
        assert!(e.contains("panel \"q\"") && e.contains("`grain`"), "{e}");
        // A panel that may turn freely joins the one or the other, not both.
        let any =
            Panel { id: "r".into(), grain: Grain { rule: GrainRule::Free, ..one.grain }, ..one.clone() };
        assert!(check_fits(&job(200.0, None, vec![one.clone(), any.clone()])).is_ok());
        assert!(check_fits(&job(200.0, None, vec![any, one.clone(), other.clone()])).is_err());
        let apart = Panel { kit: Some("k".into()), ..other };
        assert!(check_fits(&job(200.0, None, vec![one, apart])).is_ok());
    }
}

//! What is doubtful in a job although it can be cut: shapes that film does not hold.

use super::stray::{By, Stray, stray_line};
use super::{Day, Panel, Roll, Unit};
use crate::Warning;
use crate::shape::{Contours, Point, Region, Ring, dot, is_thicker_than, length};

/// Smallest piece that can be weeded and sticks, in mm: 2 mm x 2 mm
/// (<https://hexio.co.uk/2019/11/vinyl-cutting/>). A piece into which no disc of this
/// diameter fits is warned of, and so is a hole.
const SMALLEST_MM: f64 = 2.0;

/// A corner is called sharp when the film beside it stays narrower than [`SMALLEST_MM`] for
/// longer than this, in mm: such a tip curls and lifts. Common practice, no source.
const TIP_MM: f64 = 10.0;

/// Most places that are named in one warning.
const MAX_NAMED: usize = 3;

/// Warnings about shapes that film does not hold, one for each panel and kind.
pub(crate) fn cautions(job: &Day) -> Vec<Warning> {
    job.panels.iter().flat_map(|panel| Caution::new(job, panel).warnings()).flatten().collect()
}

/// Warnings about lines for the pen that leave their panels, one for each panel.
pub fn stray_pens(job: &Day) -> Vec<Warning> {
    job.panels.iter().filter_map(|panel| Caution::new(job, panel).stray_pens()).collect()
}

/// What to say of a panel whose parts are too thin for any rule about overlap to hold for them.
pub(super) fn too_thin(panel: &Panel, roll: &Roll, unit: Unit) -> Option<String> {
    let thinnest = roll.thinnest();
    let places = places(panel.parts.iter().filter(|r| !fits_disc(r, thinnest)), unit.name())?;
    let unit = unit.name();
    Some(format!("{places} is thinner than {thinnest:.6} {unit}, too thin for the tolerance of this film"))
}

/// Looks at one panel, with all lengths in the job's unit.
struct Caution<'j> {
    panel: &'j Panel,
    unit: &'static str,
    /// Least diameter of a disc that must fit.
    smallest: f64,
    /// Greatest cosine of a corner that is not sharp.
    sharpest: f64,
    /// How far a line may leave its panel and stay clear of everything.
    beyond: f64,
}

impl<'j> Caution<'j> {
    fn new(job: &Day, panel: &'j Panel) -> Self {
        Self {
            panel,
            unit: job.unit.name(),
            smallest: SMALLEST_MM / job.unit.in_mm(),
            sharpest: tip_cosine(),
            beyond: 0.5 * job.gap + job.rolls.iter().map(Roll::tolerance).fold(0.0, f64::max),
        }
    }

    fn warnings(&self) -> [Option<Warning>; 4] {
        [self.small_parts(), self.small_holes(), self.sharp_tips(), self.stray_pens()]
    }

    fn say(&self, what: String, remedy: &str) -> Warning {
        Warning::new(format!("panel {:?}", self.panel.id), what, remedy)
    }

    fn small_parts(&self) -> Option<Warning> {
        let places = places(self.panel.parts.iter().filter(|r| !fits_disc(r, self.smallest)), self.unit)?;
        Some(self.say(
            format!("{places} is narrower than {SMALLEST_MM} mm everywhere"),
            "so small a piece tears when it is weeded and does not stick",
        ))
    }

    fn small_holes(&self) -> Option<Warning> {
        let holes: Vec<Region> =
            self.panel.parts.iter().flat_map(Region::holes).cloned().map(Region::solid).collect();
        let places = places(holes.iter().filter(|h| !fits_disc(h, self.smallest)), self.unit)?;
        Some(self.say(
            format!("a hole: {places} is narrower than {SMALLEST_MM} mm everywhere"),
            "so small a hole is hard to weed; leave it out or widen it",
        ))
    }

    fn sharp_tips(&self) -> Option<Warning> {
        let tips: Vec<Point> =
            self.panel.parts.iter().flat_map(|r| sharp_corners(r.outline(), self.sharpest)).collect();
        let places = named(&tips, self.unit)?;
        Some(self.say(
            format!(
                "sharp tips: {places}: the film is narrower than {SMALLEST_MM} mm for more than {TIP_MM} mm"
            ),
            "such a tip curls and lifts; blunt it",
        ))
    }

    fn stray_pens(&self) -> Option<Warning> {
        let Stray { line, near } = stray_line(self.panel, By::Pen, self.beyond)?;
        let place = named(&[near], self.unit)?;
        Some(self.say(
            format!(
                "line {line} leaves the outline {place}: the pen may run over what lies beside the panel"
            ),
            "end the line at the outline",
        ))
    }
}

/// Cosine of the angle at which a wedge reaches [`SMALLEST_MM`] at [`TIP_MM`] from its tip:
/// with t the tangent of half the angle, the cosine is (1 - t^2) / (1 + t^2).
fn tip_cosine() -> f64 {
    let t = 0.5 * SMALLEST_MM / TIP_MM;
    (1.0 - t * t) / (1.0 + t * t)
}

/// Whether a disc of this diameter fits into the region.
fn fits_disc(region: &Region, diameter: f64) -> bool {
    // A shape without holes, of area A and perimeter P, holds a disc of radius A / P
    // (R. Osserman, Bonnesen-style isoperimetric inequalities, 1979; from memory). This settles
    // nearly every panel.
    let roomy = region.holes().is_empty() && 2.0 * region.area() >= diameter * region.outline().perimeter();
    roomy || is_thicker_than(&Contours::of_regions([region]), 0.5 * diameter)
}

/// The convex corners of a contour whose sides make an angle with a cosine above `sharpest`.
fn sharp_corners(ring: &Ring, sharpest: f64) -> Vec<Point> {
    let points = ring.counter_clockwise();
    let n = points.len();
    let sharp = |i: usize| {
        let (before, here, after) = (points[(i + n - 1) % n], points[i], points[(i + 1) % n]);
        let (u, v) = (before - here, after - here);
        crate::shape::cross(before, here, after) > 0.0 && dot(u, v) > sharpest * length(u) * length(v)
    };
    (0..n).filter(|i| sharp(*i)).map(|i| points[i]).collect()
}

/// Where some regions are, in words; nothing when there are none.
fn places<'r>(regions: impl Iterator<Item = &'r Region>, unit: &str) -> Option<String> {
    named(&regions.map(|r| r.bounds().centre()).collect::<Vec<_>>(), unit)
}

fn named(points: &[Point], unit: &str) -> Option<String> {
    let first: Vec<String> =
        points.iter().take(MAX_NAMED).map(|p| format!("({:.3}, {:.3})", p.x, p.y)).collect();
    let rest = points.len() - first.len();
    let more = if rest > 0 { format!(" and {rest} more") } else { String::new() };
    (!points.is_empty()).then(|| format!("near {} {unit}{more}", first.join(", ")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::fixtures::{job_of, panel, ring};

    fn boxed(x: f64, y: f64, w: f64, h: f64) -> Ring {
        ring(&[(x, y), (x + w, y), (x + w, y + h), (x, y + h)])
    }

    fn said(unit: Unit, parts: Vec<Region>) -> Vec<String> {
        let job = job_of(610.0, vec![panel("p", parts)]);
        let day = Day { unit, ..Day::from(job) };
        cautions(&day).iter().map(ToString::to_string).collect()
    }

    #[test]
    fn two_millimetres_are_enough_and_less_is_not() {
        let solid = |w| vec![Region::solid(boxed(0., 0., 40., w))];
        assert!(said(Unit::Millimetre, solid(2.0)).is_empty());
        let thin = said(Unit::Millimetre, solid(1.9));
        assert!(
            thin.len() == 1 && thin[0].contains("panel \"p\"") && thin[0].contains("near (20.000, 0.950)"),
            "{thin:?}"
        );
        assert!(said(Unit::Inch, solid(0.08)).is_empty()); // 2.03 mm
        assert_eq!(said(Unit::Inch, solid(0.078)).len(), 1); // 1.98 mm
    }

    #[test]
    fn a_thin_ring_and_a_crooked_stroke_are_found() {
        let frame = |t: f64| {
            Region::new(boxed(0., 0., 50., 50.), vec![boxed(t, t, 50. - 2. * t, 50. - 2. * t)]).unwrap()
        };
        // At the corners of the frame a disc of up to 2 (2 - sqrt 2) t = 1.17 t fits.
        assert_eq!(said(Unit::Millimetre, vec![frame(1.6)]).len(), 1);
        assert!(said(Unit::Millimetre, vec![frame(1.8)]).is_empty());
        let stroke = ring(&[(0., 0.), (30., 0.), (30., 30.), (28.5, 30.), (28.5, 1.5), (0., 1.5)]);
        assert_eq!(said(Unit::Millimetre, vec![Region::solid(stroke)]).len(), 1);
    }

    #[test]
    fn small_holes_are_grouped() {
        let holes = (0..5).map(|i| boxed(5.0 + 5.0 * f64::from(i), 5., 1., 1.)).collect();
        let all = said(Unit::Millimetre, vec![Region::new(boxed(0., 0., 50., 50.), holes).unwrap()]);
        assert!(all.len() == 1 && all[0].contains("and 2 more") && all[0].contains("hole"), "{all:?}");
    }

    #[test]
    fn sharp_tips_are_told_from_pointed_ones() {
        let wedge = |half: f64| vec![Region::solid(ring(&[(0., 0.), (100., -half), (100., half)]))];
        assert!(said(Unit::Millimetre, wedge(10.1)).is_empty());
        let sharp = said(Unit::Millimetre, wedge(9.9));
        assert!(sharp.len() == 1 && sharp[0].contains("near (0.000, 0.000)"), "{sharp:?}");
    }

    #[test]
    fn what_is_too_thin_to_be_judged_is_named() {
        let job = |t: f64| job_of(610.0, vec![panel("p", vec![Region::solid(boxed(0., 0., 10., t))])]);
        let thin = |t| too_thin(&job(t).panels[0], &job(t).roll, Unit::Millimetre);
        let what = thin(0.024).unwrap();
        assert!(what.contains("near (5.000, 0.012) mm") && what.contains("0.024400 mm"), "{what}");
        assert_eq!(thin(0.025), None);
    }
}

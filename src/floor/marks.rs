//! Registration marks: printed in the edge margins at the ends of each section, so that the
//! cutter finds the print again.

use super::film::Film;
use crate::error::{Error, Problems};
use crate::shape::{Bounds, Point};

/// What the marks look like. Lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct MarkOptions {
    /// From the middle of the cross to the end of an arm.
    pub arm: f64,
    /// Width of its lines.
    pub line: f64,
    /// Free film between a mark and the film's edge, the panels, or another mark.
    pub clearance: f64,
    /// Drawn instead of the cross: closed or open lines, of any origin.
    pub drawing: Option<Vec<(Vec<Point>, bool)>>,
}

impl Default for MarkOptions {
    /// A cross that fits into a margin of 8 mm: common practice, no source.
    fn default() -> Self {
        Self { arm: 3.0, line: 0.5, clearance: 1.0, drawing: None }
    }
}

/// One mark on the film.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// Its middle.
    pub at: Point,
    /// Its lines, and whether each is closed.
    pub lines: Vec<(Vec<Point>, bool)>,
    /// The box round them.
    pub bounds: Bounds,
}

/// A mark about the origin.
struct Stamp {
    lines: Vec<(Vec<Point>, bool)>,
    half: Point,
}

impl Stamp {
    fn of(options: &MarkOptions) -> Result<Self, Error> {
        let Some(drawing) = &options.drawing else { return Ok(Self::cross(options.arm, 0.5 * options.line)) };
        let Some(b) = Bounds::of(drawing.iter().flat_map(|(points, _)| points)) else {
            return Err(Error::input("registration mark", "the drawing is empty", "draw at least one line"));
        };
        let middle = b.centre();
        let moved =
            |(points, closed): &(Vec<Point>, bool)| (points.iter().map(|p| *p - middle).collect(), *closed);
        Ok(Self {
            lines: drawing.iter().map(moved).collect(),
            half: Point { x: 0.5 * b.width(), y: 0.5 * b.height() },
        })
    }

    /// The outline of a cross with arms as wide as its lines.
    fn cross(arm: f64, half_line: f64) -> Self {
        let (a, w) = (arm, half_line);
        let corners = [
            (a, -w),
            (a, w),
            (w, w),
            (w, a),
            (-w, a),
            (-w, w),
            (-a, w),
            (-a, -w),
            (-w, -w),
            (-w, -a),
            (w, -a),
            (w, -w),
        ];
        let outline = corners.map(|(x, y)| Point { x, y }).to_vec();
        Self { lines: vec![(outline, true)], half: Point { x: a, y: a } }
    }

    fn at(&self, at: Point) -> Mark {
        let moved =
            |(points, closed): &(Vec<Point>, bool)| (points.iter().map(|p| *p + at).collect(), *closed);
        Mark {
            at,
            lines: self.lines.iter().map(moved).collect(),
            bounds: Bounds { min: at - self.half, max: at + self.half },
        }
    }
}

/// The marks of each section, which reaches from `.0` to `.1` along the feed: one in each
/// margin at its start and at its end. Neighbouring sections share marks that would otherwise
/// come too near to each other.
pub(super) fn marks(
    film: &Film,
    sections: &[(f64, f64)],
    options: &MarkOptions,
) -> Result<Vec<Vec<Mark>>, Error> {
    check(options)?;
    let stamp = Stamp::of(options)?;
    check_room(film, &stamp, options.clearance)?;
    let sides = [0.5 * film.edge_margin[0], film.width - 0.5 * film.edge_margin[1]];
    let apart = 2.0 * stamp.half.x + options.clearance;
    let mut placed: Vec<f64> = Vec::new();
    let mut own_or_shared = |x: f64| {
        let shared = placed.iter().copied().find(|p| (p - x).abs() < apart);
        shared.unwrap_or_else(|| {
            placed.push(x);
            x
        })
    };
    let mut found = Vec::new();
    for &(from, to) in sections {
        // A section too short for two marks side by side has them at its ends all the same, outside.
        let inside = if to - from >= 2.0 * apart { stamp.half.x } else { -stamp.half.x };
        let start = (from + inside).max(stamp.half.x);
        let ends = [own_or_shared(start), own_or_shared((to - inside).max(start + apart))];
        found.push(ends.iter().flat_map(|&x| sides.map(|y| stamp.at(Point { x, y }))).collect());
    }
    Ok(found)
}

fn check(options: &MarkOptions) -> Result<(), Error> {
    let mut problems = Problems::default();
    let MarkOptions { arm, line, clearance, drawing } = options;
    if drawing.is_none() {
        if !(*arm > 0.0 && arm.is_finite()) {
            problems.push(
                "registration marks",
                format!("an arm of {arm} mm is no length"),
                "give one above 0",
            );
        }
        if !(*line > 0.0 && line < arm) {
            let what = format!("a line {line} mm wide does not suit an arm of {arm} mm");
            problems.push("registration marks", what, "give a width above 0 and below the arm");
        }
    }
    if !(*clearance >= 0.0 && clearance.is_finite()) {
        problems.push(
            "registration marks",
            format!("a clearance of {clearance} mm is no length"),
            "give one from 0",
        );
    }
    problems.or_ok(())
}

/// Both margins must hold a mark with free film on either side of it.
fn check_room(film: &Film, stamp: &Stamp, clearance: f64) -> Result<(), Error> {
    let needed = 2.0 * (stamp.half.y + clearance);
    let narrow = film.edge_margin.iter().copied().fold(f64::INFINITY, f64::min);
    if narrow >= needed {
        return Ok(());
    }
    let high = 2.0 * stamp.half.y;
    Err(Error::unmet(
        "registration marks",
        format!(
            "a mark {high} mm high with {clearance} mm free on either side needs an edge margin of {needed} mm, and one is {narrow} mm"
        ),
        "nest with wider edge margins, or make the mark or its clearance smaller",
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::floor::film::Whole;
    use crate::job::fixtures::{job_of, rectangle};
    use crate::layout::{MadeBy, assemble};

    fn film(margins: [f64; 2]) -> Film {
        let mut job = job_of(300.0, vec![rectangle("a", 10.0, 10.0)]);
        job.roll.edge_margin = margins;
        let made_by = MadeBy { version: String::new(), seed: 0, walks: 0, rounds: 0, stopped: String::new() };
        Film::of(&assemble(&job, vec![], made_by), Whole::default())
    }

    #[test]
    fn marks_lie_inside_the_margins_at_the_ends_of_their_section_and_apart() {
        let options = MarkOptions::default();
        let found =
            marks(&film([8.0, 10.0]), &[(20.0, 500.0), (480.0, 900.0), (901.0, 905.0)], &options).unwrap();
        for (section, ends) in found.iter().zip([[23.0, 497.0], [483.0, 897.0]]) {
            assert_eq!(section.len(), 4);
            let xs: Vec<f64> = section.iter().map(|m| m.at.x).collect();
            assert_eq!(xs, [ends[0], ends[0], ends[1], ends[1]]);
        }
        // The last section shares the mark before it.
        assert_eq!(found[2][0].at, found[1][2].at);
        for mark in found.iter().flatten() {
            let (b, c) = (mark.bounds, options.clearance);
            let low = b.min.y >= c && b.max.y <= 8.0 - c;
            let high = b.min.y >= 290.0 + c && b.max.y <= 300.0 - c;
            assert!(low || high, "{b:?}");
            assert_eq!(Bounds::of(mark.lines.iter().flat_map(|l| &l.0)), Some(b));
        }
    }

    #[test]
    fn a_margin_too_narrow_is_told_with_its_numbers() {
        let told = marks(&film([8.0, 7.9]), &[(0.0, 100.0)], &MarkOptions::default()).unwrap_err();
        assert_eq!(told.exit_code(), 1);
        assert!(told.to_string().contains("edge margin of 8 mm, and one is 7.9 mm"), "{told}");
        let senseless = MarkOptions { line: 5.0, ..MarkOptions::default() };
        assert_eq!(marks(&film([8.0; 2]), &[], &senseless).unwrap_err().exit_code(), 2);
    }

    #[test]
    fn a_drawing_of_ones_own_takes_the_place_of_the_cross() {
        let line = |points: &[(f64, f64)]| points.iter().map(|&(x, y)| Point { x, y }).collect::<Vec<_>>();
        let drawing = Some(vec![(line(&[(100.0, 50.0), (104.0, 50.0), (104.0, 52.0)]), true)]);
        let options = MarkOptions { drawing, ..MarkOptions::default() };
        let found = marks(&film([4.0; 2]), &[(0.0, 200.0)], &options).unwrap();
        assert_eq!(
            found[0][0].bounds,
            Bounds { min: Point { x: 0.0, y: 1.0 }, max: Point { x: 4.0, y: 3.0 } }
        );
    }
}

//! Registration marks: printed in the edge margins at the ends of each section, so that the
//! cutter finds the print again.

use super::film::Film;
use crate::error::{Error, Problems, Shown};
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

/// Most points of a mark: it is drawn four times in every section.
const MOST_POINTS: usize = 2000;

/// A mark about the origin.
struct Stamp {
    lines: Vec<(Vec<Point>, bool)>,
    half: Point,
}

impl Stamp {
    fn of(options: &MarkOptions) -> Result<Self, Error> {
        let Some(drawing) = &options.drawing else { return Ok(Self::cross(options.arm, 0.5 * options.line)) };
        let points: usize = drawing.iter().map(|(points, _)| points.len()).sum();
        if points > MOST_POINTS {
            let what = format!("the drawing has {points} points; {MOST_POINTS} are the most");
            return Err(Error::input(
                "registration mark",
                what,
                "draw a simpler one, or raise the chord tolerance",
            ));
        }
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
/// margin at its start and at its end, all of them on the film of the layout. Neighbouring
/// sections share marks that would otherwise come too near to each other.
pub(super) fn marks(
    film: &Film,
    sections: &[(f64, f64)],
    options: &MarkOptions,
) -> Result<Vec<Vec<Mark>>, Error> {
    check(options)?;
    let stamp = Stamp::of(options)?;
    check_room(film, &stamp, options.clearance)?;
    check_length(film, &stamp, options.clearance)?;
    let sides = [0.5 * film.edge_margin[0], film.width - 0.5 * film.edge_margin[1]];
    let (half, clearance) = (stamp.half.x, options.clearance);
    let mut places = Places {
        taken: Vec::new(),
        apart: 2.0 * half + clearance,
        least: half + clearance,
        most: film.length - half - clearance,
    };
    let mut found = Vec::new();
    for &(from, to) in sections {
        // A section too short for two marks side by side has them at its ends all the same, outside.
        let inside = if to - from >= 2.0 * places.apart { half } else { -half };
        let ends = places.ends(from + inside, to - inside);
        found.push(ends.iter().flat_map(|&x| sides.map(|y| stamp.at(Point { x, y }))).collect());
    }
    Ok(found)
}

/// Where along the feed marks lie. Any two are the same, or far enough apart.
struct Places {
    taken: Vec<f64>,
    apart: f64,
    /// A mark nearer to the leading end of the film does not fit on it.
    least: f64,
    /// The same at the other end.
    most: f64,
}

/// Places are sums and differences of lengths in mm: rounding must not make two places of one.
const HAIR: f64 = 1e-6;

impl Places {
    /// The places of the marks of a section: near `start` and `end`, and never both the same.
    fn ends(&mut self, start: f64, end: f64) -> [f64; 2] {
        let start = start.min(self.most).max(self.least);
        let first = self.near(start, |_| true);
        let after = first + self.apart;
        let second = self.near(end.min(self.most).max(after), |x| x >= after - HAIR);
        let ends = if second <= self.most + HAIR { [first, second] } else { self.last(start) };
        for x in ends {
            if !self.taken.contains(&x) {
                self.taken.push(x);
            }
        }
        ends
    }

    /// The last two places that there are: where the film ends too soon after the start for a mark at the end.
    fn last(&self, start: f64) -> [f64; 2] {
        let second = self.near(self.most, |_| true);
        let before = second - self.apart;
        [self.near(start.min(before), |x| x <= before + HAIR), second]
    }

    /// The nearest place that is taken and too near to `x` for another mark; `x` itself where there is none.
    fn near(&self, x: f64, suits: impl Fn(f64) -> bool) -> f64 {
        let off = |place: &f64| (place - x).abs();
        let shared = self.taken.iter().copied().filter(|p| off(p) < self.apart - HAIR && suits(*p));
        shared.min_by(|p, q| off(p).total_cmp(&off(q))).unwrap_or(x)
    }
}

fn check(options: &MarkOptions) -> Result<(), Error> {
    let mut problems = Problems::default();
    let MarkOptions { arm, line, clearance, drawing } = options;
    if drawing.is_none() {
        if !(*arm > 0.0 && arm.is_finite()) {
            problems.push(
                "registration marks",
                format!("an arm of {} mm is no length", Shown(*arm)),
                "give one above 0",
            );
        }
        if !(*line > 0.0 && line < arm) {
            let what = format!("a line {} mm wide does not suit an arm of {} mm", Shown(*line), Shown(*arm));
            problems.push("registration marks", what, "give a width above 0 and below the arm");
        }
    }
    if !(*clearance >= 0.0 && clearance.is_finite()) {
        problems.push(
            "registration marks",
            format!("a clearance of {} mm is no length", Shown(*clearance)),
            "give one from 0",
        );
    }
    problems.or_ok(())
}

/// The film must hold two marks one after the other, with free film before, between and after them.
fn check_length(film: &Film, stamp: &Stamp, clearance: f64) -> Result<(), Error> {
    let long = 2.0 * stamp.half.x;
    let needed = 2.0 * long + 3.0 * clearance;
    let missing = needed - film.length;
    if missing <= HAIR {
        return Ok(());
    }
    Err(Error::unmet(
        "registration marks",
        format!(
            "two marks {} mm long with {} mm free before, between and after them need {} mm of film, and the layout is {:.1} mm long",
            Shown(long),
            Shown(clearance),
            Shown(needed),
            film.length
        ),
        format!(
            "nest with a tail margin longer by {} mm, or make the mark or its clearance smaller",
            Shown((10.0 * (missing - HAIR)).ceil() / 10.0)
        ),
    ))
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
            "a mark {} mm high with {} mm free on either side needs an edge margin of {} mm, and one is {} mm",
            Shown(high),
            Shown(clearance),
            Shown(needed),
            Shown(narrow)
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

    fn film(margins: [f64; 2], length: f64) -> Film {
        let mut job = job_of(300.0, vec![rectangle("a", 10.0, 10.0)]);
        job.roll.edge_margin = margins;
        let made_by = MadeBy { version: String::new(), seed: 0, walks: 0, rounds: 0, stopped: String::new() };
        let mut film = Film::of(&assemble(&job, vec![], made_by), Whole::default());
        film.length = length;
        film
    }

    /// The places along the feed of each section's marks.
    fn ends(length: f64, sections: &[(f64, f64)]) -> Vec<[f64; 2]> {
        let found = marks(&film([8.0; 2], length), sections, &MarkOptions::default()).unwrap();
        found.iter().map(|marks| [marks[0].at.x, marks[2].at.x]).collect()
    }

    #[test]
    fn a_short_section_has_its_two_ends_at_different_places() {
        // The end wants to lie 6.9 mm behind the mark that the start shares, which is too near for a mark of its own.
        assert_eq!(ends(515.9, &[(20.0, 500.0), (496.0, 500.9)]), [[23.0, 497.0], [497.0, 504.0]]);
        // Of two marks that are both too near the nearer one is shared.
        assert_eq!(
            ends(2000.0, &[(20.0, 500.0), (22.0, 510.0), (500.5, 1200.0)]),
            [[23.0, 497.0], [23.0, 507.0], [507.0, 1197.0]]
        );
    }

    #[test]
    fn no_mark_lies_beyond_the_film_of_the_layout() {
        // There is no room behind the shared mark: it becomes the end, and the start gets a new one before it.
        assert_eq!(ends(502.0, &[(20.0, 500.0), (496.0, 502.0)]), [[23.0, 497.0], [490.0, 497.0]]);
        assert_eq!(ends(15.0, &[(0.0, 15.0)]), [[4.0, 11.0]]);
        let told = marks(&film([8.0; 2], 10.0), &[(0.0, 10.0)], &MarkOptions::default()).unwrap_err();
        assert_eq!(told.exit_code(), 1);
        let told = told.to_string();
        assert!(told.contains("15 mm of film") && told.contains("tail margin longer by 5 mm"), "{told}");
    }

    #[test]
    fn wherever_sections_end_their_marks_fit_on_the_film_and_keep_apart() {
        for seed in 0..3000_u32 {
            // Odd tenths, so that sums round.
            let tenths = |salt: u32, most: u32| {
                f64::from(seed.wrapping_add(1).wrapping_mul(2_654_435_761).wrapping_add(salt * 40_503) >> 7)
                    .rem_euclid(f64::from(most * 10))
                    / 10.0
            };
            let (mut from, mut to) = (tenths(1, 12), 0.0);
            let mut sections = Vec::new();
            for i in 0..6 {
                to = f64::max(to, from) + 0.1 + tenths(10 + i, 25);
                sections.push((from, to));
                from += 0.1 + tenths(20 + i, 20);
            }
            let length = (to + tenths(30, 6)).max(15.0);
            let found = ends(length, &sections);
            let all: Vec<f64> = found.iter().flatten().copied().collect();
            for [first, second] in &found {
                assert!(second - first >= 7.0 - 2.0 * HAIR, "{found:?} for {sections:?} on {length}");
            }
            for x in &all {
                assert!((4.0 - HAIR..=length - 4.0 + HAIR).contains(x), "{x} on {length} for {sections:?}");
                assert!(
                    all.iter().all(|y| (x - y).abs() == 0.0 || (x - y).abs() >= 7.0 - 2.0 * HAIR),
                    "{all:?}"
                );
            }
        }
    }

    #[test]
    fn marks_lie_inside_the_margins_at_the_ends_of_their_section_and_apart() {
        let options = MarkOptions::default();
        let found =
            marks(&film([8.0, 10.0], 950.0), &[(20.0, 500.0), (480.0, 900.0), (901.0, 905.0)], &options)
                .unwrap();
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
        let told = marks(&film([8.0, 7.9], 100.0), &[(0.0, 100.0)], &MarkOptions::default()).unwrap_err();
        assert_eq!(told.exit_code(), 1);
        assert!(told.to_string().contains("edge margin of 8 mm, and one is 7.9 mm"), "{told}");
        let senseless = MarkOptions { line: 5.0, ..MarkOptions::default() };
        assert_eq!(marks(&film([8.0; 2], 100.0), &[], &senseless).unwrap_err().exit_code(), 2);
    }

    #[test]
    fn a_drawing_of_ones_own_takes_the_place_of_the_cross() {
        let line = |points: &[(f64, f64)]| points.iter().map(|&(x, y)| Point { x, y }).collect::<Vec<_>>();
        let drawing = Some(vec![(line(&[(100.0, 50.0), (104.0, 50.0), (104.0, 52.0)]), true)]);
        let options = MarkOptions { drawing, ..MarkOptions::default() };
        let found = marks(&film([4.0; 2], 200.0), &[(0.0, 200.0)], &options).unwrap();
        assert_eq!(
            found[0][0].bounds,
            Bounds { min: Point { x: 1.0, y: 1.0 }, max: Point { x: 5.0, y: 3.0 } }
        );
        let zigzag = (0..2001).map(|i| (f64::from(i % 7), f64::from(i))).collect::<Vec<_>>();
        let options = MarkOptions { drawing: Some(vec![(line(&zigzag), false)]), ..MarkOptions::default() };
        let told = marks(&film([4.0; 2], 200.0), &[], &options).unwrap_err();
        assert!(told.to_string().contains("2001 points; 2000 are the most"), "{told}");
    }
}

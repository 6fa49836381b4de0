//! Lengths below which no layout exists.
//!
//! A straight line along the strip meets the pieces that lie across it in chords that do not
//! overlap, so the chords on any one line add up to the length at most. So do their averages over
//! any choice of lines: for weights w on lines y of the strip, with sum 1,
//!
//! ```text
//! length >= sum over pieces of min over places of (sum over lines of w x chord)
//! ```
//!
//! For rectangles these are the bounds by dual feasible functions (S. Fekete, J. Schepers, "New
//! classes of fast lower bounds for bin packing problems", Mathematical Programming 91, 2001; from
//! memory): k lines at equal distances give their u(k), a band without the edges their U(e). Here the
//! chords are those of the true outlines, so nothing is assumed of shapes. The
//! whole width as a band is the bound by area.
//!
//! A gap g between pieces makes every chord but the last on a line longer by g. A line that passes between the parts
//! of a panel of several meets nothing of it there: for such panels no gap is counted.
//!
//! Pieces may overlap by the tolerance, so a piece that a line meets by less than a few
//! tolerances counts as not met.

use super::chords::Chords;
use super::instance::Instance;
use super::kind::{Headings, Shape, Stance};
use super::minkowski;
use crate::shape::{Bounds, Point, Region, Ring, Side, length, side};
use rayon::prelude::*;
use std::f64::consts::PI;

/// Lines up to which the averages of evenly spaced lines are tried; more come near to the area.
const MOST_LINES: usize = 6;
/// Bands tried at most.
const MOST_BANDS: usize = 16;
/// By how many times the depth that the search lets pass a line must be met to count.
const SURE: f64 = 12.0;
/// Steps towards the length at which the area of the flaws is counted in; each is a bound.
const FLAW_STEPS: usize = 30;

/// Least extents of a kind over all its permitted headings, on the grid of the search or not.
#[derive(Debug, Clone, Copy)]
pub struct Least {
    /// Along the strip.
    pub along: f64,
    /// Across it.
    pub across: f64,
}

/// A length of the strip that every layout reaches, but for the tolerance. `least` is told for each kind
/// of panel.
pub fn bound(inst: &Instance, least: &[Least]) -> f64 {
    let mut copies = vec![0.0; inst.shapes.len()];
    inst.entries.iter().for_each(|e| copies[e.kind as usize] += 1.0);
    let wanted = (0..inst.shapes.len()).filter(|k| copies[*k] > 0.0);
    let known: Vec<Known<'_>> = wanted.map(|k| Known::new(inst, k, copies[k], least[k])).collect();
    let area: f64 = known.iter().map(|k| k.copies * k.area).sum();
    let lines: Vec<Lines> =
        (1..=MOST_LINES).map(Lines::Even).chain(bands(inst, &known).into_iter().map(Lines::Band)).collect();
    // A list of sums, each in the order of the kinds: the threads decide nothing.
    let by_lines = lines
        .par_iter()
        .map(|l| known.iter().map(|k| k.copies * k.least(inst, *l)).sum::<f64>() - inst.gap)
        .collect::<Vec<f64>>();
    let longest = known.iter().map(|k| k.shortest).fold(0.0, f64::max);
    let bounds = [longest, beside_flaws(inst, area), grown(inst, &known)];
    bounds.into_iter().chain(by_lines).fold(0.0, f64::max)
}

/// A choice of lines along the strip, evenly weighted.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Lines {
    /// So many lines that part the strip evenly.
    Even(usize),
    /// All lines but those nearer than this to an edge.
    Band(f64),
}

/// What the bounds need of a kind.
struct Known<'a> {
    shape: &'a Shape,
    copies: f64,
    /// Area that no other piece can use.
    area: f64,
    least: Least,
    /// What a line that meets it is surely longer by.
    gap: f64,
    /// For every stance; empty where the headings are not finitely many.
    chords: Vec<Chords>,
    shortest: f64,
}

impl<'a> Known<'a> {
    fn new(inst: &'a Instance, kind: usize, copies: f64, least: Least) -> Self {
        let shape = &inst.shapes[kind];
        let stances = || inst.kinds[kind].stances.clone().map(|s| &inst.stances[s as usize]);
        let finite = matches!(&shape.headings, Headings::Near { slack, .. } if *slack == 0.0);
        let contours = taken(shape);
        let chords =
            if finite { stances().map(|s| Chords::of(&put(&contours, s))).collect() } else { Vec::new() };
        let shortest = stances().map(Stance::length).fold(f64::INFINITY, f64::min);
        Self {
            area: contours.iter().map(|c| 0.5 * minkowski::doubled_area(c)).sum(),
            shape,
            copies,
            least,
            gap: if shape.parts.len() == 1 { inst.gap } else { 0.0 },
            chords,
            shortest: if finite { shortest } else { least.along },
        }
    }

    /// The least that a copy adds to the bound by some lines, wherever it lies.
    fn least(&self, inst: &Instance, lines: Lines) -> f64 {
        match (lines, self.chords.is_empty()) {
            (Lines::Even(_), true) => 0.0,
            (Lines::Band(edge), true) => self.at_any_heading(inst, edge),
            (Lines::Even(n), false) => self.over_stances(|c| on_even_lines(inst, c, self.gap, n)),
            (Lines::Band(edge), false) => self.over_stances(|c| in_band(inst, c, self.gap, edge)),
        }
    }

    fn over_stances(&self, value: impl Fn(&Chords) -> f64) -> f64 {
        self.chords.iter().map(value).fold(f64::INFINITY, f64::min)
    }

    /// Beside a band no more area lies than its greatest extent times what is left out.
    fn at_any_heading(&self, inst: &Instance, edge: f64) -> f64 {
        let points: Vec<Point> = outlines(self.shape).flat_map(Ring::points).copied().collect();
        let diagonal = Bounds::of(&points).map_or(0.0, |b| length(b.max - b.min));
        let inside = (self.area - 2.0 * edge * diagonal).max(0.0);
        let gap = self.gap * (self.least.across - 2.0 * edge).max(0.0);
        (inside + gap) / (inst.width - 2.0 * edge)
    }

    /// A lower bound of the area within half a gap of a copy: Steiner's formula for a convex outline,
    /// otherwise the inequality of Brunn and Minkowski.
    fn grown(&self, gap: f64) -> f64 {
        let r = 0.5 * gap;
        match self.shape.parts.as_slice() {
            [only] if only.holes().is_empty() && is_convex(only) => {
                self.area + only.outline().perimeter() * r + PI * r * r
            }
            _ => libm::pow(self.area.sqrt() + PI.sqrt() * r, 2.0),
        }
    }
}

fn outlines(shape: &Shape) -> impl Iterator<Item = &Ring> {
    shape.parts.iter().map(Region::outline)
}

/// Contours of what no other piece can use: outer ones counter-clockwise, holes clockwise. A hole that
/// others must keep clear of belongs to its panel; where there are several parts it may hold one of them.
fn taken(shape: &Shape) -> Vec<Vec<Point>> {
    let shut = shape.parts.len() == 1 && (shape.hull || !shape.fill_holes);
    let mut contours: Vec<Vec<Point>> = outlines(shape).map(Ring::counter_clockwise).collect();
    if !shut {
        let holes = shape.parts.iter().flat_map(Region::holes).map(Ring::counter_clockwise);
        contours.extend(holes.map(|c| c.into_iter().rev().collect()));
    }
    contours
}

fn put(contours: &[Vec<Point>], s: &Stance) -> Vec<Vec<Point>> {
    let turn = |c: &Vec<Point>| {
        let mut c: Vec<Point> = c.iter().map(|p| s.out(*p)).collect();
        if s.mirrored {
            c.reverse();
        }
        c
    };
    contours.iter().map(turn).collect()
}

fn is_convex(region: &Region) -> bool {
    let c = region.outline().counter_clockwise();
    let n = c.len();
    (0..n).all(|i| side(c[i], c[(i + 1) % n], c[(i + 2) % n]) != Side::Right)
}

/// Bands worth trying: those just missed by low pieces, and those that high pieces cover.
fn bands(inst: &Instance, known: &[Known<'_>]) -> Vec<f64> {
    let heights = known.iter().flat_map(|k| k.chords.iter().map(Chords::height));
    let mut edges: Vec<f64> =
        heights.map(|h| h.min(inst.width - h)).filter(|e| *e > 0.0 && *e < 0.45 * inst.width).collect();
    edges.sort_by(f64::total_cmp);
    edges.dedup();
    let step = edges.len().div_ceil(MOST_BANDS).max(1);
    std::iter::once(0.0).chain(edges.into_iter().step_by(step)).collect()
}

/// Where the lowest point of a piece of some height may lie.
fn places(inst: &Instance, height: f64, slack: f64) -> (f64, f64) {
    (-slack, (inst.width - height).max(0.0) + slack)
}

/// The least mean chord on `n` even lines. Between places at which a line passes a corner it is linear.
fn on_even_lines(inst: &Instance, chords: &Chords, gap: f64, n: usize) -> f64 {
    let slack = SURE * inst.slip;
    let (first, last) = places(inst, chords.height(), slack);
    let line = |j: usize| inst.width * j as f64 / (n + 1) as f64;
    let met = |h: f64| {
        let (low, high) = (h - slack, h + slack);
        if low > 0.0 && high < chords.height() { chords.at(low).min(chords.at(high)) + gap } else { 0.0 }
    };
    let mean = |y: f64| (1..=n).map(|j| met(line(j) - y)).sum::<f64>() / n as f64;
    let corners = chords.corners().iter().flat_map(|v| (1..=n).map(move |j| line(j) - v));
    let near = corners.flat_map(|y| [y - slack, y, y + slack]).filter(|y| *y >= first && *y <= last);
    near.chain([first, last]).map(mean).fold(f64::INFINITY, f64::min)
}

/// The least mean chord over a band. Between places at which an edge of it passes a corner it is a
/// polynomial of degree 2.
fn in_band(inst: &Instance, chords: &Chords, gap: f64, edge: f64) -> f64 {
    let (low, high) = (edge, inst.width - edge);
    let (first, last) = places(inst, chords.height(), 0.0);
    let mean = |y: f64| {
        let covered = (high.min(y + chords.height()) - low.max(y)).max(0.0);
        (chords.area_below(high - y) - chords.area_below(low - y) + gap * covered) / (high - low)
    };
    let corners = chords.corners().iter().flat_map(|v| [low - v, high - v]);
    let mut at: Vec<f64> = corners.filter(|y| *y > first && *y < last).chain([first, last]).collect();
    at.sort_by(f64::total_cmp);
    let ends = at.iter().map(|y| mean(*y)).fold(f64::INFINITY, f64::min);
    at.windows(2).map(|w| dip(mean(w[0]), mean(0.5 * (w[0] + w[1])), mean(w[1]))).fold(ends, f64::min)
}

/// The least value of the parabola through three values at equal distances, between them.
fn dip(a: f64, mid: f64, b: f64) -> f64 {
    let (slope, bend) = (0.5 * (b - a), 0.5 * (a + b) - mid);
    let least = if bend > 0.0 && slope.abs() < 2.0 * bend { mid - slope * slope / (4.0 * bend) } else { mid };
    least.min(a).min(b)
}

/// By area: grown by half the gap the pieces do not overlap, on a strip grown alike.
fn grown(inst: &Instance, known: &[Known<'_>]) -> f64 {
    let sum: f64 = known.iter().map(|k| k.copies * k.grown(inst.gap)).sum();
    sum / (inst.width + inst.gap) - inst.gap
}

/// By area, with the flaws that lie before the end: length x width >= area + flaws.
fn beside_flaws(inst: &Instance, area: f64) -> f64 {
    let mut least = area / inst.width;
    if inst.obstacles.is_empty() {
        return least;
    }
    let flaws = flaws_along(inst);
    let Some(first) = Bounds::of(flaws.iter().flatten()).map(|b| b.min.y) else { return least };
    let chords = Chords::of(&flaws);
    for _ in 0..FLAW_STEPS {
        least = (area + chords.area_below(least - first)) / inst.width;
    }
    least
}

/// The flaws as far as they lie on the strip, turned so that it runs upwards.
fn flaws_along(inst: &Instance) -> Vec<Vec<Point>> {
    let flaws = inst.obstacles.iter().flat_map(|o| {
        let kind = &inst.kinds[inst.stances[o.stance as usize].kind as usize];
        kind.solid.iter().map(move |c| vec![c.iter().map(|p| *p + o.at).collect::<Vec<_>>()])
    });
    let all = minkowski::union(flaws.collect());
    let end = all.iter().flatten().map(|p| p.x).fold(0.0, f64::max);
    let corner = |x, y| Point { x, y };
    let strip = vec![corner(0.0, 0.0), corner(end, 0.0), corner(end, inst.width), corner(0.0, inst.width)];
    let outside = minkowski::difference(&all, &[strip]);
    let inside = minkowski::difference(&all, &outside);
    // (x, y) to (-y, x) keeps the sense of contours.
    inside.iter().map(|c| c.iter().map(|p| Point { x: -p.y, y: p.x }).collect()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::fixtures::{frame, job_of, panel, rectangle, ring};
    use crate::job::{Grain, GrainRule, Job, Panel};
    use crate::nest::dice::Dice;
    use crate::nest::request::request;

    fn one_way(p: Panel, copies: u32) -> Panel {
        Panel { copies, grain: Grain { along: 0.0, rule: GrainRule::OneWay, slack: 0.0 }, ..p }
    }

    fn bound_of(job: &Job) -> f64 {
        let r = request(job).unwrap();
        bound(&r.instance, &r.least)
    }

    fn close(a: f64, b: f64) -> bool {
        (a - b).abs() <= 1e-6 * b
    }

    /// The report of a finished layout asks for the bound again, beside whatever the search has left behind.
    #[test]
    fn it_needs_no_table_of_pairs() {
        let r = request(&job_of(593.0, vec![one_way(rectangle("wrap", 700.0, 300.0), 9)])).unwrap();
        assert!(close(bound(&r.instance, &r.least), 6300.0));
        assert!(!r.instance.has_table());
        let stance = &r.instance.stances[0];
        r.instance.no_fit(stance, stance);
        assert!(r.instance.has_table());
    }

    /// Wraps that may not turn, two of which do not lie beside each other, lie one after the other.
    #[test]
    fn wraps_higher_than_half_the_width_lie_in_a_row() {
        let wraps =
            |width, gap, high| Job { gap, ..job_of(width, vec![one_way(rectangle("wrap", 700.0, high), 9)]) };
        assert!(close(bound_of(&wraps(593.0, 0.0, 300.0)), 6300.0));
        assert!(close(bound_of(&wraps(593.0, 4.0, 300.0)), 6300.0 + 32.0));
        // On 603 two lie side by side, and never three: half of them is in a row, whatever the area says.
        assert!(close(bound_of(&wraps(603.0, 0.0, 300.0)), 3150.0));
        // Of 250 two lie side by side and not three, of 301.5 two exactly.
        assert!(close(bound_of(&wraps(603.0, 0.0, 250.0)), 3150.0));
        assert!(close(bound_of(&wraps(603.0, 0.0, 301.5)), 3150.0));
    }

    /// A low strip beside each sheet would fit, a strip higher than what is left does not.
    #[test]
    fn what_does_not_fit_beside_the_highest_counts_in_full() {
        let day = |low: f64| {
            let panels =
                vec![one_way(rectangle("sheet", 100.0, 90.0), 3), one_way(rectangle("strip", 50.0, low), 2)];
            bound_of(&job_of(100.0, panels))
        };
        assert!(close(day(55.0), 400.0), "{}", day(55.0));
        // Two of 40 lie beside each other, neither beside a sheet.
        assert!(close(day(40.0), 350.0), "{}", day(40.0));
        assert!(day(10.0) <= 300.0 + 1e-6);
    }

    /// Triangles in a row reach into each other: two make a square.
    #[test]
    fn chords_are_those_of_the_true_shape() {
        let triangle = panel("t", vec![Region::solid(ring(&[(0., 0.), (100., 0.), (0., 100.)]))]);
        let two_way = Grain { along: 0.0, rule: GrainRule::TwoWay, slack: 0.0 };
        let job = job_of(100.0, vec![Panel { copies: 6, grain: two_way, ..triangle }]);
        assert!(close(bound_of(&job), 300.0), "{}", bound_of(&job));
    }

    #[test]
    fn film_across_a_flaw_is_not_there() {
        let mut job = job_of(100.0, vec![one_way(rectangle("a", 50.0, 100.0), 1)]);
        job.roll.flaws = vec![ring(&[(-5., -9.), (10., -9.), (10., 120.), (-5., 120.)])];
        assert!(close(bound_of(&job), 60.0), "{}", bound_of(&job));
        // A flaw behind the end counts for nothing.
        job.roll.flaws = vec![ring(&[(60., 0.), (70., 0.), (70., 100.), (60., 100.)])];
        assert!(close(bound_of(&job), 50.0), "{}", bound_of(&job));
    }

    #[test]
    fn a_hole_counts_as_film_only_where_others_may_use_it() {
        let framed = |fill_holes| {
            let region =
                Region::new(frame(100., 100.), vec![ring(&[(10., 10.), (90., 10.), (90., 90.), (10., 90.)])]);
            let p = Panel { fill_holes, ..one_way(panel("frame", vec![region.unwrap()]), 1) };
            bound_of(&job_of(100.0, vec![p, one_way(rectangle("plate", 80.0, 70.0), 1)]))
        };
        assert!(framed(true) <= 100.0 + 1e-6);
        assert!(close(framed(false), 180.0), "{}", framed(false));
    }

    /// By hand: ten rails of two parts, 5 long, lie 5 apart in 95 of length, and the ten sheets between their parts too.
    #[test]
    fn what_lies_between_the_parts_of_a_panel_lies_beside_it() {
        let bar = |y: f64| Region::solid(ring(&[(0., y), (5., y), (5., y + 1.), (0., y + 1.)]));
        let rails = one_way(panel("rails", vec![bar(0.0), bar(99.0)]), 10);
        let job = Job { gap: 5.0, ..job_of(100.0, vec![rails, one_way(rectangle("sheet", 5.0, 88.0), 10)]) };
        let found = bound_of(&job);
        assert!(found <= 95.0 + 1e-6, "{found}");
    }

    /// The parts of a rectangle, cut by straight lines at random, make up the rectangle again.
    #[test]
    fn no_bound_exceeds_a_cut_rectangle() {
        for seed in 0..60 {
            let mut dice = Dice::new(seed, 0);
            let (length, width) = (dice.within(50.0, 400.0), 100.0);
            let corner = |x, y| Point { x, y };
            let whole = vec![corner(0., 0.), corner(length, 0.), corner(length, width), corner(0., width)];
            let mut pieces = vec![whole];
            for _ in 0..2 + dice.below(14) {
                let largest = (0..pieces.len())
                    .max_by(|&i, &j| {
                        minkowski::doubled_area(&pieces[i]).total_cmp(&minkowski::doubled_area(&pieces[j]))
                    })
                    .unwrap();
                let piece = pieces.swap_remove(largest);
                let mid = Bounds::of(&piece).unwrap().centre();
                let straight = dice.below(2) == 0;
                let turn = if straight { 90.0 * dice.below(2) as f64 } else { dice.within(0.0, 180.0) };
                let d = crate::shape::Turn::degrees(turn).apply(corner(1.0, 0.0));
                pieces.extend([half(&piece, mid, d), half(&piece, mid, d * -1.0)]);
            }
            let panels = pieces.into_iter().enumerate().map(|(i, c)| {
                one_way(panel(&format!("p{i}"), vec![Region::solid(Ring::new(c).unwrap())]), 1)
            });
            let found = bound_of(&job_of(width, panels.collect()));
            assert!(close(found, length), "seed {seed}: {found} of {length}");
        }
    }

    /// What lies to the left of a line through a point of a convex contour.
    fn half(c: &[Point], through: Point, along: Point) -> Vec<Point> {
        let off = |p: Point| along.x * (p.y - through.y) - along.y * (p.x - through.x);
        let mut out = Vec::new();
        for i in 0..c.len() {
            let (a, b) = (c[i], c[(i + 1) % c.len()]);
            if off(a) >= 0.0 {
                out.push(a);
            }
            if off(a) * off(b) < 0.0 {
                out.push(a + (b - a) * (off(a) / (off(a) - off(b))));
            }
        }
        out
    }

    /// Sides of the squares in the simple perfect squared square of order 21 (A. Duijvestijn,
    /// Journal of Combinatorial Theory B 25, 1978): 112 in all.
    #[test]
    fn the_squared_square_is_112_long() {
        let sides = [2, 4, 6, 7, 8, 9, 11, 15, 16, 17, 18, 19, 24, 25, 27, 29, 33, 35, 37, 42, 50];
        let squares =
            sides.iter().map(|s| one_way(rectangle(&s.to_string(), f64::from(*s), f64::from(*s)), 1));
        let found = bound_of(&job_of(112.0, squares.collect()));
        assert!(close(found, 112.0), "{found}");
    }
}

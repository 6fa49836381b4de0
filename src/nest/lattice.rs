//! Patterns that repeat along the strip, for a kind with many copies.
//!
//! A pattern is a stack of rows along the strip. All rows repeat with one period; they take two stances by turns,
//! or one only, and are shifted by two shifts by turns. That is every lattice, and with half-turned stances
//! every double lattice (G. Kuperberg, W. Kuperberg, "Double-lattice packings of convex bodies in the
//! plane", Discrete Comput. Geom. 5, 1990), that has a vector along the strip, so that nothing is lost at the edges.
//! Each row lies as low as the no-fit polygons let it, so a pattern is told by its period and its shifts; for any
//! number of rows the least period is sought at which they fit the width.
//!
//! Patterns are judged by the length that the copies wanted take, cut from the endless pattern at the best
//! place: on short strips the ends cost more than the lattice gains.
//!
//! Departures: clusters of more than two pieces, or of pieces of different kinds, are not sought. For a convex outline
//! the densest double lattice can be reckoned (D. Mount 1991; from memory); here outlines are any, the strip has edges,
//! and a coarse look and a descent over the shifts, both our own, find good patterns and prove none.

use super::instance::{Instance, Spot};
use super::kind::Stance;
use super::slice::{Slices, Taken, least_free};
use crate::shape::Point;
use rayon::prelude::*;

/// Rows laid in the first, coarse look at a family: some 50 ms of a core.
const ROWS: usize = 60_000;
/// Rows of a pattern at most; what is so small lies as well by itself.
const MOST_ROWS: usize = 1000;
/// Rows laid at most, or little more, while a pattern is refined.
const REFINING_ROWS: usize = 150_000;
/// Periods in the coarse look, and how much longer than the least the longest is: room for a piece between two.
const PERIODS: usize = 12;
const LONGEST: f64 = 2.2;
/// Shifts of each kind in the coarse look.
const SHIFTS: (usize, usize) = (4, 12);
/// Families tried for a kind: pairs of stances.
const FAMILIES: usize = 6;
/// Patterns of each family that are refined.
const REFINED: usize = 4;
/// The finest step of the shifts, as a part of the period.
const FINEST: f64 = 2e-5;
/// Rows tried as the one where the endless pattern is cut.
const CUTS: usize = 24;

/// A row: one stance, repeated with the pattern's period.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Row {
    /// Which of the family's stances.
    side: usize,
    x: f64,
    y: f64,
}

/// A pattern, cut where it begins.
#[derive(Debug, Clone, PartialEq)]
pub struct Pattern {
    /// What repeats: the first piece of every row, by how far along it reaches.
    spots: Vec<Spot>,
    period: f64,
    /// The length that the copies wanted take.
    pub length: f64,
}

impl Pattern {
    /// Number of rows.
    pub fn rows(&self) -> usize {
        self.spots.len()
    }

    /// All places, endlessly, by how far along they reach.
    pub fn places(&self) -> impl Iterator<Item = Spot> + '_ {
        (0u32..).map(|k| f64::from(k) * self.period).flat_map(|x| {
            self.spots.iter().map(move |s| Spot { at: Point { x: s.at.x + x, y: s.at.y }, ..*s })
        })
    }
}

/// The best patterns for so many copies in any of these stances, shortest first.
pub fn patterns(inst: &Instance, stances: &[u32], copies: usize) -> Vec<Pattern> {
    let families: Vec<Family<'_>> =
        pairs(inst, stances).into_iter().filter_map(|p| Family::new(inst, p, copies)).collect();
    let drafts: Vec<(&Family<'_>, Draft)> =
        families.iter().flat_map(|f| f.look().into_iter().map(move |d| (f, d))).collect();
    let mut all: Vec<Pattern> =
        drafts.into_par_iter().filter_map(|(f, d)| f.refine(d)).map(|(f, d)| f.pattern(&d)).collect();
    all.sort_by(|p, q| p.length.total_cmp(&q.length));
    all
}

/// Pairs of stances with boxes of one size: each with itself and with each of the others, its half turn among them.
fn pairs(inst: &Instance, stances: &[u32]) -> Vec<[u32; 2]> {
    let of = |s: u32| &inst.stances[s as usize];
    let near = |a: f64, b: f64| (a - b).abs() <= inst.slip;
    let alike = |a: &Stance, b: &Stance| near(a.length(), b.length()) && near(a.across(), b.across());
    let half_turned = |a: &Stance, b: &Stance| {
        a.mirrored == b.mirrored && (a.heading + inst.per_turn / 2) % inst.per_turn == b.heading
    };
    let mut pairs = Vec::new();
    for (k, &s) in stances.iter().enumerate() {
        // A pattern of half-turned pieces is a pattern, half-turned.
        if !stances[..k].iter().any(|t| half_turned(of(*t), of(s))) {
            pairs.push([s, s]);
        }
        pairs.extend(stances[k + 1..].iter().filter(|t| alike(of(s), of(**t))).map(|t| [s, *t]));
    }
    pairs.truncate(FAMILIES);
    pairs
}

/// A pattern as numbers: shifts are parts of the period.
#[derive(Debug, Clone, Copy)]
struct Draft {
    rows: usize,
    period: f64,
    shifts: [f64; 2],
    length: f64,
}

/// All patterns of two stances, which may be the same.
struct Family<'a> {
    inst: &'a Instance,
    stances: [u32; 2],
    copies: usize,
    /// By fixed, then moving stance.
    slices: [[Slices; 2]; 2],
    least_period: f64,
    top: f64,
}

impl<'a> Family<'a> {
    /// None where not even a row can be had.
    fn new(inst: &'a Instance, stances: [u32; 2], copies: usize) -> Option<Self> {
        let slices = stances.map(|fixed| stances.map(|moving| Slices::new(inst, fixed, moving)));
        let top = slices.iter().flatten().map(Slices::top).fold(0.0, f64::max);
        let mut family = Self { inst, stances, copies, slices, least_period: 0.0, top };
        family.least_period = family.least_period()?;
        (family.least_period > 0.0 && top > 0.0).then_some(family)
    }

    fn stance(&self, side: usize) -> &'a Stance {
        &self.inst.stances[self.stances[side] as usize]
    }

    fn slack(&self) -> f64 {
        0.5 * self.inst.slip
    }

    /// The least period at which pieces of a row keep clear of each other, found upwards so that they may hook
    /// into each other.
    fn least_period(&self) -> Option<f64> {
        const STEPS: usize = 64;
        let longest = self.slices[0][0].right().max(self.slices[1][1].right());
        let mut taken = Vec::new();
        let mut clear_at = |x: f64| {
            taken.clear();
            self.slices[0][0].taken(x, 0.0, &mut taken);
            self.slices[1][1].taken(x, 0.0, &mut taken);
            taken.iter().all(|(lo, hi)| *lo >= -self.slack() || *hi <= self.slack())
        };
        let mut clear =
            |p: f64| (1..).map(|k| p * f64::from(k)).take_while(|x| *x < longest + p).all(&mut clear_at);
        let at = |k: usize| longest * k as f64 / STEPS as f64;
        let first = (STEPS / 16..=STEPS).find(|k| clear(at(*k)))?;
        Some(least(at(first - 1), at(first), 40, clear))
    }

    /// Lays rows until `most` are there or the next would lie above `limit`.
    fn stack(&self, period: f64, shifts: [f64; 2], most: usize, limit: f64, rows: &mut Vec<Row>) {
        rows.clear();
        let (mut x, mut taken): (f64, Vec<Taken>) = (0.0, Vec::new());
        while rows.len() < most {
            let side = rows.len() % 2;
            let stance = self.stance(side);
            let floor = rows.last().map_or(f64::NEG_INFINITY, |r| r.y).max(-stance.lo.y);
            taken.clear();
            for r in rows.iter().rev().take_while(|r| r.y + self.top > floor) {
                self.slices[r.side][side].taken_by_row(x - r.x, period, r.y, &mut taken);
            }
            let y = least_free(&mut taken, floor, self.slack());
            if y + stance.hi.y > limit {
                break;
            }
            rows.push(Row { side, x, y });
            x += shifts[side] * period;
        }
    }

    fn width(&self) -> f64 {
        self.inst.width + self.slack()
    }

    /// The coarse look: the best drafts, each with a number of rows of its own.
    fn look(&self) -> Vec<Draft> {
        let mut rows = Vec::new();
        self.stack(LONGEST * self.least_period, [0.5; 2], MOST_ROWS, self.width(), &mut rows);
        let per_shift = (ROWS / (PERIODS * rows.len().max(1))) as f64;
        let grid = (per_shift.sqrt() as usize).clamp(SHIFTS.0, SHIFTS.1);
        let part = |k: usize| k as f64 / grid as f64;
        let lists: Vec<Vec<Draft>> =
            (0..grid * grid).into_par_iter().map(|k| self.drafts([part(k / grid), part(k % grid)])).collect();
        let mut best: Vec<Draft> = Vec::new();
        for d in lists.into_iter().flatten() {
            match best.iter_mut().find(|b| b.rows == d.rows) {
                Some(b) if d.length < b.length => *b = d,
                Some(_) => {}
                None => best.push(d),
            }
        }
        best.sort_by(|a, b| a.length.total_cmp(&b.length));
        best.truncate(REFINED);
        best
    }

    /// For each number of rows the period at which they fill the width, between those tried by a straight line.
    fn drafts(&self, shifts: [f64; 2]) -> Vec<Draft> {
        let mut drafts = Vec::new();
        let mut rows = Vec::new();
        let mut before: Option<(f64, Vec<f64>)> = None;
        for k in (0..PERIODS).rev() {
            let period = self.least_period * libm::pow(LONGEST, k as f64 / (PERIODS - 1) as f64);
            let (most, limit) = match &before {
                None => (MOST_ROWS, self.width()),
                Some((_, tops)) => (tops.len(), f64::INFINITY),
            };
            self.stack(period, shifts, most, limit, &mut rows);
            let mut tops: Vec<f64> = rows.iter().map(|r| r.y + self.stance(r.side).hi.y).collect();
            let fit = tops.iter().take_while(|t| **t <= self.width()).count();
            if let Some((wide, lower)) = &before {
                for n in fit..tops.len() {
                    let part = (self.width() - lower[n]) / (tops[n] - lower[n]);
                    drafts.extend(self.draft(&rows[..=n], wide + (period - wide) * part, period, shifts));
                }
            }
            tops.truncate(fit);
            if k == 0 || fit == 0 {
                drafts.extend(self.draft(&rows[..fit], period, period, shifts));
                break;
            }
            before = Some((period, tops));
        }
        drafts
    }

    /// A draft of rows that were laid with the period `laid`.
    fn draft(&self, rows: &[Row], period: f64, laid: f64, shifts: [f64; 2]) -> Option<Draft> {
        let (length, _) = self.cut(rows, period, period / laid)?;
        Some(Draft { rows: rows.len(), period, shifts, length })
    }

    /// The shortest piece of the endless pattern with all copies, and the left edge at which it begins. `scale`
    /// brings the rows' x to the period.
    fn cut(&self, rows: &[Row], period: f64, scale: f64) -> Option<(f64, f64)> {
        let last = self.copies.checked_sub(1)?;
        let left = |r: &Row| r.x * scale + self.stance(r.side).lo.x;
        let mut ends = Vec::new();
        let mut best: Option<(f64, f64)> = None;
        for at in rows.iter().step_by(rows.len().div_ceil(CUTS).max(1)).map(left) {
            ends.clear();
            ends.extend(
                rows.iter().map(|r| self.beyond(left(r) - at, period) + self.stance(r.side).length()),
            );
            let (_, end, _) = ends.select_nth_unstable_by(last % rows.len(), f64::total_cmp);
            let length = *end + period * (last / rows.len()) as f64;
            if best.is_none_or(|b| length < b.0) {
                best = Some((length, at));
            }
        }
        best
    }

    /// The least distance from a cut, in steps of the period.
    fn beyond(&self, x: f64, period: f64) -> f64 {
        x - ((x + self.slack()) / period).floor() * period
    }

    /// The least period at which so many rows fit, near that of `known`.
    fn fitted(&self, known: &Draft, shifts: [f64; 2], steps: u32, rows: &mut Vec<Row>) -> Option<Draft> {
        let mut fits = |p: f64| {
            self.stack(p, shifts, known.rows, self.width(), rows);
            rows.len() == known.rows
        };
        let longest = known.period * NEARBY;
        let (low, high) = if fits(known.period) {
            ((known.period / NEARBY).max(self.least_period), known.period)
        } else if fits(longest) {
            (known.period, longest)
        } else {
            return None;
        };
        let period = least(low, high, steps, &mut fits);
        self.stack(period, shifts, known.rows, self.width(), rows);
        self.draft(rows, period, period, shifts)
    }

    /// Descends over the shifts from a draft of the coarse look.
    fn refine(&self, draft: Draft) -> Option<(&Self, Draft)> {
        let mut rows = Vec::new();
        // The draft's period is between two that were tried; the longer one is surely near.
        let mut best = [1.0, 1.05, 1.1].iter().find_map(|by| {
            self.fitted(&Draft { period: draft.period * by, ..draft }, draft.shifts, COARSE, &mut rows)
        })?;
        let mut step = 0.5 / SHIFTS.1 as f64;
        let mut looks = REFINING_ROWS / (best.rows * MOVES.len() * COARSE as usize);
        while step > FINEST && looks > 0 {
            looks -= 1;
            let found = MOVES.iter().filter_map(|m| {
                let shifts = [best.shifts[0] + step * m[0], best.shifts[1] + step * m[1]];
                self.fitted(&best, shifts, COARSE, &mut rows)
            });
            match found.min_by(|a, b| a.length.total_cmp(&b.length)) {
                Some(d) if d.length < best.length => best = d,
                _ => step *= 0.5,
            }
        }
        self.fitted(&best, best.shifts, FINE, &mut rows).map(|d| (self, d))
    }

    fn pattern(&self, draft: &Draft) -> Pattern {
        let mut rows = Vec::new();
        self.stack(draft.period, draft.shifts, draft.rows, self.width(), &mut rows);
        let (length, at) = self.cut(&rows, draft.period, 1.0).unwrap_or((draft.length, 0.0));
        let mut spots: Vec<(f64, Spot)> = rows
            .iter()
            .map(|r| {
                let s = self.stance(r.side);
                let x = self.beyond(r.x + s.lo.x - at, draft.period).max(0.0) - s.lo.x;
                (x + s.hi.x, Spot { stance: self.stances[r.side], at: Point { x, y: r.y } })
            })
            .collect();
        spots.sort_by(|a, b| a.0.total_cmp(&b.0));
        Pattern { spots: spots.into_iter().map(|s| s.1).collect(), period: draft.period, length }
    }
}

/// How far from a known period the next is sought.
const NEARBY: f64 = 1.02;
/// Halvings of that while shifts are tried, and at the end.
const COARSE: u32 = 9;
const FINE: u32 = 24;
/// Ways in which the shifts are moved.
const MOVES: [[f64; 2]; 6] = [[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0], [1.0, -1.0], [-1.0, 1.0]];

/// The least value that holds, between one that may not and one that does.
fn least(low: f64, high: f64, steps: u32, mut holds: impl FnMut(f64) -> bool) -> f64 {
    if holds(low) {
        return low;
    }
    let (mut low, mut high) = (low, high);
    for _ in 0..steps {
        let middle = 0.5 * (low + high);
        if holds(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    high
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::fixtures::{job_of, panel, rectangle, ring};
    use crate::job::{GrainRule, Job, Panel};
    use crate::nest::placed::Placed;
    use crate::nest::request::request;
    use crate::shape::Region;

    fn job(width: f64, gap: f64, rule: GrainRule, mut panel: Panel, copies: u32) -> Job {
        panel.grain.rule = rule;
        panel.copies = copies;
        Job { gap, ..job_of(width, vec![panel]) }
    }

    fn polygon(points: &[(f64, f64)]) -> Panel {
        panel("a", vec![Region::solid(ring(points))])
    }

    /// The best pattern, after its places were seen to be clear of each other.
    #[track_caller]
    fn best(job: &Job) -> Pattern {
        let inst = request(job).unwrap().instance;
        let copies = inst.entries.len();
        let best = patterns(&inst, &inst.kinds[0].coarse, copies).remove(0);
        let mut placed = Placed::new(&inst);
        for spot in best.places().take(copies) {
            let s = &inst.stances[spot.stance as usize];
            let slip = inst.slip;
            assert!(spot.at.y + s.lo.y >= -slip && spot.at.y + s.hi.y <= inst.width + slip, "{spot:?}");
            assert_eq!(placed.taken_by(spot, 0), None);
            placed.add(spot);
        }
        assert!((placed.reach() - best.length).abs() <= 1e-9 * best.length);
        best
    }

    /// Nine wraps 58.73 wide lie side by side on 600 with a gap of 3; eighteen need two columns of 300.
    #[test]
    fn rectangles_lie_in_full_columns() {
        let pattern = best(&job(600.0, 3.0, GrainRule::OneWay, rectangle("a", 300.0, 58.73), 18));
        assert_eq!(pattern.rows(), 9);
        assert!((pattern.length - 603.0).abs() < 1e-3, "{}", pattern.length);
    }

    /// Any triangle and its half turn make a parallelogram, and those fill a strip as high as they are: ten
    /// of 40 and the slant of 10 at the end.
    #[test]
    fn half_turned_triangles_fill_the_strip() {
        let triangle = || polygon(&[(0.0, 0.0), (40.0, 0.0), (10.0, 30.0)]);
        for (width, copies) in [(30.0, 20), (60.0, 40)] {
            let pattern = best(&job(width, 0.0, GrainRule::TwoWay, triangle(), copies));
            assert!((pattern.length - 410.0).abs() < 1e-2, "{width}: {}", pattern.length);
        }
    }

    /// (5 - sqrt 5) / 3: Kuperberg and Kuperberg 1990; proved the best of all by T. Hales and W. Kusner 2016
    /// (from memory).
    #[test]
    fn pentagons_do_not_beat_the_double_lattice() {
        let corner = |k: u32| {
            let t = crate::shape::Turn::degrees(f64::from(k) * 72.0 + 18.0);
            (10.0 * t.cos(), 10.0 * t.sin())
        };
        let points: Vec<(f64, f64)> = (0..5).map(corner).collect();
        let job = job(400.0, 0.0, GrainRule::TwoWay, polygon(&points), 1000);
        let density = job.panels[0].parts[0].area() * 1000.0 / (400.0 * best(&job).length);
        assert!(density <= (5.0 - 5f64.sqrt()) / 3.0 + 1e-5, "{density}");
        // What the ends and the edges cost here was seen to be less.
        assert!(density > 0.84, "{density}");
    }

    #[test]
    fn hooked_outlines_with_a_gap_keep_clear_of_each_other() {
        let hook = polygon(&[(0., 0.), (50., 0.), (50., 30.), (40., 30.), (40., 10.), (0., 10.)]);
        for rule in [GrainRule::OneWay, GrainRule::TwoWay, GrainRule::Quarter] {
            let pattern = best(&job(200.0, 2.0, rule, hook.clone(), 50));
            // No denser than by area.
            assert!(pattern.length * 200.0 > 50.0 * 700.0, "{}", pattern.length);
        }
    }

    #[test]
    fn patterns_do_not_depend_on_the_number_of_threads() {
        let inst = request(&job(
            150.0,
            1.0,
            GrainRule::TwoWay,
            polygon(&[(0., 0.), (60., 4.), (75., 12.), (58., 22.), (0., 25.)]),
            60,
        ))
        .unwrap()
        .instance;
        let with = |n| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(n).build().unwrap();
            pool.install(|| patterns(&inst, &inst.kinds[0].coarse, 60))
        };
        assert_eq!(with(1), with(3));
    }
}

//! Minkowski sums of simple polygons, by convolution of their contours.
//!
//! The convolution of two counter-clockwise contours is the set of sides of the one, each
//! moved by those vertices of the other whose turn sweeps over the side's direction, with a
//! negative sign where that vertex turns right (Guibas, Ramshaw, Stolfi, "A kinetic framework
//! for computational geometry", FOCS 1983). Its winding number about a point p counts the
//! pieces of A cut by p - B; for simple polygons no piece has a hole, so the sum is exactly
//! where the number is not zero. The non-zero fill is left to `i_overlay`.
//!
//! Parallel sides are told apart by rank, never by an epsilon: every direction of both
//! contours gets its place in one angular order, a side of A before a side of B.
//!
//! Departures: convex contours are merged by angle instead (de Berg et al., Computational Geometry, 3rd ed. 2008, ch. 13;
//! from memory). The fill rounds to a grid, which may open cracks where sides should coincide: how they are found and
//! sealed is our own, and so is that outlines of many corners are
//! summed in halves.

use super::halves::halves;
use crate::shape::{Bounds, Point, Side, side};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::simplify::SimplifyShape;
use i_overlay::float::single::SingleFloatOverlay;

/// A closed contour of points, first not repeated.
pub type Contour = Vec<Point>;

/// The boundary of the Minkowski sum of two counter-clockwise simple contours: outer contours
/// counter-clockwise, holes clockwise.
pub fn sum(a: &[Point], b: &[Point]) -> Vec<Contour> {
    if is_convex(a) && is_convex(b) {
        return vec![convex_sum(a, b)];
    }
    let steps = Convolution::new(a, b).contours();
    if count(&steps) > MANY {
        let (larger, other) = if a.len() >= b.len() { (a, b) } else { (b, a) };
        if let Some(halves) = halves(larger) {
            return sealed(&halves.map(|half| sum(&half, other)).concat());
        }
    }
    sealed(&steps)
}

/// Steps of a convolution that are filled at once. They cross at a part of their square in places: of two stars of 400
/// corners, at more than memory holds. The sum with each half of an outline is quicker, and the two overlap.
const MANY: usize = 500;

fn count(contours: &[Contour]) -> usize {
    contours.iter().map(Vec::len).sum()
}

/// The area that steps bound, without what rounding has opened.
fn sealed(steps: &[Contour]) -> Vec<Contour> {
    let extent = extent(steps);
    let mut clean = without_slivers(fill(steps), extent);
    for half in SEALS {
        if !is_cracked(&clean) {
            break;
        }
        clean = without_slivers(fill(&[clean, seals(steps, half * extent)].concat()), extent);
    }
    clean
}

/// The largest step of the grid of `i_overlay`, as a part of the extent.
const GRID: f64 = 1.0 / (1 << 29) as f64;
/// Half the width of a seal, as a part of the extent: some five steps of the grid, and far less than the depth that the search lets pass. Wider ones follow where
/// rounding opens the seals themselves.
const SEALS: [f64; 3] = [1e-8, 3e-8, 9e-8];
/// A contour with less around it than this part of the extent is rounding too.
const SPECK: f64 = 1e-6;
/// And so is one that is narrower than this part of it, the mean width being twice the area by the way around:
/// of 1,500 combs in all directions the widest crack had 2e-9.
const NARROW: f64 = 1e-8;
/// Sine of the angle at which a corner is taken for the end of a crack.
const SHARP: f64 = 1e-6;

/// Half the larger side of the box round contours.
fn extent(contours: &[Contour]) -> f64 {
    Bounds::of(contours.iter().flatten()).map_or(0.0, |b| 0.5 * b.width().max(b.height()))
}

/// By how much the boundary of contours that were filled may lie beside the true one: a corner is rounded twice to
/// the grid of `i_overlay`.
pub fn rounding(contours: &[Contour]) -> f64 {
    4.0 * GRID * extent(contours)
}

/// Whether rounding has opened cracks into the sum: sides that should coincide, and do not on the
/// grid, leave a place inside that looks free. The sum of two connected shapes has one outer contour.
fn is_cracked(clean: &[Contour]) -> bool {
    let outer = clean.iter().filter(|c| doubled_area(c) > 0.0).count();
    outer > 1 || clean.iter().any(|c| has_spike(c))
}

/// Twice the signed area within a contour.
pub fn doubled_area(c: &[Point]) -> f64 {
    (0..c.len()).map(|i| crate::shape::cross(c[0], c[i], c[(i + 1) % c.len()])).sum()
}

/// The length of a contour.
pub fn perimeter(c: &[Point]) -> f64 {
    (0..c.len()).map(|i| crate::shape::length(c[(i + 1) % c.len()] - c[i])).sum()
}

/// Contours of hardly any area are cracks that rounding has cut off from the rest, often in strings along a side: they
/// enclose nothing that could be free. A place on one of them would be taken for a clear one.
fn without_slivers(mut clean: Vec<Contour>, extent: f64) -> Vec<Contour> {
    clean.retain(|c| {
        let around = perimeter(c);
        around > SPECK * extent && doubled_area(c).abs() > around * (NARROW * extent).max(SHARP * around)
    });
    clean
}

fn has_spike(c: &[Point]) -> bool {
    let n = c.len();
    (0..n).any(|i| {
        let (u, v) = (c[(i + 1) % n] - c[i], c[(i + 2) % n] - c[(i + 1) % n]);
        let (along, across) = (u.x * v.x + u.y * v.y, u.x * v.y - u.y * v.x);
        along < 0.0 && across.abs() < SHARP * -along
    })
}

/// A thin rectangle over every step of a convolution, `half` to every side. The steps lie in the closed
/// sum, so no place with room to spare is lost.
fn seals(steps: &[Contour], half: f64) -> Vec<Contour> {
    let mut out = Vec::new();
    for c in steps {
        for (i, p) in c.iter().enumerate() {
            let d = c[(i + 1) % c.len()] - *p;
            let length = crate::shape::length(d);
            if length > 0.0 {
                let (u, q) = (d * (half / length), *p + d);
                let n = Point { x: -u.y, y: u.x };
                out.push(vec![*p - u - n, q + u - n, q + u + n, *p - u + n]);
            }
        }
    }
    out
}

/// Whether a counter-clockwise contour has no right turn.
pub fn is_convex(c: &[Point]) -> bool {
    let n = c.len();
    (0..n).all(|i| side(c[i], c[(i + 1) % n], c[(i + 2) % n]) != Side::Right)
}

/// The area covered by the contours under the non-zero rule, as clean contours.
fn fill(contours: &[Contour]) -> Vec<Contour> {
    from_shapes(to_arrays(contours).simplify_shape(FillRule::NonZero))
}

/// The area covered by sets of contours, each under the non-zero rule; what is much is filled in halves first.
fn fill_sets(sets: &[Vec<Contour>]) -> Vec<Contour> {
    let all = sets.concat();
    if sets.len() < 2 || count(&all) <= MANY {
        return fill(&all);
    }
    let (some, rest) = sets.split_at(sets.len() / 2);
    fill(&[fill_sets(some), fill_sets(rest)].concat())
}

/// The union of several sets of clean contours.
pub fn union(sets: Vec<Vec<Contour>>) -> Vec<Contour> {
    if sets.len() == 1 {
        return sets.into_iter().next().unwrap_or_default();
    }
    let filled = fill_sets(&sets);
    let extent = extent(&filled);
    // Parts may be small beside the way between them: only what looks free goes.
    let (outer, inner): (Vec<_>, Vec<_>) = filled.into_iter().partition(|c| doubled_area(c) > 0.0);
    [outer, without_slivers(inner, extent)].concat()
}

/// `a` without `b`; both sets of clean contours.
pub fn difference(a: &[Contour], b: &[Contour]) -> Vec<Contour> {
    from_shapes(to_arrays(a).overlay(&to_arrays(b), OverlayRule::Difference, FillRule::NonZero))
}

/// Where the moving contour `b` (already point-reflected) can lie wholly inside the hole
/// `hole`: the hole moved by one vertex of `b`, without the places where a side of the hole is touched.
pub fn inner_fit(hole: &[Point], b: &[Point]) -> Vec<Contour> {
    let Some(first) = b.first() else { return Vec::new() };
    let room: Contour = hole.iter().map(|p| *p + *first).collect();
    let n = hole.len();
    let blocked =
        (0..n).map(|i| Convolution::new(&[hole[i], hole[(i + 1) % n]], b).contours()).collect::<Vec<_>>();
    difference(&[room], &fill_sets(&blocked))
}

fn to_arrays(contours: &[Contour]) -> Vec<Vec<[f64; 2]>> {
    contours.iter().map(|c| c.iter().map(|p| [p.x, p.y]).collect()).collect()
}

fn from_shapes(shapes: Vec<Vec<Vec<[f64; 2]>>>) -> Vec<Contour> {
    shapes.into_iter().flatten().map(|c| c.into_iter().map(|[x, y]| Point { x, y }).collect()).collect()
}

/// Sum of two convex counter-clockwise contours: their sides merged by angle.
fn convex_sum(a: &[Point], b: &[Point]) -> Contour {
    let lowest = |c: &[Point]| {
        (0..c.len()).min_by(|&i, &j| c[i].y.total_cmp(&c[j].y).then(c[i].x.total_cmp(&c[j].x))).unwrap_or(0)
    };
    let (ia, ib) = (lowest(a), lowest(b));
    let (mut i, mut j) = (0, 0);
    let mut out = Vec::with_capacity(a.len() + b.len());
    let at = |c: &[Point], k: usize| c[k % c.len()];
    while i < a.len() || j < b.len() {
        out.push(at(a, ia + i) + at(b, ib + j));
        let (da, db) = (at(a, ia + i + 1) - at(a, ia + i), at(b, ib + j + 1) - at(b, ib + j));
        match (i < a.len(), j < b.len()) {
            (true, false) => i += 1,
            (false, true) => j += 1,
            _ => match side(Point { x: 0.0, y: 0.0 }, da, db) {
                Side::Left => i += 1,
                Side::Right => j += 1,
                Side::On => {
                    i += 1;
                    j += 1;
                }
            },
        }
    }
    out
}

/// The convolution of two contours as directed steps between the vertices `(i, j)` = a[i] + b[j].
struct Convolution<'a> {
    a: &'a [Point],
    b: &'a [Point],
    /// Steps that leave each vertex `i * b.len() + j`; popped while contours are traced.
    leaving: Vec<Vec<u32>>,
}

impl<'a> Convolution<'a> {
    fn new(a: &'a [Point], b: &'a [Point]) -> Self {
        let mut c = Self { a, b, leaving: vec![Vec::new(); a.len() * b.len()] };
        let (ra, rb) = ranks(a, b);
        let (na, nb) = (a.len(), b.len());
        for i in 0..na {
            for (j, &direction) in rb.iter().enumerate() {
                let sign = sweep(a, i, &ra, direction);
                c.step(sign, i * nb + j, i * nb + (j + 1) % nb);
            }
        }
        for j in 0..nb {
            for (i, &direction) in ra.iter().enumerate() {
                let sign = sweep(b, j, &rb, direction);
                c.step(sign, i * nb + j, ((i + 1) % na) * nb + j);
            }
        }
        c
    }

    fn step(&mut self, sign: i8, from: usize, to: usize) {
        match sign {
            1 => self.leaving[from].push(to as u32),
            -1 => self.leaving[to].push(from as u32),
            _ => {}
        }
    }

    /// As many steps reach every vertex as leave it, so following unused steps always closes.
    fn contours(mut self) -> Vec<Contour> {
        let nb = self.b.len();
        let mut out = Vec::new();
        for start in 0..self.leaving.len() {
            while let Some(mut next) = self.leaving[start].pop() {
                let mut contour = vec![self.point(start, nb)];
                while next as usize != start {
                    contour.push(self.point(next as usize, nb));
                    match self.leaving[next as usize].pop() {
                        Some(n) => next = n,
                        None => break,
                    }
                }
                out.push(contour);
            }
        }
        out
    }

    fn point(&self, vertex: usize, nb: usize) -> Point {
        self.a[vertex / nb] + self.b[vertex % nb]
    }
}

/// Whether the turn at vertex `i` of `c` sweeps over a direction of the given rank: 1 when it
/// turns left over it, -1 when right, 0 when not.
fn sweep(c: &[Point], i: usize, ranks: &[u32], rank: u32) -> i8 {
    let n = c.len();
    let (before, after) = (ranks[(i + n - 1) % n], ranks[i]);
    if before == after {
        return 0;
    }
    // By the directions that have the ranks, and not by the three points: of points in line, turned, the two may differ in
    // the last digit, and a turn the long way round would sweep over nearly all directions.
    let (reached, left_by) = (c[i] - c[(i + n - 1) % n], c[(i + 1) % n] - c[i]);
    let left = n == 2 || side(Point { x: 0.0, y: 0.0 }, reached, left_by) != Side::Right;
    let within =
        |from: u32, to: u32| if from < to { from < rank && rank < to } else { rank > from || rank < to };
    match left {
        true if within(before, after) => 1,
        false if within(after, before) => -1,
        _ => 0,
    }
}

/// The place of every side's direction in one angular order over both contours. Equal
/// directions of one contour share a rank; between contours `a` comes first.
fn ranks(a: &[Point], b: &[Point]) -> (Vec<u32>, Vec<u32>) {
    let sides = |c: &[Point]| (0..c.len()).map(|i| c[(i + 1) % c.len()] - c[i]).collect::<Vec<_>>();
    let (da, db) = (sides(a), sides(b));
    let direction = |k: usize| if k < da.len() { da[k] } else { db[k - da.len()] };
    let of_b = |k: usize| k >= da.len();
    let mut order: Vec<usize> = (0..da.len() + db.len()).collect();
    order.sort_by(|&p, &q| by_angle(direction(p), direction(q)).then(of_b(p).cmp(&of_b(q))));
    let mut rank = vec![0u32; order.len()];
    for w in 1..order.len() {
        let (p, q) = (order[w - 1], order[w]);
        let same = of_b(p) == of_b(q) && by_angle(direction(p), direction(q)).is_eq();
        rank[q] = rank[p] + u32::from(!same);
    }
    let rb = rank.split_off(da.len());
    (rank, rb)
}

/// Angular order of two vectors from the positive x axis, exact.
fn by_angle(p: Point, q: Point) -> std::cmp::Ordering {
    let lower = |v: Point| v.y < 0.0 || (v.y == 0.0 && v.x < 0.0);
    lower(p).cmp(&lower(q)).then_with(|| match side(Point { x: 0.0, y: 0.0 }, p, q) {
        Side::Left => std::cmp::Ordering::Less,
        Side::Right => std::cmp::Ordering::Greater,
        Side::On => std::cmp::Ordering::Equal,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nest::dice::Dice;
    use crate::shape::{Contours, Region, Ring, first_overlap};

    fn contour(list: &[(f64, f64)]) -> Contour {
        list.iter().map(|&(x, y)| Point { x, y }).collect()
    }

    fn area(contours: &[Contour]) -> f64 {
        contours
            .iter()
            .map(|c| {
                0.5 * (0..c.len()).map(|i| crate::shape::cross(c[0], c[i], c[(i + 1) % c.len()])).sum::<f64>()
            })
            .sum()
    }

    #[test]
    fn squares_add_up_to_a_square() {
        let s = contour(&[(0., 0.), (1., 0.), (1., 1.), (0., 1.)]);
        assert_eq!(area(&sum(&s, &s)), 4.0);
        assert!((area(&fill(&Convolution::new(&s, &s).contours())) - 4.0).abs() < 1e-8);
    }

    #[test]
    fn an_l_and_a_square_agree_with_the_union_of_parts() {
        let l = contour(&[(0., 0.), (3., 0.), (3., 1.), (1., 1.), (1., 3.), (0., 3.)]);
        let s = contour(&[(0., 0.), (1., 0.), (1., 1.), (0., 1.)]);
        // [0,3]x[0,1] + unit = [0,4]x[0,2]; [0,1]x[0,3] + unit = [0,2]x[0,4]; common [0,2]x[0,2].
        assert!((area(&sum(&l, &s)) - (8.0 + 8.0 - 4.0)).abs() < 1e-7);
    }

    #[test]
    fn a_pocket_that_the_other_fits_stays_open() {
        // A C with a mouth 1 wide and a chamber 3 x 3; a 2 x 2 square fits the chamber, not the mouth.
        let c = contour(&[
            (0., 0.),
            (5., 0.),
            (5., 2.),
            (4., 2.),
            (4., 1.),
            (1., 1.),
            (1., 4.),
            (4., 4.),
            (4., 3.),
            (5., 3.),
            (5., 5.),
            (0., 5.),
        ]);
        let s = contour(&[(-2., -2.), (0., -2.), (0., 0.), (-2., 0.)]);
        let got = sum(&c, &s);
        let holes: f64 = got.iter().map(|k| area(std::slice::from_ref(k))).filter(|a| *a < 0.0).sum();
        assert!((holes + 1.0).abs() < 1e-6, "the square can move 1 x 1 inside the chamber: {holes}");
    }

    /// Turned, the sides of an L and of its reflection are parallel but for rounding.
    #[test]
    fn a_turned_l_and_its_reflection_leave_no_cracks() {
        let l = [(0., 0.), (50.2, 0.), (50.2, 12.8), (12.8, 12.8), (12.8, 50.2), (0., 50.2)];
        let mut cracked = 0;
        for degrees in 0..360 {
            let turn = crate::shape::Turn::degrees(f64::from(degrees) + 0.1816);
            let a: Contour = contour(&l).into_iter().map(|p| turn.apply(p)).collect();
            let b: Contour = a.iter().map(|p| *p * -1.0).collect();
            cracked += usize::from(is_cracked(&fill(&Convolution::new(&a, &b).contours())));
            let got = sum(&a, &b);
            assert!(got.len() == 1 && !is_cracked(&got), "{degrees}: {got:?}");
            // Bars less bars: a square of side 63, its reflection, and what they share.
            assert!(
                (area(&got) - (2.0 * 63.0 * 63.0 - 25.6 * 25.6)).abs() < 1e-3,
                "{degrees}: {}",
                area(&got)
            );
        }
        assert!(cracked > 0, "without the seals some would be cracked");
    }

    /// A comb with slots narrower than its teeth: no other of its kind gets in, whichever way they are turned.
    fn comb(dice: &mut Dice, teeth: u32) -> Contour {
        let (pitch, slot, depth) = (dice.within(6., 12.), dice.within(0.3, 2.9), dice.within(5., 40.));
        let mut c = vec![];
        for k in (0..teeth).rev() {
            let (x, end) = (f64::from(k) * pitch, f64::from(k + 1) * pitch - slot);
            c.extend([(end, 0.), (end, depth), (x, depth), (x, 0.)].map(|(x, y)| Point { x, y }));
        }
        let end = f64::from(teeth) * pitch - slot;
        c.extend([Point { x: 0., y: -5. }, Point { x: end, y: -5. }]);
        let turn = crate::shape::Turn::degrees(dice.within(0., 360.));
        c.into_iter().map(|p| turn.apply(p)).collect()
    }

    /// The sides of teeth coincide at many places at once, and rounding opens cracks there.
    #[test]
    fn in_a_sum_of_turned_combs_nothing_is_free() {
        let mut dice = Dice::new(3, 0);
        let mut cracked = 0;
        for teeth in (2..6).cycle().take(60) {
            let a = comb(&mut dice, teeth);
            let b: Contour = a.iter().map(|p| *p * -1.0).collect();
            cracked += usize::from(fill(&Convolution::new(&a, &b).contours()).len() > 1);
            assert_eq!(sum(&a, &b).len(), 1, "{a:?}");
        }
        assert!(cracked > 20, "without the seals and the least width some would be cracked: {cracked}");
    }

    /// A small part is not taken for a speck because another one is far away.
    #[test]
    fn small_outer_contours_stay_in_a_union() {
        let square = |x: f64, side: f64| contour(&[(x, 0.), (x + side, 0.), (x + side, side), (x, side)]);
        let both = union(vec![vec![square(0., 0.1)], vec![square(1e6, 50.)]]);
        assert_eq!(both.len(), 2);
        let off = |c: &Contour| (c.iter().map(|p| p.y).fold(0.0, f64::max) * 1e3).round() / 1e3;
        assert!(both.iter().any(|c| (off(c) - 0.1).abs() <= rounding(&both)), "{both:?}");
    }

    /// Of two stars of 160 points the steps cross at some twenty million places: gigabytes, if they were filled at once.
    #[test]
    fn stars_of_many_points_are_summed_in_halves() {
        let star = |count: u32, outer: f64| -> Contour {
            let at = |k: u32| libm::sincos(std::f64::consts::TAU * f64::from(k) / f64::from(count));
            let r = |k: u32| if k.is_multiple_of(2) { outer } else { 20. };
            (0..count).map(|k| Point { x: r(k) * at(k).1, y: r(k) * at(k).0 }).collect()
        };
        let steps = |n| count(&Convolution::new(&star(n, 250.), &star(n, 250.)).contours());
        assert!(steps(20) < MANY && steps(160) > 40 * MANY);
        let got = Contours::of_rings(sum(&star(160, 250.), &star(160, 250.)));
        let region =
            |at: Point| Region::solid(Ring::new(star(160, 250.).iter().map(|p| *p + at).collect()).unwrap());
        let mut dice = Dice::new(1, 0);
        let mut clear = 0;
        for _ in 0..100 {
            let (r, way) = (dice.within(440., 505.), libm::sincos(dice.within(0., std::f64::consts::TAU)));
            let at = Point { x: r * way.1, y: r * way.0 };
            let overlap = first_overlap(&[region(Point { x: 0., y: 0. }), region(at)]).is_some();
            assert_eq!(got.locate(at), Some(overlap), "{at:?}");
            clear += usize::from(!overlap);
        }
        assert!((20..80).contains(&clear), "{clear}");
        // Halved or not, it is the same sum.
        let (a, b) = (star(20, 250.), star(20, 240.));
        let [one, two] = halves(&a).unwrap();
        let parts = sealed(&[sum(&one, &b), sum(&two, &b)].concat());
        assert!(
            (area(&parts) - area(&sum(&a, &b))).abs() < 1e-8 * area(&parts),
            "{} {}",
            area(&parts),
            area(&sum(&a, &b))
        );
    }

    /// An island whose coast is made by moving the middles of its sides out and in, on a grid of 0.001.
    fn island(dice: &mut Dice) -> Contour {
        let mut c = contour(&[(0., -40.), (40., 0.), (0., 40.), (-40., 0.)]);
        for _ in 0..5 {
            let n = c.len();
            c = (0..n)
                .flat_map(|i| {
                    let d = c[(i + 1) % n] - c[i];
                    let bend = dice.within(-0.15, 0.15);
                    let middle = c[i] + d * 0.5 + Point { x: -d.y, y: d.x } * bend;
                    let grid = |v: f64| (v * 1e3).round() / 1e3;
                    [c[i], Point { x: grid(middle.x), y: grid(middle.y) }]
                })
                .collect();
        }
        c
    }

    #[test]
    fn coasts_of_many_points_have_one_outer_contour() {
        let mut dice = Dice::new(1, 0);
        for _ in 0..30 {
            let a = island(&mut dice);
            let b: Contour = island(&mut dice).iter().map(|p| *p * -1.0).collect();
            let got = sum(&a, &b);
            assert_eq!(got.iter().filter(|c| doubled_area(c) > 0.0).count(), 1);
            // Brunn and Minkowski: the root of a sum's area is at least the sum of the roots.
            assert!(area(&got).sqrt() > area(&[a]).sqrt() + area(&[b]).sqrt());
        }
    }

    #[test]
    fn a_crack_cut_off_from_the_rest_goes_and_a_small_hole_stays() {
        let square = contour(&[(0., 0.), (100., 0.), (100., 100.), (0., 100.)]);
        let crack = contour(&[(10., 10.), (60., 60.00001), (90., 90.)]);
        let hole = contour(&[(10., 20.), (10., 20.5), (10.5, 20.5), (10.5, 20.)]);
        let kept = without_slivers(vec![square.clone(), crack, hole.clone()], 100.0);
        assert_eq!(kept, [square, hole]);
    }

    #[test]
    fn a_hole_lets_a_smaller_panel_in() {
        let hole = contour(&[(0., 0.), (4., 0.), (4., 3.), (0., 3.)]);
        let reflected = contour(&[(-1., -1.), (0., -1.), (0., 0.), (-1., 0.)]);
        assert!((area(&inner_fit(&hole, &reflected)) - 6.0).abs() < 1e-7);
    }
}

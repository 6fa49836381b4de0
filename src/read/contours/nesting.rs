//! Contours in contours: outlines, holes, islands.

use super::report::{Kind, Report};
use super::{Broken, Contour};
use crate::Error;
use crate::read::Found;
use crate::read::grid::Grid;
use crate::shape::{Bounds, Region, Tree};
use std::cell::{Cell, OnceCell};

/// Most pairs of contours compared, those of which the boxes lie over each other: some ten seconds. All of 10,000
/// contours may do so, in each other or as holes; of 50,000 that lie side by side only neighbours do.
const MOST_PAIRS: usize = 50_000_000;

/// Most pairs of contours that cross: each of a thousand may cross all others. No drawing of panels has them.
const MOST_CROSSING: usize = 500_000;

/// The part of an outline that is nothing but rounding when holes fill the rest.
const NOTHING: f64 = 1e-9;

/// Most pairs of sides looked at to tell which contours cross, but for [`FEW_SIDES`] of each pair of contours, which is
/// counted itself: some seconds.
const MOST_SIDES: usize = 100_000_000;
/// See [`MOST_SIDES`].
const FEW_SIDES: usize = 16;

/// Why contours are not compared to the end.
#[derive(Debug)]
enum TooMany {
    /// More pairs than [`MOST_PAIRS`].
    Pairs,
    /// More of them cross than [`MOST_CROSSING`].
    Crossing,
    /// More pairs of sides than [`MOST_SIDES`].
    Sides,
}

/// The contours with what it takes to compare them.
struct Nest<'a> {
    contours: &'a [Contour],
    boxes: Vec<Bounds>,
    /// Built when first asked for: most contours of a drawing lie alone.
    trees: Vec<OnceCell<Tree>>,
    pairs_left: Cell<usize>,
    crossing_left: Cell<usize>,
    sides_left: Cell<usize>,
}

impl<'a> Nest<'a> {
    fn of(contours: &'a [Contour], most_pairs: usize, most_crossing: usize) -> Self {
        Self {
            contours,
            boxes: contours.iter().map(|c| c.ring.bounds()).collect(),
            trees: vec![OnceCell::new(); contours.len()],
            pairs_left: Cell::new(most_pairs),
            crossing_left: Cell::new(most_crossing),
            sides_left: Cell::new(MOST_SIDES),
        }
    }

    fn tree(&self, i: usize) -> &Tree {
        self.trees[i].get_or_init(|| Tree::of(&self.contours[i].ring))
    }

    /// Counts one more pair that is compared.
    fn compare(&self) -> Result<(), TooMany> {
        self.pairs_left.set(self.pairs_left.get().checked_sub(1).ok_or(TooMany::Pairs)?);
        Ok(())
    }

    /// How one contour lies to a larger one.
    fn relation(&self, inner: usize, outer: usize) -> Result<Relation, TooMany> {
        let (inner, outer) = (self.tree(inner), self.tree(outer));
        let most = self.sides_left.get();
        let mut left = most + FEW_SIDES;
        let crosses = inner.crosses_within(outer, &mut left);
        self.sides_left.set(left.min(most));
        Ok(match crosses {
            None => return Err(TooMany::Sides),
            Some(true) => Relation::Crossing,
            Some(false) if inner.lies_inside_uncrossed(outer) => Relation::Inside,
            Some(false) => Relation::Apart,
        })
    }

    /// Counts one more pair that crosses.
    fn cross(&self) -> Result<(), TooMany> {
        self.crossing_left.set(self.crossing_left.get().checked_sub(1).ok_or(TooMany::Crossing)?);
        Ok(())
    }
}

/// Nests the contours of each layer by the even-odd rule. Outlines come out in the order in
/// which they begin in the file, numbered from 1; holes that cannot be cut are broken.
pub(super) fn nest(
    contours: &[Contour],
    name: &str,
    report: &mut Report,
) -> Result<(Vec<Found>, Vec<Broken>), Error> {
    all(&Nest::of(contours, MOST_PAIRS, MOST_CROSSING), report).map_err(|too_many| match too_many {
        TooMany::Pairs => {
            let what = format!("more than {MOST_PAIRS} pairs of contours lie over each other");
            Error::input(name, what, "split the drawing into several files")
        }
        TooMany::Crossing => {
            let what = format!("more than {MOST_CROSSING} pairs of contours cross each other");
            Error::input(name, what, "keep only the outlines of the panels")
        }
        TooMany::Sides => {
            let what = "too many contours of many points lie along each other";
            Error::input(name, what, "keep only the outlines of the panels, or raise the chord tolerance")
        }
    })
}

fn all(nest: &Nest, report: &mut Report) -> Result<(Vec<Found>, Vec<Broken>), TooMany> {
    let contours = nest.contours;
    let parents = parents(nest, report)?;
    let depths = depths(contours, &parents);
    let mut holes: Vec<Vec<usize>> = vec![Vec::new(); contours.len()];
    for (i, parent) in parents.iter().enumerate() {
        if let Some(parent) = parent.filter(|_| !depths[i].is_multiple_of(2)) {
            holes[parent].push(i);
        }
    }
    let (mut found, mut broken) = (Vec::new(), Vec::new());
    for i in (0..contours.len()).filter(|i| depths[*i].is_multiple_of(2)) {
        let region = region(nest, i, &holes[i], report, &mut broken)?;
        let contour = &contours[i];
        if region.area() > NOTHING * contour.ring.area() {
            found.push(Found { number: found.len() + 1, layer: contour.layer.to_string(), region });
        } else {
            broken.push(report.nothing_left(&contour.layer, &contour.place, &contour.ring));
        }
    }
    Ok((found, broken))
}

/// The smallest contour round each contour.
fn parents(nest: &Nest, report: &mut Report) -> Result<Vec<Option<usize>>, TooMany> {
    let contours = nest.contours;
    let mut by_area: Vec<(f64, usize)> =
        contours.iter().enumerate().map(|(i, c)| (c.ring.area(), i)).collect();
    by_area.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let boxes: Vec<Bounds> = by_area.iter().map(|(_, i)| nest.boxes[*i]).collect();
    let grid = Grid::new(&boxes);
    let mut parents = vec![None; contours.len()];
    for (small, (_, i)) in by_area.iter().enumerate() {
        let inner = &contours[*i];
        for large in grid.near(&boxes[small]).into_iter().filter(|large| *large > small) {
            let j = by_area[large].1;
            let outer = &contours[j];
            if outer.layer != inner.layer || !boxes[small].near(&boxes[large], 0.0) {
                continue;
            }
            nest.compare()?;
            match nest.relation(*i, j)? {
                Relation::Inside => {
                    parents[*i] = Some(j);
                    break;
                }
                Relation::Crossing => {
                    nest.cross()?;
                    warn_crossing(inner, outer, report);
                }
                Relation::Apart => {}
            }
        }
    }
    Ok(parents)
}

enum Relation {
    Inside,
    Crossing,
    Apart,
}

fn warn_crossing(inner: &Contour, outer: &Contour, report: &mut Report) {
    let what = format!(
        "the contour crosses the one that begins at {}; each is an outline of its own",
        if outer.place.is_empty() { "another place" } else { &outer.place }
    );
    report.warn(Kind::Crossing, &inner.layer, &inner.place, inner.ring.points()[0], &what, "");
}

/// How many contours lie round each contour. Parents are larger, so going by falling area
/// every parent is known before its children.
fn depths(contours: &[Contour], parents: &[Option<usize>]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..contours.len()).collect();
    let area: Vec<f64> = contours.iter().map(|c| c.ring.area()).collect();
    order.sort_by(|a, b| area[*b].total_cmp(&area[*a]).then(b.cmp(a)));
    let mut depths = vec![0; contours.len()];
    for i in order {
        depths[i] = parents[i].map_or(0, |p| depths[p] + 1);
    }
    depths
}

/// The region of an outline; holes that leave it or meet one before them are left out and reported as broken.
fn region(
    nest: &Nest,
    outline: usize,
    holes: &[usize],
    report: &mut Report,
    broken: &mut Vec<Broken>,
) -> Result<Region, TooMany> {
    let contour = |i: usize| &nest.contours[i];
    let boxes: Vec<Bounds> = holes.iter().map(|i| nest.boxes[*i]).collect();
    let grid = Grid::new(&boxes);
    let mut fit = vec![false; holes.len()];
    for (k, hole) in holes.iter().enumerate() {
        let tree = nest.tree(*hole);
        let mut fits = tree.lies_inside(nest.tree(outline));
        for other in grid.near(&boxes[k]).into_iter().take_while(|other| *other < k) {
            if !fits {
                break;
            }
            if fit[other] && boxes[other].near(&boxes[k], 0.0) {
                nest.compare()?;
                fits = tree.lies_apart(nest.tree(holes[other]));
            }
        }
        fit[k] = fits;
        if !fits {
            let hole = contour(*hole);
            broken.push(report.hole_meets(&hole.layer, &hole.place, &hole.ring));
        }
    }
    let kept = holes.iter().zip(&fit).filter(|(_, fits)| **fits).map(|(i, _)| contour(*i).ring.clone());
    Ok(Region::of_apart(contour(outline).ring.clone(), kept.collect()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shape::{Point, Ring};
    use std::time::{Duration, Instant};

    fn square(x: f64, y: f64, size: f64) -> Contour {
        let corners = [(0., 0.), (size, 0.), (size, size), (0., size)];
        let points = corners.map(|(a, b)| Point { x: x + a, y: y + b }).to_vec();
        Contour { rank: 0, layer: "cut".into(), place: "line 1".into(), ring: Ring::new(points).unwrap() }
    }

    fn report() -> Report<'static> {
        Report::new("t.dxf", Vec::new(), 0.05)
    }

    #[test]
    fn of_twenty_thousand_pairs_of_crossing_holes_the_second_ones_are_broken_and_it_takes_no_time() {
        let mut contours = vec![square(-1., -1., 1002.)];
        for k in 0..20_000 {
            let (x, y) = (f64::from(k % 200) * 5.0, f64::from(k / 200) * 5.0);
            contours.extend([square(x, y, 2.), square(x + 1., y + 1., 2.)]);
        }
        let start = Instant::now();
        let (found, broken) = nest(&contours, "t.dxf", &mut report()).unwrap();
        // A second; hours where every hole is judged anew for each one that is broken.
        assert!(start.elapsed() < Duration::from_secs(100), "{:?}", start.elapsed());
        assert_eq!((found.len(), broken.len()), (1, 20_000));
        let holes = found[0].region.holes();
        assert!(holes.iter().eq(contours[1..].iter().step_by(2).map(|c| &c.ring)));
        // What was found one by one is what the region itself asks for.
        let region = &found[0].region;
        assert_eq!(Region::new(region.outline().clone(), holes.to_vec()).as_ref(), Ok(region));
    }

    #[test]
    fn holes_are_judged_in_the_order_of_the_file_against_those_that_are_kept() {
        // The second crosses the first, the third the second alone; the last leaves the outline.
        let contours = [
            square(0., 0., 20.),
            square(1., 1., 4.),
            square(4., 1., 4.1),
            square(7., 1., 4.2),
            square(18., 1., 4.3),
        ];
        let nest = Nest::of(&contours, 100, 100);
        let mut broken = Vec::new();
        let Ok(region) = region(&nest, 0, &[1, 2, 3, 4], &mut report(), &mut broken) else { panic!() };
        assert_eq!(region.holes(), [contours[1].ring.clone(), contours[3].ring.clone()]);
        let told: Vec<_> = broken.iter().map(|b| b.problem.what.as_str()).collect();
        assert!(told.len() == 2 && told[0].contains("(4, 1)") && told[1].contains("(18, 1)"), "{told:?}");
    }

    #[test]
    fn an_outline_that_its_holes_fill_is_broken() {
        let bar = |x: f64, width: f64| {
            let corners = [(x, 0.), (x + width, 0.), (x + width, 20.), (x, 20.)];
            Contour {
                ring: Ring::new(corners.map(|(x, y)| Point { x, y }).to_vec()).unwrap(),
                ..square(0., 0., 1.)
            }
        };
        let whole = || vec![square(0., 0., 20.), bar(0., 10.)];
        let (found, broken) = nest(&whole(), "t.dxf", &mut report()).unwrap();
        assert_eq!((found.len(), broken.len()), (1, 0));
        let (found, broken) = nest(&[whole(), vec![bar(10., 10.)]].concat(), "t.dxf", &mut report()).unwrap();
        assert_eq!((found.len(), broken.len()), (0, 1));
        assert!(broken[0].problem.what.contains("leave nothing"), "{:?}", broken[0].problem);
    }

    #[test]
    fn more_pairs_than_allowed_are_refused() {
        // Four in each other: every one finds the next larger one at once.
        let nested: Vec<Contour> =
            (0..4).map(|k| square(f64::from(k), f64::from(k), 20. - 2. * f64::from(k))).collect();
        assert!(all(&Nest::of(&nested, 3, 0), &mut report()).is_ok());
        assert!(all(&Nest::of(&nested, 2, 0), &mut report()).is_err());
    }

    /// Contours that lie along each other: 185 rings of 20,000 points took 24 seconds.
    #[test]
    fn sides_beside_each_other_are_counted() {
        let saw = |k: u32| {
            let low = (0..1000).map(|i| Point { x: f64::from(i), y: f64::from(i % 2) - 1e-4 * f64::from(k) });
            let high = [Point { x: 999., y: 5.0 + f64::from(k) }, Point { x: 0., y: 5.0 + f64::from(k) }];
            Contour { ring: Ring::new(low.chain(high).collect()).unwrap(), ..square(0., 0., 1.) }
        };
        let saws: Vec<Contour> = (0..3).map(saw).collect();
        let allowed = Nest::of(&saws, 100, 100);
        assert!(all(&allowed, &mut report()).is_ok());
        let spent = MOST_SIDES - allowed.sides_left.get();
        assert!(spent > 1000, "{spent}");
        let refused = Nest::of(&saws, 100, 100);
        refused.sides_left.set(spent - 1);
        assert!(matches!(all(&refused, &mut report()), Err(TooMany::Sides)));
    }

    /// Warning of all of them took the square of their number in time: a minute for 10,000.
    #[test]
    fn contours_that_all_cross_each_other_are_refused() {
        let squares: Vec<Contour> =
            (0..2000).map(|k| square(f64::from(k % 50), f64::from(k / 50), 60.)).collect();
        let Err(refused) = nest(&squares, "t.dxf", &mut report()) else { panic!() };
        assert!(refused.to_string().contains("cross each other"), "{refused}");
        assert!(nest(&squares[..900], "t.dxf", &mut report()).is_ok());
    }
}

//! Fill rules: which of the closed subpaths of one filled path bound its inside.

use super::pen::Subpath;
use super::tangle::{Allowance, Tangled};
use crate::read::MOST_CONTOURS;
use crate::read::grid::Grid;
use crate::shape::{Point, Ring, RingFault, flatten, segments_cross};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::ContourDirection;
use i_overlay::core::solver::Solver;
use i_overlay::float::overlay::OverlayOptions;
use i_overlay::float::simplify::SimplifyShape;

/// Most pairs of sides looked at before subpaths are left to the overlay, which is faster for
/// many but rounds coordinates to a billionth of the drawing. About a tenth of a second.
const MAX_SIDE_PAIRS: usize = 20_000_000;

/// The contours that bound the inside of a filled path.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Filled {
    /// Closed contours. They do not cross each other; the outer ones and the holes in them
    /// alternate inwards.
    pub contours: Vec<Vec<Point>>,
    /// How many closed subpaths bound nothing: no area, or wholly inside the painted part.
    pub swallowed: usize,
    /// Whether subpaths crossed and were cut up and joined anew.
    pub rebuilt: bool,
}

/// Applies a fill rule to closed subpaths.
///
/// Subpaths that are simple and keep clear of each other are passed on as they are; only where
/// they cross or touch is the outline built anew, as far as that is allowed.
pub(super) fn resolve(
    mut subpaths: Vec<Subpath>,
    even_odd: bool,
    allowance: &mut Allowance,
) -> Result<Filled, Tangled> {
    if subpaths.len() > MOST_CONTOURS || subpaths.iter().any(|s| s.points.len() > flatten::MAX_POINTS) {
        // Refused as contours whatever the rule says; looking at them here could take minutes.
        let contours = subpaths.into_iter().map(|s| s.points).collect();
        return Ok(Filled { contours, ..Filled::default() });
    }
    let total = subpaths.len();
    subpaths.retain(|s| s.points.len() > 2);
    let anew = |subpaths: Vec<Subpath>, allowance: &mut Allowance| {
        allowance.spend(&subpaths)?;
        let swallowed = total - subpaths.len();
        Ok(Filled { contours: overlay(subpaths, even_odd), swallowed, rebuilt: true })
    };
    let mut rings = Vec::new();
    for subpath in &subpaths {
        match Ring::within(subpath.points.clone(), &mut allowance.sides) {
            Ok(ring) => rings.push(ring),
            Err(RingFault::NoArea | RingFault::TooFewPoints) => {}
            Err(RingFault::Crowded) => return Err(Tangled::Crowded),
            Err(_) => return anew(subpaths, allowance),
        }
    }
    match rings.len() {
        0 | 1 => {}
        _ if keep_clear(&rings, &mut allowance.sides) => rings = bounding(rings, even_odd),
        _ => return anew(subpaths, allowance),
    }
    let swallowed = total - rings.len();
    let contours = rings.into_iter().map(|r| r.points().to_vec()).collect();
    Ok(Filled { contours, swallowed, rebuilt: false })
}

/// Whether no two rings have a point in common, as far as that is cheap to tell. Pairs of sides that are looked at are taken
/// off those that are allowed in the whole drawing.
fn keep_clear(rings: &[Ring], allowed: &mut usize) -> bool {
    let boxes: Vec<_> = rings.iter().map(Ring::bounds).collect();
    let grid = Grid::new(&boxes);
    let most = MAX_SIDE_PAIRS.min(*allowed);
    let mut left = most;
    let mut clear = true;
    'all: for (i, a) in rings.iter().enumerate() {
        for j in grid.near(&boxes[i]).into_iter().take_while(|j| *j < i) {
            if !boxes[i].near(&boxes[j], 0.0) {
                continue;
            }
            let b = &rings[j];
            match left.checked_sub(a.points().len().saturating_mul(b.points().len())) {
                Some(rest) if !rings_meet(a, b) => left = rest,
                _ => {
                    clear = false;
                    break 'all;
                }
            }
        }
    }
    *allowed -= most - left;
    clear
}

/// Whether two rings cross or touch: if sides meet without crossing, an end of one lies on the other.
fn rings_meet(a: &Ring, b: &Ring) -> bool {
    a.sides().any(|(p, q)| b.sides().any(|(r, s)| segments_cross(p, q, r, s)))
        || a.points().iter().any(|p| b.locate(*p).is_none())
        || b.points().iter().any(|p| a.locate(*p).is_none())
}

/// Of rings that keep clear of each other, those with the inside on one side only: the winding
/// number (or the count of rings, for even-odd) is summed over the rings that hold each one.
fn bounding(rings: Vec<Ring>, even_odd: bool) -> Vec<Ring> {
    let boxes: Vec<_> = rings.iter().map(Ring::bounds).collect();
    let turns: Vec<i64> = rings.iter().map(|r| if r.signed_area() > 0.0 { 1 } else { -1 }).collect();
    let painted = |winding: i64| if even_odd { winding % 2 != 0 } else { winding != 0 };
    let grid = Grid::new(&boxes);
    let keep: Vec<bool> = (0..rings.len())
        .map(|i| {
            let inner = rings[i].points()[0];
            let holds =
                |j: usize| j != i && boxes[j].near(&boxes[i], 0.0) && rings[j].locate(inner) == Some(true);
            let outside: i64 = grid.near(&boxes[i]).into_iter().filter(|j| holds(*j)).map(|j| turns[j]).sum();
            painted(outside) != painted(outside + turns[i])
        })
        .collect();
    rings.into_iter().zip(keep).filter_map(|(ring, keep)| keep.then_some(ring)).collect()
}

/// Cuts crossing subpaths up and joins what bounds the inside.
fn overlay(subpaths: Vec<Subpath>, even_odd: bool) -> Vec<Vec<Point>> {
    let rings: Vec<Vec<[f64; 2]>> =
        subpaths.into_iter().map(|s| s.points.into_iter().map(|p| [p.x, p.y]).collect()).collect();
    let rule = if even_odd { FillRule::EvenOdd } else { FillRule::NonZero };
    let options = OverlayOptions {
        preserve_input_collinear: false,
        preserve_output_collinear: false,
        output_direction: ContourDirection::CounterClockwise,
        min_output_area: 0.0,
        // Contours that touch themselves are taken apart into simple ones.
        ogc: true,
        clean_result: true,
    };
    let shapes = rings.simplify_shape_custom(rule, options, Solver::default());
    let contours = shapes.into_iter().flatten();
    let points = |contour: Vec<[f64; 2]>| contour.into_iter().map(|[x, y]| Point { x, y }).collect();
    contours.map(points).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn square(x: f64, y: f64, side: f64, reversed: bool) -> Subpath {
        let mut points = vec![
            Point { x, y },
            Point { x: x + side, y },
            Point { x: x + side, y: y + side },
            Point { x, y: y + side },
        ];
        if reversed {
            points.reverse();
        }
        Subpath { points, closed: true }
    }

    fn resolved(subpaths: Vec<Subpath>, even_odd: bool) -> Filled {
        resolve(subpaths, even_odd, &mut Allowance::default()).unwrap()
    }

    fn areas(subpaths: Vec<Subpath>, even_odd: bool) -> (Vec<f64>, bool) {
        let filled = resolved(subpaths, even_odd);
        let areas = filled.contours.into_iter().map(|c| Ring::new(c).unwrap().area()).collect();
        (areas, filled.rebuilt)
    }

    #[test]
    fn nested_squares_under_both_rules() {
        let same = || vec![square(0., 0., 10., false), square(2., 2., 4., false)];
        let against = || vec![square(0., 0., 10., false), square(2., 2., 4., true)];
        assert_eq!(areas(same(), true), (vec![100., 16.], false));
        assert_eq!(areas(same(), false), (vec![100.], false));
        assert_eq!(areas(against(), false), (vec![100., 16.], false));
        assert_eq!(resolved(same(), false).swallowed, 1);
    }

    #[test]
    fn three_deep_nonzero_counts_windings() {
        let list = vec![square(0., 0., 10., false), square(1., 1., 8., false), square(2., 2., 6., true)];
        // Windings 1, 2, 1: one painted square.
        assert_eq!(areas(list, false).0, [100.]);
        let list = vec![square(2., 2., 6., true), square(0., 0., 10., false), square(3., 3., 1., false)];
        assert_eq!(areas(list, false).0, [36., 100., 1.]);
    }

    #[test]
    fn crossing_and_touching_squares_are_built_anew() {
        let crossing = || vec![square(0., 0., 10., false), square(5., 5., 10., false)];
        let (union, rebuilt) = areas(crossing(), false);
        assert!(rebuilt && union.len() == 1 && (union[0] - 175.0).abs() < 1e-6);
        let (parts, _) = areas(crossing(), true);
        assert!((parts.iter().sum::<f64>() - 150.0).abs() < 1e-6, "{parts:?}");
        let (touching, _) = areas(vec![square(0., 0., 10., false), square(10., 0., 10., true)], true);
        assert!(touching.len() == 1 && (touching[0] - 200.0).abs() < 1e-6);
    }

    #[test]
    fn pentagram_under_both_rules() {
        let point = |k: i32| {
            let (y, x) = libm::sincos(PI * (0.5 + 0.8 * f64::from(k)));
            Point { x, y }
        };
        let star = || vec![Subpath { points: (0..5).map(point).collect(), closed: true }];
        // Circumradius 1: pentagon inside with circumradius 1/phi^2, five points round it.
        let phi = 0.5 * (1.0 + 5.0_f64.sqrt());
        let pentagon = 2.5 * libm::sin(0.4 * PI) / (phi * phi * phi * phi);
        // Ten triangles from the centre: one tip, one inner corner, 36 degrees between them.
        let whole = 5.0 * libm::sin(0.2 * PI) / (phi * phi);
        let (nonzero, _) = areas(star(), false);
        assert!(nonzero.len() == 1 && (nonzero[0] - whole).abs() < 1e-7, "{nonzero:?} {whole}");
        let (even_odd, _) = areas(star(), true);
        assert!((even_odd.iter().sum::<f64>() - (whole - pentagon)).abs() < 1e-7, "{even_odd:?}");
    }

    #[test]
    fn there_and_back_bounds_nothing() {
        let points = vec![Point { x: 0., y: 0. }, Point { x: 5., y: 5. }];
        let line = || Subpath { points: points.clone(), closed: true };
        let filled = resolved(vec![line()], false);
        assert_eq!((filled.contours.len(), filled.swallowed), (0, 1));
        let filled = resolved(vec![square(0., 0., 10., false), line(), square(5., 5., 10., false)], false);
        assert_eq!((filled.contours.len(), filled.swallowed, filled.rebuilt), (1, 1, true));
    }

    /// 65 536 strokes across each other would be cut at hundreds of millions of places.
    #[test]
    fn a_scribble_is_refused_before_it_takes_all_memory() {
        let mut state = 1u64;
        let mut number = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 40) as f64
        };
        let points = (0..flatten::MAX_POINTS).map(|_| Point { x: number(), y: number() }).collect();
        let scribble = vec![Subpath { points, closed: true }];
        assert_eq!(resolve(scribble, false, &mut Allowance::default()), Err(Tangled::Crowded));
    }
}

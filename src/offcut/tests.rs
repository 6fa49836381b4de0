//! Free rectangles of layouts whose largest ones are known, and of random ones.

use super::*;
use crate::job::fixtures::{job_of, panel, rectangle, ring};
use crate::layout::{MadeBy, Placement, assemble};
use crate::shape::{Contours, Region, Turn};
use proptest::prelude::*;

fn made_by() -> MadeBy {
    MadeBy { version: String::new(), seed: 0, walks: 0, rounds: 0, stopped: String::new() }
}

fn put(panel: usize, x: f64, y: f64) -> Placement {
    Placement { panel, copy: 1, at: Point { x, y }, rotation: 0.0, mirrored: false }
}

fn keep(length: f64, width: f64) -> Keep {
    Keep { length, width }
}

#[test]
fn the_corner_beside_a_plate_is_found() {
    // A plate of 300 x 200 in the corner of film 400 wide, and a tall one behind it.
    let mut job = job_of(400.0, vec![rectangle("a", 300., 200.), rectangle("b", 100., 400.)]);
    job.gap = 4.0;
    let layout = assemble(&job, vec![put(0, 0., 0.), put(1, 304., 0.)], made_by());
    let found = offcuts(&layout, keep(100., 100.));
    let [only] = found.as_slice() else { panic!("{found:?}") };
    // 300 x 196 is free; the grid has squares of 5 mm.
    assert!(only.length() >= 290. && only.length() <= 300., "{only:?}");
    assert!(only.width() >= 186. && only.width() <= 196. && only.at.min.y >= 204., "{only:?}");
    assert!(offcuts(&layout, keep(310., 50.)).is_empty(), "none is as long as that");
    assert!(offcuts(&layout, keep(50., 410.)).is_empty(), "wider than the film");
}

#[test]
fn flaws_are_no_film_and_holes_are() {
    let frame = Region::new(
        ring(&[(0., 0.), (400., 0.), (400., 400.), (0., 400.)]),
        vec![ring(&[(50., 50.), (350., 50.), (350., 350.), (50., 350.)])],
    )
    .unwrap();
    let mut job = job_of(400.0, vec![panel("frame", vec![frame])]);
    let layout = assemble(&job, vec![put(0, 0., 0.)], made_by());
    let found = offcuts(&layout, keep(100., 100.));
    assert!(found.len() == 1 && found[0].area() > 0.9 * 300. * 300., "{found:?}");
    job.roll.flaws = vec![ring(&[(190., 40.), (210., 40.), (210., 360.), (190., 360.)])];
    let layout = assemble(&job, vec![put(0, 0., 0.)], made_by());
    let found = offcuts(&layout, keep(100., 100.));
    assert!(found.len() == 2 && found.iter().all(|o| o.length() <= 140.), "{found:?}");
}

/// The area of the largest free rectangle at least as large as `keep` between axis-parallel boxes, by trying
/// all that are bounded by their sides.
fn brute(boxes: &[Bounds], length: f64, width: f64, least: Keep) -> f64 {
    let mut xs: Vec<f64> = boxes.iter().flat_map(|b| [b.min.x, b.max.x]).chain([0.0, length]).collect();
    let mut ys: Vec<f64> = boxes.iter().flat_map(|b| [b.min.y, b.max.y]).chain([0.0, width]).collect();
    ys.retain(|y| *y <= width); // a box may reach over the edge of the film
    xs.sort_by(f64::total_cmp);
    ys.sort_by(f64::total_cmp);
    let mut best = 0.0f64;
    for (i, x0) in xs.iter().enumerate() {
        for x1 in &xs[i..] {
            for (j, y0) in ys.iter().enumerate() {
                for y1 in &ys[j..] {
                    let meets = |b: &Bounds| b.min.x < *x1 && b.max.x > *x0 && b.min.y < *y1 && b.max.y > *y0;
                    if x1 - x0 >= least.length && y1 - y0 >= least.width && !boxes.iter().any(meets) {
                        best = best.max((x1 - x0) * (y1 - y0));
                    }
                }
            }
        }
    }
    best
}

proptest! {
    // Each case tries many rectangles.
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn nearly_the_largest_rectangle_is_found(
        boxes in prop::collection::vec((0.0..900.0f64, 0.0..500.0f64, 5.0..200.0f64, 5.0..200.0f64), 1..7),
    ) {
        let sized = |(i, (_, _, l, w)): (usize, &(f64, f64, f64, f64))| rectangle(&i.to_string(), *l, *w);
        let job = job_of(600.0, boxes.iter().enumerate().map(sized).collect());
        let places = boxes.iter().enumerate().map(|(i, (x, y, ..))| put(i, *x, *y)).collect();
        let layout = assemble(&job, places, made_by());
        let solid: Vec<Bounds> = boxes.iter().map(|(x, y, l, w)| Bounds { min: Point { x: *x, y: *y }, max: Point { x: x + l, y: y + w } }).collect();
        let least = keep(60.0, 40.0);
        let square = 2.0;
        // What is certain to be found is what stays as large as asked for when two squares are lost at each end.
        let roomy = keep(60.0 + 4.0 * square, 40.0 + 4.0 * square);
        let best = brute(&solid, layout.measures.length, 600.0, roomy);
        let found = offcuts(&layout, least).first().map_or(0.0, Offcut::area);
        let (perimeter, best_there) = (2.0 * (layout.measures.length + 600.0), best > 0.0);
        prop_assert!(!best_there || found >= best - 2.0 * square * perimeter, "found {found} of {best}");
        prop_assert!(found <= brute(&solid, layout.measures.length, 600.0, keep(1.0, 1.0)) + 1e-6);
    }

    #[test]
    fn offcuts_keep_the_gap_to_every_panel_and_lie_apart(
        turns in prop::collection::vec((0.0..360.0f64, 0.0..800.0f64, 50.0..450.0f64), 1..6),
        gap in 0.5..12.0f64,
    ) {
        let wedge = || Region::solid(ring(&[(0., 0.), (150., 20.), (90., 60.), (80., 130.)]));
        let mut job = job_of(600.0, (0..turns.len()).map(|i| panel(&i.to_string(), vec![wedge()])).collect());
        job.gap = gap;
        let places = turns.iter().enumerate().map(|(i, (rotation, x, y))| Placement { rotation: *rotation, ..put(i, *x, *y) }).collect();
        let layout = assemble(&job, places, made_by());
        let found = offcuts(&layout, keep(50.0, 50.0));
        for (i, offcut) in found.iter().enumerate() {
            let Bounds { min, max } = offcut.at;
            prop_assert!(min.x >= 0.0 && min.y >= 0.0 && max.y <= 600.0 && max.x <= layout.measures.length + 1e-9);
            prop_assert!(offcut.length() >= 50.0 - 1e-9 && offcut.width() >= 50.0 - 1e-9);
            let square = Contours::of_rings(vec![vec![min, Point { x: max.x, y: min.y }, max, Point { x: min.x, y: max.y }]]);
            for (rotation, x, y) in &turns {
                let turn = Turn::degrees(*rotation);
                let points = wedge().outline().counter_clockwise().into_iter().map(|p| turn.apply(p) + Point { x: *x, y: *y });
                let panel = Contours::of_rings(vec![points.collect()]);
                prop_assert!(square.distance(&panel, gap + 1.0).is_none_or(|d| d >= gap - 1e-6));
            }
            for other in &found[..i] {
                prop_assert!(offcut.area() <= other.area() + 1e-9, "the largest first");
                let (a, b) = (offcut.at, other.at);
                let apart = a.max.x <= b.min.x || b.max.x <= a.min.x || a.max.y <= b.min.y || b.max.y <= a.min.y;
                prop_assert!(apart, "{offcut:?} {other:?}");
            }
        }
    }
}

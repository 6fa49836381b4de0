//! Tours through points whose shortest tour is known, and tours that must keep an order.

use rand::rngs::Xoshiro256PlusPlus;
use rand::{RngExt, SeedableRng};
use tuckroll::floor::tour::{Choice, Stop, Tour, TourOptions, least_x_tour, tour};
use tuckroll::shape::Point;

fn p(x: f64, y: f64) -> Point {
    Point { x, y }
}

fn stops(points: &[Point]) -> Vec<Stop> {
    points
        .iter()
        .map(|&at| Stop { class: 0, choices: vec![Choice { enter: at, leave: at }], after: vec![] })
        .collect()
}

fn options(from: Point, to: Point) -> TourOptions {
    TourOptions { from, to, feed_weight: 0.0, kicks_per_stop: 100 }
}

/// The length along the visits, summed anew, after making sure that each stop is visited once.
fn walked(stops: &[Stop], found: &Tour, from: Point, to: Point) -> f64 {
    let mut seen: Vec<usize> = found.visits.iter().map(|v| v.0).collect();
    seen.sort_unstable();
    assert!(seen.iter().copied().eq(0..stops.len()));
    let (mut here, mut sum) = (from, 0.0);
    for &(stop, choice) in &found.visits {
        let way = stops[stop].choices[choice];
        sum += libm::hypot(way.enter.x - here.x, way.enter.y - here.y);
        here = way.leave;
    }
    sum + libm::hypot(to.x - here.x, to.y - here.y)
}

/// The closed tour through the points, within `over` of its length.
fn closed_tour_is(points: &[Point], shortest: f64, over: f64) {
    let stops = stops(points);
    let found = tour(&stops, &options(points[0], points[0]));
    let length = walked(&stops, &found, points[0], points[0]);
    assert!((length - found.length).abs() < 1e-6);
    assert!(length >= shortest - 1e-6, "{length} is shorter than possible ({shortest})");
    assert!(length <= shortest * over, "{length} for {shortest}");
}

/// On a circle the shortest tour is the polygon: n chords of 2 r sin(pi/n).
#[test]
fn points_on_a_circle_are_toured_along_it() {
    for n in [5_u32, 40, 300] {
        // 77 shares no factor with any n, so neighbours on the circle are far apart in the list.
        let angle = |i: u32| std::f64::consts::TAU * f64::from(i * 77 % n) / f64::from(n);
        let points: Vec<Point> =
            (0..n).map(|i| p(100.0 * libm::cos(angle(i)), 100.0 * libm::sin(angle(i)))).collect();
        let chord = 200.0 * libm::sin(std::f64::consts::PI / f64::from(n));
        closed_tour_is(&points, f64::from(n) * chord, 1.0 + 1e-9);
    }
}

/// In a grid with an even number of points no step is shorter than the spacing, and a tour of
/// that many spacings exists.
#[test]
fn grids_are_toured_almost_without_a_diagonal() {
    for (columns, rows) in [(6_u32, 5_u32), (10, 10), (20, 15)] {
        let mut points: Vec<Point> =
            (0..columns * rows).map(|i| p(f64::from(i % columns), f64::from(i / columns))).collect();
        let mut rng = Xoshiro256PlusPlus::seed_from_u64(5);
        for i in (1..points.len()).rev() {
            points.swap(i, rng.random_range(0..=i));
        }
        closed_tour_is(&points, f64::from(columns * rows), 1.02);
    }
}

/// The 52 places of the instance berlin52 of TSPLIB (G. Reinelt, ORSA Journal on Computing 3,
/// 1991). Coordinates and the length of the shortest tour, 7544.366 before rounding each way
/// to a whole number (7542 after it), are from memory.
#[test]
fn fifty_two_places_are_toured_the_shortest_way() {
    const PLACES: [(f64, f64); 52] = [
        (565., 575.),
        (25., 185.),
        (345., 750.),
        (945., 685.),
        (845., 655.),
        (880., 660.),
        (25., 230.),
        (525., 1000.),
        (580., 1175.),
        (650., 1130.),
        (1605., 620.),
        (1220., 580.),
        (1465., 200.),
        (1530., 5.),
        (845., 680.),
        (725., 370.),
        (145., 665.),
        (415., 635.),
        (510., 875.),
        (560., 365.),
        (300., 465.),
        (520., 585.),
        (480., 415.),
        (835., 625.),
        (975., 580.),
        (1215., 245.),
        (1320., 315.),
        (1250., 400.),
        (660., 180.),
        (410., 250.),
        (420., 555.),
        (575., 665.),
        (1150., 1160.),
        (700., 580.),
        (685., 595.),
        (685., 610.),
        (770., 610.),
        (795., 645.),
        (720., 635.),
        (760., 650.),
        (475., 960.),
        (95., 260.),
        (875., 920.),
        (700., 500.),
        (555., 815.),
        (830., 485.),
        (1170., 65.),
        (830., 610.),
        (605., 625.),
        (595., 360.),
        (1340., 725.),
        (1740., 245.),
    ];
    let points: Vec<Point> = PLACES.iter().map(|&(x, y)| p(x, y)).collect();
    closed_tour_is(&points, 7544.365, 1.01);
}

/// A line that may run either way is left at the far end; a closed contour is begun where it
/// suits the way. Worked by hand: 0 -> 10 (line to 20) -> 30 nearest place of a contour -> 100.
#[test]
fn lines_and_start_points_are_chosen_to_suit_the_way() {
    let line = |a: Point, b: Point| vec![Choice { enter: a, leave: b }, Choice { enter: b, leave: a }];
    let ring = |xs: &[f64]| xs.iter().map(|&x| Choice { enter: p(x, 0.0), leave: p(x, 0.0) }).collect();
    let stops = vec![
        Stop { class: 0, choices: ring(&[35.0, 50.0, 30.0]), after: vec![] },
        Stop { class: 0, choices: line(p(20.0, 0.0), p(10.0, 0.0)), after: vec![] },
    ];
    let found = tour(&stops, &options(p(0.0, 0.0), p(100.0, 0.0)));
    assert_eq!(found.visits[0], (1, 1));
    assert_eq!(found.visits[1].0, 0);
    assert_eq!(found.length, 90.0);
}

/// Random stops with choices, classes and an order to keep.
fn random_stops(seed: u64) -> Vec<Stop> {
    let mut rng = Xoshiro256PlusPlus::seed_from_u64(seed);
    let count = rng.random_range(0..90);
    let mut stops: Vec<Stop> = Vec::new();
    for i in 0..count {
        let class = rng.random_range(0..4);
        let at = p(f64::from(class) * 100.0 + rng.random_range(0.0..150.0), rng.random_range(0.0..600.0));
        let far = at + p(rng.random_range(0.0..30.0), rng.random_range(0.0..30.0));
        let choices = if rng.random_range(0..4) == 0 {
            vec![Choice { enter: at, leave: far }, Choice { enter: far, leave: at }]
        } else {
            [at, far, (at + far) * 0.5].map(|q| Choice { enter: q, leave: q }).to_vec()
        };
        let mut after = Vec::new();
        if i > 0 && rng.random_range(0..3) == 0 {
            let first = rng.random_range(0..i);
            if stops[first].class <= class {
                after.push(first);
            }
        }
        stops.push(Stop { class, choices, after });
    }
    stops
}

#[test]
fn random_tours_keep_classes_and_precedence_and_are_no_longer_than_by_least_x() {
    for seed in 0..30 {
        let stops = random_stops(seed);
        let options = TourOptions { kicks_per_stop: 20, ..options(p(0.0, 0.0), p(500.0, 0.0)) };
        let found = tour(&stops, &options);
        let length = walked(&stops, &found, options.from, options.to);
        assert!((length - found.length).abs() < 1e-6);
        assert!(found.length <= least_x_tour(&stops, &options).length + 1e-6);
        let mut place = vec![0; stops.len()];
        for (k, &(stop, _)) in found.visits.iter().enumerate() {
            place[stop] = k;
        }
        for (i, stop) in stops.iter().enumerate() {
            assert!(
                stop.after.iter().all(|&first| place[first] < place[i]),
                "seed {seed}: stop {i} is too early"
            );
        }
        assert!(found.visits.windows(2).all(|w| stops[w[0].0].class <= stops[w[1].0].class), "seed {seed}");
        assert_eq!(found, tour(&stops, &options));
    }
}

/// Small enough for all orders to be tried.
#[test]
fn six_stops_get_the_best_of_all_orders() {
    fn best(stops: &[Stop], left: &mut Vec<usize>, here: Point, to: Point, done: &mut Vec<usize>) -> f64 {
        if left.is_empty() {
            return libm::hypot(to.x - here.x, to.y - here.y);
        }
        let mut least = f64::INFINITY;
        for k in 0..left.len() {
            let stop = left.remove(k);
            if stops[stop].after.iter().all(|f| done.contains(f))
                && left.iter().all(|&o| stops[o].class >= stops[stop].class)
            {
                done.push(stop);
                for c in &stops[stop].choices {
                    let way = libm::hypot(c.enter.x - here.x, c.enter.y - here.y);
                    least = least.min(way + best(stops, left, c.leave, to, done));
                }
                done.pop();
            }
            left.insert(k, stop);
        }
        least
    }
    let mut shortest = 0;
    for seed in 0..40 {
        let mut stops = random_stops(seed);
        stops.truncate(6);
        let options = options(p(0.0, 0.0), p(500.0, 0.0));
        let least = best(&stops, &mut (0..stops.len()).collect(), options.from, options.to, &mut vec![]);
        let found = tour(&stops, &options).length;
        assert!(found >= least - 1e-6, "seed {seed}: {found} is shorter than any order ({least})");
        assert!(found <= 1.1 * least, "seed {seed}: {found} for {least}");
        shortest += usize::from(found <= least + 1e-6);
    }
    assert!(shortest >= 36, "only {shortest} of 40 are the shortest");
}

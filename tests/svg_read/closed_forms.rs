//! Areas of the fixtures against formulas for the figures in them.

use super::drawing;
use std::f64::consts::PI;
use tuckroll::read::ReadOptions;

/// Fine enough that what is left is the formula: an inscribed polygon falls short of a curve of
/// length s by less than tolerance x s.
const FINE: ReadOptions =
    ReadOptions { chord_tolerance_mm: 1e-5, join_tolerance_mm: 0.05, mm_per_unit: None };

/// Compares the areas of all outlines, in drawing units, in the order of the file.
fn areas_are(name: &str, expected: &[f64]) {
    let d = drawing(name, &FINE);
    assert!(d.broken.is_empty(), "{:?}", d.broken);
    let found: Vec<f64> = d.found.iter().map(|f| f.region.area()).collect();
    assert_eq!(found.len(), expected.len(), "{found:?} {:?}", d.warnings);
    for (i, (f, e)) in found.iter().zip(expected).enumerate() {
        assert!((f / e - 1.0).abs() < 1e-5, "{name}: outline {}: {f}, expected {e}", i + 1);
    }
}

/// The integral of y dx along a cubic Bézier curve. The integrand is a polynomial of degree 5,
/// for which the three-point Gauss-Legendre rule is exact (Abramowitz & Stegun, 25.4.30).
fn under_cubic([(x0, y0), (x1, y1), (x2, y2), (x3, y3)]: [(f64, f64); 4]) -> f64 {
    let value = |t: f64| {
        let s = 1.0 - t;
        let y = s * s * s * y0 + 3.0 * s * s * t * y1 + 3.0 * s * t * t * y2 + t * t * t * y3;
        let dx = 3.0 * (s * s * (x1 - x0) + 2.0 * s * t * (x2 - x1) + t * t * (x3 - x2));
        y * dx
    };
    let off = 0.5 * 0.6_f64.sqrt();
    (5.0 * value(0.5 - off) + 8.0 * value(0.5) + 5.0 * value(0.5 + off)) / 18.0
}

/// A disc segment of angle `a` (radians).
fn segment(r: f64, a: f64) -> f64 {
    0.5 * r * r * (a - libm::sin(a))
}

#[test]
fn basic_shapes() {
    let corner = (4.0 - PI) * 6.0 * 4.0;
    let slot = 1000.0 - (4.0 - PI) * 12.5 * 12.5;
    areas_are(
        "shapes.svg",
        &[
            1000.0,
            1000.0 - corner,
            slot,
            PI * 14.5 * 14.5,
            PI * 24.0 * 12.0,
            1200.0,
            450.0,
            750.0,
            // Shoelace of (10,85) (60,85) (60,110) (30,110).
            0.5 * (50.0 + 30.0) * 25.0,
        ],
    );
}

#[test]
fn every_path_command() {
    // A parabola's arch over its chord: two thirds of base x height, height half the control's.
    let arch = |base: f64, control: f64| 2.0 / 3.0 * base * 0.5 * control;
    let wave =
        [[(34., 34.), (36., 30.), (40., 30.), (42., 34.)], [(42., 34.), (44., 38.), (48., 38.), (50., 34.)]];
    let below = |c: [(f64, f64); 4]| under_cubic(c.map(|(x, y)| (x, 46.0 - y)));
    areas_are(
        "paths.svg",
        &[
            0.5 * PI * 64.0,
            0.75 * PI * 36.0,
            0.25 * PI * 144.0,
            PI * 12.0 * 5.0,
            24.0 * 10.0,
            2.0 * (below(wave[0]) + below(wave[1])),
            0.5 * PI * 25.0,
            // The second subpath runs the other way round.
            64.0 - 16.0,
            arch(8.0, 8.0),
            60.0,
        ],
    );
}

#[test]
fn transforms_scale_areas_by_their_determinants() {
    let ear = under_cubic([(0., 0.), (0., 15.), (20., 15.), (20., 0.)])
        + under_cubic([(20., 0.), (20., -10.), (10., -15.), (0., -15.)]).abs();
    areas_are(
        "transforms.svg",
        &[
            200.0,
            0.75 * 300.0,
            PI * 100.0,
            PI * 72.0,
            4.0 * (100.0 - (4.0 - PI) * 4.0),
            400.0,
            0.25 * (0.5 * PI * 400.0 + 0.5 * PI * 200.0),
            // An F: the stem, the long arm, the short arm.
            10.0 * 30.0 + 20.0 * 10.0 + 15.0 * 8.0,
            ear,
        ],
    );
}

#[test]
fn transforms_and_sizes_in_styles() {
    areas_are("style-transforms.svg", &[800.0, PI * 400.0, 800.0]);
}

#[test]
fn fill_rules() {
    let phi = 0.5 * (1.0 + 5.0_f64.sqrt());
    // Star on a circle of radius 30: ten triangles from the centre between a tip and an inner
    // corner at 30/phi^2, 36 degrees apart; the pentagon in it has that circumradius.
    let star = 5.0 * libm::sin(0.2 * PI) * 900.0 / (phi * phi);
    let pentagon = 2.5 * libm::sin(0.4 * PI) * 900.0 / (phi * phi * phi * phi);
    let tip = (star - pentagon) / 5.0;
    let lens = 2.0 * segment(15.0, 2.0 * libm::acos(9.0 / 15.0));
    areas_are(
        "fill-rules.svg",
        &[
            star,
            tip,
            tip,
            tip,
            tip,
            tip,
            50.0 * 50.0 - 34.0 * 34.0,
            18.0 * 18.0,
            2500.0,
            PI * (625.0 - 225.0),
            2.0 * PI * 225.0 - lens,
            720.0,
        ],
    );
}

#[test]
fn instances_and_inner_viewports() {
    let fin = 0.5 * (30.0 + 14.0) * 18.0;
    areas_are(
        "instances.svg",
        &[
            fin,
            fin,
            fin,
            0.64 * fin,
            0.64 * fin,
            PI * 400.0,
            PI * 225.0,
            24.0 * 2.0 * 6.0 * 4.0,
            0.5 * 60.0 * 20.0,
            150.0 * 0.8 * 50.0 * 0.8,
        ],
    );
}

#[test]
fn styles_layers_and_what_is_hidden() {
    areas_are(
        "styles.svg",
        &[
            10_000.0 - 3600.0,
            PI * 48.0 * 48.0,
            3600.0,
            7200.0,
            200.0 * 120.0 - 120.0 * 60.0,
            PI * 96.0 * 48.0,
        ],
    );
    let d = drawing("styles.svg", &FINE);
    let layers: Vec<&str> = d.found.iter().map(|f| f.layer.as_str()).collect();
    assert_eq!(layers, ["Kiss cut", "marks", "", "", "", ""]);
    assert_eq!(d.mm_per_unit, Some(25.4 / 96.0));
}

#[test]
fn lettering_has_its_holes() {
    let o = |points: [[(f64, f64); 4]; 4]| points.into_iter().map(under_cubic).sum::<f64>().abs();
    let outer = o([
        [(300., 300.), (300., 410.), (245., 500.), (175., 500.)],
        [(175., 500.), (105., 500.), (50., 410.), (50., 300.)],
        [(50., 300.), (50., 190.), (105., 100.), (175., 100.)],
        [(175., 100.), (245., 100.), (300., 190.), (300., 300.)],
    ]);
    let inner = o([
        [(245., 300.), (245., 385.), (214., 440.), (175., 440.)],
        [(175., 440.), (136., 440.), (105., 385.), (105., 300.)],
        [(105., 300.), (105., 215.), (136., 160.), (175., 160.)],
        [(175., 160.), (214., 160.), (245., 215.), (245., 300.)],
    ]);
    // Shoelace of the A, less its counter.
    let a = 0.5 * (60.0 + 360.0) * 400.0 - 0.5 * (152.0 + 220.0) * 100.0 - 0.5 * 108.0 * 160.0;
    areas_are("lettering.svg", &[outer - inner, a, 70.0 * 260.0, PI * 45.0 * 45.0]);
    let d = drawing("lettering.svg", &FINE);
    assert_eq!(d.found.iter().map(|f| f.region.holes().len()).collect::<Vec<_>>(), [1, 1, 0, 0]);
    assert!((d.mm_per_unit.unwrap() - 0.1).abs() < 1e-15);
}

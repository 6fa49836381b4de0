//! What holds for every body, through the public functions of this room.

use super::profile::{Meridian, NoseShape, StationsAlong, Tip, measured, nose, section};
use super::*;
use crate::shape::length;
use proptest::prelude::*;
use std::f64::consts::PI;

fn film(stretch: (f64, f64), shrink: (f64, f64)) -> Film {
    let limit = |(warn, stop)| Limit { warn, stop };
    Film {
        id: "f".into(),
        name: "f".into(),
        max_stretch: limit(stretch),
        max_shrink: limit(shrink),
        thickness: None,
        source: String::new(),
    }
}

/// A film that can do anything, so that only geometry is looked at.
fn any_film() -> Film {
    film((1e3, 1e3), (1e3, 1e3))
}

fn seam(overlap: f64) -> Seam {
    Seam { overlap, lap: Lap::One, under: Hand::Left }
}

fn body(meridian: Meridian, pieces: Pieces, overlap: f64) -> Shell {
    Shell {
        meridian,
        pieces,
        fewest: 2,
        seam: seam(overlap),
        aft: End::default(),
        fore: End::default(),
        balance: 0.0,
        cap_diameter: None,
        front: 0.0,
    }
}

fn made(meridian: &Meridian, n: u32, tolerance: f64) -> Made {
    let film = any_film();
    let terms = Terms { film: &film, width: None, tolerance };
    shell(&body(meridian.clone(), Pieces::Exactly(n), 0.0), "", &terms).unwrap()
}

fn area(made: &Made) -> f64 {
    made.panels.iter().map(|p| f64::from(p.copies) * p.region.area()).sum()
}

fn line_length(points: &[Point]) -> f64 {
    points.windows(2).map(|w| length(w[1] - w[0])).sum()
}

/// Surface of revolution as a sum of many frustums, pi (r0 + r1) slant, from the formulas r(x) as
/// they are printed (G. A. Crowell Sr., *The Descriptive Geometry of Nose Cones*, 1996), not from
/// the curves of this room. Stations crowd towards the tip as t = (i / n)^4.
fn frustum_sum(r: impl Fn(f64) -> f64, length: f64) -> f64 {
    let steps = 20_000;
    let place = |i: u32| {
        let w = f64::from(i) / f64::from(steps);
        let t = w * w * w * w;
        (length * t, r(t))
    };
    (0..steps)
        .map(|i| {
            let ((x0, r0), (x1, r1)) = (place(i), place(i + 1));
            PI * (r0 + r1) * libm::hypot(x1 - x0, r1 - r0)
        })
        .sum()
}

fn printed_radius(shape: NoseShape, base: f64, l: f64, t: f64) -> f64 {
    match shape {
        NoseShape::TangentOgive => {
            let rho = (base * base + l * l) / (2.0 * base);
            libm::sqrt(rho * rho - (l - l * t) * (l - l * t)) + base - rho
        }
        NoseShape::Elliptical => base * libm::sqrt(1.0 - (1.0 - t) * (1.0 - t)),
        NoseShape::Parabolic { k } => base * (2.0 * t - k * t * t) / (2.0 - k),
        NoseShape::Power { n } => base * libm::pow(t, n),
        NoseShape::Haack { c } => {
            let theta = libm::acos(1.0 - 2.0 * t);
            let sin = libm::sin(theta);
            let square = theta - 0.5 * libm::sin(2.0 * theta) + c * sin * sin * sin;
            base * libm::sqrt(square.max(0.0) / PI)
        }
        _ => base * t,
    }
}

fn shapes() -> impl Strategy<Value = NoseShape> {
    prop_oneof![
        Just(NoseShape::Conical),
        Just(NoseShape::TangentOgive),
        Just(NoseShape::Elliptical),
        (0.0..=1.0_f64).prop_map(|c| NoseShape::Haack { c }),
        (0.3..=1.0_f64).prop_map(|n| NoseShape::Power { n }),
        (0.0..=1.0_f64).prop_map(|k| NoseShape::Parabolic { k }),
    ]
}

fn tube_of(n: u32, lean: f64, cuts: [Option<Slant>; 2], front: f64) -> Tube {
    Tube {
        radius: 40.0,
        length: 300.0,
        pieces: Pieces::Exactly(n),
        seam: seam(0.0),
        lean,
        cuts,
        aft: End::default(),
        fore: End::default(),
        front,
    }
}

fn slants() -> impl Strategy<Value = Option<Slant>> {
    prop_oneof![
        Just(None),
        (-55.0..55.0_f64, -180.0..180.0_f64).prop_map(|(angle, toward)| Some(Slant { angle, toward })),
    ]
}

/// Numbers that a file may hold: ordinary ones, and those that nobody should write.
fn numbers() -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => 0.1..500.0_f64,
        1 => -10.0..10.0_f64,
        1 => prop::sample::select(vec![
            0.0, -0.0, -1.0, 1e-300, 1e-12, 1e6, 1e9, 1e15, 1e300, f64::MAX, f64::INFINITY, f64::NEG_INFINITY,
            f64::NAN, f64::MIN_POSITIVE,
        ]),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Second opinion on area and surface of every shape.
    #[test]
    fn gores_cover_the_surface_of_the_printed_formula(
        shape in shapes(), base in 8.0..100.0_f64, fineness in 1.0..8.0_f64, n in 1..13_u32,
    ) {
        let l = 2.0 * base * fineness;
        let expected = frustum_sum(|t| printed_radius(shape, base, l, t), l);
        let m = shape.meridian(base, l).unwrap();
        prop_assert!((m.surface_area() / expected - 1.0).abs() < 1e-6, "{} for {expected}", m.surface_area());
        if n > 1 || m.is_straight() {
            let sum = area(&made(&m, n, 1e-4));
            prop_assert!((sum / expected - 1.0).abs() < 1e-4, "{sum} for {expected}");
        }
    }

    /// A boat tail is a transition turned end for end, and so are its panels.
    #[test]
    fn a_boat_tail_is_a_transition_turned_round(
        shape in shapes(), small in 5.0..40.0_f64, more in 1.0..40.0_f64, l in 10.0..200.0_f64, n in 2..9_u32,
    ) {
        let forward = section(shape, small, small + more, l);
        let back = section(shape, small + more, small, l);
        prop_assert_eq!(forward.is_ok(), back.is_ok());
        if let (Ok(forward), Ok(back)) = (forward, back) {
            let (a, b) = (made(&forward, n, 0.001), made(&back, n, 0.001));
            prop_assert!((area(&a) / area(&b) - 1.0).abs() < 1e-6);
            prop_assert!((a.width() - b.width()).abs() < 1e-6);
            prop_assert!((a.demand.shrink - b.demand.shrink).abs() < 1e-6);
        }
    }

    /// A cone by any other name gives the sector of the cone: area pi R slant, angle 2 pi R / slant.
    #[test]
    fn every_way_to_say_cone_gives_its_sector(r in 5.0..100.0_f64, l in 20.0..400.0_f64, n in 1..9_u32) {
        let slant = libm::hypot(r, l);
        let taped = [(0.0, 0.0), (0.3 * slant, 0.3 * r), (slant, r)];
        let ruled = [(0.0, 0.0), (0.7 * l, 0.7 * r), (l, r)];
        for m in [
            NoseShape::Conical.meridian(r, l),
            NoseShape::Power { n: 1.0 }.meridian(r, l),
            NoseShape::Parabolic { k: 0.0 }.meridian(r, l),
            measured(&taped, StationsAlong::Surface, 0.0),
            measured(&ruled, StationsAlong::Axis, 0.0),
        ] {
            let made = made(&m.unwrap(), n, 1e-4);
            prop_assert!((area(&made) / (PI * r * slant) - 1.0).abs() < 1e-4);
            let seams = &made.panels[0].seams;
            let turn = |line: &[Point]| libm::atan2(line[0].y, slant - line[0].x);
            let angle = turn(&seams[0]) - turn(&seams[1]);
            let expected = 2.0 * PI * r / slant / f64::from(n);
            let off = (angle - expected) / (2.0 * PI);
            prop_assert!((off - libm::round(off)).abs() < 1e-9, "{angle} for {expected}");
            prop_assert!((line_length(&seams[0]) - slant).abs() < 1e-6);
            prop_assert_eq!(made.verdict, Verdict::Fits);
        }
    }

    /// Going round a tube, the right seam of a piece is the left seam of the next one.
    #[test]
    fn wraps_with_slanted_ends_meet_in_their_seams(
        n in 1..7_u32, lean in -25.0..25.0_f64, aft in slants(), fore in slants(), front in -180.0..180.0_f64,
    ) {
        let film = any_film();
        let terms = Terms { film: &film, width: None, tolerance: 0.001 };
        let Ok(made) = tube(&tube_of(n, lean, [aft, fore], front), "", &terms) else { return Ok(()) };
        let pieces: Vec<&FlatPanel> = if made.panels.len() == 1 {
            vec![&made.panels[0]; n as usize]
        } else {
            made.panels.iter().collect()
        };
        for (i, piece) in pieces.iter().enumerate() {
            let right = &piece.seams[1];
            let left = &pieces[(i + 1) % pieces.len()].seams[0];
            for (a, b) in right.iter().zip(left) {
                prop_assert!((a.x - b.x).abs() < 1e-6, "seam {}: {} beside {}", i + 1, a.x, b.x);
            }
            prop_assert!((line_length(right) - line_length(left)).abs() < 1e-6);
        }
        // A slanted plane takes as much from one side as it gives to the other.
        prop_assert!((area(&made) / (2.0 * PI * 40.0 * 300.0) - 1.0).abs() < 1e-4);
    }

    /// What is said of the whole seam is what a ruler finds on the flat panel.
    #[test]
    fn the_seam_excess_can_be_measured_on_the_panel(
        shape in shapes(), base in 20.0..80.0_f64, fineness in 0.5..4.0_f64, n in 3..13_u32,
        balance in 0.0..=1.0_f64,
    ) {
        let m = shape.meridian(base, 2.0 * base * fineness).unwrap();
        if m.is_straight() {
            return Ok(());
        }
        let film = any_film();
        let terms = Terms { film: &film, width: None, tolerance: 1e-4 };
        let gores = Shell { balance, ..body(m, Pieces::Exactly(n), 0.0) };
        let made = shell(&gores, "", &terms).unwrap();
        let panel = &made.panels[0];
        let measured = line_length(&panel.seams[0]) / panel.region.bounds().width() - 1.0;
        prop_assert!((measured - made.strain.excess).abs() < 2e-4, "{measured} for {}", made.strain.excess);
    }

    /// "auto" takes the fewest that fit film and roll without heat: one less does not.
    #[test]
    fn auto_takes_the_fewest_that_fit(
        shape in shapes(), base in 15.0..100.0_f64, fineness in 0.7..6.0_f64, width in 60.0..700.0_f64,
    ) {
        let film = film((0.10, 0.15), (0.03, 0.06));
        let terms = Terms { film: &film, width: Some(width), tolerance: 0.05 };
        let m = shape.meridian(base, 2.0 * base * fineness).unwrap();
        let with = |pieces| shell(&body(m.clone(), pieces, 6.0), "", &terms);
        let Ok(auto) = with(Pieces::Auto) else { return Ok(()) };
        prop_assert!(auto.width() <= width);
        prop_assert!(auto.verdict != Verdict::WillNotLie);
        if auto.pieces > 2
            && let Ok(fewer) = with(Pieces::Exactly(auto.pieces - 1))
        {
            prop_assert!(fewer.verdict > auto.verdict, "{} of {}", fewer.pieces, auto.pieces);
        }
    }

    /// No number makes a part panic or run on for ever.
    #[test]
    fn no_number_is_too_strange(
        v in prop::collection::vec(numbers(), 12), which in 0..7_u32, tip in 0..4_u32, n in 0..60_u32,
    ) {
        let shape = match which {
            0 => NoseShape::Conical,
            1 => NoseShape::TangentOgive,
            2 => NoseShape::SecantOgive { radius: v[0] },
            3 => NoseShape::Elliptical,
            4 => NoseShape::Parabolic { k: v[0] },
            5 => NoseShape::Power { n: v[0] },
            _ => NoseShape::Haack { c: v[0] },
        };
        let tip = match tip {
            0 => Tip::Plain,
            1 => Tip::Blunted { radius: v[3] },
            2 => Tip::FromRadius(v[3]),
            _ => Tip::FromStation(v[3]),
        };
        let film = film((0.10, 0.15), (0.03, 0.06));
        let terms = Terms { film: &film, width: Some(600.0), tolerance: 0.02 };
        let bodies = [
            nose(shape, v[1], v[2], tip),
            section(shape, v[1], v[4], v[2]),
            measured(&[(0.0, v[1]), (v[2], v[4]), (v[2] + v[5], v[6])], StationsAlong::Axis, 0.0),
            measured(&[(0.0, v[1]), (v[2], v[4]), (v[2] + v[5], v[6])], StationsAlong::Surface, 0.0),
        ];
        for meridian in bodies.into_iter().flatten() {
            let pieces = if n == 0 { Pieces::Auto } else { Pieces::Exactly(n) };
            let end = |a, b, c| End { reach: a, trim: b, fold: c };
            let part = Shell {
                balance: v[7],
                cap_diameter: Some(v[8]),
                aft: end(v[9], 0.0, 0.0),
                fore: end(0.0, v[10], v[11]),
                ..body(meridian, pieces, v[5])
            };
            let _ = shell(&part, "A", &terms);
        }
        let cut = |angle| Some(Slant { angle, toward: v[6] });
        let part = Tube { radius: v[1], length: v[2], ..tube_of(n, v[5], [cut(v[3]), cut(v[4])], v[7]) };
        let _ = tube(&part, "A", &terms);
        let planform = match n % 3 {
            0 => Planform::Trapezoid { root: v[0], tip: v[1], span: v[2], sweep: v[3] },
            1 => Planform::Elliptical { root: v[0], span: v[1] },
            _ => Planform::Polygon(v.chunks(2).map(|c| Point { x: c[0], y: c[1] }).collect()),
        };
        let edges = if n % 2 == 0 { EdgeFinish::SetBack(v[4]) } else { EdgeFinish::Wrap { width: v[4], first: None } };
        let _ = fin(&Fin { planform, count: n, root_allowance: v[5], edges }, "A", &terms);
    }
}

/// Marks of cones and frustums lie within the film, also where an allowance goes on towards the apex.
#[test]
fn marks_of_sectors_lie_within_their_panels() {
    let film = any_film();
    let terms = Terms { film: &film, width: None, tolerance: CHORD_TOLERANCE };
    for (fore, aft) in [(33.0, 12.4), (12.4, 33.0), (30.0, 29.0), (20.0, 80.0), (80.0, 20.0)] {
        for n in 1..5 {
            let m = section(NoseShape::Conical, fore, aft, 50.0).unwrap();
            let ends = End { trim: 7.0, ..End::default() };
            let part = Shell { aft: ends, fore: ends, ..body(m, Pieces::Exactly(n), 6.0) };
            for panel in shell(&part, "A-102 tail", &terms).unwrap().panels {
                assert!(panel.marks.len() > 10);
                for p in panel.marks.iter().flat_map(|mark| &mark.points) {
                    assert_eq!(panel.region.outline().locate(*p), Some(true), "{fore} {aft} {n}: {p:?}");
                }
            }
        }
    }
    // More film than there is cone left.
    let m = section(NoseShape::Conical, 33.0, 12.4, 50.0).unwrap();
    let long = End { trim: 40.0, ..End::default() };
    let fault = shell(&Shell { aft: long, ..body(m, Pieces::Exactly(1), 6.0) }, "", &terms).unwrap_err();
    assert!(fault.field == "aft" && fault.what.contains("cone closes"), "{fault:?}");
}

/// Film that begins a hair behind the tip has an end too narrow for any mark.
#[test]
fn a_trim_allowance_at_a_hair_thin_end_carries_no_marks() {
    let film = any_film();
    let terms = Terms { film: &film, width: None, tolerance: CHORD_TOLERANCE };
    let m = nose(NoseShape::TangentOgive, 20.0, 100.0, Tip::FromRadius(0.2)).unwrap();
    for n in [3, 6] {
        let fore = End { trim: 8.0, ..End::default() };
        let made = shell(&Shell { fore, ..body(m.clone(), Pieces::Exactly(n), 4.0) }, "A", &terms).unwrap();
        let panel = &made.panels[0];
        assert!(panel.marks.iter().flat_map(|mark| &mark.points).all(|p| p.x <= m.arc_length()));
    }
}

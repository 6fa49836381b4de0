//! Kits against published sizes, through the whole way from the file to the panel.

use super::{close, panel, parse, size};
use serde_json::{Value, json};
use std::f64::consts::PI;
use tuckroll::job::kits::{Films, KitOptions, KitPanels};

fn kit(unit: &str, parts: Value) -> Value {
    json!({"format": "tuckroll-kit-1", "name": "K", "unit": unit, "parts": parts})
}

fn made(kit: &Value) -> KitPanels {
    parse(kit, &KitOptions::default()).unwrap_or_else(|e| panic!("{e}"))
}

/// A circumference of 17.5 in in three pieces: 6.33 in wide before trimming (common practice, no
/// source: circumference / n plus about a quarter inch at each side).
#[test]
fn a_circumference_in_three_pieces() {
    let mut file =
        kit("in", json!([{"id": "t", "kind": "tube", "circumference": 17.5, "length": 20, "pieces": 3}]));
    file["seams"] = json!({"overlap": 0.25, "lap": "both"});
    close(size(panel(&made(&file), "t/wrap")).1, 6.33, 5e-3);
}

/// *Body Tube Data Tables*, D. Cook, 2016-2018: outer diameter 0.736 in; with 6 mm overlap 64.730 mm.
#[test]
fn the_wrap_of_a_published_tube() {
    let file = kit("mm", json!([{"id": "t", "kind": "tube", "diameter": 18.6944, "length": 300}]));
    let (long, wide) = size(panel(&made(&file), "t/wrap"));
    close(wide, 64.730, 6e-4);
    close(long, 300.0, 1e-9);
}

/// The same tables: two tubes of nearly one name are 1.325 and 1.340 or 1.346 in wide (and
/// modelrocketbuilding.blogspot.com, 2016): 1.2 to 1.7 mm round. One wrap does not cover both.
#[test]
fn tubes_that_are_nearly_alike_are_not_wrapped_as_one() {
    for (other, more) in [(1.340, 1.2), (1.346, 1.7)] {
        let file = |with_next: bool| {
            kit(
                "in",
                json!([
                {"id": "a", "kind": "tube", "diameter": 1.325, "length": 8, "with_next": with_next},
                {"id": "b", "kind": "tube", "diameter": other, "length": 8}]),
            )
        };
        let e = parse(&file(true), &KitOptions::default()).unwrap_err().to_string();
        assert!(e.contains("parts[0].with_next (part \"a\")") && e.contains("one diameter"), "{e}");
        let apart = made(&file(false));
        let wide = |id| 25.4 * size(panel(&apart, id)).1;
        close(wide("b/wrap") - wide("a/wrap"), more, 0.05);
    }
}

/// A film of this thickness in mm that lies on anything.
fn film(thickness: f64) -> Films {
    let film = json!({"id": "f", "thickness_mm": thickness,
        "max_stretch": {"warn": 90, "stop": 95}, "max_shrink": {"warn": 90, "stop": 96}});
    let library = json!({"format": "tuckroll-films-1", "films": [film]});
    Films::parse(library.to_string().as_bytes(), "films.json").unwrap()
}

/// A film of thickness t lies pi (d + t) round: 0.1 mm adds 0.314 mm, and only where asked.
#[test]
fn thickness_counts_only_where_asked() {
    let films = film(0.1);
    let wide = |count: bool| {
        let mut file = kit("mm", json!([{"id": "t", "kind": "tube", "diameter": 60, "length": 300}]));
        file["count_thickness"] = json!(count);
        let options = KitOptions { films: Some(&films), ..KitOptions::default() };
        size(panel(&parse(&file, &options).unwrap(), "t/wrap")).1
    };
    close(wide(false), 60.0 * PI + 6.0, 1e-9);
    close(wide(true) - wide(false), 0.314, 2e-4);
}

/// So it does round a nose that was measured, and what a tape tells of the bare body stays the same.
#[test]
fn thickness_counts_on_every_round_part() {
    let films = film(0.5);
    let made = |count: bool| {
        let points = json!([[0, 0], [60, 100], [150, 80.0 * PI]]);
        let taped =
            json!({"shape": "measured", "stations": "axis", "widths": "circumference", "points": points});
        let mut file = kit(
            "mm",
            json!([
                {"id": "n", "kind": "nose", "profile": taped, "gores": 4},
                {"id": "s", "kind": "nose", "profile": "ogive", "diameter": 80, "length": 200, "gores": 4},
                {"id": "t", "kind": "tube", "diameter": 80, "length": 300, "pieces": 4},
                {"id": "b", "kind": "transition", "fore_diameter": 80, "aft_diameter": 60, "length": 50, "pieces": 4},
            ]),
        );
        file["count_thickness"] = json!(count);
        parse(&file, &KitOptions { films: Some(&films), ..KitOptions::default() }).unwrap()
    };
    let (bare, filmed) = (made(false), made(true));
    for (a, b) in bare.sheet.parts.iter().zip(&filmed.sheet.parts) {
        assert_eq!(a.around(), b.around(), "{}", a.id);
    }
    // A quarter of pi times half a millimetre to either side of the film's middle.
    for id in ["n/gore", "s/gore", "t/wrap"] {
        let wider = size(panel(&filmed, id)).1 - size(panel(&bare, id)).1;
        close(wider, 0.25 * PI * 0.5, 5e-3);
    }
}

/// Frustum of 5 in and 8 in, 4 in high: sector of 126.4 degrees with radii 7.12 and 11.39 in
/// (ceemrr.com, *Drawings and nets*).
#[test]
fn the_frustum_of_a_sheet_metal_exercise() {
    let mut file = kit(
        "in",
        json!([{"id": "t", "kind": "transition", "fore_diameter": 5, "aft_diameter": 8, "length": 4, "pieces": 1}]),
    );
    file["seams"] = json!({"overlap": 0});
    let made = made(&file);
    let sector = panel(&made, "t/sector");
    let (outer, inner, half) = (11.39, 7.12, f64::to_radians(0.5 * 126.4));
    let (long, wide) = size(sector);
    close(long, outer - inner * libm::cos(half), 6e-3);
    close(wide, 2.0 * outer * libm::sin(half), 6e-3);
    // The chord tolerance takes 0.02 mm of either arc at most.
    close(sector.area(), 87.23578, 1e-2);
}

/// Fins of a student team (rocketry.gitbook.io, *Fin sizing*): 28.6 in^2 for 8, 3 and 5.2 in, both faces.
#[test]
fn the_fin_of_a_student_team() {
    let fin = json!({"shape": "trapezoid", "root": 8, "tip": 3, "span": 5.2, "sweep": 4});
    let made = made(&kit("in", json!([{"id": "f", "kind": "fin", "count": 4, "planform": fin}])));
    for face in ["f/left", "f/right"] {
        let p = panel(&made, face);
        close(p.area(), 28.6, 1e-9);
        assert_eq!(p.copies, 4);
    }
}

/// C. P. Hoult, *Ogive Nose*, 2011: 379.2477 in^2 whatever the number of gores, 30.1996 in long.
#[test]
fn the_published_ogive_in_any_number_of_gores() {
    for gores in [2, 3, 5, 8, 13] {
        let mut file = kit(
            "in",
            json!([{"id": "n", "kind": "nose", "profile": "ogive", "diameter": 6, "length": 30, "gores": gores}]),
        );
        file["seams"] = json!({"overlap": 0});
        let made = made(&file);
        let gore = panel(&made, "n/gore");
        assert_eq!(gore.copies, gores);
        // Chords lie within 0.02 mm of both edges, 30.2 in each: at most 0.048 in^2 a gore.
        close(f64::from(gores) * gore.area(), 379.2477, 0.048 * f64::from(gores));
        close(size(gore).0, 30.1996, 5e-5);
    }
}

/// A seam's number stands at both its sides: seam 2 of panel 2 meets seam 2 of panel 3. The lettering of
/// two panels at the edges that meet is the same.
#[test]
fn seam_numbers_meet() {
    let file = kit(
        "mm",
        json!([{"id": "n", "kind": "nose", "profile": "ogive", "diameter": 80, "length": 300, "gores": 4,
            "aft": {"trim": 8}, "seams": {"overlap": 8}}]),
    );
    let made = made(&file);
    let gore = panel(&made, "n/gore");
    let half = 80.0 * PI / 8.0;
    // Strokes of copy `k` in the trim beside a seam, moved to where the seam is, as a picture of the
    // number alone: shapes about their own left lower corner.
    let number = |copy: u32, left: bool| {
        let lines = gore.lines.iter().filter(|l| l.copy == Some(copy));
        let mut strokes: Vec<Vec<(f64, f64)>> = lines
            .filter(|l| {
                l.points.iter().all(|p| p.x < 0.0 && (p.y > half - 6.0) == left && (p.y.abs() > half - 6.0))
            })
            .map(|l| l.points.iter().map(|p| (p.x, p.y)).collect())
            .collect();
        let low = strokes.iter().flatten().fold((f64::MAX, f64::MAX), |m, p| (m.0.min(p.0), m.1.min(p.1)));
        strokes.iter_mut().flatten().for_each(|p| *p = (p.0 - low.0, p.1 - low.1));
        strokes
    };
    let same = |a: &[Vec<(f64, f64)>], b: &[Vec<(f64, f64)>]| {
        a.len() == b.len()
            && a.iter()
                .flatten()
                .zip(b.iter().flatten())
                .all(|(p, q)| libm::hypot(p.0 - q.0, p.1 - q.1) < 1e-9)
    };
    for k in 1..=4 {
        let next = k % 4 + 1;
        let (right, left) = (number(k, false), number(next, true));
        assert!(!right.is_empty(), "no number on the right of panel {k}");
        assert!(same(&right, &left), "seam {k}: panel {k} and panel {next}");
        assert!(!same(&right, &number(k, true)), "both seams of panel {k} have one number");
    }
}

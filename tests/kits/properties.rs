//! What holds for every kit.

use super::{close, panel, parse};
use proptest::prelude::*;
use serde_json::{Value, json};
use std::f64::consts::PI;
use tuckroll::job::kits::KitOptions;
use tuckroll::panels::profile::NoseShape;
use tuckroll::read::ReadOptions;

fn shape() -> impl Strategy<Value = (Value, NoseShape)> {
    prop_oneof![
        Just((json!("ogive"), NoseShape::TangentOgive)),
        Just((json!("elliptical"), NoseShape::Elliptical)),
        (0.0..1.0_f64).prop_map(|c| (json!({"shape": "haack", "c": c}), NoseShape::Haack { c })),
        (0.2..1.0_f64).prop_map(|n| (json!({"shape": "power", "n": n}), NoseShape::Power { n })),
        (0.05..1.0_f64).prop_map(|k| (json!({"shape": "parabolic", "k": k}), NoseShape::Parabolic { k })),
    ]
}

fn nose(profile: &Value, diameter: f64, length: f64, gores: u32, overlap: f64) -> Value {
    json!({"format": "tuckroll-kit-1", "name": "K", "unit": "mm", "film": "any", "seams": {"overlap": overlap},
        "parts": [{"id": "n", "kind": "nose", "profile": profile, "diameter": diameter, "length": length, "gores": gores}]})
}

/// A film that can do anything, so that only geometry is looked at.
fn options(films: &tuckroll::job::kits::Films, chord_tolerance_mm: f64) -> KitOptions<'_> {
    let read = ReadOptions { chord_tolerance_mm, ..ReadOptions::default() };
    KitOptions { films: Some(films), read, ..KitOptions::default() }
}

fn any_film() -> tuckroll::job::kits::Films {
    let text = r#"{"format": "tuckroll-films-1", "films": [
        {"id": "any", "max_stretch": {"warn": 100, "stop": 100}, "max_shrink": {"warn": 100, "stop": 100}}]}"#;
    tuckroll::job::kits::Films::parse(text.as_bytes(), "films").unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// The gores of a body cover its surface of revolution exactly, whatever their number.
    #[test]
    fn gore_areas_add_up_to_the_surface(
        (profile, shape) in shape(), diameter in 15.0..200.0_f64, fineness in 1.0..8.0_f64, n in 2..13_u32,
    ) {
        let films = any_film();
        let length = diameter * fineness;
        let made = parse(&nose(&profile, diameter, length, n, 0.0), &options(&films, 1e-5)).unwrap();
        let area: f64 = made.panels.iter().map(|p| f64::from(p.copies) * p.area()).sum();
        let surface = shape.meridian(0.5 * diameter, length).unwrap().surface_area();
        prop_assert!((area / surface - 1.0).abs() < 1e-5, "{area} for {surface}");
    }

    /// Both edges of a gore that meet in a seam are equally long, and the panel is a mirror image of itself.
    #[test]
    fn edges_that_meet_are_equally_long(
        (profile, _) in shape(), diameter in 15.0..200.0_f64, fineness in 1.0..8.0_f64, n in 2..13_u32,
    ) {
        let films = any_film();
        let made = parse(&nose(&profile, diameter, diameter * fineness, n, 0.0), &options(&films, 0.02)).unwrap();
        for p in &made.panels {
            let points = p.parts[0].outline().points();
            let long = |sign: f64| -> f64 {
                points.windows(2)
                    .filter(|w| sign * w[0].y >= 0.0 && sign * w[1].y >= 0.0)
                    .map(|w| libm::hypot(w[1].x - w[0].x, w[1].y - w[0].y))
                    .sum()
            };
            prop_assert!((long(1.0) - long(-1.0)).abs() < 1e-6);
        }
    }

    /// No line lies outside its panel, and every mark is in the lap or the trim: never on the
    /// face, that is between the seam lines and in front of the base.
    #[test]
    fn marks_hide_where_the_neighbour_or_the_knife_takes_them_away(
        (profile, shape) in shape(), diameter in 30.0..200.0_f64, fineness in 1.0..6.0_f64, n in 2..9_u32,
        overlap in 0.0..12.0_f64, trim in 0.0..10.0_f64, both in any::<bool>(), right in any::<bool>(),
    ) {
        let films = any_film();
        let length = diameter * fineness;
        let mut kit = nose(&profile, diameter, length, n, overlap);
        kit["parts"][0]["aft"] = json!({"trim": trim});
        kit["seams"]["lap"] = if both { "both" } else { "one" }.into();
        kit["seams"]["under"] = if right { "right" } else { "left" }.into();
        let options = KitOptions { order: Some("A-104"), ..options(&films, 0.02) };
        let made = match parse(&kit, &options) {
            Ok(made) => made,
            // Laps wider than what they lie on are refused by name.
            Err(e) => { prop_assert!(e.to_string().contains("overlap")); return Ok(()); }
        };
        let m = shape.meridian(0.5 * diameter, length).unwrap();
        // A cone of the series is developed as a sector, whose face is not told by x and y alone.
        prop_assume!(!m.is_straight());
        for p in &made.panels {
            for line in &p.lines {
                for q in &line.points {
                    prop_assert_eq!(p.parts[0].outline().locate(*q), Some(true));
                    let half = PI * m.at_arc(m.arc_length() - q.x).radius / f64::from(n);
                    prop_assert!(q.x < 0.0 || q.y.abs() > half - 0.03, "a mark on the face at {q:?}");
                }
            }
        }
    }
}

/// A nose whose profile is a cone gives the cone's sector.
#[test]
fn a_conical_profile_gives_the_sector_of_the_cone() {
    let films = any_film();
    let sector = |profile: Value| {
        let made = parse(&nose(&profile, 60.0, 180.0, 3, 0.0), &options(&films, 0.02)).unwrap();
        panel(&made, "n/sector").parts[0].outline().points().to_vec()
    };
    let cone = sector(json!("conical"));
    for profile in [json!({"shape": "power", "n": 1}), json!({"shape": "parabolic", "k": 0})] {
        let other = sector(profile);
        assert_eq!(other.len(), cone.len());
        for (a, b) in cone.iter().zip(&other) {
            close(libm::hypot(a.x - b.x, a.y - b.y), 0.0, 1e-9);
        }
    }
    // Apex at the slant height, straight edges of that length from the ends of the base arc.
    let slant = libm::hypot(180.0, 30.0);
    let tip = cone.iter().fold(cone[0], |t, p| if p.x > t.x { *p } else { t });
    close(tip.x, slant, 1e-9);
    for p in cone.iter().filter(|p| **p != tip) {
        close(libm::hypot(p.x - tip.x, p.y), slant, 1e-9);
    }
}

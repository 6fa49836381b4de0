//! The stated rules, one small file each.

use super::{areas, drawing, entities, file, told, try_read};
use std::f64::consts::PI;
use tuckroll::read::{Drawing, ReadOptions, read};

const SQUARE: &str = "0 LWPOLYLINE 8 cut 90 4 70 1 10 0 20 0 10 9 20 0 10 9 20 9 10 0 20 9";

fn header(variables: &str) -> String {
    file(&format!("0 SECTION 2 HEADER {variables} 0 ENDSEC"), SQUARE)
}

#[test]
fn the_unit_follows_the_rule() {
    let unit = |text: String| {
        let d = drawing(text);
        (d.mm_per_unit, d.warnings.len())
    };
    assert_eq!(unit(entities(SQUARE)), (None, 0));
    assert_eq!(unit(header("9 $INSUNITS 70 4")), (Some(1.0), 0));
    assert_eq!(unit(header("9 $INSUNITS 70 1 9 $MEASUREMENT 70 0")), (Some(25.4), 0));
    assert_eq!(unit(header("9 $INSUNITS 70 1 9 $MEASUREMENT 70 1")), (Some(25.4), 1));
    assert_eq!(unit(header("9 $INSUNITS 70 4 9 $MEASUREMENT 70 0")), (Some(1.0), 1));
    assert_eq!(unit(header("9 $INSUNITS 70 0 9 $MEASUREMENT 70 1")), (Some(1.0), 1));
    assert_eq!(unit(header("9 $MEASUREMENT 70 0")), (None, 0));
    assert_eq!(unit(header("9 $INSUNITS 70 99")), (None, 1));
    let noted = |unit| format!("999\ntuckroll: unit {unit}\n{}", entities(SQUARE));
    assert_eq!(unit(noted("mm")), (Some(1.0), 0));
    assert_eq!(unit(noted("in")), (Some(25.4), 0));
    let told = ReadOptions { mm_per_unit: Some(10.0), ..ReadOptions::default() };
    let d = read(header("9 $INSUNITS 70 1 9 $MEASUREMENT 70 1").as_bytes(), "t", &told).unwrap();
    assert_eq!((d.mm_per_unit, d.warnings.len()), (Some(10.0), 0));
}

#[test]
fn the_chord_tolerance_is_in_millimetres() {
    let circle = |unit: u32| {
        let text =
            file(&format!("0 SECTION 2 HEADER 9 $INSUNITS 70 {unit} 0 ENDSEC"), "0 CIRCLE 10 0 20 0 40 10");
        drawing(text).found[0].region.outline().points().len()
    };
    // r = 10 mm and 254 mm at 0.02 mm; n grows with the root of the radius.
    assert!(circle(1) > 4 * circle(4) && circle(1) < 6 * circle(4));
}

#[test]
fn layers_in_blocks() {
    let blocks = "0 SECTION 2 TABLES 0 TABLE 2 LAYER \
        0 LAYER 2 Cold 70 1 62 7 0 LAYER 2 Dark 70 0 62 -7 0 ENDTAB 0 ENDSEC \
        0 SECTION 2 BLOCKS 0 BLOCK 2 B 10 0 20 0 \
        0 CIRCLE 8 0 10 0 20 0 40 1 0 CIRCLE 8 own 10 9 20 0 40 1 0 ENDBLK 0 ENDSEC";
    let layers = |layer: &str| {
        let d = drawing(file(blocks, &format!("0 INSERT 2 b 8 {layer} 10 0 20 0")));
        (d.found.iter().map(|f| f.layer.clone()).collect::<Vec<_>>().join(" "), told(&d))
    };
    assert_eq!(layers("cut"), ("cut own".into(), String::new()));
    // A frozen layer hides the whole insert, one that is off only what lies on it.
    let (found, told) = layers("COLD");
    assert_eq!(found, "");
    assert!(told.contains("layer `Cold`: 1 entity left out"), "{told}");
    let (found, told) = layers("dark");
    assert_eq!(found, "own");
    assert!(told.contains("line 69 (block `B`, line 41): layer `Dark`: 1 entity"), "{told}");
}

#[test]
fn nested_inserts_inherit_compose_and_may_mirror() {
    let blocks = "0 SECTION 2 BLOCKS 0 BLOCK 2 IN 10 1 20 0 \
        0 LWPOLYLINE 8 0 90 3 70 1 10 1 20 0 10 4 20 0 10 1 20 2 0 ENDBLK \
        0 BLOCK 2 OUT 0 INSERT 8 0 2 IN 10 10 20 0 41 -1 0 ENDBLK 0 ENDSEC";
    let d = drawing(file(blocks, "0 INSERT 8 cut 2 OUT 10 100 20 100 42 2 50 90"));
    // IN to the origin, mirrored, to x = 10: corners (10,0) (7,0) (10,2). OUT doubles y, turns, moves.
    let mut corners: Vec<_> = d.found[0].region.outline().points().iter().map(|p| (p.x, p.y)).collect();
    corners.sort_by(|a, b| a.partial_cmp(b).unwrap());
    assert_eq!(corners, [(96.0, 110.0), (100.0, 107.0), (100.0, 110.0)]);
    assert_eq!(d.found[0].layer, "cut");
}

#[test]
fn bulges_of_first_closing_and_major_arcs() {
    let quarter = libm::tan(PI / 8.0);
    let d = drawing(entities(&format!(
        "0 LWPOLYLINE 8 a 70 1 10 0 20 0 42 {quarter} 10 10 20 0 10 10 20 10 10 0 20 10 \
         0 LWPOLYLINE 8 b 70 1 10 0 20 0 10 10 20 0 10 10 20 10 10 0 20 10 42 {quarter} \
         0 LWPOLYLINE 8 c 70 1 10 0 20 0 42 1e3 10 1 20 0"
    )));
    // Segment of a quarter circle over a chord of 10: r^2/2 (pi/2 - 1), r^2 = 50.
    let bump = 25.0 * (PI / 2.0 - 1.0);
    // A bulge of 1000 is nearly a full circle: r = chord / (2 sin(w/2)), w = 4 atan(1000).
    let w = 4.0 * libm::atan(1e3);
    let r = 0.5 / libm::sin(w / 2.0);
    for ((layer, area), (expected, length)) in areas(&d).into_iter().zip([
        (100.0 + bump, 42.0),
        (100.0 + bump, 42.0),
        (r * r / 2.0 * (w - libm::sin(w)), 1600.0),
    ]) {
        assert!((area - expected).abs() <= length * 0.02, "{layer}: {area} {expected}");
    }
    let bounds = d.found[0].region.bounds();
    assert!(bounds.min.y < -2.0 && bounds.min.x == 0.0, "counter-clockwise bulges bend outwards below");
    assert!(d.found[1].region.bounds().min.x < -2.0);
}

/// A turn is one, with whatever digits it is written; what is open, if by a hair, runs as the standard says.
#[test]
fn full_turns_are_closed_and_tiny_arcs_are_not() {
    let ellipse = |start: &str, end: &str| {
        drawing(entities(&format!("0 ELLIPSE 8 a 10 0 20 0 11 10 21 0 40 0.5 41 {start} 42 {end}")))
    };
    let arc =
        |start: &str, end: &str| drawing(entities(&format!("0 ARC 8 a 10 0 20 0 40 10 50 {start} 51 {end}")));
    let closed = |d: &Drawing, area: f64, what: &str| {
        assert_eq!(d.found.len(), 1, "{what}: {}", told(d));
        assert!((d.found[0].region.area() - area).abs() < 50.0 * 0.02, "{what}");
        assert_eq!(told(d), "", "{what}");
    };
    for (start, end) in [
        ("0", "6.283185307179586"),
        ("0", "6.28319"),
        ("0", "6.28318"),
        ("0", "6.2832"),
        ("0", "0"),
        ("1.5708", "7.85398"),
        ("1.570796", "7.853982"),
        ("-3.14159", "3.14160"),
        ("6.28319", "12.5664"),
        ("6.28319", "0"),
        // A gap of 0.00005 is within the join tolerance.
        ("0.000005", "0"),
    ] {
        closed(&ellipse(start, end), 50.0 * PI, &format!("{start} to {end}"));
    }
    for (start, end) in [
        ("0", "360"),
        ("0", "360.0000001"),
        ("0", "359.9999999"),
        ("30", "390.000001"),
        ("-180", "180.000001"),
        ("12.3457", "372.346"),
        ("360.0000001", "0"),
        ("45", "45"),
    ] {
        closed(&arc(start, end), 100.0 * PI, &format!("{start} to {end} degrees"));
    }
    for (start, end) in [("0", "0.000005"), ("1", "1.00005"), ("6.28319", "6.2832"), ("0", "6.25")] {
        assert!(ellipse(start, end).found.is_empty(), "{start} to {end}");
    }
    for (start, end) in [("0", "0.0000001"), ("30", "30.0001"), ("0", "359"), ("0", "719")] {
        assert!(arc(start, end).found.is_empty(), "{start} to {end} degrees");
    }
}

#[test]
fn attached_data_is_not_geometry() {
    let d = drawing(entities(
        "0 LWPOLYLINE 8 cut 102 {APP 10 77 20 77 102 } 90 3 70 1 10 0 20 0 10 4 20 0 10 0 20 4 \
         1001 APP 1002 { 1010 5 1020 5 1030 5 1002 } 0 CIRCLE 8 cut 10 50 20 0 40 1 101 Embedded 10 7 40 9",
    ));
    assert_eq!(d.found[0].region.area(), 8.0);
    assert!((d.found[1].region.area() - PI).abs() < 0.2 && d.found[1].region.bounds().centre().x == 50.0);
}

#[test]
fn names_are_decoded_and_layers_do_not_care_for_case() {
    let text = file("0 SECTION 2 HEADER 9 $DWGCODEPAGE 3 ANSI_1251 0 ENDSEC", &SQUARE.replace("cut", "?"));
    let bytes: Vec<u8> =
        text.bytes().flat_map(|b| if b == b'?' { vec![0xcf, 0xe0] } else { vec![b] }).collect();
    assert_eq!(drawing(bytes).found[0].layer, "Па");
    let lines =
        "0 LINE 8 Cut 10 0 20 0 11 9 21 0 0 LINE 8 CUT 10 9 20 0 11 9 21 9 0 LINE 8 cut 10 9 20 9 11 0 21 0";
    let d = drawing(entities(lines));
    assert_eq!(areas(&d), [("Cut", 40.5)]);
}

#[test]
fn damage_is_an_error_with_its_line_and_all_of_it_is_told() {
    let text =
        entities("0 LINE 8 a 10 0 20 0,5 11 1 21 1 0 CIRCLE 8 b 10 nan 20 0 40 1 0 CIRCLE 8 b 10 0 40 1");
    let error = try_read(text).unwrap_err();
    assert_eq!(error.exit_code(), 2);
    let text = error.to_string();
    assert_eq!(text.lines().count(), 3, "{text}");
    for words in
        ["t.dxf: line 11: layer `a`", "0,5", "decimal point", "line 21: layer `b`", "`nan`", "20 is missing"]
    {
        assert!(text.contains(words), "{words}: {text}");
    }
    // The same in what is not read does not matter.
    assert!(try_read(entities("0 TEXT 8 a 10 nan 20 0,5 40 x")).is_ok());
}

#[test]
fn splines_that_do_not_add_up_are_refused() {
    let spline = |tail: &str| try_read(entities(&format!("0 SPLINE 8 a 70 8 {tail}")));
    let control = "10 0 20 0 10 1 20 2 10 3 20 2 10 4 20 0";
    let fine = format!("71 3 40 0 40 0 40 0 40 0 40 1 40 1 40 1 40 1 {control}");
    assert!(spline(&fine).is_ok());
    for (bad, word) in [
        (fine.replace("71 3", "71 4"), "degree 4"),
        (fine.replace("71 3", "71 0"), "degree 0"),
        (fine.replace("71 3", "71 1000000000"), "degree 1000000000"),
        (fine.replacen("40 0 ", "", 1), "knots"),
        (fine.replacen("40 0 ", "40 5 ", 1), "fall"),
        (format!("{fine} 41 1"), "weight"),
        (format!("{fine} 41 1 41 1 41 0 41 1"), "weight"),
        (fine.replace("20 0", "21 0"), "make points"),
    ] {
        let text = spline(&bad).unwrap_err().to_string();
        assert!(text.contains(word), "{text}");
    }
    let fit = drawing(entities("0 SPLINE 8 a 70 1 71 3 11 0 21 0 11 9 21 0 11 9 21 9 11 0 21 9"));
    assert_eq!(fit.found.len(), 1);
    assert!(told(&fit).contains("given by points"));
}

/// What is seen from above would be shorter than it is.
#[test]
fn what_is_not_level_is_left_out_with_a_warning() {
    let line = |a: &str, b: &str| {
        format!(
            "0 LINE 8 cut 10 {} 20 {} 30 {} 11 {} 21 {} 31 {} ",
            a.split(',').next().unwrap(),
            a.split(',').nth(1).unwrap(),
            a.split(',').nth(2).unwrap(),
            b.split(',').next().unwrap(),
            b.split(',').nth(1).unwrap(),
            b.split(',').nth(2).unwrap()
        )
    };
    let frame = |z: &str| {
        let high = format!("100,50,{z}");
        let left = format!("0,50,{z}");
        entities(
            &[line("0,0,0", "100,0,0"), line("100,0,0", &high), line(&high, &left), line(&left, "0,0,0")]
                .concat(),
        )
    };
    assert_eq!(areas(&drawing(frame("0.01"))), [("cut", 5000.0)]);
    let sloped = drawing(frame("50"));
    assert!(sloped.found.is_empty());
    assert!(told(&sloped).contains("2 LINE left out, tilted"), "{}", told(&sloped));
    // The extrusion of a line is the way it is thickened.
    let upright = frame("0").replace("8\ncut", "8\ncut\n210\n0\n220\n1\n230\n0");
    assert_eq!(areas(&drawing(upright)), [("cut", 5000.0)]);
    let spatial = |z: u32| {
        entities(&format!(
            "0 POLYLINE 8 cut 66 1 70 9 0 VERTEX 10 0 20 0 30 0 70 32 0 VERTEX 10 9 20 0 30 0 70 32 \
            0 VERTEX 10 9 20 9 30 {z} 70 32 0 SEQEND"
        ))
    };
    assert_eq!(areas(&drawing(spatial(0))), [("cut", 40.5)]);
    assert!(told(&drawing(spatial(9))).contains("1 POLYLINE left out, tilted"));
    let spline = |z: u32| {
        entities(&format!(
            "0 SPLINE 8 cut 70 8 71 1 72 6 73 4 40 0 40 0 40 1 40 2 40 3 40 3 10 0 20 0 30 0 10 9 20 0 30 0 \
            10 9 20 9 30 {z} 10 0 20 0 30 0"
        ))
    };
    assert_eq!(areas(&drawing(spline(0))), [("cut", 40.5)]);
    assert!(told(&drawing(spline(9))).contains("1 SPLINE left out, tilted"));
    let through = |z: u32| {
        drawing(entities(&format!(
            "0 SPLINE 8 cut 70 1 71 3 11 0 21 0 31 0 11 9 21 0 31 0 11 9 21 9 31 {z} 13 0 23 0 33 1"
        )))
    };
    assert!(told(&through(9)).contains("1 SPLINE left out, tilted"));
    assert!(!told(&through(0)).contains("tilted"), "a tangent is no height");
}

#[test]
fn a_block_that_lies_in_another_drawing_is_told() {
    let blocks = "0 SECTION 2 BLOCKS 0 BLOCK 2 fin 70 4 1 fin.dwg 10 0 20 0 0 ENDBLK 0 ENDSEC";
    let d = drawing(file(blocks, "0 INSERT 2 FIN 8 cut 10 0 20 0 0 CIRCLE 8 cut 10 0 20 0 40 1"));
    assert_eq!(d.found.len(), 1);
    assert!(told(&d).contains("INSERT of `FIN`, which lies in another drawing"), "{}", told(&d));
}

/// A piece of an edge across angle 0 is no hole in the panel.
#[test]
fn a_tiny_arc_across_angle_zero_is_no_circle() {
    let arc = |start: &str, end: &str| {
        drawing(entities(&format!("0 ARC 8 cut 10 0 20 0 40 1000 50 {start} 51 {end}")))
    };
    assert!(arc("359.999", "0.001").found.is_empty());
    assert!(arc("359.999", "-359.999").found.is_empty());
    assert_eq!(arc("0.0", "359.999").found.len(), 1);
    assert_eq!(arc("0", "0").found.len(), 1);
    let ellipse = |start: &str, end: &str| {
        drawing(entities(&format!("0 ELLIPSE 8 cut 10 0 20 0 11 1000 21 0 40 0.5 41 {start} 42 {end}")))
    };
    assert!(ellipse("6.28317", "0.00001").found.is_empty());
    assert_eq!(ellipse("0", "6.28319").found.len(), 1);
}

#[test]
fn a_spline_with_a_gap_is_refused() {
    let spline = "0 SPLINE 8 cut 70 8 71 1 72 6 73 4 40 0 40 0 40 1 40 1 40 2 40 2 10 0 20 0 10 9 20 0 10 9 20 5 10 0 20 5";
    assert!(try_read(entities(spline)).unwrap_err().to_string().contains("gap"));
}

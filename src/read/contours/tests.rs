use super::*;
use crate::read::ReadOptions;

fn stroke(points: &[(f64, f64)], closed: bool) -> Stroke {
    let points = points.iter().map(|&(x, y)| Point { x, y }).collect();
    Stroke { layer: "cut".into(), place: "line 1".into(), points, closed }
}

fn line(a: (f64, f64), b: (f64, f64)) -> Stroke {
    stroke(&[a, b], false)
}

fn rectangle(x: f64, y: f64, w: f64, h: f64) -> Stroke {
    stroke(&[(x, y), (x + w, y), (x + w, y + h), (x, y + h)], true)
}

fn sides(x: f64, y: f64, w: f64, h: f64) -> Vec<Stroke> {
    let corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)];
    (0..4).map(|i| line(corners[i], corners[(i + 1) % 4])).collect()
}

fn drawing(strokes: Vec<Stroke>) -> Drawing {
    let sketch = Sketch { mm_per_unit: Some(1.0), strokes, warnings: Vec::new() };
    assemble(sketch, "t.dxf", &ReadOptions::default()).unwrap()
}

fn areas(d: &Drawing) -> Vec<f64> {
    d.found.iter().map(|f| (f.region.area() * 1e6).round() / 1e6).collect()
}

fn told(d: &Drawing, word: &str) -> bool {
    d.warnings.iter().any(|w| w.what.contains(word))
}

#[test]
fn shuffled_and_reversed_lines_close_without_a_word() {
    let mut lines = sides(0., 0., 10., 5.);
    lines[1].points.reverse();
    lines.swap(0, 3);
    lines.swap(1, 2);
    let d = drawing(lines);
    assert_eq!(areas(&d), [50.0]);
    assert!(d.warnings.is_empty(), "{:?}", d.warnings);
}

#[test]
fn gaps_within_the_tolerance_close_and_no_point_moves_farther() {
    let mut lines = sides(0., 0., 10., 5.);
    lines[0].points[1] = Point { x: 10.03, y: 0.01 };
    lines[2].points[0] = Point { x: 9.97, y: 5.02 };
    let before: Vec<Point> = lines.iter().flat_map(|s| s.points.clone()).collect();
    let d = drawing(lines);
    assert_eq!(d.found.len(), 1);
    assert!(told(&d, "4 ends were moved"), "{:?}", d.warnings);
    for p in d.found[0].region.outline().points() {
        let nearest = before.iter().map(|q| crate::shape::length(*p - *q)).fold(f64::INFINITY, f64::min);
        assert!(nearest <= 0.025, "{nearest}");
    }
}

#[test]
fn a_wider_gap_stays_open_and_says_where_and_how_wide() {
    let mut lines = sides(0., 0., 10., 5.);
    lines[0].points[1] = Point { x: 9.8, y: 0.0 };
    let d = drawing(lines);
    assert!(d.found.is_empty());
    assert_eq!(d.warnings.len(), 1);
    let text = d.warnings[0].to_string();
    assert!(text.contains("run of 4 strokes"), "{text}");
    assert!(text.contains("(9.8, 0)") && text.contains("(10, 0)") && text.contains("0.2 away"), "{text}");
    assert!(text.contains("line 1") && text.contains("`cut`") && text.contains("0.05"), "{text}");
}

#[test]
fn nearest_ends_are_joined_first() {
    // Three lone ends at 0.04, 0.015 and -0.02: the upper two are nearer to each other and
    // meet half-way; the third joins them, as it is within the tolerance of their place.
    let d = drawing(vec![
        stroke(&[(0.0, 0.04), (10.0, 5.0), (10.0, -5.0), (0.0, -0.02)], false),
        line((0.0, 0.015), (-10.0, 0.0)),
    ]);
    assert_eq!(d.found.len(), 1);
    assert_eq!(d.found[0].region.outline().points().len(), 3);
    assert!(d.found[0].region.outline().points().contains(&Point { x: 0.0, y: 0.0275 }));
    assert!(told(&d, "a stroke is not closed"));
}

#[test]
fn a_stroke_shorter_than_the_tolerance_does_not_swallow_itself() {
    let mut lines = vec![line((0.0, 0.0), (0.03, 0.0)), line((0.03, 0.0), (10.0, 0.0))];
    lines.push(stroke(&[(10.0, 0.0), (10.0, 5.0), (0.0, 0.0)], false));
    let d = drawing(lines);
    assert_eq!(areas(&d), [25.0]);
    assert_eq!(d.found[0].region.outline().points().len(), 4);
}

#[test]
fn lines_and_contours_drawn_twice_are_taken_once() {
    let mut lines = sides(0., 0., 10., 5.);
    let mut again = lines[1].clone();
    again.points.reverse();
    lines.push(again);
    lines.push(lines[0].clone());
    let d = drawing(lines);
    assert_eq!(areas(&d), [50.0]);
    assert!(told(&d, "drawn twice"));
    let mut turned = rectangle(0., 0., 10., 5.);
    turned.points.rotate_left(2);
    turned.points.reverse();
    let d = drawing([vec![rectangle(0., 0., 10., 5.), turned], sides(0., 0., 10., 5.)].concat());
    assert_eq!(areas(&d), [50.0]);
    assert_eq!(d.warnings.len(), 2);
}

#[test]
fn lines_that_overlap_in_part_are_cut_at_each_others_ends() {
    let mut lines = sides(0., 0., 10., 5.);
    lines[0].points[1].x = 7.0;
    lines.push(line((10.0, 0.0), (4.0, 0.0)));
    lines.push(line((1.0, 5.0), (9.0, 5.0)));
    let d = drawing(lines);
    assert_eq!(areas(&d), [50.0]);
    assert!(told(&d, "lies on another in part"));
    // Two rectangles of different height that share a part of a side.
    let d = drawing([sides(0., 0., 10., 5.), sides(10., 1., 4., 10.)].concat());
    assert_eq!(areas(&d), [50.0, 40.0]);
}

#[test]
fn rectangles_with_a_common_side_or_corner_are_two_contours() {
    let mut lines = sides(0., 0., 10., 5.);
    lines.extend([line((10., 0.), (16., 0.)), line((16., 0.), (16., 5.)), line((16., 5.), (10., 5.))]);
    let d = drawing(lines);
    assert_eq!(areas(&d), [50.0, 30.0]);
    assert!(told(&d, "3 lines meet"));
    let d = drawing([sides(0., 0., 10., 5.), sides(10., 5., 2., 2.)].concat());
    assert_eq!(areas(&d), [50.0, 4.0]);
    // A square in the corner of another one: a hole that touches at one point.
    let d = drawing([sides(0., 0., 10., 5.), vec![stroke(&[(0., 0.), (2., 1.), (1., 2.)], true)]].concat());
    assert_eq!(areas(&d), [48.5]);
    let triangle = vec![line((0., 0.), (2., 1.)), line((2., 1.), (1., 2.)), line((1., 2.), (0., 0.))];
    assert_eq!(areas(&drawing([sides(0., 0., 10., 5.), triangle].concat())), [48.5]);
}

#[test]
fn lines_that_bound_nothing_are_left_over() {
    let mut lines = sides(0., 0., 10., 5.);
    lines.push(line((10., 5.), (20., 5.)));
    lines.push(line((30., 5.), (40., 5.)));
    lines.push(line((40., 5.), (45., 5.)));
    let d = drawing(lines);
    assert_eq!(areas(&d), [50.0]);
    assert_eq!(d.warnings.len(), 2, "{:?}", d.warnings);
    assert!(told(&d, "run of 2 strokes"));
}

#[test]
fn contours_nest_by_the_even_odd_rule() {
    let d = drawing(vec![
        rectangle(4., 4., 2., 2.),
        rectangle(0., 0., 10., 10.),
        rectangle(1., 1., 8., 8.),
        rectangle(20., 0., 3., 3.),
        rectangle(4.5, 4.5, 1., 1.),
    ]);
    assert_eq!(areas(&d), [3.0, 36.0, 9.0]);
    assert_eq!(d.found.iter().map(|f| f.number).collect::<Vec<_>>(), [1, 2, 3]);
    assert_eq!(d.found[1].region.holes().len(), 1);
}

#[test]
fn layers_do_not_mix() {
    let mut inner = rectangle(1., 1., 8., 8.);
    inner.layer = "draw".into();
    let d = drawing(vec![rectangle(0., 0., 10., 10.), inner]);
    assert_eq!(areas(&d), [100.0, 64.0]);
    let mut lines = sides(0., 0., 10., 5.);
    lines[2].layer = "draw".into();
    assert!(drawing(lines).found.is_empty());
}

#[test]
fn a_contour_that_crosses_itself_is_broken_and_says_where() {
    let bow = [(0., 0.), (4., 4.), (4., 0.), (0., 4.)];
    let loose: Vec<Stroke> = (0..4).map(|i| line(bow[i], bow[(i + 1) % 4])).collect();
    for strokes in [vec![stroke(&bow, true)], loose] {
        let d = drawing(strokes);
        assert!(d.found.is_empty());
        assert_eq!(d.broken.len(), 1);
        assert!(d.broken[0].problem.to_string().contains("layer `cut`: the contour crosses"));
        assert_eq!(d.broken[0].layer, "cut");
    }
}

#[test]
fn crossing_contours_are_outlines_of_their_own_and_crossing_holes_are_broken() {
    let d = drawing(vec![rectangle(0., 0., 10., 10.), rectangle(5., 5., 10., 10.)]);
    assert_eq!(areas(&d), [100.0, 100.0]);
    assert!(told(&d, "crosses the one"));
    let d = drawing(vec![rectangle(0., 0., 10., 10.), rectangle(1., 1., 4., 4.), rectangle(3., 3., 5., 5.)]);
    assert_eq!(areas(&d), [84.0]);
    assert_eq!(d.broken.len(), 1);
}

#[test]
fn no_length_no_area_and_wild_coordinates() {
    let d = drawing(vec![line((1., 1.), (1., 1.)), stroke(&[(0., 0.), (1., 1.), (2., 2.)], true)]);
    assert!(d.found.is_empty() && d.warnings.len() == 2);
    let sketch = |x| Sketch {
        mm_per_unit: None,
        strokes: vec![line((x, 0.), (1., 1.)), line((0., x), (1., 1.))],
        warnings: Vec::new(),
    };
    for x in [f64::NAN, f64::INFINITY, 1e12] {
        let error = assemble(sketch(x), "t", &ReadOptions::default()).unwrap_err();
        assert_eq!(error.to_string().lines().count(), 2);
    }
}

#[test]
fn long_lists_of_warnings_are_cut_short() {
    let strokes = (0..100).map(|i| line((f64::from(i), 0.), (f64::from(i), 1.))).collect();
    let d = drawing(strokes);
    assert_eq!(d.warnings.len(), 21);
    assert!(told(&d, "80 more runs of lines that are not closed"));
}

#[test]
fn a_tolerance_in_inches() {
    let mut lines = sides(0., 0., 10., 5.);
    lines[0].points[1].x -= 0.03;
    let open = Sketch { mm_per_unit: Some(25.4), strokes: lines.clone(), warnings: Vec::new() };
    assert!(assemble(open, "t", &ReadOptions::default()).unwrap().found.is_empty());
    lines[0].points[1].x = 9.999;
    let closed = Sketch { mm_per_unit: Some(25.4), strokes: lines, warnings: Vec::new() };
    assert_eq!(assemble(closed, "t", &ReadOptions::default()).unwrap().found.len(), 1);
}

#[test]
fn many_strokes_are_all_found() {
    // A star of lines from one point, a stack of equal squares, a field of small squares,
    // and squares within squares: in quadratic time this test would take minutes.
    let n = 2000;
    let mut strokes: Vec<Stroke> = (0..n).map(|i| line((0., 0.), (-100., f64::from(i)))).collect();
    strokes.extend((0..n).flat_map(|_| sides(1., 1., 3., 3.)));
    strokes.extend((0..n).flat_map(|i| sides(f64::from(i % 50) * 3. + 10., f64::from(i / 50) * 3., 2., 2.)));
    strokes.extend(
        (1..=n).map(|i| rectangle(-f64::from(i), -9e3 - f64::from(i), 2. * f64::from(i), 2. * f64::from(i))),
    );
    let d = drawing(strokes);
    assert_eq!(d.found.len(), 1 + n as usize + n as usize / 2);
}

#[test]
fn lines_are_handed_on_as_they_are_drawn() {
    let strokes = vec![
        line((0.0, 3.0), (6.0, 3.0)),
        rectangle(1.0, 1.0, 2.0, 2.0),
        line((3.0, 0.0), (3.0, 6.0)),
        line((5.0, 5.0), (5.0, 5.0)),
        stroke(&[(0.0, 0.0), (2.0, 2.0), (2.0, 0.0), (0.0, 2.0)], true),
    ];
    let sketch = Sketch { mm_per_unit: Some(1.0), strokes, warnings: Vec::new() };
    let lines = as_drawn(sketch, "t.dxf").unwrap();
    let points: Vec<(usize, bool)> =
        lines.drawn.iter().map(|(points, closed)| (points.len(), *closed)).collect();
    assert_eq!(points, [(2, false), (4, true), (2, false), (4, true)]);
    assert_eq!(lines.warnings.len(), 1);
    assert!(lines.warnings[0].what.contains("without length"));
}

/// A number from -1 to 1, the next of a fixed row.
fn noise(state: &mut u64) -> f64 {
    *state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
    (*state >> 11) as f64 / (1u64 << 52) as f64 - 1.0
}

/// Four ends at one corner, none exactly where another is: two pairs of them are not two corners.
#[test]
fn corners_of_many_ends_that_are_a_little_off_are_one_place() {
    let mut state = 1;
    for off in [1e-13, 1e-9, 1e-5, 1e-3] {
        for _ in 0..20 {
            let cells = [(0., 0.), (10., 0.), (0., 10.), (10., 10.)];
            let mut lines: Vec<Stroke> = cells.iter().flat_map(|(x, y)| sides(*x, *y, 10., 10.)).collect();
            // Half a turn of the corner joined cell to cell, by squares that share only a corner.
            lines.extend(sides(20., 20., 7., 7.));
            for p in lines.iter_mut().flat_map(|s| &mut s.points) {
                *p = Point { x: p.x + off * noise(&mut state), y: p.y + off * noise(&mut state) };
            }
            let d = drawing(lines);
            assert_eq!((d.found.len(), d.broken.len()), (5, 0), "{off}: {:?}", d.warnings);
            let whole: f64 = d.found.iter().map(|f| f.region.area()).sum();
            assert!((whole - 449.0).abs() < 200.0 * off.max(1e-9), "{off}: {whole}");
        }
    }
}

#[test]
fn narrow_tips_keep_their_corners_apart() {
    // Two exact corners a third of the tolerance apart.
    let d = drawing(vec![
        line((0., 0.), (100., 0.)),
        line((100., 0.), (100., 0.015)),
        line((100., 0.015), (0., 10.)),
        line((0., 10.), (0., 0.)),
    ]);
    assert_eq!(d.found[0].region.outline().points().len(), 4);
}

fn refused(strokes: Vec<Stroke>) -> String {
    let sketch = Sketch { mm_per_unit: Some(1.0), strokes, warnings: Vec::new() };
    assemble(sketch, "t.dxf", &ReadOptions::default()).unwrap_err().to_string()
}

/// 20,000 lines along each other ran out of a gigabyte, as did 200,000 in a bundle.
#[test]
fn crowds_of_lines_are_refused() {
    let along = (0..1100).map(|k| line((f64::from(k), 0.), (f64::from(k) + 5000., 0.))).collect();
    assert!(refused(along).contains("lie on each other"));
    let bundle = (0..40_000).map(|k| line((f64::from(k) * 5e-4, 0.), (f64::from(k) * 5e-4, 1.))).collect();
    assert!(refused(bundle).contains("join tolerance"));
}

/// Lines beside an end are no reason not to cut the one that it lies on.
#[test]
fn a_line_among_many_is_cut_where_another_ends_on_it() {
    let mut strokes: Vec<Stroke> =
        (0..300).map(|k| line((-50., 20. + f64::from(k)), (50., 20. + f64::from(k)))).collect();
    let corners = [(0., 0.), (60., 0.), (60., 400.), (0., 400.)];
    strokes.extend([line((0., 0.), (40., 0.)), line((20., 0.), (60., 0.))]);
    strokes.extend((1..4).map(|i| line(corners[i], corners[(i + 1) % 4])));
    assert!(areas(&drawing(strokes)).contains(&24_000.0));
}

/// All lines were looked at for each one that hangs together with them.
#[test]
fn a_star_of_lines_is_one_run() {
    let rays = (1..15_000).map(|k| line((0., 0.), (f64::from(k), 3e4 - f64::from(k)))).collect();
    let d = drawing(rays);
    assert_eq!(d.found.len(), 0);
    assert!(told(&d, "a run of 14999 strokes is not closed"), "{:?}", d.warnings);
}

/// Where the tolerance is below the last digit, only ends at the same numbers join; it took the square of their number.
#[test]
fn a_tolerance_below_the_last_digit() {
    let sketch = |mm_per_unit| Sketch {
        mm_per_unit: Some(mm_per_unit),
        strokes: (0..200).flat_map(|k| sides(f64::from(k) * 3., 0., 2., 2.)).collect(),
        warnings: Vec::new(),
    };
    assert_eq!(assemble(sketch(3.1e19), "t.dxf", &ReadOptions::default()).unwrap().found.len(), 200);
}

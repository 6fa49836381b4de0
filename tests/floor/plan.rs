//! Cut plans of small layouts, and what every plan keeps.

use tuckroll::floor::Weeding;
use tuckroll::floor::plan::{Kind, Options, Plan, Tool, plan};
use tuckroll::layout::{self, Layout};
use tuckroll::shape::{Point, Ring};

/// A layout file of panels given as JSON, each laid where it says.
fn layout(width: f64, panels: &str, places: &[(&str, u32, f64, f64)]) -> Layout {
    let places: Vec<String> = places
        .iter()
        .map(|(id, copy, x, y)| {
            format!(
                r#"{{"panel": "{id}", "copy": {copy}, "x": {x}, "y": {y}, "rotation": 0, "mirrored": false}}"#
            )
        })
        .collect();
    let text = format!(
        r#"{{"format": "tuckroll-layout-1", "name": "n", "unit": "mm", "roll": {{"width": {width}}}, "gap": 1,
            "panels": [{panels}], "placements": [{}],
            "length": 1000, "panel_area": 1, "waste_percent": 0, "density_percent": 0}}"#,
        places.join(", ")
    );
    layout::read(text.as_bytes(), "layout").unwrap()
}

fn names(plan: &Plan) -> Vec<&str> {
    plan.steps().map(|s| plan.contours[s.contour].name.as_str()).collect()
}

const EVERYTHING: &str = r#"{"id": "big", "fill_holes": true, "outline": [[0, 0], [300, 0], [300, 300], [0, 300]],
      "holes": [[[100, 100], [200, 100], [200, 200], [100, 200]], [[10, 10], [20, 10], [20, 20], [10, 20]]],
      "lines": [{"role": "cut", "points": [[30, 30], [60, 30]]}, {"role": "through", "points": [[5, 5], [5, 290]]},
                {"role": "draw", "points": [[250, 250], [260, 260]]}, {"role": "print", "points": [[1, 1], [2, 2]]}]},
    {"id": "plug", "outline": [[0, 0], [80, 0], [80, 80], [0, 80]]},
    {"id": "chip", "copies": 2, "outline": [[0, 0], [15, 0], [15, 15], [0, 15]]}"#;

#[test]
fn pens_come_first_and_through_cuts_last_and_what_lies_inside_before_what_frees_it() {
    let layout = layout(
        400.0,
        EVERYTHING,
        &[
            ("big", 1, 50.0, 50.0),
            ("plug", 1, 160.0, 160.0),
            ("chip", 1, 352.0, 60.0),
            ("chip", 2, 800.0, 0.0),
        ],
    );
    let plan = plan(&layout, &Options::default()).unwrap();
    let order = names(&plan);
    assert_eq!(order.len(), 9, "printed lines are not cut: {order:?}");
    let place = |name: &str| {
        order.iter().position(|n| *n == name).unwrap_or_else(|| panic!("no {name} in {order:?}"))
    };
    assert_eq!((place("big#1/line 3"), place("big#1/line 2")), (0, 8));
    for (first, then) in [
        ("plug#1/outline", "big#1/hole 1"),
        ("big#1/hole 1", "big#1/outline"),
        ("big#1/hole 2", "big#1/outline"),
        ("big#1/line 1", "big#1/outline"),
        // A chip 2 mm beside the frame, small enough to be pulled along.
        ("chip#1/outline", "big#1/outline"),
    ] {
        assert!(place(first) < place(then), "{first} after {then}: {order:?}");
    }
}

/// A pen and a knife that take turns along the film: the line lies in a later window than the panel begins.
#[test]
fn a_panel_is_not_cut_out_before_what_is_drawn_on_it() {
    let long = r#"{"id": "long", "outline": [[0, 0], [900, 0], [900, 50], [0, 50]],
        "lines": [{"role": "draw", "points": [[850, 10], [850, 40]]}]}"#;
    let options = Options { pens_by_window: true, window: 200.0, ..Options::default() };
    let plan = plan(&layout(100.0, long, &[("long", 1, 20.0, 0.0)]), &options).unwrap();
    assert_eq!(names(&plan), ["long#1/line 1", "long#1/outline"]);
}

/// Closed lines of one panel, drawn from the outside in, here and there on the film.
#[test]
fn a_closed_line_is_cut_after_what_lies_in_it() {
    for role in ["cut", "through"] {
        let square = |s: u32| {
            let (low, high) = (50 - s, 50 + s);
            format!(
                r#"{{"role": "{role}", "closed": true, "points": [[{low}, {low}], [{high}, {low}], [{high}, {high}], [{low}, {high}]]}}"#
            )
        };
        let lines: Vec<String> = [45, 30, 20, 10].map(square).into();
        let panel = format!(
            r#"{{"id": "a", "copies": 12, "outline": [[0, 0], [100, 0], [100, 100], [0, 100]], "lines": [{}]}}"#,
            lines.join(", ")
        );
        let places: Vec<(&str, u32, f64, f64)> =
            (0..12).map(|i| ("a", i + 1, f64::from(i / 3) * 130.0, f64::from(i % 3) * 120.0)).collect();
        let plan = plan(&layout(400.0, &panel, &places), &Options::default()).unwrap();
        let order = names(&plan);
        for copy in 1..=12 {
            let place = |line: u32| order.iter().position(|n| *n == format!("a#{copy}/line {line}")).unwrap();
            assert!((1..4).all(|line| place(line + 1) < place(line)), "{role}: {order:?}");
        }
    }
}

/// Each line on its piece waits for nothing, and each piece for its line alone: pairs for all of them would be a million.
#[test]
fn a_panel_of_a_thousand_pieces_with_a_line_on_each_is_planned() {
    let at = |i: u32| (i / 25 * 30, i % 25 * 30);
    let pieces = (0..1000).map(at).map(|(x, y)| {
        format!(r#"{{"outline": [[{x}, {y}], [{0}, {y}], [{0}, {1}], [{x}, {1}]]}}"#, x + 25, y + 25)
    });
    let lines = (0..1000).map(at).map(|(x, y)| {
        format!(r#"{{"role": "cut", "points": [[{0}, {1}], [{2}, {1}]]}}"#, x + 5, y + 12, x + 20)
    });
    let panel = format!(
        r#"{{"id": "a", "parts": [{}], "lines": [{}]}}"#,
        pieces.collect::<Vec<_>>().join(", "),
        lines.collect::<Vec<_>>().join(", ")
    );
    let plan = plan(&layout(800.0, &panel, &[("a", 1, 0.0, 0.0)]), &Options::default()).unwrap();
    let order = names(&plan);
    let place = |name: String| order.iter().position(|n| *n == name).unwrap();
    assert!((1..=1000).all(|i| place(format!("a#1/line {i}")) < place(format!("a#1/outline {i}"))));
}

#[test]
fn a_hand_worked_plan_measures_what_it_must() {
    let square = r#"{"id": "a", "copies": 2, "outline": [[0, 0], [30, 0], [30, 30], [0, 30]]}"#;
    let layout = layout(100.0, square, &[("a", 1, 10.0, 0.0), ("a", 2, 60.0, 0.0)]);
    let plan = plan(&layout, &Options::default()).unwrap();
    // From 0 to the first, to the second, and to the parking place at 1000: straight along y = 0.
    assert!((plan.totals.travel_mm - 1000.0).abs() < 1e-9, "{:?}", plan.totals);
    assert!((plan.totals.cut_mm - 240.0).abs() < 1e-9);
    assert!((plan.totals.time_s - (240.0 / 200.0 + 1000.0 / 400.0 + 2.0 * 0.15)).abs() < 1e-9);
    assert_eq!((plan.totals.feed_reversals, plan.totals.contours), (0, 2));
    assert_eq!(plan.totals.feed_back_mm, 0.0);
}

/// Rows of squares with holes, far longer than a section.
fn rows(count: u32) -> Layout {
    let panel = format!(
        r#"{{"id": "p", "copies": {count}, "outline": [[0, 0], [90, 0], [90, 60], [0, 60]], "holes": [[[40, 20], [50, 20], [50, 30]]]}}"#
    );
    let places: Vec<(&str, u32, f64, f64)> = (0..count)
        .map(|i| {
            // Columns are staggered, so that no straight line parts them.
            let (column, row) = (i / 9, i % 9);
            ("p", i + 1, f64::from(column) * 95.0 + f64::from(row * 40 % 95), f64::from(row) * 66.0)
        })
        .collect();
    layout(610.0, &panel, &places)
}

#[test]
fn sections_are_finished_one_after_the_other_and_no_panel_is_split() {
    let layout = rows(90);
    let options = Options { section_length: Some(300.0), ..Options::default() };
    let plan = plan(&layout, &options).unwrap();
    assert!(plan.sections.len() >= 4);
    let mut seen = vec![false; layout.placements.len()];
    for section in &plan.sections {
        assert!(section.to_mm - section.from_mm <= 300.0);
        for &placement in &section.placements {
            assert!(
                !std::mem::replace(&mut seen[placement], true),
                "placement {placement} is in two sections"
            );
        }
        for step in &section.steps {
            let placement = plan.contours[step.contour].placement;
            assert!(placement.is_some_and(|p| section.placements.contains(&p)));
        }
    }
    assert!(seen.iter().all(|s| *s));
    let sum: usize = plan.sections.iter().map(|s| s.totals.contours).sum();
    assert_eq!((sum, plan.totals.contours), (180, 180));
    let travel: f64 = plan.sections.iter().map(|s| s.totals.travel_mm).sum();
    let last = plan.sections.last().unwrap().steps.last().unwrap().end();
    let parking = libm::hypot(plan.head_to.x - last.x, plan.head_to.y - last.y);
    assert!((travel + parking - plan.totals.travel_mm).abs() < 1e-6);
}

#[test]
fn the_film_is_never_pulled_back_by_more_than_a_window_and_seldom_turns_round() {
    for window in [120.0, 250.0, 400.0] {
        let plan = plan(&rows(90), &Options { window, ..Options::default() }).unwrap();
        assert!(plan.totals.feed_back_mm <= window, "{:?}", plan.totals);
        for section in &plan.sections {
            assert!(section.totals.feed_reversals <= section.most_reversals, "{:?}", section.totals);
        }
    }
}

/// A frame of 2 m in windows of 250 mm: as long as one in one piece, and nowhere far back.
#[test]
fn a_long_frame_is_cut_window_by_window() {
    let strip = r#"{"id": "a", "outline": [[0, 0], [2000, 0], [2000, 40], [0, 40]]}"#;
    let layout = layout(100.0, strip, &[("a", 1, 10.0, 20.0)]);
    let weeding = Weeding { strips: None, frame: true, clearance: 5.0 };
    let of = |window: f64| plan(&layout, &Options { window, weeding, ..Options::default() }).unwrap();
    let frame = |plan: &Plan| -> f64 {
        plan.contours
            .iter()
            .filter(|c| c.kind == Kind::Waste)
            .map(tuckroll::floor::plan::Contour::length)
            .sum()
    };
    let (whole, by_window) = (of(1e5), of(250.0));
    // By hand: 2 x 2010 along and 2 x 50 across.
    assert!((frame(&whole) - 4120.0).abs() < 1e-6 && (frame(&by_window) - 4120.0).abs() < 1e-6);
    assert!(whole.totals.feed_back_mm > 2000.0, "{:?}", whole.totals);
    // A piece leads out of its window by a window at most.
    assert!(by_window.totals.feed_back_mm <= 500.0, "{:?}", by_window.totals);
}

/// Two lines along the film, reckoned by hand: the second one begins where the first one began, or ends there.
#[test]
fn the_way_back_after_a_long_line_is_told() {
    let strip = r#"{"id": "a", "copies": 2, "outline": [[0, 0], [1000, 0], [1000, 20], [0, 20]],
        "lines": [{"role": "draw", "points": [[10, 10], [990, 10]]}]}"#;
    let layout = layout(100.0, strip, &[("a", 1, 0.0, 0.0), ("a", 2, 0.0, 50.0)]);
    let plan = plan(&layout, &Options { window: 200.0, ..Options::default() }).unwrap();
    let ends: Vec<[f64; 2]> =
        plan.steps().filter(|s| s.tool == Tool::Pen).map(|s| [s.start().x, s.end().x]).collect();
    let there_and_back = ends[0][1] - ends[1][0];
    assert!(plan.totals.feed_back_mm >= there_and_back - 1e-9, "{ends:?} {:?}", plan.totals);
    assert!(ends == [[10.0, 990.0], [990.0, 10.0]] || plan.totals.feed_back_mm == 980.0, "{ends:?}");
}

#[test]
fn every_contour_is_cut_once_whole_from_its_start_point() {
    let plan = plan(&rows(40), &Options { window: 50.0, ..Options::default() }).unwrap();
    let mut cut = vec![0; plan.contours.len()];
    for step in plan.steps() {
        cut[step.contour] += 1;
        let contour = &plan.contours[step.contour];
        let area = |points: &[Point]| Ring::new(points.to_vec()).unwrap().signed_area();
        // A start point between two corners adds one point and changes no area.
        assert!((area(&step.points) - area(&contour.points)).abs() < 1e-6 * area(&contour.points).abs());
        assert!(step.points.len() - contour.points.len() <= 1);
        assert_eq!(area(&step.points) < 0.0, contour.kind == Kind::Hole);
        assert_eq!(contour.tool, Tool::Kiss);
    }
    assert!(cut.iter().all(|n| *n == 1));
}

#[test]
fn unusable_options_are_refused() {
    let layout = rows(1);
    for options in [
        Options { window: 0.0, ..Options::default() },
        Options { window: f64::NAN, ..Options::default() },
        Options { section_length: Some(-1.0), ..Options::default() },
    ] {
        assert_eq!(plan(&layout, &options).unwrap_err().exit_code(), 2);
    }
    let long = Options { section_length: Some(80.0), ..Options::default() };
    let told = plan(&layout, &long).unwrap_err();
    assert_eq!(told.exit_code(), 1);
    assert!(told.to_string().contains("panel \"p\""), "{told}");
}

#[test]
fn a_layout_of_one_panel_and_an_empty_one_are_planned_too() {
    assert_eq!(plan(&rows(1), &Options::default()).unwrap().totals.contours, 2);
    let mut empty = rows(1);
    empty.placements.clear();
    let plan = plan(&empty, &Options::default()).unwrap();
    assert!(plan.sections.is_empty() && plan.totals.cut_mm == 0.0);
}

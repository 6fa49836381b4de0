//! Cut files, read back by an independent reader; and files for the audit by another one.

use super::sample::{self, p, panel, rectangle};
use std::collections::BTreeMap;
use tuckroll::Error;
use tuckroll::floor::plan::contours;
use tuckroll::floor::{Film, Whole};
use tuckroll::job::{Line, LineRole, Unit};
use tuckroll::layout::Layout;
use tuckroll::shape::{Point, Region, length};
use tuckroll::write::{Cut, DxfOptions, Layer, Version, dxf};

const VERSIONS: [Version; 3] = [Version::R12, Version::R2000, Version::R2010];

/// Layer, closed or not, and points of every polyline, as an independent reader gives them.
fn read_back(cut: &Cut) -> Vec<(String, bool, Vec<Point>)> {
    let drawing = ::dxf::Drawing::load(&mut &*cut.bytes).unwrap();
    let polyline = |e: &::dxf::entities::Entity| match &e.specific {
        ::dxf::entities::EntityType::Polyline(q) => {
            (q.is_closed(), q.vertices().map(|v| p(v.location.x, v.location.y)).collect::<Vec<_>>())
        }
        ::dxf::entities::EntityType::LwPolyline(q) => {
            (q.is_closed(), q.vertices.iter().map(|v| p(v.x, v.y)).collect())
        }
        other => panic!("{other:?}"),
    };
    drawing
        .entities()
        .map(|e| {
            let (closed, points) = polyline(e);
            (e.common.layer.clone(), closed, points)
        })
        .collect()
}

fn area(points: &[Point]) -> f64 {
    let next = points.iter().cycle().skip(1);
    0.5 * points.iter().zip(next).map(|(a, b)| a.x * b.y - a.y * b.x).sum::<f64>().abs()
}

/// Areas of all contours that are cut, in square millimetres, sorted.
fn expected_areas(layout: &Layout) -> Vec<f64> {
    let mm = layout.unit.in_mm();
    let mut areas: Vec<f64> = layout
        .placements
        .iter()
        .flat_map(|q| layout.panels[q.panel].parts.iter().flat_map(|r| r.rings()))
        .map(|r| r.area() * mm * mm)
        .collect();
    areas.sort_by(f64::total_cmp);
    areas
}

fn options(version: Version) -> DxfOptions {
    DxfOptions { version, ..DxfOptions::default() }
}

#[test]
fn every_version_reads_back_to_the_same_areas() {
    let layout = sample::day();
    let expected = expected_areas(&layout);
    for version in VERSIONS {
        let cut = dxf(&layout, &options(version)).unwrap();
        let kiss = Layer::KissCut.name();
        let read = read_back(&cut);
        let mut areas: Vec<_> =
            read.iter().filter(|(l, closed, _)| l == kiss && *closed).map(|(_, _, q)| area(q)).collect();
        areas.sort_by(f64::total_cmp);
        assert_eq!(areas.len(), expected.len());
        for (a, e) in areas.iter().zip(&expected) {
            assert!((a - e).abs() <= 1e-6 * e.max(1.0), "{a} {e}");
        }
        for (_, closed, points) in &read {
            assert!(points.windows(2).all(|w| w[0] != w[1]));
            assert!(!closed || points.first() != points.last());
        }
        assert_eq!(cut.counts.labels_placed + cut.counts.labels_on_map_only, layout.placements.len());
        assert!(cut.counts.labels_placed > 0);
    }
}

#[test]
fn holes_come_before_their_outline_and_through_cuts_last() {
    let cut = dxf(&sample::day(), &options(Version::R12)).unwrap();
    let read = read_back(&cut);
    let first = |layer: Layer| read.iter().position(|(l, ..)| l == layer.name()).unwrap();
    let last = |layer: Layer| read.iter().rposition(|(l, ..)| l == layer.name()).unwrap();
    assert!(last(Layer::KissCut) < first(Layer::ThroughCut));
    assert!(last(Layer::Pen) < first(Layer::KissCut));
    // The plates have five slots each: whatever lies inside a contour stands before it.
    let cuts: Vec<_> = read.iter().filter(|(l, c, _)| l == Layer::KissCut.name() && *c).collect();
    let inside = |q: &Point, ring: &[Point]| {
        let ring = tuckroll::shape::Ring::new(ring.to_vec()).unwrap();
        ring.locate(*q) == Some(true)
    };
    let mut nested = 0;
    for (i, outer) in cuts.iter().enumerate() {
        for (j, inner) in cuts.iter().enumerate() {
            if i != j && inside(&inner.2[0], &outer.2) {
                assert!(j < i);
                nested += 1;
            }
        }
    }
    assert_eq!(nested, 8 * 2 * 5 + 8);
}

/// A piece in the hole of another, and one in the hole of that: once a piece is cut out, all in it moves.
#[test]
fn what_lies_in_a_hole_comes_before_the_piece_round_it() {
    let frame = |id: &str, size: u32| {
        let (low, high) = (size / 4, size * 3 / 4);
        format!(
            r#"{{"id": "{id}", "fill_holes": true, "outline": [[0, 0], [{size}, 0], [{size}, {size}], [0, {size}]],
                "holes": [[[{low}, {low}], [{high}, {low}], [{high}, {high}], [{low}, {high}]]]}}"#
        )
    };
    let place = |id: &str, at: u32| {
        format!(r#"{{"panel": "{id}", "copy": 1, "x": {at}, "y": {at}, "rotation": 0, "mirrored": false}}"#)
    };
    let text = format!(
        r#"{{"format": "tuckroll-layout-1", "name": "n", "unit": "mm", "roll": {{"width": 500}}, "gap": 1,
            "panels": [{}, {}, {{"id": "c", "outline": [[0, 0], [40, 0], [40, 40], [0, 40]]}}],
            "placements": [{}, {}, {}],
            "length": 400, "panel_area": 1, "waste_percent": 0, "density_percent": 0}}"#,
        frame("a", 400),
        frame("b", 180),
        place("a", 0),
        place("b", 110),
        place("c", 180)
    );
    let layout = tuckroll::layout::read(text.as_bytes(), "layout").unwrap();
    let read = read_back(&dxf(&layout, &options(Version::R12)).unwrap());
    let sizes: Vec<u32> = read
        .iter()
        .filter(|(l, ..)| l == Layer::KissCut.name())
        .map(|(.., points)| area(points).sqrt().round() as u32)
        .collect();
    assert_eq!(sizes, [40, 90, 180, 200, 400]);
}

#[test]
fn inches_and_millimetres_are_converted_once() {
    let mut layout = sample::empty("inches");
    layout.unit = Unit::Inch;
    layout.roll.width = 24.0;
    layout.roll.edge_margin = [0.25, 0.25];
    (layout.roll.lead_margin, layout.roll.tail_margin) = (0.5, 0.5);
    layout.panels.push(panel("a", None, 1, vec![Region::solid(rectangle(4.0, 2.0))]));
    sample::set_in_columns(&mut layout, &[0.0]);
    let outline = |unit| {
        let cut = dxf(&layout, &DxfOptions { unit, ..DxfOptions::default() }).unwrap();
        let read = read_back(&cut);
        let of = |layer: Layer| read.iter().find(|(l, ..)| l == layer.name()).unwrap().2.clone();
        (of(Layer::KissCut), of(Layer::ScaleCheck), String::from_utf8(cut.bytes).unwrap())
    };
    let (mm, square, text) = outline(Unit::Millimetre);
    assert_eq!(mm, vec![p(12.7, 6.35), p(114.3, 6.35), p(114.3, 57.15), p(12.7, 57.15)]);
    assert!((area(&square) - 1e4).abs() < 1e-6);
    assert!(text.contains("$INSUNITS\n 70\n4\n") && text.contains("$MEASUREMENT\n 70\n1\n"));
    assert!(text.starts_with("999\ntuckroll: unit mm\n"));
    let (inch, square, text) = outline(Unit::Inch);
    assert_eq!(inch, vec![p(0.5, 0.25), p(4.5, 0.25), p(4.5, 2.25), p(0.5, 2.25)]);
    assert!((area(&square).sqrt() * 25.4 - 100.0).abs() < 1e-6);
    assert!(text.contains("$INSUNITS\n 70\n1\n") && text.contains("$MEASUREMENT\n 70\n0\n"));
}

/// The order-21 squared square of A. J. W. Duijvestijn (J. Combin. Theory B 25, 1978) would do
/// as well; a board of 4 x 4 squares has its double cuts known at a glance.
#[test]
fn double_cuts_at_gap_zero_are_counted_and_measured() {
    let mut layout = sample::empty("board");
    layout.gap = 0.0;
    layout.panels.push(panel("square", None, 16, vec![Region::solid(rectangle(10.0, 10.0))]));
    sample::set_in_columns(&mut layout, &[0.0]);
    for (i, q) in layout.placements.iter_mut().enumerate() {
        q.rotation = 0.0;
        q.at = p(20.0 + 10.0 * (i / 4) as f64, 10.0 + 10.0 * (i % 4) as f64);
    }
    let cut = dxf(&layout, &options(Version::R12)).unwrap();
    assert_eq!(cut.counts.coincident_cuts, 2 * 4 * 3);
    assert!((cut.counts.coincident_length - 240.0).abs() < 1e-9);
    assert!(cut.warnings.iter().any(|w| w.what.contains("24 cuts") && w.what.contains("240.0 mm")));
    assert_eq!(cut.counts.layers[&Layer::KissCut].closed, 16);
    // Brickwork: every second column shifted by half, so sides share halves.
    for (i, q) in layout.placements.iter_mut().enumerate() {
        q.at.y += if (i / 4) % 2 == 1 { 5.0 } else { 0.0 };
    }
    let cut = dxf(&layout, &options(Version::R12)).unwrap();
    assert_eq!(cut.counts.coincident_cuts, 4 * 3 + 3 * 7);
    assert!((cut.counts.coincident_length - (120.0 + 3.0 * 35.0)).abs() < 1e-9);
    // Turned as a whole, the same.
    for q in &mut layout.placements {
        q.at = tuckroll::shape::Turn::degrees(17.0).apply(q.at) + p(40.0, 0.0);
        q.rotation = 17.0;
    }
    let cut = dxf(&layout, &options(Version::R12)).unwrap();
    assert_eq!(cut.counts.coincident_cuts, 4 * 3 + 3 * 7);
    assert!((cut.counts.coincident_length - 225.0).abs() < 1e-4);
}

#[test]
fn hostile_names_stay_inside_their_comment_and_strokes() {
    let mut layout = sample::empty("x\n  0\nSECTION\r\n\u{2028}<&>\0");
    layout.panels.push(panel(
        "a\n  0\nEOF",
        Some("k\u{202e}\"'"),
        3,
        vec![Region::solid(rectangle(50.0, 50.0))],
    ));
    sample::set_in_columns(&mut layout, &[0.0]);
    let mut o = options(Version::R2010);
    o.layout_sha256 = Some("00\n  0\nEOF".into());
    for version in VERSIONS {
        let cut = dxf(&layout, &DxfOptions { version, ..o.clone() }).unwrap();
        let text = String::from_utf8(cut.bytes.clone()).unwrap();
        assert!(text.bytes().all(|b| b == b'\n' || (b' '..=b'~').contains(&b)));
        assert_eq!(text.matches("\nEOF\n").count(), 1);
        assert_eq!(read_back(&cut).iter().filter(|(l, ..)| l == Layer::KissCut.name()).count(), 3);
    }
}

#[test]
fn numbers_that_are_none_are_refused() {
    for bad in [f64::NAN, f64::INFINITY, 1e12] {
        let mut layout = sample::empty("bad");
        layout.panels.push(panel("a", None, 1, vec![Region::solid(rectangle(5.0, 5.0))]));
        sample::set_in_columns(&mut layout, &[0.0]);
        layout.placements[0].at.x = bad;
        assert!(matches!(dxf(&layout, &options(Version::R12)), Err(Error::Input(_))), "{bad}");
    }
    let mut layout = sample::empty("bad");
    layout.placements.push(sample::day().placements[0]);
    assert!(matches!(dxf(&layout, &options(Version::R12)), Err(Error::Internal(_))));
}

/// The file of one triangle, to the letter.
#[test]
fn the_smallest_r12_file_is_this() {
    let mut layout = sample::empty("tiny");
    let tri = sample::ring(&[(0.0, 0.0), (30.0, 0.0), (0.0, 20.5)]);
    layout.panels.push(panel("t", None, 1, vec![Region::solid(tri)]));
    sample::set_in_columns(&mut layout, &[0.0]);
    let o = DxfOptions { labels: false, layout_sha256: Some("ab12".into()), ..DxfOptions::default() };
    let text = String::from_utf8(dxf(&layout, &o).unwrap().bytes).unwrap();
    let head = "999\ntuckroll: unit mm\n999\ntuckroll: layout sha256 ab12\n999\ntuckroll: name tiny\n";
    assert!(text.starts_with(head), "{text}");
    let tail = "  0\nPOLYLINE\n  8\nTR_KISS\n 66\n1\n 10\n0.0\n 20\n0.0\n 30\n0.0\n 70\n1\n\
        \x20 0\nVERTEX\n  8\nTR_KISS\n 10\n15.0\n 20\n8.0\n 30\n0.0\n\
        \x20 0\nVERTEX\n  8\nTR_KISS\n 10\n45.0\n 20\n8.0\n 30\n0.0\n\
        \x20 0\nVERTEX\n  8\nTR_KISS\n 10\n15.0\n 20\n28.5\n 30\n0.0\n\
        \x20 0\nSEQEND\n  8\nTR_KISS\n  0\nENDSEC\n  0\nEOF\n";
    assert!(text.ends_with(tail), "{text}");
    assert!(!text.contains("\n100\n") && !text.contains("$TDCREATE") && !text.contains("$HANDSEED"));
}

/// Labels lie on the film between the margins, off every panel, and clear of all lines.
#[test]
fn labels_lie_in_the_waste() {
    let layout = sample::day();
    let cut = dxf(&layout, &options(Version::R12)).unwrap();
    let read = read_back(&cut);
    let of = |layer: Layer| read.iter().filter(move |(l, ..)| l == layer.name());
    let mut rings: BTreeMap<usize, Vec<geo::Polygon>> = BTreeMap::new();
    for (i, q) in layout.placements.iter().enumerate() {
        let pose = q.pose();
        for region in &layout.panels[q.panel].parts {
            let line = |r: &tuckroll::shape::Ring| {
                geo::LineString::from_iter(r.points().iter().map(|v| pose.apply(*v)))
            };
            let holes = region.holes().iter().map(line).collect();
            rings.entry(i).or_default().push(geo::Polygon::new(line(region.outline()), holes));
        }
    }
    let mut strokes = 0;
    for (_, closed, points) in of(Layer::Label) {
        assert!(!closed);
        let line = geo::LineString::from_iter(points.iter().copied());
        for v in points {
            assert!(v.x >= 15.0 && v.x <= layout.measures.length - 20.0 && v.y >= 8.0 && v.y <= 602.0);
        }
        for polygon in rings.values().flatten() {
            let d = geo::Distance::distance(&geo::Euclidean, &line, polygon);
            assert!(d >= 0.75 - 1e-6, "{d}");
        }
        strokes += 1;
    }
    assert!(strokes > 100);
}

/// A closed line of two points is a line there and back: it is cut once, by every file. What has no length that the
/// file could tell is left out with a word.
#[test]
fn closed_lines_of_two_points_are_cut_once() {
    let mut layout = sample::empty("there and back");
    let mut plate = panel("plate", None, 1, vec![Region::solid(rectangle(100.0, 50.0))]);
    let line = |points: &[(f64, f64)]| Line {
        role: LineRole::Cut,
        points: points.iter().map(|&(x, y)| p(x, y)).collect(),
        closed: true,
        copy: None,
    };
    plate.lines = vec![
        line(&[(10.0, 10.0), (90.0, 10.0)]),
        line(&[(10.0, 20.0), (90.0, 20.0), (90.0, 20.0), (10.0, 20.0)]),
        // Three points for the layout, two for a file of six decimals.
        line(&[(10.0, 30.0), (90.0, 30.0), (90.0, 30.000_000_1)]),
        line(&[(10.0, 40.0), (90.0, 40.0), (90.0, 45.0)]),
    ];
    layout.panels.push(plate);
    sample::set_in_columns(&mut layout, &[0.0]);
    for version in VERSIONS {
        let cut = dxf(&layout, &options(version)).unwrap();
        assert_eq!(cut.warnings, []);
        let count = cut.counts.layers[&Layer::KissCut];
        assert_eq!((count.open, count.closed), (3, 2));
        let open = read_back(&cut)
            .into_iter()
            .filter(|(layer, closed, _)| layer == Layer::KissCut.name() && !closed);
        for (_, _, points) in open {
            assert!(points.len() == 2 && (length(points[1] - points[0]) - 80.0).abs() < 1e-6, "{points:?}");
        }
    }
    let film = Film::of(&layout, Whole::default());
    let lines: Vec<bool> = contours(&layout, &film)
        .unwrap()
        .iter()
        .filter(|c| c.name.contains("/line"))
        .map(|c| c.closed)
        .collect();
    assert_eq!(lines, [false, false, true, true]);
    // A layout keeps its lines as they were given.
    let text = tuckroll::layout::write(&layout);
    assert_eq!(tuckroll::layout::read(text.as_bytes(), "layout.json").unwrap(), layout);
    layout.panels[0].lines = vec![line(&[(10.0, 10.0), (10.0, 10.000_000_01)])];
    let cut = dxf(&layout, &options(Version::R12)).unwrap();
    assert!(cut.warnings.iter().any(|w| w.what.contains("1 lines are smaller than the file's last digit")));
}

#[test]
fn lines_go_to_the_layer_of_their_role() {
    let layout = sample::day();
    let cut = dxf(&layout, &options(Version::R2000)).unwrap();
    let copies = |role: LineRole| {
        let lines = |i: usize| layout.panels[i].lines.iter().filter(|l| l.role == role).count();
        layout.placements.iter().map(|q| lines(q.panel)).sum::<usize>()
    };
    let count = |layer: Layer| cut.counts.layers.get(&layer).copied().unwrap_or_default();
    assert_eq!(count(Layer::Pen).open, copies(LineRole::Draw));
    assert_eq!(count(Layer::ThroughCut).open, copies(LineRole::Through));
    assert_eq!(count(Layer::Print).closed, copies(LineRole::Print));
    assert_eq!(
        (count(Layer::FilmEdge).closed, count(Layer::ScaleCheck).closed, count(Layer::Flaw).closed),
        (1, 1, 1)
    );
}

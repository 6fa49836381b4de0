//! Location, distance and common points compared with what `geo` (georust/geo 0.33) finds by
//! its own algorithms, over random and near-degenerate shapes.

use super::*;
use geo::algorithm::buffer::{BufferStyle, LineJoin};
use geo::{Area, BooleanOps, Buffer, Distance, Euclidean, Intersects, LineString, MultiPolygon, Polygon};
use rand::{RngExt, SeedableRng, rngs::Xoshiro256PlusPlus};
use std::f64::consts::TAU;

type Rng = Xoshiro256PlusPlus;

fn on_circle(centre: Point, radius: f64, angle: f64) -> Point {
    centre + Point { x: libm::cos(angle), y: libm::sin(angle) } * radius
}

/// A random contour that is star-shaped about `centre`, hence simple.
fn star(rng: &mut Rng, centre: Point, radii: std::ops::Range<f64>, corners: usize) -> Ring {
    let step = TAU / corners as f64;
    let corner = |i: usize, rng: &mut Rng| {
        on_circle(centre, rng.random_range(radii.clone()), step * (i as f64 + rng.random_range(-0.4..0.4)))
    };
    Ring::new((0..corners).map(|i| corner(i, rng)).collect()).unwrap()
}

/// A random shape, every other one with a hole.
fn shape(rng: &mut Rng, spread: f64) -> Region {
    let centre = Point { x: rng.random_range(-spread..spread), y: rng.random_range(-spread..spread) };
    let corners = rng.random_range(3..40);
    let outline = star(rng, centre, 4.0..10.0, corners);
    let hole = star(rng, centre, 0.5..1.5, 7);
    if rng.random_bool(0.5) {
        Region::new(outline.clone(), vec![hole]).unwrap_or(Region::solid(outline))
    } else {
        Region::solid(outline)
    }
}

fn theirs(region: &Region) -> Polygon {
    let line = |ring: &Ring| LineString::from(ring.points().to_vec());
    Polygon::new(line(region.outline()), region.holes().iter().map(line).collect())
}

fn ours(region: &Region) -> Contours {
    Contours::of_regions([region])
}

#[test]
fn a_point_is_located_as_geo_does() {
    let mut rng = Rng::seed_from_u64(11);
    for _ in 0..300 {
        let region = shape(&mut rng, 1.0);
        let (mine, polygon) = (ours(&region), theirs(&region));
        let corners = mine.points().to_vec();
        let anywhere = (0..100)
            .map(|_| Point { x: rng.random_range(-12.0..12.0), y: rng.random_range(-12.0..12.0) })
            .collect::<Vec<_>>();
        for p in anywhere.iter().chain(&corners) {
            use geo::coordinate_position::{CoordPos, CoordinatePosition};
            let expected = match polygon.coordinate_position(p) {
                CoordPos::Inside => Some(true),
                CoordPos::Outside => Some(false),
                CoordPos::OnBoundary => None,
            };
            assert_eq!(mine.locate(*p), expected);
        }
        // On the height of a corner, where a careless ray counts twice.
        for p in corners.iter().map(|c| Point { x: rng.random_range(-12.0..12.0), y: c.y }) {
            assert_eq!(mine.locate(p) == Some(false), !polygon.intersects(&geo::Point(p)));
        }
    }
}

#[test]
fn distances_are_those_of_geo() {
    let mut rng = Rng::seed_from_u64(12);
    let mut apart = 0;
    for _ in 0..3000 {
        let (a, b) = (shape(&mut rng, 15.0), shape(&mut rng, 15.0));
        let expected = Euclidean.distance(&theirs(&a), &theirs(&b));
        let found = ours(&a).distance(&ours(&b), f64::INFINITY).unwrap();
        assert!((found - expected).abs() <= 1e-12, "{found} {expected}");
        assert_eq!(ours(&b).distance(&ours(&a), f64::INFINITY), Some(found));
        if expected > 0.0 {
            apart += 1;
            assert_eq!(ours(&a).distance(&ours(&b), 0.999 * expected), None);
            assert!(ours(&a).distance(&ours(&b), 1.001 * expected).is_some());
        }
    }
    assert!((500..2500).contains(&apart), "both kinds are met: {apart}");
}

#[test]
fn touching_and_almost_touching_shapes_have_the_right_distance() {
    let mut rng = Rng::seed_from_u64(13);
    for gap in [0.0, 1e-12, 1e-9, 1e-6] {
        for _ in 0..300 {
            // Right of the tip of one shape stands the tip of its mirror image.
            let a = shape(&mut rng, 3.0);
            let edge = a.bounds().max.x;
            let flip = |r: &Ring| {
                Ring::new(r.points().iter().map(|p| Point { x: 2.0 * edge + gap - p.x, y: p.y }).collect())
                    .unwrap()
            };
            let b = Region::solid(flip(a.outline()));
            let found = ours(&a).distance(&ours(&b), f64::INFINITY).unwrap();
            assert!((found - gap).abs() <= 1e-14, "{found} {gap}");
            assert!((found - Euclidean.distance(&theirs(&a), &theirs(&b))).abs() <= 1e-14);
        }
    }
}

/// `geo`'s buffer, with arcs of two degrees.
fn eroded(region: &Region, depth: f64) -> MultiPolygon {
    theirs(region).buffer_with_style(BufferStyle::new(-depth).line_join(LineJoin::Round(0.035)))
}

fn meet(a: &Region, b: &Region, depth: (f64, f64)) -> Option<Point> {
    let (a, b) = (ours(a), ours(b));
    let (cores_a, cores_b) = (cores(&a, depth.0), cores(&b, depth.1));
    common_point(
        Eroded { shape: &a, depth: depth.0, cores: &cores_a },
        Eroded { shape: &b, depth: depth.1, cores: &cores_b },
    )
}

/// Depths as large as the shapes' own features, so that lines, circles, necks and pieces of
/// every kind decide. Where `geo` changes its mind within half a per cent of the depth, it has none.
#[test]
fn shapes_overlap_as_deep_as_the_buffers_of_geo_do() {
    let mut rng = Rng::seed_from_u64(14);
    let (mut yes, mut no) = (0, 0);
    for _ in 0..3000 {
        let (a, b) = (shape(&mut rng, 9.0), shape(&mut rng, 9.0));
        let largest: f64 = if rng.random_bool(0.5) { 0.2 } else { 2.5 };
        let depth = (rng.random_range(0.01..largest), rng.random_range(0.01..largest));
        let overlap = |part: f64| eroded(&a, part * depth.0).intersects(&eroded(&b, part * depth.1));
        let (surely, possibly) = (overlap(1.005), overlap(0.995));
        if surely != possibly {
            continue;
        }
        *(if surely { &mut yes } else { &mut no }) += 1;
        assert_eq!(meet(&a, &b, depth).is_some(), surely, "{a:?} {b:?} {depth:?}");
    }
    assert!(yes > 600 && no > 600, "both kinds are met: {yes} {no}");
}

#[test]
fn a_shape_is_thicker_than_a_depth_as_long_as_geo_leaves_something_of_it() {
    let mut rng = Rng::seed_from_u64(15);
    let (mut yes, mut no) = (0, 0);
    for _ in 0..2000 {
        let (region, depth) = (shape(&mut rng, 7.0), rng.random_range(0.5..6.0));
        let left = |part: f64| !eroded(&region, part * depth).0.is_empty();
        if left(1.005) == left(0.995) {
            *(if left(1.0) { &mut yes } else { &mut no }) += 1;
            assert_eq!(is_thicker_than(&ours(&region), depth), left(1.0), "{region:?} {depth}");
        }
    }
    assert!(yes > 300 && no > 300, "both kinds are met: {yes} {no}");
}

/// Every piece of the eroded shape must hold a core: `geo` counts the pieces.
#[test]
fn every_piece_of_an_eroded_shape_has_a_core() {
    let mut rng = Rng::seed_from_u64(16);
    let mut several = 0;
    for _ in 0..1500 {
        let (region, depth) = (shape(&mut rng, 1.0), rng.random_range(0.3..2.5));
        let (exact, grown) = (cores(&ours(&region), depth), eroded(&region, 0.99 * depth));
        let near = |p: &Point, piece: &Polygon| Euclidean.distance(&geo::Point(*p), piece) < 1e-3;
        for piece in eroded(&region, 1.005 * depth).iter().filter(|piece| piece.unsigned_area() > 1e-6) {
            let home = grown.iter().find(|g| g.intersects(piece)).unwrap();
            assert!(exact.iter().any(|p| near(p, home)), "{region:?} {depth}");
        }
        several += usize::from(grown.0.len() > 1);
    }
    assert!(several > 100, "shapes that fall into pieces are met: {several}");
}

/// Slivers: an overlap as wide as asked for, long or short, at any angle.
#[test]
fn the_width_of_a_sliver_of_overlap_decides() {
    let mut rng = Rng::seed_from_u64(17);
    for _ in 0..2000 {
        let turn = Turn::degrees(rng.random_range(0.0..360.0));
        let at = Point { x: rng.random_range(0.0..3e4), y: rng.random_range(0.0..600.0) };
        let (wide, high) = (rng.random_range(1.0..300.0), rng.random_range(1.0..300.0));
        let block = |x: f64, y: f64| {
            let corners = [(0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)];
            let put = |(u, v): (f64, f64)| at + turn.apply(Point { x: u + x, y: v + y });
            Region::solid(Ring::new(corners.map(put).to_vec()).unwrap())
        };
        let t = 6.1e-4;
        for (depth, deep) in [(-1e-9, false), (0.0, false), (0.99 * t, false), (1.01 * t, true), (0.5, true)]
        {
            let slide = rng.random_range(-0.9..0.9) * high;
            let other = block(wide - depth, slide);
            assert_eq!(meet(&block(0.0, 0.0), &other, (0.5 * t, 0.5 * t)).is_some(), deep, "{depth}");
            let area = theirs(&block(0.0, 0.0)).intersection(&theirs(&other)).unsigned_area();
            assert!((area - depth.max(0.0) * (high - slide.abs())).abs() < 1e-3 * (1.0 + area));
        }
    }
}

/// A simple contour with corners on a small grid, so that contours often meet at corners and
/// along sides.
fn on_grid(rng: &mut Rng) -> Ring {
    loop {
        let corners = rng.random_range(3..8);
        let mut corner =
            || Point { x: f64::from(rng.random_range(0..5)), y: f64::from(rng.random_range(0..5)) };
        if let Ok(ring) = Ring::new((0..corners).map(|_| corner()).collect()) {
            return ring;
        }
    }
}

#[test]
fn contours_on_a_grid_lie_apart_or_in_each_other_as_geo_finds_by_areas() {
    let mut rng = Rng::seed_from_u64(17);
    let mut seen = [0; 3];
    for _ in 0..10_000 {
        let (a, b) = (Region::solid(on_grid(&mut rng)), Region::solid(on_grid(&mut rng)));
        let (p, q) = (theirs(&a), theirs(&b));
        // Corners on whole numbers up to 4: a common area that is not empty is far above rounding.
        let common = p.intersection(&q).unsigned_area();
        let apart = common < 1e-6;
        let inside = (common - a.area()).abs() < 1e-6 && (common - b.area()).abs() > 1e-6;
        assert_eq!(first_overlap(&[a.clone(), b.clone()]).is_none(), apart, "{a:?} {b:?}");
        assert_eq!(Tree::of(a.outline()).lies_inside(&Tree::of(b.outline())), inside, "{a:?} {b:?}");
        seen[usize::from(inside) + 2 * usize::from(apart)] += 1;
    }
    assert!(seen.iter().all(|n| *n > 100), "{seen:?}");
}

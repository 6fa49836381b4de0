//! The fixtures as a renderer paints them (resvg), pixel by pixel against the outlines read.

use super::{ALL, drawing, fixture};
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree};
use tuckroll::read::{Drawing, ReadOptions};
use tuckroll::shape::{Point, point_segment_distance};

/// Pixels along the width of a picture.
const WIDTH: f32 = 480.0;

/// Pixels nearer than this to an outline may be either; half a pixel's diagonal is 0.71.
const BAND: f64 = 0.75;

/// How much of each pixel the renderer paints, 0 to 1, and the picture's size.
struct Painted {
    cover: Vec<f64>,
    width: u32,
    height: u32,
    /// Left and top of the view box, and pixels per user unit.
    left: f64,
    top: f64,
    per_unit: f64,
}

fn paint(name: &str) -> Painted {
    let bytes = fixture(name);
    let tree = Tree::from_data(&bytes, &Options::default()).unwrap();
    let scale = WIDTH / tree.size().width();
    let (width, height) = (WIDTH as u32, (tree.size().height() * scale).ceil() as u32);
    let mut pixmap = Pixmap::new(width, height).unwrap();
    resvg::render(&tree, Transform::from_scale(scale, scale), &mut pixmap.as_mut());
    let cover = pixmap.pixels().iter().map(|p| f64::from(p.alpha()) / 255.0).collect();
    let text = String::from_utf8(bytes).unwrap();
    let view = text.split("viewBox=\"").nth(1).unwrap().split('"').next().unwrap().to_owned();
    let view: Vec<f64> = view.split(' ').map(|n| n.parse().unwrap()).collect();
    Painted { cover, width, height, left: view[0], top: view[1], per_unit: f64::from(WIDTH) / view[2] }
}

impl Painted {
    /// The middle of a pixel in the frame of a drawing.
    fn middle(&self, column: u32, row: u32) -> Point {
        Point {
            x: self.left + (f64::from(column) + 0.5) / self.per_unit,
            y: -(self.top + (f64::from(row) + 0.5) / self.per_unit),
        }
    }
}

fn inside(drawing: &Drawing, p: Point) -> bool {
    drawing.found.iter().any(|f| f.region.rings().filter(|r| r.locate(p) == Some(true)).count() % 2 == 1)
}

fn near_outline(drawing: &Drawing, p: Point, reach: f64) -> bool {
    let sides = drawing.found.iter().flat_map(|f| f.region.rings()).flat_map(|r| r.sides());
    sides.into_iter().any(|(a, b)| point_segment_distance(p, a, b) <= reach)
}

/// Pixels that the renderer paints and the outlines do not hold, or the other way round.
fn differing(painted: &Painted, drawing: &Drawing) -> Vec<(u32, u32)> {
    let mut list = Vec::new();
    for row in 0..painted.height {
        for column in 0..painted.width {
            let p = painted.middle(column, row);
            let shown = painted.cover[(row * painted.width + column) as usize] >= 0.5;
            if shown != inside(drawing, p) && !near_outline(drawing, p, BAND / painted.per_unit) {
                list.push((column, row));
            }
        }
    }
    list
}

/// In `shapes.svg` one outline is made of loose unpainted lines: the renderer has nothing there.
fn without_loose_lines(name: &str, mut drawing: Drawing) -> Drawing {
    if name == "shapes.svg" {
        drawing.found.pop();
    }
    drawing
}

#[test]
fn every_pixel_away_from_an_outline_agrees_with_the_renderer() {
    for name in ALL {
        let drawing = without_loose_lines(name, drawing(name, &ReadOptions::default()));
        let painted = paint(name);
        // The loose lines' own strokes are thinner than a pixel and paint less than half of it.
        let list = differing(&painted, &drawing);
        assert!(list.is_empty(), "{name}: {} pixels differ, first at {:?}", list.len(), list[0]);
    }
}

#[test]
fn painted_areas_agree_with_the_renderer() {
    for name in ALL.into_iter().filter(|n| *n != "shapes.svg") {
        let drawing = drawing(name, &ReadOptions::default());
        let painted = paint(name);
        let shown: f64 = painted.cover.iter().sum::<f64>() / (painted.per_unit * painted.per_unit);
        let read: f64 = drawing.found.iter().map(|f| f.region.area()).sum();
        // Anti-aliasing counts sixteenths of pixels along the outlines.
        assert!((shown / read - 1.0).abs() < 2e-3, "{name}: {shown} painted, {read} read");
    }
}

#[test]
fn the_comparison_can_fail() {
    let painted = paint("fill-rules.svg");
    let mut drawing = drawing("fill-rules.svg", &ReadOptions::default());
    drawing.found.remove(7);
    assert!(differing(&painted, &drawing).len() > 100);
}

//! Film that is cut already, as film that no panel may touch.

use crate::job::{Piece, Roll};
use crate::layout::Layout;
use crate::money::{Decimal, Price};
use crate::shape::{Point, Ring, convex_hull, dot, length};
use geo::algorithm::buffer::{BufferStyle, LineJoin};
use geo::{Buffer, Coord, LineString, Polygon, unary_union};
use std::f64::consts::{PI, TAU};

/// Sides of the polygon that stands for a circle; it lies 0.9 % outside at its corners.
const SIDES: u32 = 24;

/// The film that a layout used, its panels as flaws with the gap round each: nothing is cut nearer to an
/// edge of what was taken out than to a panel. Holes count as cut: their film is waste, or holds other panels.
/// The film is off the stock and paid for, so it has no name and costs nothing.
pub(super) fn roll_with_cut_panels(layout: &Layout, gap: f64) -> Roll {
    let old = &layout.roll.piece;
    let price = old.price.map(|price| Price { amount: Decimal::ZERO, ..price });
    let piece = Piece { id: None, offcut: true, price, ..old.clone() };
    let mut roll = Roll { length: Some(layout.measures.length), piece, ..layout.roll.clone() };
    for place in &layout.placements {
        let Some(panel) = layout.panels.get(place.panel) else { continue };
        let pose = place.pose();
        for part in &panel.parts {
            let outline: Vec<Point> = part.outline().points().iter().map(|p| pose.apply(*p)).collect();
            roll.flaws.extend(grown(&outline, gap));
        }
    }
    roll
}

/// The outline with at least the gap round it, a little more where that saves points.
fn grown(outline: &[Point], gap: f64) -> Vec<Ring> {
    let itself = || Ring::new(outline.to_vec()).or_else(|_| Ring::new(convex_hull(outline))).ok();
    if gap <= 0.0 {
        return itself().into_iter().collect();
    }
    // So far out, a corner that turns by no more than one of the circle's may be cut off straight.
    let radius = gap / libm::cos(PI / f64::from(SIDES));
    let style = BufferStyle::new(radius).line_join(LineJoin::Bevel);
    let mut pieces = polygon(outline).buffer_with_style(style).0;
    pieces.extend(corners(outline).map(|corner| circle(corner, radius)));
    let ring = |piece: &Polygon| {
        let points: Vec<Point> = piece.exterior().coords().map(|c| Point { x: c.x, y: c.y }).collect();
        Ring::new(points.clone()).or_else(|_| Ring::new(convex_hull(&points))).ok()
    };
    let rings: Vec<Ring> = unary_union(&pieces).0.iter().filter_map(ring).collect();
    if rings.is_empty() { itself().into_iter().collect() } else { rings }
}

fn polygon(points: &[Point]) -> Polygon {
    let coords: Vec<Coord<f64>> = points.iter().map(|p| Coord { x: p.x, y: p.y }).collect();
    Polygon::new(LineString::new(coords), Vec::new())
}

/// The corners that turn by more than a corner of the circle's polygon.
fn corners(outline: &[Point]) -> impl Iterator<Item = Point> + '_ {
    let n = outline.len();
    let least = libm::cos(TAU / f64::from(SIDES));
    let sharp = move |i: &usize| {
        let (before, here, after) = (outline[(i + n - 1) % n], outline[*i], outline[(i + 1) % n]);
        let (a, b) = (here - before, after - here);
        // A hair early, for rounding.
        dot(a, b) < (least + 1e-9) * length(a) * length(b)
    };
    (0..n).filter(sharp).map(|i| outline[i])
}

/// A polygon round a circle, its corners so far from the middle.
fn circle(middle: Point, radius: f64) -> Polygon {
    let corner = |i: u32| {
        let turn = TAU * f64::from(i) / f64::from(SIDES);
        Point { x: middle.x + radius * libm::cos(turn), y: middle.y + radius * libm::sin(turn) }
    };
    polygon(&(0..SIDES).map(corner).collect::<Vec<_>>())
}

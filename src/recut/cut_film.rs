//! Film that is cut already, as film that no panel may touch.

use crate::job::Roll;
use crate::layout::Layout;
use crate::shape::{Point, Ring, convex_hull};
use geo::algorithm::buffer::{BufferStyle, LineJoin};
use geo::{Buffer, Coord, LineString, Polygon};

/// The roll of a layout with its panels as flaws, the gap round each: nothing is cut nearer to an
/// edge of what was taken out than to a panel. Holes count as cut: their film is waste, or holds other panels.
pub(super) fn roll_with_cut_panels(layout: &Layout) -> Roll {
    let mut roll = layout.roll.clone();
    for place in &layout.placements {
        let Some(panel) = layout.panels.get(place.panel) else { continue };
        let pose = place.pose();
        for part in &panel.parts {
            let outline: Vec<Point> = part.outline().points().iter().map(|p| pose.apply(*p)).collect();
            roll.flaws.extend(grown(&outline, layout.gap));
        }
    }
    roll
}

/// The outline with the gap round it, its corners cut off straight.
fn grown(outline: &[Point], gap: f64) -> Vec<Ring> {
    let itself = || Ring::new(outline.to_vec()).or_else(|_| Ring::new(convex_hull(outline))).ok();
    if gap <= 0.0 {
        return itself().into_iter().collect();
    }
    let coords: Vec<Coord<f64>> = outline.iter().map(|p| Coord { x: p.x, y: p.y }).collect();
    let polygon = Polygon::new(LineString::new(coords), Vec::new());
    let style = BufferStyle::new(gap).line_join(LineJoin::Bevel);
    let pieces = polygon.buffer_with_style(style);
    let ring = |piece: &Polygon| {
        let points: Vec<Point> = piece.exterior().coords().map(|c| Point { x: c.x, y: c.y }).collect();
        Ring::new(points.clone()).or_else(|_| Ring::new(convex_hull(&points))).ok()
    };
    let rings: Vec<Ring> = pieces.iter().filter_map(ring).collect();
    if rings.is_empty() { itself().into_iter().collect() } else { rings }
}

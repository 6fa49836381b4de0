//! Elliptical arcs as path data gives them: by their ends.

use super::transform::Map;
use crate::shape::Point;
use crate::shape::flatten::EllipseArc;
use std::f64::consts::TAU;

/// The radii, turn (radians) and choice of an elliptical arc command.
#[derive(Debug, Clone, Copy)]
pub(super) struct ArcShape {
    /// Along the turned x axis.
    pub rx: f64,
    /// Along the turned y axis.
    pub ry: f64,
    /// Turn of the ellipse's x axis, in radians.
    pub turn: f64,
    /// The arc of more than half a turn.
    pub large: bool,
    /// The arc on which the angle grows.
    pub sweep: bool,
}

/// The image of an arc under an affine map.
pub(super) fn mapped(arc: &EllipseArc, map: &Map) -> EllipseArc {
    let linear = Map::new(map.a(), map.b(), 0.0, map.d(), map.e(), 0.0);
    EllipseArc { centre: map.apply(arc.centre), u: linear.apply(arc.u), v: linear.apply(arc.v), ..*arc }
}

/// The ellipse through two points (SVG 1.1, appendix F.6.5 and F.6.6); `None` when the arc is a
/// straight line: a radius of zero, or no way to go.
pub(super) fn arc_between(from: Point, shape: ArcShape, to: Point) -> Option<EllipseArc> {
    let (mut rx, mut ry) = (shape.rx.abs(), shape.ry.abs());
    if from == to || rx == 0.0 || ry == 0.0 {
        return None;
    }
    let (sin, cos) = libm::sincos(shape.turn);
    // Half the chord in the frame of the ellipse, in units of its radii.
    let half = (from - to) * 0.5;
    let (px, py) = ((cos * half.x + sin * half.y) / rx, (cos * half.y - sin * half.x) / ry);
    let reach = px * px + py * py;
    if reach > 1.0 {
        rx *= reach.sqrt();
        ry *= reach.sqrt();
    }
    let (px, py) = if reach > 1.0 { (px / reach.sqrt(), py / reach.sqrt()) } else { (px, py) };
    let rest = (1.0 / (px * px + py * py) - 1.0).max(0.0).sqrt();
    let rest = if shape.large == shape.sweep { -rest } else { rest };
    // The centre, in the same frame, seen from the middle of the chord.
    let (cx, cy) = (rest * py, -rest * px);
    let u = Point { x: rx * cos, y: rx * sin };
    let v = Point { x: -ry * sin, y: ry * cos };
    let start = libm::atan2(py - cy, px - cx);
    let end = libm::atan2(-py - cy, -px - cx);
    let sweep = match (shape.sweep, end - start) {
        (true, d) if d < 0.0 => d + TAU,
        (false, d) if d > 0.0 => d - TAU,
        (_, d) => d,
    };
    Some(EllipseArc { centre: (from + to) * 0.5 + u * cx + v * cy, u, v, start, sweep })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shape::length;
    use proptest::prelude::*;
    use std::f64::consts::PI;

    fn p(x: f64, y: f64) -> Point {
        Point { x, y }
    }

    #[test]
    fn semicircle_too_small_for_its_ends_is_scaled_up() {
        let shape = ArcShape { rx: 1.0, ry: 1.0, turn: 0.0, large: false, sweep: true };
        let arc = arc_between(p(0., 0.), shape, p(10., 0.)).unwrap();
        assert_eq!((arc.centre, arc.u), (p(5., 0.), p(5., 0.)));
        assert!((arc.sweep - PI).abs() < 1e-15);
        assert!((arc.start.abs() - PI).abs() < 1e-15);
    }

    #[test]
    fn two_flags_choose_among_four_arcs() {
        // Both circles of radius 5 through (0, 0) and (5, 5); y runs down, so a sweep from
        // (0, 0) that grows in angle passes above the chord, about (0, 5).
        let centre = |large, sweep| {
            let shape = ArcShape { rx: 5.0, ry: 5.0, turn: 0.3, large, sweep };
            let arc = arc_between(p(0., 0.), shape, p(5., 5.)).unwrap();
            assert!((arc.sweep.abs() - if large { 1.5 * PI } else { 0.5 * PI }).abs() < 1e-12);
            p(arc.centre.x.round(), arc.centre.y.round())
        };
        assert_eq!(centre(false, true), p(0., 5.));
        assert_eq!(centre(false, false), p(5., 0.));
        assert_eq!(centre(true, true), p(5., 0.));
        assert_eq!(centre(true, false), p(0., 5.));
    }

    proptest! {
        #[test]
        fn arcs_begin_and_end_where_they_should(
            c in prop::array::uniform4(-100.0..100.0), rx in 0.1..200.0, ry in 0.1..200.0,
            turn in -4.0..4.0, large: bool, sweep: bool,
        ) {
            let (from, to) = (p(c[0], c[1]), p(c[2], c[3]));
            let arc = arc_between(from, ArcShape { rx, ry, turn, large, sweep }, to).unwrap();
            prop_assert!(length(arc.start_point() - from) < 1e-6);
            prop_assert!(length(arc.end_point() - to) < 1e-6);
            prop_assert_eq!(arc.sweep > 0.0, sweep);
            prop_assert!(arc.sweep.abs() <= TAU);
            // An arc scaled up to fit is half a turn, where the two sizes meet.
            prop_assert!(large == (arc.sweep.abs() > PI) || (arc.sweep.abs() - PI).abs() < 1e-6);
        }
    }
}

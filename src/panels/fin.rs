//! Fins: both faces of each, left and right.
//!
//! The frame of a fin: x along the body, forward; y outward from the root; the aft end of the
//! root at the origin. The right face is that outline as it is; the left face is its mirror
//! image, drawn as an outline of its own, so that print and grain run forward on both.

use super::limits::{allowance, dimension, offset};
use super::marks::{Mark, Wording, mark_band};
use super::strip::ring;
use super::{Fault, FlatPanel, Hand, Made, Terms};
use crate::shape::{Point, Region, Ring, Side, dot, length, side};
use std::f64::consts::PI;

/// The outline of a fin. Lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub enum Planform {
    /// Root and tip parallel to the body.
    Trapezoid {
        /// Chord at the root.
        root: f64,
        /// Chord at the tip; 0 for a triangle.
        tip: f64,
        /// Exposed height over the body.
        span: f64,
        /// How far aft the leading edge runs from root to tip, along the body; may be negative.
        sweep: f64,
    },
    /// Half an ellipse over the root.
    Elliptical {
        /// Chord at the root.
        root: f64,
        /// Exposed height over the body.
        span: f64,
    },
    /// Any outline; its root is what lies on y = 0, everything else above.
    Polygon(Vec<Point>),
}

/// How film ends at the free edges of a fin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum EdgeFinish {
    /// At the edge.
    Flush,
    /// So far beyond it, folded round to the other face; on the face that is laid first, or on both.
    Wrap {
        /// How far, in mm.
        width: f64,
        /// The face that is laid first; `None` when both are folded round.
        first: Option<Hand>,
    },
    /// So far before it, in mm, so that no edge lifts in the air stream.
    SetBack(f64),
}

/// Equal fins. Lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Fin {
    /// Outline of one.
    pub planform: Planform,
    /// How many.
    pub count: u32,
    /// Film beyond the root, for the fillet or to be trimmed there.
    pub root_allowance: f64,
    /// The free edges.
    pub edges: EdgeFinish,
}

/// The panels of the fins: `left` and `right`, each as often as there are fins. `label` is written
/// into film that the other face covers.
///
/// # Errors
///
/// A [`Fault`] names the field that is wrong.
pub fn fin(fin: &Fin, label: &str, terms: &Terms<'_>) -> Result<Made, Fault> {
    if fin.count == 0 || fin.count > MOST_FINS {
        return Err(Fault::new("count", format!("{} fins; 1 to {MOST_FINS} can be made", fin.count), ""));
    }
    allowance("root_allowance", fin.root_allowance)?;
    let outline = fin.planform.points(terms.tolerance)?;
    let faces = [Hand::Left, Hand::Right].map(|hand| face(fin, &outline, hand, label));
    let panels = faces.into_iter().collect::<Result<Vec<_>, _>>()?;
    Ok(Made::developed(panels, fin.count))
}

/// Most fins that are taken for meant.
const MOST_FINS: u32 = 100;

impl Planform {
    /// Area of one face, in mm^2.
    ///
    /// # Errors
    ///
    /// A [`Fault`] names the field that is wrong.
    pub fn area(&self, tolerance: f64) -> Result<f64, Fault> {
        Ok(ring(self.points(tolerance)?)?.area())
    }

    /// Counter-clockwise corners; curves within the tolerance.
    fn points(&self, tolerance: f64) -> Result<Vec<Point>, Fault> {
        match *self {
            Self::Trapezoid { root, tip, span, sweep } => trapezoid(root, tip, span, sweep),
            Self::Elliptical { root, span } => {
                dimension("root", root)?;
                dimension("span", span)?;
                Ok(half_ellipse(0.5 * root, span, tolerance))
            }
            Self::Polygon(ref points) => polygon(points),
        }
    }
}

fn trapezoid(root: f64, tip: f64, span: f64, sweep: f64) -> Result<Vec<Point>, Fault> {
    dimension("root", root)?;
    allowance("tip", tip)?;
    dimension("span", span)?;
    offset("sweep", sweep)?;
    let mut points = vec![
        Point { x: 0.0, y: 0.0 },
        Point { x: root, y: 0.0 },
        Point { x: root - sweep, y: span },
        Point { x: root - sweep - tip, y: span },
    ];
    points.dedup();
    Ok(points)
}

fn half_ellipse(half_root: f64, span: f64, tolerance: f64) -> Vec<Point> {
    // A step d of the angle leaves the curve by at most max(a, b) d^2 / 8.
    let step = (8.0 * tolerance / half_root.max(span)).sqrt();
    let n = (PI / step).ceil().clamp(8.0, 1e4);
    let at = |i: f64| {
        let (sin, cos) = libm::sincos(PI * i / n);
        Point { x: half_root * (1.0 + cos), y: span * sin }
    };
    let mut points = vec![Point { x: 0.0, y: 0.0 }, Point { x: 2.0 * half_root, y: 0.0 }];
    let mut i = 1.0;
    while i < n {
        points.push(at(i));
        i += 1.0;
    }
    points
}

fn polygon(points: &[Point]) -> Result<Vec<Point>, Fault> {
    const FIELD: &str = "points";
    points.iter().flat_map(|p| [p.x, p.y]).try_for_each(|v| offset(FIELD, v))?;
    let simple = Ring::new(points.to_vec()).map_err(|_| {
        Fault::new(
            FIELD,
            "the outline is no simple polygon",
            "list the corners once round, no side crossing another",
        )
    })?;
    if simple.points().iter().any(|p| p.y < 0.0) {
        return Err(Fault::new(
            FIELD,
            "a corner lies below the root, y = 0",
            "measure y outward from the body",
        ));
    }
    if !simple.sides().any(|(a, b)| is_root(a, b)) {
        return Err(Fault::new(FIELD, "no side lies on the root, y = 0", "put the root on y = 0"));
    }
    Ok(simple.counter_clockwise())
}

fn is_root(a: Point, b: Point) -> bool {
    a.y == 0.0 && b.y == 0.0
}

fn face(fin: &Fin, outline: &[Point], hand: Hand, label: &str) -> Result<FlatPanel, Fault> {
    let beyond = match fin.edges {
        EdgeFinish::Flush => 0.0,
        EdgeFinish::Wrap { width, first } => {
            allowance("wrap", width)?;
            if first.is_none_or(|f| f == hand) { width } else { 0.0 }
        }
        EdgeFinish::SetBack(width) => {
            allowance("set_back", width)?;
            -width
        }
    };
    let sides = outline.iter().zip(outline.iter().cycle().skip(1));
    let distances: Vec<f64> =
        sides.map(|(a, b)| if is_root(*a, *b) { fin.root_allowance } else { beyond }).collect();
    let corners = offset_sides(outline, &distances);
    if sides_vanish(outline, &corners) {
        return Err(Fault::new(
            "edges.set_back",
            "a side of the fin is shorter than the set-back takes from it",
            "use a smaller set-back",
        ));
    }
    let mut points = corners.concat();
    points.dedup();
    if hand == Hand::Left {
        points.iter_mut().for_each(|p| p.y = -p.y);
    }
    let cut = ring(points).map_err(|fault| Fault { field: "edges".into(), ..fault })?;
    let name = if hand == Hand::Left { "left" } else { "right" };
    let marks = fold_marks(fin, outline, hand, &cut, &format!("{label} {name}"));
    Ok(FlatPanel {
        name: name.into(),
        copies: fin.count,
        region: Region::solid(cut),
        marks,
        seams: [Vec::new(), Vec::new()],
        first_piece: 1,
        unmarked_edge: false,
    })
}

/// Names in the fold along the longest free side, of the face whose folds the other one covers.
fn fold_marks(fin: &Fin, outline: &[Point], hand: Hand, cut: &Ring, label: &str) -> Vec<Mark> {
    let EdgeFinish::Wrap { width, first } = fin.edges else { return Vec::new() };
    // Where both are folded round, the left faces are laid first.
    if first.unwrap_or(Hand::Left) != hand {
        return Vec::new();
    }
    let sides = outline.iter().zip(outline.iter().cycle().skip(1)).filter(|(a, b)| !is_root(**a, **b));
    let Some((a, b)) = sides.max_by(|(a, b), (c, d)| length(**b - **a).total_cmp(&length(**d - **c))) else {
        return Vec::new();
    };
    let flip = |p: Point| if hand == Hand::Left { Point { x: p.x, y: -p.y } } else { p };
    let out = flip(outward(unit(*b - *a)));
    let wording = Wording { label, pieces: fin.count, first: 1, count: fin.count, front: 0.0 };
    mark_band([flip(*a), flip(*b)], out, width, cut, &wording)
}

/// A corner reaches at most so many times its distance beyond the outline; a sharper one is cut off.
const LONGEST_CORNER: f64 = 2.5;

/// Moves each side of a counter-clockwise polygon outward by its own distance (inward where
/// negative) and joins neighbours at the crossing of their lines. Gives for each corner the end of the side
/// before it and the start of the side after it, which are one point unless the corner is cut off.
fn offset_sides(points: &[Point], distances: &[f64]) -> Vec<[Point; 2]> {
    let n = points.len();
    let corner = |i: usize| {
        let before = (i + n - 1) % n;
        let corner = [points[before], points[i], points[(i + 1) % n]];
        offset_corner(corner, [distances[before], distances[i]])
    };
    (0..n).map(corner).collect()
}

/// The corner in the middle of three when the sides before and after it are moved outward.
fn offset_corner([before, here, after]: [Point; 3], [d0, d1]: [f64; 2]) -> [Point; 2] {
    let (u, v) = (unit(here - before), unit(after - here));
    let turn = u.x * v.y - u.y * v.x;
    let (a, b) = (here + outward(u) * d0, here + outward(v) * d1);
    if d0 == 0.0 && d1 == 0.0 {
        return [here; 2];
    }
    if turn.abs() < 1e-9 {
        return [(a + b) * 0.5; 2];
    }
    // a + u k lies on the line through b along v.
    let k = ((b.x - a.x) * v.y - (b.y - a.y) * v.x) / turn;
    let corner = a + u * k;
    // Where both sides end before they reach the old corner, nothing sticks out.
    let shorter = k < 0.0 && dot(corner - b, v) > 0.0;
    let reach = length(corner - here) / d0.abs().max(d1.abs());
    let convex = side(before, here, after) == Side::Left;
    if convex && !shorter && reach > LONGEST_CORNER && d0.max(d1) > 0.0 {
        // Cut off on both lines before they meet.
        let short = LONGEST_CORNER / reach;
        return [a + (corner - a) * short, b + (corner - b) * short];
    }
    [corner; 2]
}

/// Whether a side has shrunk to nothing and beyond: it then runs backwards.
fn sides_vanish(before: &[Point], after: &[[Point; 2]]) -> bool {
    let n = before.len();
    (0..n).any(|i| {
        let next = (i + 1) % n;
        dot(before[next] - before[i], after[next][0] - after[i][1]) <= 0.0
    })
}

fn unit(v: Point) -> Point {
    let l = length(v);
    if l > 0.0 { v * (1.0 / l) } else { v }
}

/// To the right of a direction: out of a counter-clockwise polygon.
fn outward(u: Point) -> Point {
    Point { x: u.y, y: -u.x }
}

#[cfg(test)]
mod tests {
    use super::super::film::{Film, Limit};
    use super::*;
    use crate::shape::point_segment_distance;

    fn made(planform: Planform, root_allowance: f64, edges: EdgeFinish) -> Result<Made, Fault> {
        let none = Limit { warn: 0.0, stop: 0.0 };
        let film = Film {
            id: String::new(),
            name: String::new(),
            max_stretch: none,
            max_shrink: none,
            thickness: None,
            source: String::new(),
        };
        fin(
            &Fin { planform, count: 3, root_allowance, edges },
            "A-1 fin",
            &Terms { film: &film, width: None, tolerance: 1e-6 },
        )
    }

    fn trapezoid(root: f64, tip: f64, span: f64, sweep: f64) -> Planform {
        Planform::Trapezoid { root, tip, span, sweep }
    }

    /// Dimensions published by a student rocket team (rocketry.gitbook.io, *Fin sizing*); areas
    /// (root + tip) span / 2 and pi / 4 root span, whatever the sweep.
    #[test]
    fn areas_of_published_fins() {
        for (planform, area) in [
            (trapezoid(8.0, 3.0, 5.2, 4.0), 28.6),
            (trapezoid(8.0, 3.0, 5.2, -2.0), 28.6),
            (trapezoid(10.0, 3.5, 5.7, 6.0), 38.475),
            (trapezoid(8.0, 0.0, 5.5, 5.0), 22.0),
            (Planform::Elliptical { root: 8.0, span: 5.2 }, 32.673),
        ] {
            let m = made(planform, 0.0, EdgeFinish::Flush).unwrap();
            for panel in &m.panels {
                assert!((panel.region.area() - area).abs() < 1e-3, "{} for {area}", panel.region.area());
                assert_eq!(panel.copies, 3);
            }
        }
    }

    #[test]
    fn a_tip_of_no_chord_gives_a_triangle() {
        let m = made(trapezoid(8.0, 0.0, 5.5, 5.0), 0.0, EdgeFinish::Flush).unwrap();
        assert_eq!(m.panels[0].region.outline().points().len(), 3);
    }

    #[test]
    fn left_and_right_are_mirror_images() {
        let m = made(trapezoid(80.0, 30.0, 52.0, 40.0), 3.0, EdgeFinish::SetBack(1.0)).unwrap();
        assert_eq!((m.panels[0].name.as_str(), m.panels[1].name.as_str()), ("left", "right"));
        let (left, right) = (m.panels[0].region.outline(), m.panels[1].region.outline());
        assert!(left.signed_area() < 0.0 && right.signed_area() > 0.0);
        for (a, b) in left.points().iter().zip(right.points()) {
            assert_eq!((a.x, a.y), (b.x, -b.y));
        }
        // The root lies 3 mm below, the tip edge 1 mm within.
        let b = right.bounds();
        assert!((b.min.y + 3.0).abs() < 1e-12 && (b.max.y - 51.0).abs() < 1e-12);
    }

    #[test]
    fn film_wraps_round_the_edges_of_the_face_laid_first() {
        let wrap = |first| EdgeFinish::Wrap { width: 5.0, first };
        let m = made(trapezoid(80.0, 30.0, 52.0, 40.0), 0.0, wrap(Some(Hand::Left))).unwrap();
        assert!(m.panels[0].region.area() > m.panels[1].region.area());
        assert!((m.panels[1].region.area() - 55.0 * 52.0).abs() < 1e-9);
        let both = made(trapezoid(80.0, 30.0, 52.0, 40.0), 0.0, wrap(None)).unwrap();
        assert!((both.panels[0].region.area() - both.panels[1].region.area()).abs() < 1e-9);
        // A needle-sharp corner does not run out to a needle of film.
        let sharp = made(trapezoid(80.0, 0.0, 20.0, 120.0), 0.0, wrap(None)).unwrap();
        assert!(sharp.panels[1].region.bounds().min.x > -40.0 - 2.5 * 5.0 - 5.0);
    }

    /// A sharp corner at the root, whose free side lies set back and whose root reaches below the body's line, is
    /// where the two lines cross. The long sides run 4 aft for 1 out: x + 4 y = 0 and x + 4 y = 100, 3 mm further in
    /// by 3 sqrt(17).
    #[test]
    fn a_sharp_corner_at_the_root_lies_where_its_sides_cross() {
        let back = 3.0 * 17.0_f64.sqrt();
        for below in [0.0, 0.01, 1.0, 2.0, 3.0, 4.0] {
            let m = made(trapezoid(100.0, 100.0, 40.0, 160.0), below, EdgeFinish::SetBack(3.0)).unwrap();
            let film = m.panels[1].region.outline();
            let p = |x: f64, y: f64| Point { x, y };
            let fore = p(100.0 - back + 4.0 * below, -below);
            for corner in [fore, p(100.0 - back - 148.0, 37.0), p(back - 148.0, 37.0)] {
                let off = film.points().iter().map(|q| length(*q - corner)).fold(f64::MAX, f64::min);
                assert!(off < 1e-9, "{corner:?} missed by {off} with {below} below");
            }
            let fin = [p(0.0, 0.0), p(100.0, 0.0), p(-60.0, 40.0), p(-160.0, 40.0)];
            for q in film.points() {
                assert!(q.y >= -below - 1e-9 && q.x + 4.0 * q.y <= 100.0 - back + 1e-9, "{q:?}");
                let free = [1, 2, 3].map(|i| point_segment_distance(*q, fin[i], fin[(i + 1) % 4]));
                assert!(free.iter().all(|d| *d >= 3.0 - 1e-9), "{q:?} lies {free:?} from the edges");
            }
            // The blunt corner at the aft end may be cut off outside of where its sides cross.
            let least = (100.0 - 2.0 * back) * (37.0 + below);
            assert!(film.area() >= least - 1e-6 && (below > 0.0 || film.area() <= least + 1e-6));
        }
        // 15 mm along the body are 3.6 mm across: nothing is left, whatever lies below the root.
        for below in [0.0, 1.0, 4.0] {
            let none = made(trapezoid(15.0, 15.0, 40.0, 160.0), below, EdgeFinish::SetBack(3.0));
            assert_eq!(none.unwrap_err().field, "edges.set_back");
        }
    }

    #[test]
    fn names_lie_in_the_folds_that_the_other_face_covers() {
        for (first, marked) in
            [(Some(Hand::Left), [true, false]), (Some(Hand::Right), [false, true]), (None, [true, false])]
        {
            let wrap = EdgeFinish::Wrap { width: 5.0, first };
            let m = made(trapezoid(120.0, 55.0, 70.0, 80.0), 3.0, wrap).unwrap();
            for (panel, marked) in m.panels.iter().zip(marked) {
                assert_eq!(!panel.marks.is_empty(), marked, "{} {first:?}", panel.name);
                let sign = if panel.name == "left" { -1.0 } else { 1.0 };
                for p in panel.marks.iter().flat_map(|m| &m.points) {
                    assert_eq!(panel.region.outline().locate(*p), Some(true), "outside the film");
                    // Ahead of the leading edge, which runs aft 80 in 70: none is on the face.
                    let (x, y) = (p.x, sign * p.y);
                    assert!(x > 120.0 - 80.0 * y / 70.0, "({x}, {y}) on the face");
                }
                // One name for each fin.
                let copies: Vec<u32> = panel.marks.iter().filter_map(|m| m.copy).collect();
                assert_eq!((1..=3).all(|k| copies.contains(&k)), marked);
            }
        }
        let narrow = EdgeFinish::Wrap { width: 2.0, first: None };
        assert!(made(trapezoid(120.0, 55.0, 70.0, 80.0), 3.0, narrow).unwrap().panels[0].marks.is_empty());
    }

    /// A tip that is not parallel to the root is a free polygon (R. Holmes, *Recreational
    /// trigonometry: fin spin*, 2014).
    #[test]
    fn free_polygons_stand_on_their_root() {
        let p = |x: f64, y: f64| Point { x, y };
        let good = vec![p(0.0, 0.0), p(60.0, 0.0), p(40.0, 30.0), p(10.0, 24.0)];
        assert!(made(Planform::Polygon(good), 2.0, EdgeFinish::Flush).is_ok());
        for bad in [
            vec![p(0.0, 0.0), p(60.0, 1.0), p(40.0, 30.0)],
            vec![p(0.0, 0.0), p(60.0, 0.0), p(40.0, -30.0)],
            vec![p(0.0, 0.0), p(60.0, 0.0), p(0.0, 30.0), p(60.0, 30.0)],
        ] {
            assert!(made(Planform::Polygon(bad), 0.0, EdgeFinish::Flush).is_err());
        }
        assert!(made(trapezoid(8.0, 3.0, 5.2, 4.0), 0.0, EdgeFinish::SetBack(4.0)).is_err());
        assert!(made(trapezoid(-8.0, 3.0, 5.2, 4.0), 0.0, EdgeFinish::Flush).is_err());
        assert!(made(trapezoid(8.0, 3.0, f64::NAN, 4.0), 0.0, EdgeFinish::Flush).is_err());
    }
}

//! The layout as plain lines on the film, in the unit of the file to be written.

use crate::error::{Error, Problems};
use crate::job::{Panel, Unit};
use crate::layout::{Layout, Placement};
use crate::shape::{Bounds, Contours, Point, Pose, Ring, area, plain_line};

use super::Layer;

/// Coordinates beyond this many units are refused: far outside any roll (1000 km of film in
/// millimetres), and what is below keeps six decimals exactly.
const FARTHEST: f64 = 1e9;

/// One line on the film, in the roll frame.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Contour {
    /// What it is for.
    pub layer: Layer,
    /// Whether the last point joins the first.
    pub closed: bool,
    /// The points; the first is not repeated at the end.
    pub points: Vec<Point>,
}

/// One placed copy of a panel.
#[derive(Debug, Clone)]
pub(crate) struct Piece {
    /// Index into the layout's placements.
    pub placement: usize,
    /// The parts: outline first, then the holes of that part.
    pub parts: Vec<Vec<Vec<Point>>>,
    /// The lines that travel with it.
    pub lines: Vec<Contour>,
    /// The box round the parts.
    pub bounds: Bounds,
}

impl Piece {
    /// All outlines and holes.
    pub fn rings(&self) -> impl Iterator<Item = &Vec<Point>> + '_ {
        self.parts.iter().flatten()
    }

    /// The area of its outlines.
    fn size(&self) -> f64 {
        self.parts.iter().filter_map(|part| part.first()).map(|outline| area(outline)).sum()
    }

    /// Whether it lies in a contour, whose box is `place`. Pieces do not cross: one point that is not on it tells.
    fn lies_in(&self, place: &Bounds, contour: &Contours) -> bool {
        let mut points = self.parts.iter().filter_map(|part| part.first()).flatten();
        place.encloses(&self.bounds) && points.find_map(|p| contour.locate(*p)).unwrap_or(true)
    }
}

/// Everything that lies on the film, in the unit of the file to be written.
#[derive(Debug, Clone)]
pub(crate) struct Sheet {
    /// Full width of the film.
    pub width: f64,
    /// How much of the roll is used.
    pub length: f64,
    /// The film between the margins.
    pub usable: Bounds,
    /// The flaws.
    pub flaws: Vec<Vec<Point>>,
    /// The placed panels, from the leading edge on: by least x, then by least y.
    pub pieces: Vec<Piece>,
}

impl Sheet {
    /// The layout drawn in `unit`.
    pub fn new(layout: &Layout, unit: Unit) -> Result<Self, Error> {
        let scale = Scale { from: layout.unit.in_mm(), to: unit.in_mm() };
        let roll = &layout.roll;
        let (width, length) = (scale.length(roll.width), scale.length(layout.measures.length));
        let usable = Bounds {
            min: scale.point(Point { x: roll.lead_margin, y: roll.edge_margin[0] }),
            max: scale.point(Point {
                x: layout.measures.length - roll.tail_margin,
                y: roll.width - roll.edge_margin[1],
            }),
        };
        let mut pieces = Vec::with_capacity(layout.placements.len());
        for (i, placement) in layout.placements.iter().enumerate() {
            pieces.push(piece(i, placement, panel_of(layout, placement)?, &scale)?);
        }
        pieces.sort_by(|a, b| {
            let (p, q) = (a.bounds.min, b.bounds.min);
            p.x.total_cmp(&q.x).then(p.y.total_cmp(&q.y)).then(a.placement.cmp(&b.placement))
        });
        let flaws = roll.flaws.iter().map(|f| f.points().iter().map(|p| scale.point(*p)).collect()).collect();
        let sheet = Self { width, length, usable, flaws, pieces };
        sheet.refuse_absurd(layout)?;
        Ok(sheet)
    }

    /// The lines a machine works, in a fixed order: printed lines, pen lines, then piece by
    /// piece the kiss cuts, inner lines and holes before the outline that frees them, what lies in
    /// a hole before the piece round it, and all through cuts last.
    pub fn contours(&self) -> impl Iterator<Item = Contour> + '_ {
        let of = |layer: Layer| {
            self.pieces.iter().flat_map(|p| &p.lines).filter(move |c| c.layer == layer).cloned()
        };
        of(Layer::Print)
            .chain(of(Layer::Pen))
            .chain(self.inside_first().into_iter().flat_map(|i| kiss_cuts(&self.pieces[i])))
            .chain(of(Layer::ThroughCut))
    }

    /// The pieces in their order, but what lies in a hole of another one before that one: once it is cut out, it moves.
    fn inside_first(&self) -> Vec<usize> {
        let mut order = Vec::with_capacity(self.pieces.len());
        let mut done = vec![false; self.pieces.len()];
        for i in 0..self.pieces.len() {
            // What lies in what lies in a hole lies in the hole, too, and is by itself the smaller one.
            let mut inner = if done[i] { Vec::new() } else { self.in_holes_of(i) };
            inner.sort_by(|a, b| self.pieces[*a].size().total_cmp(&self.pieces[*b].size()).then(a.cmp(b)));
            for i in inner.into_iter().chain([i]) {
                if !std::mem::replace(&mut done[i], true) {
                    order.push(i);
                }
            }
        }
        order
    }

    /// The pieces in the holes of one.
    fn in_holes_of(&self, outer: usize) -> Vec<usize> {
        let mut found = Vec::new();
        for hole in self.pieces[outer].parts.iter().flat_map(|part| part.iter().skip(1)) {
            let Some(place) = Bounds::of(hole) else { continue };
            let first = self.pieces.partition_point(|p| p.bounds.min.x < place.min.x);
            let near = (first..self.pieces.len()).take_while(|&i| self.pieces[i].bounds.min.x <= place.max.x);
            let area = Contours::of_rings(vec![hole.clone()]);
            found.extend(near.filter(|&i| i != outer && self.pieces[i].lies_in(&place, &area)));
        }
        found
    }

    fn refuse_absurd(&self, layout: &Layout) -> Result<(), Error> {
        let mut problems = Problems::default();
        let bad = |v: f64| !v.is_finite() || v.abs() > FARTHEST;
        if bad(self.width) || bad(self.length) || self.width <= 0.0 || self.length < 0.0 {
            problems.push(
                "layout",
                "the film's width or length is no usable number",
                "check the layout first",
            );
        }
        for piece in &self.pieces {
            let lines = piece.lines.iter().map(|l| &l.points);
            if piece.rings().chain(lines).flatten().any(|p| bad(p.x) || bad(p.y)) {
                let at = &layout.placements[piece.placement];
                let place = format!("panel {:?} copy {}", layout.panels[at.panel].id, at.copy);
                problems.push(place, "lies beyond 1e9 units or nowhere at all", "check the layout first");
            }
        }
        if self.flaws.iter().flatten().any(|p| bad(p.x) || bad(p.y)) {
            problems.push("roll.flaws", "a flaw lies beyond 1e9 units", "check the layout first");
        }
        problems.or_ok(())
    }
}

/// The panel of a placement.
pub(crate) fn panel_of<'a>(layout: &'a Layout, placement: &Placement) -> Result<&'a Panel, Error> {
    layout.panels.get(placement.panel).ok_or_else(|| {
        Error::Internal(format!("a placement names panel {} of {}", placement.panel, layout.panels.len()))
    })
}

/// From one unit to another. Dividing last keeps equal units and whole inches exact.
struct Scale {
    from: f64,
    to: f64,
}

impl Scale {
    fn length(&self, v: f64) -> f64 {
        v * self.from / self.to
    }

    fn point(&self, p: Point) -> Point {
        Point { x: self.length(p.x), y: self.length(p.y) }
    }
}

fn piece(index: usize, placement: &Placement, panel: &Panel, scale: &Scale) -> Result<Piece, Error> {
    let pose = placement.pose();
    let place = |pose: &Pose, p: &Point| scale.point(pose.apply(*p));
    let ring = |r: &Ring| r.points().iter().map(|p| place(&pose, p)).collect::<Vec<_>>();
    let parts: Vec<Vec<Vec<Point>>> = panel.parts.iter().map(|r| r.rings().map(ring).collect()).collect();
    let lines = panel
        .lines
        .iter()
        .filter(|l| l.is_on(placement.copy))
        .map(|l| {
            let (points, closed) = plain_line(l.points.iter().map(|p| place(&pose, p)).collect(), l.closed);
            Contour { layer: l.role.into(), closed, points }
        })
        .collect();
    let Some(bounds) = Bounds::of(parts.iter().flatten().flatten()) else {
        return Err(Error::Internal(format!("panel {:?} has no outline", panel.id)));
    };
    Ok(Piece { placement: index, parts, lines, bounds })
}

/// The kiss cuts of one piece: its inner lines, then its contours by rising area, so that
/// whatever lies inside another contour is cut before it.
fn kiss_cuts(piece: &Piece) -> impl Iterator<Item = Contour> + '_ {
    let inner = piece.lines.iter().filter(|l| l.layer == Layer::KissCut).cloned();
    let mut rings: Vec<_> = piece.rings().collect();
    rings.sort_by(|a, b| area(a).total_cmp(&area(b)));
    inner.chain(rings.into_iter().map(|points| Contour {
        layer: Layer::KissCut,
        closed: true,
        points: points.clone(),
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_of_one_copy_is_drawn_on_that_copy_only() {
        let text = r#"{"format": "tuckroll-layout-1", "name": "n", "unit": "mm", "roll": {"width": 100}, "gap": 1,
            "panels": [{"id": "a", "copies": 2, "outline": [[0, 0], [10, 0], [10, 10], [0, 10]], "lines": [
                {"role": "draw", "points": [[1, 1], [2, 1]]},
                {"role": "draw", "points": [[1, 3], [2, 3]], "copy": 2}]}],
            "placements": [{"panel": "a", "copy": 1, "x": 0, "y": 0, "rotation": 0, "mirrored": false},
                           {"panel": "a", "copy": 2, "x": 20, "y": 0, "rotation": 0, "mirrored": false}],
            "length": 30, "panel_area": 200, "waste_percent": 93.33333333333333, "density_percent": 6.666666666666667}"#;
        let layout = crate::layout::read(text.as_bytes(), "layout").unwrap();
        let sheet = Sheet::new(&layout, Unit::Millimetre).unwrap();
        let counts: Vec<usize> = sheet.pieces.iter().map(|p| p.lines.len()).collect();
        assert_eq!(counts, [1, 2]);
    }
}

//! Film that nothing occupies.

use crate::shape::{Bounds, Point, dot};
use crate::write::coincident::{grow, sides};
use crate::write::grid::Grid;
use crate::write::sheet::Sheet;
use crate::write::strokes;

/// Where a line of text stands on the film.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Frame {
    /// Left end of the line on which the capitals stand.
    pub start: Point,
    /// Reading direction, a unit vector.
    pub along: Point,
    /// Width of the text.
    pub width: f64,
    /// Height of the capitals.
    pub height: f64,
}

impl Frame {
    /// Where a point of the text lies on the film.
    pub fn on_film(&self, p: Point) -> Point {
        self.start + self.along * p.x + self.up() * p.y
    }

    /// The corners of the box that holds every letter.
    pub fn corners(&self) -> [Point; 4] {
        let low = -strokes::DESCENT * self.height;
        [(0.0, low), (self.width, low), (self.width, self.height), (0.0, self.height)]
            .map(|(x, y)| self.on_film(Point { x, y }))
    }

    fn up(&self) -> Point {
        Point { x: -self.along.y, y: self.along.x }
    }

    /// A point of the film as seen from the middle of the box, along and across the text.
    fn seen(&self, p: Point) -> Point {
        let d = p - self.start;
        let middle = 0.5 * (1.0 - strokes::DESCENT) * self.height;
        Point { x: dot(d, self.along) - 0.5 * self.width, y: dot(d, self.up()) - middle }
    }

    /// Half the box's extent along and across the text.
    fn half(&self) -> Point {
        Point { x: 0.5 * self.width, y: 0.5 * (1.0 + strokes::DESCENT) * self.height }
    }
}

/// Everything that labels keep clear of, filed by place.
pub(super) struct FreeFilm<'a> {
    usable: Bounds,
    clearance: f64,
    segments: Vec<(Point, Point)>,
    by_segment: Grid,
    /// Closed areas: a piece's rings, a flaw, a label. Inside when inside an odd number of rings.
    areas: Vec<Vec<std::borrow::Cow<'a, [Point]>>>,
    by_area: Grid,
}

impl<'a> FreeFilm<'a> {
    /// The film of a sheet; `least` is the height of the smallest label.
    pub fn new(sheet: &'a Sheet, clearance: f64, least: f64) -> Self {
        let film = Bounds { min: Point { x: 0.0, y: 0.0 }, max: Point { x: sheet.length, y: sheet.width } };
        let size = film.width() * film.height();
        let segments: usize = sheet.pieces.iter().flat_map(|p| p.rings()).map(Vec::len).sum();
        // About one segment or piece in a cell, and no cell smaller than a label is high.
        let cell = |items: usize| (size / items.max(1) as f64).sqrt().max(2.0 * least);
        let mut free = Self {
            usable: sheet.usable,
            clearance,
            segments: Vec::with_capacity(segments),
            by_segment: Grid::new(film, cell(segments)),
            areas: Vec::with_capacity(sheet.pieces.len()),
            by_area: Grid::new(film, cell(sheet.pieces.len())),
        };
        for piece in &sheet.pieces {
            free.area(piece.rings().map(|r| r.as_slice().into()).collect());
            piece.lines.iter().for_each(|l| free.line(&l.points, l.closed));
        }
        sheet.flaws.iter().for_each(|f| free.area(vec![f.as_slice().into()]));
        free
    }

    /// Whether a label may stand there: whole on the usable film, clear of all lines, on no face.
    pub fn has_room(&self, label: &Frame) -> bool {
        let corners = label.corners();
        let Some(b) = Bounds::of(&corners) else { return false };
        let b = grow(b, self.clearance);
        if b.min.x < self.usable.min.x
            || b.min.y < self.usable.min.y
            || b.max.x > self.usable.max.x
            || b.max.y > self.usable.max.y
        {
            return false;
        }
        let half = label.half() + Point { x: self.clearance, y: self.clearance };
        // Nothing crosses the box: it lies as a whole inside or outside of every area.
        !self.by_segment.near(b).any(|i| {
            let (p, q) = self.segments[i as usize];
            meets(label.seen(p), label.seen(q), half)
        }) && !self.on_an_area(b.centre())
    }

    /// Keeps the place of a label from others.
    pub fn take(&mut self, label: Frame) {
        self.area(vec![label.corners().to_vec().into()]);
    }

    fn area(&mut self, rings: Vec<std::borrow::Cow<'a, [Point]>>) {
        let Some(bounds) = Bounds::of(rings.iter().flat_map(|r| r.iter())) else { return };
        rings.iter().for_each(|r| self.line(r, true));
        self.by_area.insert_box(self.areas.len() as u32, bounds);
        self.areas.push(rings);
    }

    fn line(&mut self, points: &[Point], closed: bool) {
        for (a, b) in sides(points, closed) {
            self.by_segment.insert_segment(self.segments.len() as u32, a, b);
            self.segments.push((a, b));
        }
    }

    fn on_an_area(&self, p: Point) -> bool {
        self.by_area.near(Bounds { min: p, max: p }).any(|i| {
            let crossings = self.areas[i as usize].iter().flat_map(|r| sides(r, true));
            crossings.filter(|&(a, b)| passes_right_of(p, a, b)).count() % 2 == 1
        })
    }
}

/// Whether a segment meets the box of half extents `half` about the origin: Liang and Barsky's
/// clipping, *A new concept and method for line clipping*, ACM Trans. Graphics 3 (1984).
fn meets(a: Point, b: Point, half: Point) -> bool {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for (start, end, limit) in [(a.x, b.x, half.x), (a.y, b.y, half.y)] {
        let d = end - start;
        if d.abs() <= f64::MIN_POSITIVE {
            if start.abs() > limit {
                return false;
            }
            continue;
        }
        let (s, t) = ((-limit - start) / d, (limit - start) / d);
        from = from.max(s.min(t));
        to = to.min(s.max(t));
    }
    from <= to
}

/// Whether the ray from `p` towards greater x crosses the side. `p` lies clear of all sides,
/// so plain arithmetic decides.
fn passes_right_of(p: Point, a: Point, b: Point) -> bool {
    (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)
}

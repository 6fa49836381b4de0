//! Match marks: ticks and numbers at seams, an arrow towards the fore end, the front centre, names.
//!
//! A mark lies only where it disappears when the panel is laid: in a lap or a fold, which the
//! neighbour covers or the knife takes away, or in a trim allowance. So no mark is left on the face
//! that the customer sees. Each such place is a [`Row`]: a band in which letters stand side by
//! side. Letters are bent with the band, so none leaves it.

use super::chart::{Chart, EndName};
use super::seam::Lap;
use super::strip::{Strip, sign};
use super::{Hand, MarkKind};
use crate::shape::lettering::{self, DESCENT};
use crate::shape::{Point, Ring, dot, length};

/// A line on a panel.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// What is done with it.
    pub kind: MarkKind,
    /// At least two points, in mm.
    pub points: Vec<Point>,
    /// The one copy that has it, from 1; `None` when all have it.
    pub copy: Option<u32>,
}

/// What is written on the panels of one strip.
#[derive(Debug, Clone, Copy)]
pub(super) struct Wording<'a> {
    /// Kit and part, such as `A17 nose`.
    pub label: &'a str,
    /// How many pieces close round the body.
    pub pieces: u32,
    /// The pieces that are copies of this panel: the first, from 1, and how many.
    pub first: u32,
    /// See `first`.
    pub count: u32,
    /// Angle of piece 1's middle from the front centre, in degrees, positive to the right.
    pub front: f64,
}

/// Distance of every mark from the edges of its band, in mm: a knife or a neighbour may stray by
/// less than that.
const INSET: f64 = 0.5;

/// Least height of letters, in mm, that a pen still writes legibly. Common practice, no source.
const LEAST_LETTER: f64 = 1.5;

/// Greatest height of letters, in mm: enough to read at arm's length.
const LETTER: f64 = 3.5;

/// Space between two marks in a row, in mm.
const AIR: f64 = 1.5;

/// More space on either side of a name, in mm, so that no seam number is read as part of it.
const NAME_AIR: f64 = 2.0;

/// A band for marks. `u` runs along it in reading direction, `v` from its lower edge.
struct Row<'a> {
    place: Box<dyn Fn(f64, f64) -> Point + 'a>,
    from: f64,
    to: f64,
    height: f64,
    used: Vec<(f64, f64)>,
}

/// Strokes in the plane of a row, standing on (0, 0).
struct Sign {
    width: f64,
    strokes: Vec<Vec<Point>>,
}

impl Row<'_> {
    /// Height of the letters in it.
    fn letter(&self) -> f64 {
        (self.height / (1.0 + DESCENT)).min(LETTER)
    }

    /// Keeps room of the width `width`, as near to `near` as there is some; gives its start.
    fn keep(&mut self, width: f64, near: f64) -> Option<f64> {
        let free = |start: f64| {
            start >= self.from
                && start + width <= self.to
                && self.used.iter().all(|(a, b)| start >= b + AIR || start + width <= a - AIR)
        };
        let beside = self.used.iter().flat_map(|(a, b)| [b + AIR, a - AIR - width]);
        let start = std::iter::once(near)
            .chain(beside)
            .chain([self.from, self.to - width])
            .filter(|s| free(*s))
            .min_by(|a, b| (a - near).abs().total_cmp(&(b - near).abs()))?;
        self.used.push((start, start + width));
        Some(start)
    }

    fn draw(&self, sign: &Sign, start: f64, copy: Option<u32>, out: &mut Vec<Mark>) {
        let lift = DESCENT * self.letter();
        for stroke in &sign.strokes {
            let points = stroke.iter().map(|p| (self.place)(start + p.x, p.y + lift)).collect();
            out.push(Mark { kind: MarkKind::Draw, points, copy });
        }
    }

    /// Writes a sign if there is room near `near`.
    fn put(&mut self, sign: &Sign, near: f64, out: &mut Vec<Mark>) {
        if let Some(start) = self.keep(sign.width, near) {
            self.draw(sign, start, None, out);
        }
    }

    /// Writes a sign of each copy in one place; whether there was room.
    fn put_each(&mut self, signs: &[(u32, Sign)], near: f64, out: &mut Vec<Mark>) -> bool {
        let width = signs.iter().map(|(_, s)| s.width).fold(0.0, f64::max);
        let Some(start) = self.keep(width, near) else { return false };
        for (copy, sign) in signs {
            self.draw(sign, start, Some(*copy), out);
        }
        true
    }
}

impl<C: Chart> Strip<C> {
    /// All marks of a strip; slits of folds among them.
    pub fn marks(&self, wording: &Wording<'_>) -> Vec<Mark> {
        let mut out = Vec::new();
        for which in [EndName::Aft, EndName::Fore] {
            let slits = self.slits(which).into_iter();
            out.extend(slits.map(|s| Mark { kind: MarkKind::Cut, points: s.to_vec(), copy: None }));
        }
        for which in [EndName::Aft, EndName::Fore] {
            if let Some(row) = self.trim_row(which) {
                let half = self.chart.half(self.chart.end(which, 0.0));
                self.mark_trim(row, half, wording, &mut out);
            }
        }
        for hand in [Hand::Left, Hand::Right] {
            if let Some(row) = self.lap_row(hand) {
                self.mark_lap(row, hand, wording, &mut out);
            }
        }
        out
    }

    /// The band of a trim allowance; it reads with the fore end up.
    fn trim_row(&self, which: EndName) -> Option<Row<'_>> {
        let end = self.end(which);
        let height = end.trim - 2.0 * INSET;
        if height < LEAST_LETTER {
            return None;
        }
        // Beyond the narrow end of a cone the band narrows on.
        let ends = [self.chart.end(which, 0.0), self.film_end(which, 0.0)];
        let narrowest = |hand| ends.map(|s| self.edge_at(hand, s).abs()).into_iter().fold(f64::MAX, f64::min);
        let (from, to) = (INSET - narrowest(Hand::Left), narrowest(Hand::Right) - INSET);
        // Room for the front mark, the widest that is put without asking.
        if to - from < 2.0 * AIR {
            return None;
        }
        let place = move |u: f64, v: f64| {
            let edge = self.chart.end(which, -u);
            let s = match which {
                EndName::Aft => edge - end.reach - end.trim + INSET + v,
                EndName::Fore => edge + end.reach + INSET + v,
            };
            self.chart.at(s, -u)
        };
        Some(Row { place: Box::new(place), from, to, height, used: Vec::new() })
    }

    /// The band of a lap where it has its full width; it reads towards the fore end.
    fn lap_row(&self, hand: Hand) -> Option<Row<'_>> {
        let middle = 0.5 * self.chart.length();
        let full = self.lap(hand, 0.0).max(self.lap(hand, middle)).max(self.lap(hand, self.chart.length()));
        let height = full - 2.0 * INSET;
        if height < LEAST_LETTER {
            return None;
        }
        let (from, to) = self.full_stretch(hand, full)?;
        let place = move |u: f64, v: f64| {
            let t = match hand {
                Hand::Left => self.chart.half(u) + INSET + v,
                Hand::Right => INSET + v - self.chart.half(u) - full,
            };
            self.chart.at(u, t)
        };
        Some(Row { place: Box::new(place), from: from + INSET, to: to - INSET, height, used: Vec::new() })
    }

    /// The longest run of `s` on which a lap has its full width.
    fn full_stretch(&self, hand: Hand, full: f64) -> Option<(f64, f64)> {
        let t = sign(hand) * self.chart.half(0.0);
        let (aft, fore) = (self.chart.end(EndName::Aft, t), self.chart.end(EndName::Fore, t));
        let mut stations = vec![aft, fore];
        stations.extend(self.chart.edge());
        stations.retain(|s| *s >= aft && *s <= fore && self.lap(hand, *s) >= full * (1.0 - 1e-9));
        let (low, high) = stations.iter().fold((f64::MAX, f64::MIN), |(a, b), s| (a.min(*s), b.max(*s)));
        (high - low > 2.0 * AIR).then_some((low, high))
    }

    /// Marks of a trim allowance at an end where the strip is `half` wide to either side.
    fn mark_trim(&self, mut row: Row<'_>, half: f64, wording: &Wording<'_>, out: &mut Vec<Mark>) {
        let letter = row.letter();
        if wording.pieces > 1 || self.seam.overlap > 0.0 {
            for (hand, u) in [(Hand::Left, -half), (Hand::Right, half)] {
                let tick = Sign { width: 0.0, strokes: vec![vec![point(0.0, 0.0), point(0.0, letter)]] };
                row.put(&tick, u.clamp(row.from, row.to), out);
                let signs = numbers(wording, hand, letter);
                let width = signs.iter().map(|(_, s)| s.width).fold(0.0, f64::max);
                row.put_each(&signs, if hand == Hand::Left { u + AIR } else { u - AIR - width }, out);
            }
        }
        mark_front(&mut row, half, wording, out);
        row.put(&arrow_up(letter), -0.3 * half, out);
        put_names(&mut row, 0.0, wording, out);
    }

    fn mark_lap(&self, mut row: Row<'_>, hand: Hand, wording: &Wording<'_>, out: &mut Vec<Mark>) {
        let letter = row.letter();
        let length = self.chart.length();
        for quarter in 1..4 {
            let at = length * f64::from(quarter) / 4.0;
            let tick = Sign { width: 0.0, strokes: vec![vec![point(0.0, 0.0), point(0.0, letter)]] };
            if at > row.from && at < row.to {
                row.put(&tick, at, out);
                row.put_each(&numbers(wording, hand, letter), at + AIR, out);
            }
        }
        if !row.used.iter().any(|(a, b)| b > a) {
            row.put_each(&numbers(wording, hand, letter), 0.1 * length, out);
        }
        // The names once, on the lap that is covered, or on the left one of two.
        if hand == Hand::Left || self.seam.lap == Lap::One {
            row.put(&arrow_along(letter), 0.05 * length, out);
            put_names(&mut row, 0.12 * length, wording, out);
        }
    }
}

/// Names and an arrow in film that is folded round the edge of a fin, or in the lap of a strip: in
/// a band of the height `width` on the side of the line from `a` to `b` that `outward` points to.
/// They are left out where they would not lie within `outline`.
pub(super) fn mark_band(
    ends: [Point; 2],
    outward: Point,
    width: f64,
    outline: &Ring,
    wording: &Wording<'_>,
) -> Vec<Mark> {
    // Letters stand outward, so they read to the right of that.
    let along = point(outward.y, -outward.x);
    let [a, b] = if dot(ends[1] - ends[0], along) > 0.0 { ends } else { [ends[1], ends[0]] };
    let height = width - 2.0 * INSET;
    if height < LEAST_LETTER {
        return Vec::new();
    }
    let place = move |u: f64, v: f64| a + along * u + outward * (INSET + v);
    // Beside a hollow corner the band is cut short by as much as it is wide.
    let (from, to) = (width, length(b - a) - width);
    let mut row = Row { place: Box::new(place), from, to, height, used: Vec::new() };
    let mut out = Vec::new();
    put_names(&mut row, from, wording, &mut out);
    // Its head towards the fore end, which is +x.
    let arrow = arrow_along(row.letter());
    let arrow = if along.x < 0.0 { turned_round(arrow) } else { arrow };
    row.put(&arrow, 0.5 * (from + to), &mut out);
    let within = |p: &Point| outline.locate(*p) == Some(true);
    if out.iter().flat_map(|m| &m.points).all(within) { out } else { Vec::new() }
}

fn turned_round(sign: Sign) -> Sign {
    let width = sign.width;
    let flip = |p: Point| point(width - p.x, p.y);
    let strokes = sign.strokes.into_iter().map(|s| s.into_iter().map(flip).collect()).collect();
    Sign { width, strokes }
}

/// A triangle at the front centre, on the piece that holds it.
fn mark_front(row: &mut Row<'_>, half: f64, wording: &Wording<'_>, out: &mut Vec<Mark>) {
    let letter = row.letter();
    let (holder, off) = front_piece(wording);
    let Some((copy, _)) = copies(wording).find(|(_, piece)| *piece == holder) else { return };
    let w = 0.4 * letter;
    let strokes = vec![vec![point(0.0, 0.0), point(2.0 * w, 0.0), point(w, letter), point(0.0, 0.0)]];
    let sign = Sign { width: 2.0 * w, strokes };
    let start = (off * 2.0 * half - w).clamp(row.from, (row.to - 2.0 * w).max(row.from));
    row.used.push((start, start + sign.width));
    row.draw(&sign, start, Some(copy), out);
}

/// The piece that holds the front centre, and how far to the right of its middle that lies, as a share of the
/// piece's width. It is found once for all pieces, so that rounding leaves no seam between two of them.
fn front_piece(wording: &Wording<'_>) -> (u32, f64) {
    let pieces = f64::from(wording.pieces);
    let from_first = -wording.front * pieces / 360.0;
    // An edge belongs to the piece on its left.
    let steps = (from_first - 0.5).ceil();
    (steps.rem_euclid(pieces) as u32 + 1, from_first - steps)
}

/// Names as large as there is room for.
fn put_names(row: &mut Row<'_>, near: f64, wording: &Wording<'_>, out: &mut Vec<Mark>) {
    for size in [1.0, 0.8, 0.6] {
        let letter = size * row.letter();
        if letter < LEAST_LETTER || row.put_each(&set_off(names(wording, letter)), near, out) {
            return;
        }
    }
}

/// The names with more space on either side.
fn set_off(mut names: Vec<(u32, Sign)>) -> Vec<(u32, Sign)> {
    for (_, name) in &mut names {
        name.width += 2.0 * NAME_AIR;
        name.strokes.iter_mut().flatten().for_each(|p| p.x += NAME_AIR);
    }
    names
}

/// Copy numbers and piece numbers of a panel.
fn copies(wording: &Wording<'_>) -> impl Iterator<Item = (u32, u32)> + use<> {
    let first = wording.first;
    (0..wording.count).map(move |i| (i + 1, first + i))
}

/// The number of the seam at one side, copy by copy. Seam k lies between the pieces k and k + 1,
/// counted to the right: left of piece 1 is the last seam.
fn numbers(wording: &Wording<'_>, hand: Hand, letter: f64) -> Vec<(u32, Sign)> {
    let seam = |piece: u32| match hand {
        Hand::Right => piece,
        Hand::Left if piece == 1 => wording.pieces,
        Hand::Left => piece - 1,
    };
    copies(wording).map(|(copy, piece)| (copy, text(&seam(piece).to_string(), letter))).collect()
}

/// Names are cut so that they do not fill the band.
const LONGEST_NAME: usize = 24;

fn names(wording: &Wording<'_>, letter: f64) -> Vec<(u32, Sign)> {
    let label = lettering::shorten(wording.label, LONGEST_NAME);
    let name = |piece: u32| match wording.pieces {
        1 => label.clone(),
        n => format!("{label} {piece}/{n}"),
    };
    copies(wording).map(|(copy, piece)| (copy, text(&name(piece), letter))).collect()
}

fn text(text: &str, letter: f64) -> Sign {
    let written = lettering::write(text, letter);
    Sign { width: written.width, strokes: written.strokes }
}

fn arrow_up(letter: f64) -> Sign {
    let w = 0.35 * letter;
    let head = vec![point(0.0, letter - w), point(w, letter), point(2.0 * w, letter - w)];
    Sign { width: 2.0 * w, strokes: vec![vec![point(w, 0.0), point(w, letter)], head] }
}

fn arrow_along(letter: f64) -> Sign {
    let (long, w) = (2.5 * letter, 0.35 * letter);
    let y = 0.5 * letter;
    let head = vec![point(long - w, y - w), point(long, y), point(long - w, y + w)];
    Sign { width: long, strokes: vec![vec![point(0.0, y), point(long, y)], head] }
}

fn point(x: f64, y: f64) -> Point {
    Point { x, y }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Which pieces have the triangle, and where its middle is from the middle of the piece, in mm.
    fn fronts(pieces: u32, front: f64, half: f64, apart: bool) -> Vec<(u32, f64)> {
        let mut found = Vec::new();
        let each = if apart { (1..=pieces).map(|p| (p, 1)).collect() } else { vec![(1, pieces)] };
        for (first, count) in each {
            let place = Box::new(|u: f64, v: f64| point(u, v));
            let mut row = Row { place, from: -half, to: half, height: 5.0, used: Vec::new() };
            let mut out = Vec::new();
            mark_front(&mut row, half, &Wording { label: "", pieces, first, count, front }, &mut out);
            let copy = |m: &Mark| m.copy.map_or(0, |copy| first + copy - 1);
            found.extend(out.iter().map(|m| (copy(m), m.points[2].x)));
        }
        found
    }

    /// Whatever the angle and its digits, one piece has the triangle, and there it shows the front.
    #[test]
    fn the_front_is_marked_once() {
        const HALF: f64 = 20.0;
        for pieces in 1..=40_u32 {
            for part in -80..=80 {
                // Every second angle is that of a seam.
                let exact = f64::from(part) * 90.0 / f64::from(pieces);
                let rounded = |steps: f64| (exact * steps).round() / steps;
                let angles = [exact, rounded(1.0), rounded(1e3), rounded(1e4), rounded(1e6)];
                for (front, apart) in angles.iter().flat_map(|a| [(*a, false), (*a, true)]) {
                    let found = fronts(pieces, front, HALF, apart);
                    let [(piece, at)] = found[..] else { panic!("{pieces} pieces, {front}: {found:?}") };
                    assert!((1..=pieces).contains(&piece));
                    let width = 360.0 / f64::from(pieces);
                    let shown = front + f64::from(piece - 1) * width + at / (2.0 * HALF) * width;
                    let missed = (shown / 360.0 - libm::round(shown / 360.0)) * 360.0 / width * 2.0 * HALF;
                    // At an edge the triangle stands beside it.
                    assert!(missed.abs() < 2.0, "{pieces} pieces, {front}: {missed} mm");
                }
            }
        }
    }

    #[test]
    fn a_seam_at_the_front_is_marked_on_the_piece_to_its_left() {
        for (pieces, front) in
            [(2, 90.0), (3, 60.0), (5, 36.0), (6, 30.0), (7, 180.0 / 7.0), (9, 20.0), (12, 15.0)]
        {
            let found = fronts(pieces, front, 20.0, false);
            assert!(
                matches!(found[..], [(piece, at)] if piece == pieces && at > 15.0),
                "{pieces}: {found:?}"
            );
        }
    }
}

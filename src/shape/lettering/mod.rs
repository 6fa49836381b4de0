//! Text as single pen strokes: for plotters, and for pictures that no font must be found for.

mod glyphs;
mod plain;

use crate::shape::Point;

/// A line of text as pen strokes. It starts at the origin and stands on y = 0.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Text {
    /// From the left of the first letter to the right of the last.
    pub width: f64,
    /// The strokes; each has at least two points.
    pub strokes: Vec<Vec<Point>>,
}

/// How far letters such as the comma reach below the line, as a part of the capital height.
pub(crate) const DESCENT: f64 = glyphs::BASELINE / glyphs::CAPITAL;

/// Writes `text` with capitals of the given height. Lower-case letters become small
/// capitals; letters with marks lose them; what is left over becomes an empty box.
pub(crate) fn write(text: &str, height: f64) -> Text {
    let mut pen = Pen { unit: height / glyphs::CAPITAL, x: 0.0, strokes: Vec::new() };
    for c in text.chars() {
        match plain::plain(c) {
            Some(ascii) => ascii.chars().for_each(|c| pen.letter(c)),
            None => pen.letter(c),
        }
    }
    Text { width: (pen.x - glyphs::SPACING).max(0.0) * pen.unit, strokes: pen.strokes }
}

/// `text` cut to at most `most` letters, with two dots in place of what is cut out. Its end is kept rather than what
/// stands before: numbers of orders and names of parts differ there.
pub(crate) fn shorten(text: &str, most: usize) -> String {
    let count = text.chars().count();
    if count <= most {
        return text.to_owned();
    }
    let kept = most.saturating_sub(2);
    let start = kept / 3;
    text.chars().take(start).chain("..".chars()).chain(text.chars().skip(count - (kept - start))).collect()
}

struct Pen {
    unit: f64,
    /// Where the next letter starts, in grid units.
    x: f64,
    strokes: Vec<Vec<Point>>,
}

impl Pen {
    fn letter(&mut self, c: char) {
        let size = if c.is_ascii_lowercase() { glyphs::SMALL } else { 1.0 };
        let strokes = glyphs::glyph(c.to_ascii_uppercase()).unwrap_or(glyphs::BOX);
        // A space is as wide as a narrow letter.
        let mut width: f64 = if strokes.is_empty() { 2.0 } else { 0.0 };
        for stroke in strokes.split(' ').filter(|s| !s.is_empty()) {
            let mut points = Vec::with_capacity(stroke.len() / 2);
            for pair in stroke.as_bytes().chunks_exact(2) {
                let (x, y) = (f64::from(pair[0] - b'0'), f64::from(pair[1] - b'0') - glyphs::BASELINE);
                width = width.max(x);
                points.push(Point { x: (self.x + x * size) * self.unit, y: y * size * self.unit });
            }
            self.strokes.push(points);
        }
        self.x += width * size + glyphs::SPACING;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shape::Bounds;

    #[test]
    fn every_printable_ascii_letter_has_strokes_of_its_own() {
        let mut seen = std::collections::BTreeMap::new();
        for c in ('!'..='~').filter(|c| !c.is_ascii_lowercase()) {
            let strokes = glyphs::glyph(c).unwrap_or_else(|| panic!("{c:?} has no strokes"));
            assert!(strokes.split(' ').all(|s| s.len() >= 4 && s.len() % 2 == 0), "{c:?}");
            assert!(strokes.bytes().all(|b| b == b' ' || b.is_ascii_digit()), "{c:?}");
            if let Some(other) = seen.insert(strokes, c) {
                panic!("{c:?} looks like {other:?}");
            }
        }
    }

    #[test]
    fn text_keeps_to_its_height_and_width() {
        let t = write("Kit_7, gore (Q) 12/16 é", 4.0);
        let b = Bounds::of(t.strokes.iter().flatten()).unwrap();
        assert_eq!(b.min.x, 0.0);
        assert!(b.max.x <= t.width && b.max.y <= 4.0 && b.min.y >= -4.0 * DESCENT);
        assert_eq!(write("a", 8.0).strokes[0][2], Point { x: 1.5, y: 6.0 });
    }

    #[test]
    fn marks_are_dropped_and_the_unknown_is_boxed() {
        assert_eq!(write("Ürß", 8.0), write("UErss", 8.0));
        assert_eq!(write("火", 8.0).strokes, vec![write("\u{7f}", 8.0).strokes[0].clone()]);
        assert_eq!(write("\n\u{202e}", 8.0).strokes.len(), 2);
        assert_eq!(write("", 8.0), Text { width: 0.0, strokes: vec![] });
    }

    #[test]
    fn long_names_are_cut() {
        assert_eq!(shorten("abcdef", 6), "abcdef");
        assert_eq!(shorten("abcdefg", 6), "a..efg");
        let orders = ["Bestellung 2026-11-27 Nr. 001 wrap", "Bestellung 2026-11-27 Nr. 002 wrap"];
        assert_eq!(orders.map(|o| shorten(o, 24)), ["Bestell..27 Nr. 001 wrap", "Bestell..27 Nr. 002 wrap"]);
    }
}

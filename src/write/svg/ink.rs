//! Marks on the page: numbers, paths, text as strokes, and names that may hold anything.

use super::super::number::push_fixed;
use super::super::strokes;
use crate::shape::Point;
use crate::write::page::plain;

/// A pen line is so many times thinner than its letters are tall: between types A (1/14) and
/// B (1/10) of ISO 3098-1 for print, bolder here as screens are coarse.
const LETTER_PER_STROKE: f64 = 8.0;

/// A direction on the page, of length one.
#[derive(Debug, Clone, Copy)]
pub(super) struct Way {
    /// Where the line of text runs.
    pub along: Point,
}

impl Way {
    /// From left to right.
    pub const LEVEL: Self = Self { along: Point { x: 1.0, y: 0.0 } };

    /// A point `along` the line and `up` from it, on a page whose y runs down.
    pub fn offset(self, along: f64, up: f64) -> Point {
        let d = self.along;
        Point { x: d.x * along + d.y * up, y: d.y * along - d.x * up }
    }
}

/// The page as it is written. Everything is in millimetres, x to the right, y down.
#[derive(Debug)]
pub(super) struct Ink {
    text: String,
    decimals: usize,
}

impl Ink {
    /// An empty page of that size; it decides how finely coordinates are written.
    pub fn new(page: f64) -> Self {
        Self { text: String::new(), decimals: decimals(page) }
    }

    /// Text that is SVG already.
    pub fn raw(&mut self, svg: &str) -> &mut Self {
        self.text.push_str(svg);
        self
    }

    /// Text that may hold anything, as character data or inside a quoted attribute.
    pub fn escaped(&mut self, text: &str) -> &mut Self {
        for c in plain(text).chars() {
            match c {
                '&' => self.text.push_str("&amp;"),
                '<' => self.text.push_str("&lt;"),
                '>' => self.text.push_str("&gt;"),
                '"' => self.text.push_str("&quot;"),
                '\'' => self.text.push_str("&#39;"),
                c if is_xml(c) => self.text.push(c),
                _ => self.text.push('\u{fffd}'),
            }
        }
        self
    }

    /// A coordinate or length.
    pub fn number(&mut self, value: f64) -> &mut Self {
        push_fixed(&mut self.text, value, self.decimals);
        self
    }

    /// ` name="value"` with a coordinate or length.
    pub fn attribute(&mut self, name: &str, value: f64) -> &mut Self {
        self.raw(" ").raw(name).raw("=\"").number(value).raw("\"")
    }

    /// ` transform="matrix(...)"` that takes (x, y) to x `u` + y `v` + `at`.
    pub fn matrix(&mut self, u: Point, v: Point, at: Point) -> &mut Self {
        self.raw(" transform=\"matrix(");
        for n in [u.x, u.y, v.x, v.y] {
            // Seven decimals turn a metre of panel to within a ten-thousandth of a millimetre.
            push_fixed(&mut self.text, n, 7);
            self.text.push(' ');
        }
        self.number(at.x).raw(" ").number(at.y).raw(")\"")
    }

    /// The path data of one contour.
    pub fn contour(&mut self, points: impl IntoIterator<Item = Point>, closed: bool) -> &mut Self {
        for (i, p) in points.into_iter().enumerate() {
            self.raw(["M", "L", " "][i.min(2)]).number(p.x).raw(" ").number(p.y);
        }
        self.raw(if closed { "z" } else { "" })
    }

    /// A filled rectangle; nothing when it is empty.
    pub fn rectangle(&mut self, min: Point, size: Point, fill: &str) -> &mut Self {
        if size.x <= 0.0 || size.y <= 0.0 {
            return self;
        }
        self.raw("<rect").attribute("x", min.x).attribute("y", min.y).attribute("width", size.x);
        self.attribute("height", size.y).raw(" fill=\"").raw(fill).raw("\"/>\n")
    }

    /// One stroked path.
    pub fn stroke(&mut self, points: &[Point], width: f64) -> &mut Self {
        self.raw("<path").attribute("stroke-width", width).raw(" d=\"");
        self.contour(points.iter().copied(), false).raw("\"/>\n")
    }

    /// A line of text that stands on `at`, with capitals of the given height.
    pub fn words(&mut self, text: &str, height: f64, at: Point, way: Way) -> &mut Self {
        let written = strokes::write(text, height);
        if written.strokes.is_empty() {
            return self;
        }
        self.raw("<path").attribute("stroke-width", height / LETTER_PER_STROKE).raw(" d=\"");
        for stroke in &written.strokes {
            self.contour(stroke.iter().map(|p| at + way.offset(p.x, p.y)), false);
        }
        self.raw("\"/>\n")
    }

    /// The finished page.
    pub fn finish(self) -> String {
        self.text
    }
}

/// How wide a line of text is.
pub(super) fn width(text: &str, height: f64) -> f64 {
    strokes::write(text, height).width
}

/// As many decimals as a millionth of the page needs, six at most.
fn decimals(page: f64) -> usize {
    let units = [1.0, 0.1, 0.01, 1e-3, 1e-4, 1e-5];
    units.iter().take_while(|unit| **unit > 1e-6 * page).count()
}

/// Whether XML 1.0 allows the character, section 2.2.
fn is_xml(c: char) -> bool {
    matches!(c, '\t' | '\n' | '\r' | ' '..='\u{d7ff}' | '\u{e000}'..='\u{fffd}' | '\u{10000}'..)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_as_fine_as_the_page_needs() {
        assert_eq!([1e9, 1e6, 1300.0, 1000.0, 30.0, 1e-3].map(decimals), [0, 0, 3, 3, 5, 6]);
    }

    #[test]
    fn nothing_in_a_name_is_markup_or_outside_xml() {
        let mut ink = Ink::new(100.0);
        ink.escaped("<a b='c'>&\"\0\u{1b}\u{ffff}é");
        assert_eq!(ink.finish(), "&lt;a b=&#39;c&#39;&gt;&amp;&quot;\u{fffd}\u{fffd}\u{fffd}é");
    }

    #[test]
    fn text_stands_upright_on_a_page_whose_y_runs_down() {
        assert_eq!(Way::LEVEL.offset(3.0, 2.0), Point { x: 3.0, y: -2.0 });
        let up_the_page = Way { along: Point { x: 0.0, y: -1.0 } };
        assert_eq!(up_the_page.offset(3.0, 2.0), Point { x: -2.0, y: -3.0 });
    }
}

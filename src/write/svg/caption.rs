//! What stands on the face of a panel: its number where pieces are numbered, its name, its copy and the direction
//! of its print.

use super::ink::{self, Ink, Way};
use super::page::Row;
use super::spot::{self, Spot};
use crate::job::Panel;
use crate::layout::Placement;
use crate::shape::{Point, Pose, length};
use crate::write::strokes;

/// Longest name written out.
const LONGEST: usize = 40;
/// From one line to the next, in letter heights.
const LINE_PITCH: f64 = 1.6;
/// Room above and below the text, in letter heights.
const PADDING: f64 = 0.45;
/// Room on either side of the text, in letter heights.
const SIDE: f64 = 0.8;
/// Side of the square in which the arrow turns, in letter heights.
const ARROW: f64 = 1.7;
/// A shorter name is only sought when the longer one is smaller than so many least letters.
const COMFORTABLE: f64 = 1.7;

/// Least and greatest height of letters, in millimetres, and what numbers take.
#[derive(Debug, Clone, Copy)]
pub(super) struct Letters {
    /// Smaller ones cannot be read.
    pub least: f64,
    /// Larger ones would shout.
    pub most: f64,
    /// Digits of the greatest number of a piece; 0 where pieces have none.
    pub digits: usize,
}

/// The caption of every copy of one panel, in the panel's own frame.
#[derive(Debug, Clone)]
pub(super) struct Caption {
    wording: Wording,
    arrow: bool,
    spot: Spot,
    letter: f64,
}

/// How a copy is named.
#[derive(Debug, Clone)]
enum Wording {
    /// Name and copy on one line.
    Line(String),
    /// The copy under the name.
    Stacked(String),
    /// The number alone.
    Number,
    /// The arrow alone.
    Arrow,
}

impl Wording {
    /// Whether it does without the name.
    fn is_nameless(&self) -> bool {
        matches!(self, Self::Number | Self::Arrow)
    }

    /// `number` is the piece's, or empty.
    fn lines(&self, number: &str, (copy, copies): (u32, u32)) -> Vec<String> {
        let of_copies = if copies > 1 { format!("{copy}/{copies}") } else { String::new() };
        let spaced = |parts: &[&str]| {
            parts.iter().copied().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ")
        };
        match self {
            Self::Line(name) => vec![spaced(&[number, name, &of_copies])],
            Self::Stacked(name) => vec![spaced(&[number, name]), of_copies],
            Self::Number => vec![number.to_owned()],
            Self::Arrow => vec![],
        }
    }
}

impl Caption {
    /// The caption that is read best; `None` where the face has no room for any. `rings` are
    /// the panel's contours in millimetres; `lines` is what is drawn on the face, and kept
    /// clear where there is room enough without it.
    pub fn of(panel: &Panel, rings: &[Vec<Point>], lines: &[Vec<Point>], letters: Letters) -> Option<Self> {
        let over = || Self::among(panel, rings, letters);
        if lines.is_empty() {
            return over();
        }
        // A line there and back bounds nothing, so that it keeps labels off and no more.
        let there_and_back = |l: &Vec<Point>| l.iter().chain(l.iter().rev()).copied().collect();
        let all: Vec<Vec<Point>> = rings.iter().cloned().chain(lines.iter().map(there_and_back)).collect();
        let comfortable = (COMFORTABLE * letters.least).min(letters.most);
        Self::among(panel, &all, letters)
            .filter(|clear| clear.letter >= comfortable && !clear.wording.is_nameless())
            .or_else(over)
    }

    fn among(panel: &Panel, rings: &[Vec<Point>], letters: Letters) -> Option<Self> {
        let Letters { least, most, digits } = letters;
        let number = "8".repeat(digits);
        let arrow = panel.grain.rule.headings().is_some();
        let ways = ways(panel, rings);
        let (_, copies) = panel.numbered(1);
        let mut best: Option<Self> = None;
        for wording in wordings(panel, digits > 0) {
            let (width, height) = extent(&wording.lines(&number, (copies, copies)), arrow);
            // A number or an arrow alone is for faces that take no name.
            if width <= 0.0 || (wording.is_nameless() && best.is_some()) {
                continue;
            }
            let (w, h) = (width + 2.0 * SIDE, height + 2.0 * PADDING);
            let Some(spot) = spot::roomiest(rings, w / h, most * h, &ways) else { continue };
            let letter = (spot.height / h).min(most);
            if letter >= least && best.as_ref().is_none_or(|b| letter > b.letter * 1.15) {
                best = Some(Self { wording, arrow, spot, letter });
            }
            if letter >= (COMFORTABLE * least).min(most) {
                break;
            }
        }
        best
    }

    /// Draws it on one copy, with its number, which may be empty. `pose` takes the frame of the rings to the roll.
    pub fn draw(
        &self,
        ink: &mut Ink,
        panel: &Panel,
        (placement, number): (&Placement, &str),
        pose: &Pose,
        row: &Row,
    ) {
        let centre = row.on_page(pose.apply(self.spot.centre));
        let way = upright(pose.apply(self.spot.along) - pose.at);
        let lines = self.wording.lines(number, panel.numbered(placement.copy));
        let (width, height) = extent(&lines, self.arrow);
        let h = self.letter;
        let left = -0.5 * width * h;
        let indent = if self.arrow { (ARROW + if lines.is_empty() { 0.0 } else { 0.5 }) * h } else { 0.0 };
        if self.arrow {
            let heading = panel.grain.heading(placement.rotation, placement.mirrored);
            arrow(ink, centre + way.offset(left + 0.5 * ARROW * h, 0.0), heading, ARROW * h, h);
        }
        let text_height =
            if lines.is_empty() { height } else { 1.0 + LINE_PITCH * (lines.len() as f64 - 1.0) };
        let mut base = (0.5 * text_height - 1.0) * h;
        for line in &lines {
            ink.words(line, h, centre + way.offset(left + indent, base), way);
            base -= LINE_PITCH * h;
        }
    }
}

/// Width and height of a block of lines with its arrow, in letter heights.
fn extent(lines: &[String], arrow: bool) -> (f64, f64) {
    let text = lines.iter().map(|l| ink::width(l, 1.0)).fold(0.0, f64::max);
    let rows = lines.len() as f64;
    let height = if lines.is_empty() { 0.0 } else { 1.0 + LINE_PITCH * (rows - 1.0) };
    match (arrow, lines.is_empty()) {
        (true, true) => (ARROW, ARROW),
        (true, false) => (ARROW + 0.5 + text, height.max(ARROW)),
        (false, _) => (text, height),
    }
}

/// How the panel may be named, the fullest first. Its order shows in the colour, so that the
/// name may do without.
fn wordings(panel: &Panel, numbered: bool) -> Vec<Wording> {
    let full = strokes::shorten(&panel.id, LONGEST);
    let of_kit = panel.kit.as_deref().and_then(|kit| panel.id.strip_prefix(kit)?.strip_prefix('/'));
    let mut names = vec![full];
    for short in [of_kit, panel.id.rsplit('/').next()].into_iter().flatten() {
        let short = strokes::shorten(short, LONGEST);
        if !short.is_empty() && !names.contains(&short) {
            names.push(short);
        }
    }
    let mut wordings = Vec::new();
    for name in names {
        wordings.push(Wording::Line(name.clone()));
        if panel.numbered(1).1 > 1 {
            wordings.push(Wording::Stacked(name));
        }
    }
    if numbered {
        wordings.push(Wording::Number);
    }
    wordings.push(Wording::Arrow);
    wordings
}

/// Directions in which a label may run on the panel: its print, across it, and its longest side.
fn ways(panel: &Panel, rings: &[Vec<Point>]) -> Vec<Point> {
    let turn = crate::shape::Turn::degrees(panel.grain.along);
    let print = Point { x: turn.cos(), y: turn.sin() };
    let mut ways = vec![print, Point { x: -print.y, y: print.x }];
    let sides = rings.first().map(|r| r.windows(2).map(|w| w[1] - w[0])).into_iter().flatten();
    let longest = sides.map(|v| (length(v), v)).max_by(|a, b| a.0.total_cmp(&b.0));
    ways.extend(longest.filter(|(l, _)| *l > 0.0).map(|(l, v)| v / l));
    ways
}

/// The way a line of text runs on the page, never upside down. `v` is its way on the roll.
fn upright(v: Point) -> Way {
    let l = length(v);
    let v = if l > 0.0 { Point { x: v.x / l, y: -v.y / l } } else { Way::LEVEL.along };
    // Straight up is read from the right, as on drawings (ISO 129-1; from memory).
    let flipped = v.x < -1e-9 || (v.x <= 1e-9 && v.y > 0.0);
    Way { along: if flipped { Point { x: -v.x, y: -v.y } } else { v } }
}

/// An arrow of the given length with its middle at `at`, pointing to `heading` on the roll.
pub(super) fn arrow(ink: &mut Ink, at: Point, heading: f64, long: f64, letter: f64) {
    let turn = crate::shape::Turn::degrees(heading);
    let way = Way { along: Point { x: turn.cos(), y: -turn.sin() } };
    let (half, head) = (0.42 * long, 0.3 * long);
    let [tail, neck] = [-half, half - head].map(|x| at + way.offset(x, 0.0));
    let tip = at + way.offset(half, 0.0);
    let [left, right] = [0.45, -0.45].map(|y| at + way.offset(half - head, y * head));
    ink.raw("<path").attribute("stroke-width", letter / 8.0).raw(" d=\"");
    ink.contour([tail, neck], false).raw("\"/><path stroke=\"none\" fill=\"#1d1f21\" d=\"");
    ink.contour([left, tip, right], true).raw("\"/>\n");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_never_upside_down() {
        for (v, expected) in [
            ((1.0, 0.0), (1.0, 0.0)),
            ((-1.0, 0.0), (1.0, 0.0)),
            ((0.0, 1.0), (0.0, -1.0)),
            ((0.0, -1.0), (0.0, -1.0)),
            ((-3.0, 4.0), (0.6, 0.8)),
        ] {
            let way = upright(Point { x: v.0, y: v.1 });
            assert_eq!((way.along.x + 0.0, way.along.y + 0.0), expected, "{v:?}");
        }
    }
}

//! What stands round the roll: title, ruler, scale bar and legend.

use super::caption;
use super::ink::{self, Ink, Way};
use super::page::{Page, Row};
use super::palette::Palette;
use super::role::{Role, Style};
use crate::job::Unit;
use crate::layout::Layout;
use crate::shape::Point;
use crate::write::number::{fixed, percent};
use crate::write::strokes;

/// Longest title, in letters.
const LONGEST_TITLE: usize = 80;
/// Longest name in the legend.
const LONGEST_NAME: usize = 32;
/// Most orders that the legend names.
const MOST_ENTRIES: usize = 60;

/// The name, and what the layout measures.
pub(super) fn title(ink: &mut Ink, layout: &Layout, page: &Page) {
    let h = page.letter;
    let name = strokes::shorten(&layout.name, LONGEST_TITLE);
    let at = |y: f64| Point { x: page.border(), y: page.border() + y * h };
    let fit = |text: &str, most: f64| most.min(most * page.inner / ink::width(text, most).max(1e-9));
    ink.words(&name, fit(&name, 1.8 * h), at(1.8), Way::LEVEL);
    let facts = facts(layout);
    ink.words(&facts, fit(&facts, 1.1 * h), at(4.1), Way::LEVEL);
}

/// Length, width, waste and count in one line.
pub(super) fn facts(layout: &Layout) -> String {
    let m = &layout.measures;
    let decimals = if layout.unit == Unit::Inch { 2 } else { 1 };
    let with_unit = |v: f64, d: usize| format!("{} {}", fixed(v, d), layout.unit.name());
    let pieces = layout.placements.len();
    format!(
        "length {} ({:.2} m)   film {} wide   waste {}   {pieces} panel{}   gap {}",
        with_unit(m.length, decimals),
        m.length * layout.unit.in_mm() / 1000.0,
        with_unit(layout.roll.width, 3),
        percent(m.waste_percent),
        if pieces == 1 { "" } else { "s" },
        with_unit(layout.gap, 3),
    )
}

/// Positions along the roll under one row, in the layout's unit.
pub(super) fn ruler(ink: &mut Ink, row: &Row, page: &Page, unit: Unit) {
    let (h, mm) = (page.letter, unit.in_mm());
    let (step, parts) = round_step(9.0 * h / mm);
    let tick = step / parts;
    let first = (row.from / mm / tick - 1e-9).ceil().max(0.0);
    let last = (row.to / mm / tick + 1e-9).floor();
    let y = row.origin.y + 0.5 * h;
    let mut n = first;
    while n <= last {
        let x = row.on_page(Point { x: n * tick * mm, y: 0.0 }).x;
        let numbered = n % parts < 0.5;
        let long = if numbered { 0.9 } else { 0.45 };
        ink.stroke(&[Point { x, y }, Point { x, y: y + long * h }], page.hairline());
        if numbered {
            let text = fixed(n * tick, 6);
            let text = if n < 0.5 { format!("{text} {}", unit.name()) } else { text };
            let left = (x - 0.5 * ink::width(&text, h)).max(page.border());
            ink.words(&text, h, Point { x: left, y: y + 2.2 * h }, Way::LEVEL);
        }
        n += 1.0;
    }
}

/// The least of 1, 2 or 5 times a power of ten that is no less than `least`, and the number
/// of parts that it is divided into.
fn round_step(least: f64) -> (f64, f64) {
    let mut power = 1.0;
    while power > least {
        power /= 10.0;
    }
    while power * 10.0 <= least {
        power *= 10.0;
    }
    [(1.0, 5.0), (2.0, 4.0), (5.0, 5.0), (10.0, 5.0)]
        .map(|(n, parts)| (n * power, parts))
        .into_iter()
        .find(|(step, _)| *step >= least)
        .unwrap_or((10.0 * power, 5.0))
}

/// Places legend entries one after the other, in as many lines as they need.
struct Flow {
    x: f64,
    y: f64,
    left: f64,
    right: f64,
    pitch: f64,
}

impl Flow {
    fn place(&mut self, wide: f64) -> Point {
        if self.x + wide > self.right && self.x > self.left {
            self.x = self.left;
            self.y += self.pitch;
        }
        let at = Point { x: self.x, y: self.y };
        self.x += wide + self.pitch;
        at
    }

    fn new_line(&mut self) {
        self.x = self.left;
        self.y += self.pitch;
    }
}

/// Scale bar, orders and kinds of lines. Gives where the page ends.
pub(super) fn legend(ink: &mut Ink, layout: &Layout, page: &Page, palette: &Palette, roles: &[Role]) -> f64 {
    let h = page.letter;
    let (left, right) = (page.border(), page.border() + page.inner);
    let mut flow = Flow { x: left, y: page.legend_y + 1.5 * h, left, right, pitch: 2.4 * h };
    scale_bar(ink, &mut flow, page, layout.unit);
    print_arrow(ink, &mut flow, h, layout);
    for role in roles {
        line_sample(ink, &mut flow, page, role.style());
    }
    for (fill, text, present) in
        [(super::MARGIN, "margin", has_margins(layout)), (super::FLAW, "flaw", !layout.roll.flaws.is_empty())]
    {
        if present {
            swatch(ink, &mut flow, page, fill, text);
        }
    }
    flow.new_line();
    for entry in palette.entries.iter().take(MOST_ENTRIES) {
        let text = format!("{} ({})", strokes::shorten(&entry.name, LONGEST_NAME), entry.pieces);
        swatch(ink, &mut flow, page, entry.fill, &text);
    }
    if let Some(more) = palette.entries.len().checked_sub(MOST_ENTRIES).filter(|n| *n > 0) {
        let text = format!("and {more} more");
        let at = flow.place(ink::width(&text, h));
        ink.words(&text, h, at, Way::LEVEL);
    }
    flow.y + page.border()
}

fn has_margins(layout: &Layout) -> bool {
    let roll = &layout.roll;
    [roll.lead_margin, roll.tail_margin, roll.edge_margin[0], roll.edge_margin[1]].iter().any(|m| *m > 0.0)
}

fn scale_bar(ink: &mut Ink, flow: &mut Flow, page: &Page, unit: Unit) {
    let (h, mm) = (page.letter, unit.in_mm());
    let (step, _) = round_step(0.07 * page.inner / mm);
    let (long, text) = (step * mm, format!("{} {}", fixed(step, 6), unit.name()));
    let at = flow.place(long + 0.8 * h + ink::width(&text, h));
    let bar = |x0: f64, x1: f64| (Point { x: at.x + x0 * long, y: at.y - 0.7 * h }, (x1 - x0) * long);
    for (i, fill) in ["#1d1f21", "#ffffff", "#1d1f21", "#ffffff"].into_iter().enumerate() {
        let (min, wide) = bar(i as f64 / 4.0, (i as f64 + 1.0) / 4.0);
        ink.rectangle(min, Point { x: wide, y: 0.4 * h }, fill);
    }
    let corners = [(0.0, 0.7), (1.0, 0.7), (1.0, 0.3), (0.0, 0.3), (0.0, 0.7)];
    let frame = corners.map(|(x, y)| Point { x: at.x + x * long, y: at.y - y * h });
    ink.stroke(&frame, page.hairline());
    ink.words(&text, h, Point { x: at.x + long + 0.8 * h, y: at.y }, Way::LEVEL);
}

fn print_arrow(ink: &mut Ink, flow: &mut Flow, h: f64, layout: &Layout) {
    if layout.panels.iter().all(|p| p.grain.rule.headings().is_none()) {
        return;
    }
    let text = "direction of print";
    let at = flow.place(2.4 * h + ink::width(text, h));
    caption::arrow(ink, Point { x: at.x + h, y: at.y - 0.5 * h }, 0.0, 2.0 * h, h);
    ink.words(text, h, Point { x: at.x + 2.4 * h, y: at.y }, Way::LEVEL);
}

fn line_sample(ink: &mut Ink, flow: &mut Flow, page: &Page, style: Style) {
    let h = page.letter;
    let at = flow.place(3.6 * h + ink::width(style.name, h));
    ink.raw("<path").raw(&style.attributes(page.hairline())).raw(" d=\"");
    let y = at.y - 0.5 * h;
    ink.contour([Point { x: at.x, y }, Point { x: at.x + 3.0 * h, y }], false).raw("\"/>\n");
    ink.words(style.name, h, Point { x: at.x + 3.6 * h, y: at.y }, Way::LEVEL);
}

fn swatch(ink: &mut Ink, flow: &mut Flow, page: &Page, fill: &str, text: &str) {
    let h = page.letter;
    let at = flow.place(2.6 * h + ink::width(text, h));
    ink.rectangle(Point { x: at.x, y: at.y - 1.2 * h }, Point { x: 2.0 * h, y: 1.4 * h }, fill);
    let corners = [(0.0, -1.2), (2.0, -1.2), (2.0, 0.2), (0.0, 0.2), (0.0, -1.2)];
    ink.stroke(&corners.map(|(x, y)| at + Point { x: x * h, y: y * h }), page.hairline());
    ink.words(text, h, Point { x: at.x + 2.6 * h, y: at.y }, Way::LEVEL);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round() {
        let step = |least: f64| round_step(least).0;
        assert_eq!([1.0, 1.1, 20.1, 73.0, 0.25].map(step), [1.0, 2.0, 50.0, 100.0, 0.5]);
    }
}

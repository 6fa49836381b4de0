//! The roll as part of a page of its own: every piece marked, so that the page can name it and
//! light it up.

use super::face::{self, Face, Look};
use super::ink::Ink;
use super::page::Page;
use super::palette::{Entry, Palette};
use super::roll::{Drawing, Mark};
use super::{Letters, furniture, role, roll};
use crate::error::Error;
use crate::job::Unit;
use crate::layout::{Layout, Placement};
use crate::shape::{Bounds, Point, Pose};
use crate::write::number::fixed;
use crate::write::sheet::Sheet;

/// The roll, drawn to be put into a page, in millimetres.
#[derive(Debug)]
pub(crate) struct Picture {
    /// The panels' faces, as elements with the ids `p0`, `p1` and so on, for `use`.
    pub faces: String,
    /// The drawing.
    pub body: String,
    /// Left, top, width and height of the drawing.
    pub view: [f64; 4],
    /// The orders, or the panels of a job without orders: each has a colour.
    pub entries: Vec<Entry>,
    /// For every placement, the piece as it lies on the roll; none where it names no panel.
    pub thumbnails: Vec<Option<Thumbnail>>,
    /// Kinds of lines that occur.
    pub lines: Vec<&'static str>,
}

/// Draws the roll; `marks` has one for each placement of the layout. An element of the class
/// `piece` carries its mark as `data-number`, `data-name` and, with the index of its entry,
/// `data-entry`.
pub(crate) fn picture(layout: &Layout, marks: &[Mark]) -> Result<Picture, Error> {
    let sheet = Sheet::new(layout, Unit::Millimetre)?;
    let page = Page::of(&sheet, true);
    let palette = Palette::of(layout);
    let digits = marks.iter().map(|m| m.number.to_string().len()).max().unwrap_or(0);
    let letters = Some(Letters { least: page.least_letter(), most: page.letter, digits });
    let look = Look { mm: layout.unit.in_mm(), hairline: page.hairline(), letters };
    let faces = Face::all(layout, &look);
    let mut symbols = Ink::new(page.width());
    face::symbols(&mut symbols, layout, &faces, &look);
    let folded = page.rows.len() > 1;
    let marks = Some(marks);
    let drawing = Drawing { layout, sheet: &sheet, palette: &palette, faces: &faces, look, folded, marks };
    let mut body = Ink::new(page.width());
    drawing.rows(&mut body, &page)?;
    body.raw("<g fill=\"none\" stroke=\"").raw(super::DARK).raw("\" stroke-linecap=\"round\">\n");
    for row in &page.rows {
        roll::border(&mut body, row, &sheet, &page);
        furniture::ruler(&mut body, row, &page, layout.unit);
    }
    body.raw("</g>\n");
    let top = page.rows.first().map_or(0.0, |row| row.origin.y - sheet.width) - page.letter;
    Ok(Picture {
        faces: symbols.finish(),
        body: body.finish(),
        view: [0.0, top, page.width(), page.legend_y - top],
        thumbnails: thumbnails(layout, &faces, &palette),
        entries: palette.entries,
        lines: role::roles(layout).iter().map(|r| r.style().name).collect(),
    })
}

/// One piece as it lies on the roll, small, to be drawn with the faces of the same page.
#[derive(Debug)]
pub(crate) struct Thumbnail {
    /// Left, top, width and height.
    pub view: [f64; 4],
    /// The id of the face.
    pub face: String,
    /// What turns the face.
    pub transform: String,
    /// The fill.
    pub fill: &'static str,
}

/// A border round a thumbnail, in parts of its larger side: for the line round the piece.
const THUMBNAIL_BORDER: f64 = 0.02;

impl Thumbnail {
    fn of(panel: usize, pose: &Pose, face: &Face, fill: &'static str) -> Option<Self> {
        let turned: Vec<Point> = face.rings.iter().flatten().map(|p| down(pose, *p)).collect();
        let b = Bounds::of(&turned)?;
        let border = THUMBNAIL_BORDER * b.width().max(b.height());
        let (u, v) = (down(pose, Point { x: 1.0, y: 0.0 }), down(pose, Point { x: 0.0, y: 1.0 }));
        let matrix = [u.x, u.y, v.x, v.y].map(|n| fixed(n, 7)).join(" ");
        let view = [b.min.x - border, b.min.y - border, b.width() + 2.0 * border, b.height() + 2.0 * border];
        Some(Self { view, face: format!("p{panel}"), transform: format!("matrix({matrix} 0 0)"), fill })
    }
}

/// A vector of the panel as it lies on the roll, y down.
fn down(pose: &Pose, p: Point) -> Point {
    let v = Pose { at: Point { x: 0.0, y: 0.0 }, ..*pose }.apply(p);
    Point { x: v.x, y: -v.y }
}

/// One for each placement.
fn thumbnails(layout: &Layout, faces: &[Face], palette: &Palette) -> Vec<Option<Thumbnail>> {
    let of = |p: &Placement| {
        let fill = palette.entries[*palette.of_panel.get(p.panel)?].fill;
        Thumbnail::of(p.panel, &p.pose(), faces.get(p.panel)?, fill)
    };
    layout.placements.iter().map(of).collect()
}

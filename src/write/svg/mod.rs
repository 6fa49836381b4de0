//! The preview: the roll to look at, at true size in millimetres.
//!
//! ```text
//! sheet -> page (rows)  -> film, margins, flaws -> panels (one symbol each, used by every copy)
//!                       -> captions on the faces -> ruler, title, legend
//! ```
//!
//! All text is drawn as strokes, so that every renderer shows the same picture.

mod caption;
mod furniture;
mod ink;
mod page;
mod palette;
mod spot;

use super::number::fixed;
use super::sheet::{Piece, Sheet, panel_of};
use crate::error::Error;
use crate::job::{LineRole, Panel, Unit};
use crate::layout::{Layout, Placement};
use crate::shape::{Bounds, Point, Pose};
use caption::Caption;
use ink::Ink;
use page::{Page, Row};
use palette::Palette;

/// Film between the margins.
const FILM: &str = "#f6f4ee";
/// Film that cannot be used.
const MARGIN: &str = "#d5d1c6";
/// Flaws in the film.
const FLAW: &str = "#8d8d8d";
/// Letters and outlines.
const DARK: &str = "#1d1f21";

/// How a preview is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SvgOptions {
    /// Whether panels carry their names.
    pub labels: bool,
    /// Whether a long roll is folded into rows.
    pub fold: bool,
}

impl Default for SvgOptions {
    /// With labels, folded.
    fn default() -> Self {
        Self { labels: true, fold: true }
    }
}

/// The preview of a layout as an SVG document: true size in millimetres, the roll's y up.
///
/// # Errors
///
/// [`Error::Input`] for a layout whose numbers are no usable lengths, [`Error::Internal`] for
/// one whose placements name panels that it lacks; neither passes the check of a layout.
pub fn svg(layout: &Layout, options: &SvgOptions) -> Result<String, Error> {
    let sheet = Sheet::new(layout, Unit::Millimetre)?;
    let page = Page::of(&sheet, options.fold);
    let palette = Palette::of(layout);
    let faces = faces(layout, &page, options.labels);
    let look = Look { mm: layout.unit.in_mm(), hairline: page.hairline() };
    let mut body = Ink::new(page.width());
    symbols(&mut body, layout, &faces, &look);
    let folded = page.rows.len() > 1;
    let drawing = Drawing { layout, sheet: &sheet, palette: &palette, faces: &faces, look, folded };
    for (i, row) in page.rows.iter().enumerate() {
        drawing.row(&mut body, i, row)?;
    }
    body.raw("<g fill=\"none\" stroke=\"").raw(DARK).raw("\" stroke-linecap=\"round\">\n");
    furniture::title(&mut body, layout, &page);
    for row in &page.rows {
        border(&mut body, row, &sheet, &page);
        furniture::ruler(&mut body, row, &page, layout.unit);
    }
    let height = furniture::legend(&mut body, layout, &page, &palette, &roles(layout));
    body.raw("</g>\n");
    Ok(document(layout, &page, height, &body.finish()))
}

/// Puts the drawing into a document of its size.
fn document(layout: &Layout, page: &Page, height: f64, body: &str) -> String {
    let mut svg = Ink::new(page.width());
    svg.raw(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" width=\"",
    );
    svg.number(page.width()).raw("mm\" height=\"").number(height).raw("mm\" viewBox=\"0 0 ");
    svg.number(page.width()).raw(" ").number(height).raw("\">\n<title>").escaped(&layout.name);
    svg.raw("</title>\n<desc>").escaped(&furniture::facts(layout)).raw("</desc>\n");
    svg.rectangle(Point { x: 0.0, y: 0.0 }, Point { x: page.width(), y: height }, "#ffffff");
    svg.raw(body).raw("</svg>\n");
    svg.finish()
}

/// One panel as it is drawn again for every copy.
struct Face {
    /// Middle of its box in its own frame, in millimetres. The symbol is drawn about it, so
    /// that an outline far from its origin loses nothing.
    middle: Point,
    rings: Vec<Vec<Point>>,
    caption: Option<Caption>,
}

fn faces(layout: &Layout, page: &Page, labels: bool) -> Vec<Face> {
    let mm = layout.unit.in_mm();
    let face = |panel: &Panel| {
        let contours = || panel.parts.iter().flat_map(|r| r.rings());
        let bounds = Bounds::of(contours().flat_map(|r| r.points()));
        let middle = bounds.map_or(Point { x: 0.0, y: 0.0 }, |b| b.centre() * mm);
        let rings: Vec<Vec<Point>> =
            contours().map(|r| r.points().iter().map(|p| *p * mm - middle).collect()).collect();
        let caption = labels.then(|| Caption::of(panel, &rings, page.least_letter(), page.letter)).flatten();
        Face { middle, rings, caption }
    };
    layout.panels.iter().map(face).collect()
}

/// One symbol for every panel: its face, and the lines that all copies have.
fn symbols(ink: &mut Ink, layout: &Layout, faces: &[Face], look: &Look) {
    ink.raw("<defs>\n");
    for (i, (panel, face)) in layout.panels.iter().zip(faces).enumerate() {
        ink.raw(&format!("<g id=\"p{i}\"><path fill-rule=\"evenodd\" d=\""));
        for ring in &face.rings {
            ink.contour(ring.iter().copied(), true);
        }
        ink.raw("\"/>");
        lines(ink, panel, face, look, None);
        ink.raw("</g>\n");
    }
    ink.raw("</defs>\n");
}

/// The lines of a panel that belong to one copy, or to all; one path for each role.
fn lines(ink: &mut Ink, panel: &Panel, face: &Face, look: &Look, copy: Option<u32>) {
    for role in Role::ALL {
        let mut of_role = panel.lines.iter().filter(|l| l.role == role.0 && l.copy == copy).peekable();
        if of_role.peek().is_none() {
            continue;
        }
        ink.raw("<path fill=\"none\"").raw(&role.style().attributes(look.hairline)).raw(" d=\"");
        for line in of_role {
            ink.contour(line.points.iter().map(|p| *p * look.mm - face.middle), line.closed);
        }
        ink.raw("\"/>");
    }
}

/// What every drawn line needs to know.
struct Look {
    /// Millimetres in the layout's unit.
    mm: f64,
    hairline: f64,
}

/// The roll, one row after the other.
struct Drawing<'a> {
    layout: &'a Layout,
    sheet: &'a Sheet,
    palette: &'a Palette,
    faces: &'a [Face],
    look: Look,
    folded: bool,
}

impl Drawing<'_> {
    fn row(&self, ink: &mut Ink, number: usize, row: &Row) -> Result<(), Error> {
        self.film(ink, row);
        let clip = if self.folded { self.clip(ink, number, row) } else { String::new() };
        ink.raw(&format!("<g{clip}>\n<g fill=\"{FLAW}\">\n"));
        for flaw in &self.sheet.flaws {
            ink.raw("<path d=\"").contour(flaw.iter().map(|p| row.on_page(*p)), true).raw("\"/>\n");
        }
        ink.raw(&format!("</g>\n<g stroke=\"{DARK}\" stroke-linejoin=\"round\""));
        ink.attribute("stroke-width", self.look.hairline).raw(">\n");
        self.panels(ink, row)?;
        ink.raw(&format!("</g>\n<g fill=\"none\" stroke=\"{DARK}\" stroke-linecap=\"round\">\n"));
        self.captions(ink, row)?;
        ink.raw("</g>\n</g>\n");
        Ok(())
    }

    /// The film of the stretch, and over it what lies between the margins.
    fn film(&self, ink: &mut Ink, row: &Row) {
        let fill = |ink: &mut Ink, from: Point, to: Point, colour: &str| {
            let (from, to) =
                (Point { x: from.x.max(row.from), y: from.y }, Point { x: to.x.min(row.to), y: to.y });
            let corner = row.on_page(Point { x: from.x, y: to.y });
            ink.rectangle(corner, to - from, colour);
        };
        fill(ink, Point { x: row.from, y: 0.0 }, Point { x: row.to, y: self.sheet.width }, MARGIN);
        fill(ink, self.sheet.usable.min, self.sheet.usable.max, FILM);
    }

    fn clip(&self, ink: &mut Ink, number: usize, row: &Row) -> String {
        let corner = row.on_page(Point { x: row.from, y: self.sheet.width });
        ink.raw(&format!("<clipPath id=\"r{number}\">"));
        ink.rectangle(corner, Point { x: row.to - row.from, y: self.sheet.width }, "#000");
        ink.raw("</clipPath>\n");
        format!(" clip-path=\"url(#r{number})\"")
    }

    /// The pieces that reach into the stretch.
    fn pieces(&self, row: &Row) -> impl Iterator<Item = &Piece> {
        let (from, to) = (row.from, row.to);
        self.sheet.pieces.iter().filter(move |p| p.bounds.max.x >= from && p.bounds.min.x <= to)
    }

    fn parts_of(&self, piece: &Piece) -> Result<(&Placement, &Panel, &Face), Error> {
        let placement = &self.layout.placements[piece.placement];
        Ok((placement, panel_of(self.layout, placement)?, &self.faces[placement.panel]))
    }

    fn panels(&self, ink: &mut Ink, row: &Row) -> Result<(), Error> {
        for (i, entry) in self.palette.entries.iter().enumerate() {
            let mut pieces = self.pieces(row).filter(|p| self.entry_of(p) == Some(i)).peekable();
            if pieces.peek().is_none() {
                continue;
            }
            ink.raw("<g fill=\"").raw(entry.fill).raw("\">\n");
            for piece in pieces {
                let (placement, panel, face) = self.parts_of(piece)?;
                ink.raw(&format!("<use xlink:href=\"#p{}\"", placement.panel));
                self.place(ink, placement, face, row).raw("/>\n");
                if panel.lines.iter().any(|l| l.copy == Some(placement.copy)) {
                    self.place(ink.raw("<g"), placement, face, row).raw(">");
                    lines(ink, panel, face, &self.look, Some(placement.copy));
                    ink.raw("</g>\n");
                }
            }
            ink.raw("</g>\n");
        }
        Ok(())
    }

    fn entry_of(&self, piece: &Piece) -> Option<usize> {
        self.palette.of_panel.get(self.layout.placements[piece.placement].panel).copied()
    }

    /// The transform that takes a symbol to its place on the page.
    fn place<'i>(&self, ink: &'i mut Ink, placement: &Placement, face: &Face, row: &Row) -> &'i mut Ink {
        let pose = placement.pose();
        // About the origin, so that quarter turns stay exact.
        let still = Pose { at: Point { x: 0.0, y: 0.0 }, ..pose };
        let image = |x: f64, y: f64| {
            let v = still.apply(Point { x, y });
            Point { x: v.x, y: -v.y }
        };
        let at = row.on_page(pose.apply(face.middle / self.look.mm) * self.look.mm);
        ink.matrix(image(1.0, 0.0), image(0.0, 1.0), at)
    }

    fn captions(&self, ink: &mut Ink, row: &Row) -> Result<(), Error> {
        for piece in self.pieces(row) {
            let (placement, panel, face) = self.parts_of(piece)?;
            if let Some(caption) = &face.caption {
                caption.draw(ink, panel, placement, face.middle, row, self.look.mm);
            }
        }
        Ok(())
    }
}

/// The edge of the film round one row; dashed where it goes on in another row.
fn border(ink: &mut Ink, row: &Row, sheet: &Sheet, page: &Page) {
    let corner = |x: f64, y: f64| row.on_page(Point { x, y });
    let hair = page.hairline();
    for y in [0.0, sheet.width] {
        ink.stroke(&[corner(row.from, y), corner(row.to, y)], hair);
    }
    for (x, end) in [(row.from, row.from <= 0.0), (row.to, row.to >= sheet.length)] {
        let dash = if end { String::new() } else { dashes(&[8.0, 8.0], hair) };
        ink.raw("<path").attribute("stroke-width", hair).raw(&dash).raw(" d=\"");
        ink.contour([corner(x, 0.0), corner(x, sheet.width)], false).raw("\"/>\n");
    }
}

/// What a line of a panel is for, as the preview draws it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Role(LineRole);

/// How a line looks.
#[derive(Debug, Clone, Copy)]
struct Style {
    name: &'static str,
    colour: &'static str,
    /// In hairlines.
    width: f64,
    /// Lengths of dashes and gaps in hairlines; none for a full line.
    dashes: &'static [f64],
}

impl Role {
    /// In the order in which they are drawn.
    const ALL: [Self; 4] =
        [Self(LineRole::Print), Self(LineRole::Draw), Self(LineRole::Cut), Self(LineRole::Through)];

    /// Told apart by dashes and width as well as by colour.
    fn style(self) -> Style {
        let of = |name, colour, width, dashes| Style { name, colour, width, dashes };
        match self.0 {
            LineRole::Print => of("printed", "#6a6a6a", 1.0, &[2.0, 4.0]),
            LineRole::Draw => of("pen", "#14469c", 1.0, &[]),
            LineRole::Cut => of("inner cut", DARK, 1.6, &[]),
            LineRole::Through => of("cut through the liner", "#a3131b", 2.4, &[9.0, 4.0]),
        }
    }
}

impl Style {
    /// As attributes of an SVG element.
    fn attributes(&self, hairline: f64) -> String {
        let width = fixed(self.width * hairline, 6);
        let dashes = dashes(self.dashes, hairline);
        format!(" stroke=\"{}\" stroke-width=\"{width}\"{dashes}", self.colour)
    }
}

fn dashes(lengths: &[f64], hairline: f64) -> String {
    if lengths.is_empty() {
        return String::new();
    }
    let lengths: Vec<String> = lengths.iter().map(|l| fixed(l * hairline, 6)).collect();
    format!(" stroke-dasharray=\"{}\"", lengths.join(" "))
}

/// The roles of lines that occur.
fn roles(layout: &Layout) -> Vec<Role> {
    let occurs = |role: &Role| layout.panels.iter().any(|p| p.lines.iter().any(|l| l.role == role.0));
    Role::ALL.into_iter().filter(occurs).collect()
}

//! The roll, stretch by stretch: film, flaws, panels and what stands on them.

use super::face::{Face, Look, lines};
use super::ink::Ink;
use super::page::{Page, Row};
use super::palette::Palette;
use super::role::dashes;
use super::{DARK, FILM, FLAW, MARGIN};
use crate::error::Error;
use crate::job::Panel;
use crate::layout::{Layout, Placement};
use crate::shape::{Point, Pose};
use crate::write::sheet::{Piece, Sheet, panel_of};
use rayon::prelude::*;

/// What the page says of one piece.
#[derive(Debug, Clone)]
pub(crate) struct Mark {
    /// Its number on the page.
    pub number: usize,
    /// What it is called when it is pointed at.
    pub name: String,
}

/// The roll, one row after the other.
pub(super) struct Drawing<'a> {
    /// What is drawn.
    pub layout: &'a Layout,
    /// The same, placed and in millimetres.
    pub sheet: &'a Sheet,
    /// Colours.
    pub palette: &'a Palette,
    /// For every panel of the layout, its face.
    pub faces: &'a [Face],
    /// How lines are drawn.
    pub look: Look,
    /// Whether there are several rows.
    pub folded: bool,
    /// For every placement, what a page says of it; none in a drawing that stands alone.
    pub marks: Option<&'a [Mark]>,
}

impl Drawing<'_> {
    /// Draws all rows of the page.
    pub fn rows(&self, ink: &mut Ink, page: &Page) -> Result<(), Error> {
        let drawn = page.rows.par_iter().enumerate().map(|(number, row)| {
            let mut ink = Ink::new(page.width());
            self.row(&mut ink, number, row)?;
            Ok(ink.finish())
        });
        let drawn: Vec<String> = drawn.collect::<Result<_, Error>>()?;
        drawn.iter().for_each(|row| {
            ink.raw(row);
        });
        Ok(())
    }

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
        let mut pieces: Vec<(usize, &Piece)> =
            self.pieces(row).filter_map(|p| Some((self.entry_of(p)?, p))).collect();
        // Stable: pieces of one colour keep their order.
        pieces.sort_by_key(|(entry, _)| *entry);
        for of_one in pieces.chunk_by(|a, b| a.0 == b.0) {
            let i = of_one[0].0;
            ink.raw("<g fill=\"").raw(self.palette.entries[i].fill).raw("\">\n");
            for (_, piece) in of_one {
                let (placement, panel, face) = self.parts_of(piece)?;
                self.open_use(ink, piece.placement, i);
                ink.raw(&format!("href=\"#p{}\"", placement.panel));
                let pose = face.pose(placement, self.look.mm);
                self.place(ink, &pose, row).raw("/>\n");
                if panel.lines.iter().any(|l| l.copy == Some(placement.copy)) {
                    self.place(ink.raw("<g"), &pose, row).raw(">");
                    lines(ink, panel, face, &self.look, Some(placement.copy));
                    ink.raw("</g>\n");
                }
            }
            ink.raw("</g>\n");
        }
        Ok(())
    }

    /// Begins the element that draws one piece, up to the name of its reference: pages know the
    /// one without `xlink:`, older programs that read the file only the one with it.
    fn open_use(&self, ink: &mut Ink, placement: usize, entry: usize) {
        let Some(mark) = self.mark(placement) else {
            ink.raw("<use xlink:");
            return;
        };
        let (number, entry) = (mark.number.to_string(), entry.to_string());
        ink.raw("<use class=\"piece\" data-number=\"").raw(&number).raw("\" data-entry=\"").raw(&entry);
        ink.raw("\" data-name=\"").escaped(&mark.name).raw("\" ");
    }

    fn mark(&self, placement: usize) -> Option<&Mark> {
        self.marks.and_then(|marks| marks.get(placement))
    }

    fn entry_of(&self, piece: &Piece) -> Option<usize> {
        self.palette.of_panel.get(self.layout.placements[piece.placement].panel).copied()
    }

    /// The transform that takes a symbol to its place on the page.
    fn place<'i>(&self, ink: &'i mut Ink, pose: &Pose, row: &Row) -> &'i mut Ink {
        // About the origin, so that quarter turns stay exact.
        let still = Pose { at: Point { x: 0.0, y: 0.0 }, ..*pose };
        let image = |x: f64, y: f64| {
            let v = still.apply(Point { x, y });
            Point { x: v.x, y: -v.y }
        };
        ink.matrix(image(1.0, 0.0), image(0.0, 1.0), row.on_page(pose.at))
    }

    fn captions(&self, ink: &mut Ink, row: &Row) -> Result<(), Error> {
        for piece in self.pieces(row) {
            let (placement, panel, face) = self.parts_of(piece)?;
            let pose = face.pose(placement, self.look.mm);
            let whole = piece.bounds.min.x >= row.from && piece.bounds.max.x <= row.to;
            let caption = if whole || !self.folded {
                face.caption.clone()
            } else {
                face.caption_between(panel, &pose, row.from, row.to, &self.look)
            };
            if let Some(caption) = caption {
                let number = self.mark(piece.placement).map(|m| m.number.to_string()).unwrap_or_default();
                caption.draw(ink, panel, (placement, &number), &pose, row);
            }
        }
        Ok(())
    }
}

/// The edge of the film round one row; dashed where it goes on in another row.
pub(super) fn border(ink: &mut Ink, row: &Row, sheet: &Sheet, page: &Page) {
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

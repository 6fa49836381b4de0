//! Names beside the panels, for a pen: which order a piece belongs to when it comes off the roll.
//!
//! A label lies in the waste: inside the film's margins, clear of every cut, drawn or printed
//! line, of flaws and of other labels, and never on the face of a panel. Where a panel has no
//! such room its name stands on the map only.

mod candidate;
mod free;

use candidate::Candidates;
use free::{Frame, FreeFilm};

use super::sheet::{Contour, Piece, Sheet, panel_of};
use super::{Layer, strokes};
use crate::error::{Error, Warning};
use crate::job::{Panel, Unit};
use crate::layout::Layout;

/// Capital heights in mm, the greatest first: the sizes of ISO 3098-1 between what a pen of
/// 0.25 mm writes legibly (a tenth of the height is the pen) and what is read at arm's length.
/// (Series of sizes from memory.)
const HEIGHTS: [f64; 4] = [7.0, 5.0, 3.5, 2.5];

/// Film left between a label and any line or margin, in mm: a pen line's half width and what
/// pen and knife may be out of step by. Common practice, no source.
const CLEARANCE: f64 = 0.75;

/// Longest label; a longer name is cut, as it would find no room.
const LONGEST: usize = 40;

/// A name and where it stands.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Label {
    /// Index into the layout's placements.
    pub placement: usize,
    /// Where it stands.
    pub frame: Frame,
    /// The text.
    pub text: String,
}

impl Label {
    /// Its pen strokes on the film.
    pub fn contours(&self) -> impl Iterator<Item = Contour> + '_ {
        let text = strokes::write(&self.text, self.frame.height);
        text.strokes.into_iter().map(|s| Contour {
            layer: Layer::Label,
            closed: false,
            points: s.into_iter().map(|p| self.frame.on_film(p)).collect(),
        })
    }
}

/// The labels of a layout.
#[derive(Debug, Clone, Default)]
pub(crate) struct Labels {
    /// Those that found room.
    pub placed: Vec<Label>,
    /// Placements without room for one.
    pub missing: Vec<usize>,
}

impl Labels {
    /// Names the first that is not named on the film, and counts the others.
    pub fn warning(&self, layout: &Layout) -> Option<Warning> {
        let all = self.placed.len() + self.missing.len();
        let placement = layout.placements.get(*self.missing.first()?)?;
        let named = name(layout.panels.get(placement.panel)?, placement.copy);
        let what = match self.missing.len() - 1 {
            0 => format!("{named:?}, one of {all} panels, has no room for its name in the waste beside it"),
            more => format!(
                "{named:?} and {more} more of {all} panels have no room for their names in the waste beside them"
            ),
        };
        Some(Warning::new("labels", what, "find these by their places on the preview"))
    }
}

/// What a piece is called: its order, its panel and, where there are several, which copy.
pub(crate) fn name(panel: &Panel, copy: u32) -> String {
    let mut name = match &panel.kit {
        Some(kit) if panel.id.strip_prefix(kit.as_str()).is_none_or(|rest| !rest.starts_with('/')) => {
            format!("{kit} {}", panel.id)
        }
        _ => panel.id.clone(),
    };
    name = strokes::shorten(&name, LONGEST);
    let (copy, copies) = panel.numbered(copy);
    if copies > 1 {
        name.push_str(&format!(" {copy}/{copies}"));
    }
    name
}

/// Finds a place for the name of every panel. `sheet` is drawn in `unit`.
pub(crate) fn place(layout: &Layout, sheet: &Sheet, unit: Unit) -> Result<Labels, Error> {
    let mm = 1.0 / unit.in_mm();
    let mut film = FreeFilm::new(sheet, CLEARANCE * mm, HEIGHTS[HEIGHTS.len() - 1] * mm);
    let mut labels = Labels::default();
    for piece in &sheet.pieces {
        let placement = &layout.placements[piece.placement];
        let text = name(panel_of(layout, placement)?, placement.copy);
        match find(piece, &text, &film, mm) {
            Some(frame) => {
                film.take(frame);
                labels.placed.push(Label { placement: piece.placement, frame, text });
            }
            None => labels.missing.push(piece.placement),
        }
    }
    labels.missing.sort_unstable();
    Ok(labels)
}

/// The place near the piece that takes the largest letters; the first of those that do.
fn find(piece: &Piece, text: &str, film: &FreeFilm<'_>, mm: f64) -> Option<Frame> {
    // Width for a height of one.
    let wide = strokes::write(text, 1.0).width;
    let mut best = None;
    // Index of the best height so far; past the end when there is none.
    let mut rank = HEIGHTS.len();
    for candidate in Candidates::round(piece, mm) {
        let frame = |i: usize| candidate.frame(wide, HEIGHTS[i] * mm, CLEARANCE * mm);
        // One test refuses most places: those without room for the next larger letters.
        if !film.has_room(&frame(rank - 1)) {
            continue;
        }
        rank = (0..rank).find(|i| film.has_room(&frame(*i))).unwrap_or(rank - 1);
        best = Some(frame(rank));
        if rank == 0 {
            break;
        }
    }
    best
}

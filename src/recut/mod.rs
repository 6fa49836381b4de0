//! Pieces of a layout once more: a new job from those that were spoiled.
//!
//! Every piece keeps its outline and the heading at which it was cut, so that film and print match
//! what is laid already: the direction of the print is written so that the old heading is the only one
//! allowed. A mirrored piece is written as its mirror image.

mod cut_film;

use crate::Error;
use crate::job::{Day, Grain, GrainRule, Job, Line, Panel, Piece, Roll, check_whole};
use crate::json::nearest;
use crate::layout::{Layout, Placement};
use crate::shape::{Point, Region, Ring};
use std::collections::BTreeSet;

/// Which pieces are wanted.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Choice {
    /// Copies of panels: id and number.
    pub copies: Vec<(String, u32)>,
    /// All pieces of these kits.
    pub kits: Vec<String>,
}

/// The job that cuts the chosen pieces of `layout` again: from what is left of its roll, or from the free film of
/// `into`, a layout that is cut already and whose panels become flaws, each with the larger gap of both round it. That
/// film is paid for, is no longer than what `into` used, and has no name in the stock.
///
/// # Errors
///
/// [`Error::Input`] when nothing is chosen, a piece is not in the layout, the two layouts differ in their unit, or the job
/// would be larger than one may be; [`Error::Unmet`] when the roll is used up.
pub fn recut(layout: &Layout, choice: &Choice, into: Option<&Layout>) -> Result<Job, Error> {
    let chosen = chosen(layout, choice)?;
    let roll = match into {
        None => rest_of_roll(layout)?,
        Some(other) if other.unit != layout.unit => {
            let what = format!("one layout is in {}, the other in {}", layout.unit.name(), other.unit.name());
            return Err(Error::input("--into", what, "take a layout of the same unit"));
        }
        Some(other) => cut_film::roll_with_cut_panels(other, layout.gap.max(other.gap)),
    };
    again_on(layout, &chosen, roll)
}

/// The job that cuts the chosen pieces of `layout` from a new roll like the one they were cut from.
///
/// # Errors
///
/// As [`recut`], but for film that is used up.
pub fn on_new_roll(layout: &Layout, choice: &Choice) -> Result<Job, Error> {
    let piece = Piece { id: None, offcut: false, ..layout.roll.piece.clone() };
    let roll = Roll { length: None, flaws: Vec::new(), piece, ..layout.roll.clone() };
    again_on(layout, &chosen(layout, choice)?, roll)
}

/// The job of the chosen placements on this film.
fn again_on(layout: &Layout, chosen: &BTreeSet<usize>, roll: Roll) -> Result<Job, Error> {
    let mut panels = Vec::new();
    for place in chosen.iter().filter_map(|i| layout.placements.get(*i)) {
        if let Some(panel) = layout.panels.get(place.panel) {
            panels.push(again(panel, place)?);
        }
    }
    let job = Job {
        name: format!("{}, cut again", layout.name),
        source: Some(format!("pieces of the layout {:?}", layout.name)),
        unit: layout.unit,
        roll,
        gap: layout.gap,
        panels,
        notes: layout.notes.clone(),
        shop: layout.shop.clone(),
    };
    check_whole(&job)?;
    Ok(job)
}

/// The indices of the chosen placements, in the order of the layout.
fn chosen(layout: &Layout, choice: &Choice) -> Result<BTreeSet<usize>, Error> {
    let mut chosen = BTreeSet::new();
    let panel_of = |place: &Placement| layout.panels.get(place.panel);
    let mut problems = crate::Problems::default();
    for (id, copy) in &choice.copies {
        let is_it = |p: &Placement| {
            panel_of(p).is_some_and(|panel| panel.id == *id && panel.numbered(p.copy).0 == *copy)
        };
        match layout.placements.iter().position(is_it) {
            Some(i) => drop(chosen.insert(i)),
            None => problems.push(
                format!("--panel {id}#{copy}"),
                "this piece is not in the layout",
                remedy(layout, id),
            ),
        }
    }
    for kit in &choice.kits {
        let of_kit =
            |(_, p): &(usize, &Placement)| panel_of(p).is_some_and(|panel| panel.kit.as_ref() == Some(kit));
        let before = chosen.len();
        let found: Vec<usize> = layout.placements.iter().enumerate().filter(of_kit).map(|(i, _)| i).collect();
        chosen.extend(&found);
        if found.is_empty() && chosen.len() == before {
            let kits: BTreeSet<&str> = layout.panels.iter().filter_map(|p| p.kit.as_deref()).collect();
            let list: Vec<&str> = kits.iter().copied().collect();
            let like = nearest(kit, kits.iter().copied())
                .map(|l| format!("did you mean {l:?}? "))
                .unwrap_or_default();
            let place = format!("--kit {kit}");
            problems.push(
                place,
                "no piece of this kit is in the layout",
                format!("{like}it has {}", list.join(", ")),
            );
        }
    }
    if choice.copies.is_empty() && choice.kits.is_empty() {
        problems.push("", "nothing is chosen", "name pieces with --panel ID#COPY, or orders with --kit ID");
    }
    problems.or_ok(chosen)
}

/// What there is in place of a piece that is not.
fn remedy(layout: &Layout, id: &str) -> String {
    let copies: Vec<String> = layout
        .placements
        .iter()
        .filter_map(|p| Some((layout.panels.get(p.panel).filter(|panel| panel.id == id)?, p.copy)))
        .map(|(panel, copy)| panel.numbered(copy).0.to_string())
        .collect();
    let ids = || layout.panels.iter().map(|p| p.id.as_str());
    match (copies.is_empty(), ids().any(|known| known == id)) {
        (false, _) => format!("of {id:?} it has the copies {}", copies.join(", ")),
        (true, true) => format!("{id:?} is a filler that found no room"),
        (true, false) => match nearest(id, ids()) {
            Some(like) => format!("did you mean {like:?}?"),
            None => "the preview and layout.json name its panels".into(),
        },
    }
}

/// The film behind the layout.
fn rest_of_roll(layout: &Layout) -> Result<Roll, Error> {
    crate::stock::rest(&layout.roll, layout.measures.length).ok_or_else(|| {
        Error::unmet(
            "roll",
            "the roll of this layout is used up",
            "cut them from a new roll, or from free film of a layout with --into LAYOUT.json",
        )
    })
}

/// One copy as a panel of its own that can only lie at the heading of its placement.
fn again(panel: &Panel, place: &Placement) -> Result<Panel, Error> {
    let parts = if place.mirrored { mirrored_parts(&panel.parts)? } else { panel.parts.clone() };
    let lines = panel.lines.iter().filter(|line| line.is_on(place.copy)).map(|line| Line {
        copy: None,
        points: if place.mirrored { mirrored(&line.points) } else { line.points.clone() },
        ..line.clone()
    });
    // Heading 0 is rotation + along = 0.
    let along = if place.rotation == 0.0 { 0.0 } else { -place.rotation };
    Ok(Panel {
        id: format!("{}#{}", panel.id, panel.numbered(place.copy).0),
        copies: 1,
        numbers: None,
        parts,
        lines: lines.collect(),
        grain: Grain { along, rule: GrainRule::OneWay, slack: 0.0 },
        mirror: false,
        optional: false,
        ..panel.clone()
    })
}

fn mirrored(points: &[Point]) -> Vec<Point> {
    points.iter().map(|p| Point { x: p.x, y: 0.0 - p.y }).collect()
}

fn mirrored_parts(parts: &[Region]) -> Result<Vec<Region>, Error> {
    let fault = || Error::Internal("the mirror image of a panel is no panel".into());
    let ring = |ring: &Ring| Ring::new(mirrored(ring.points())).map_err(|_| fault());
    let region = |region: &Region| {
        let holes = region.holes().iter().map(ring).collect::<Result<Vec<_>, _>>()?;
        Region::new(ring(region.outline())?, holes).map_err(|_| fault())
    };
    parts.iter().map(region).collect()
}

/// Makes sure that the job can be met on its film, piece by piece.
///
/// # Errors
///
/// [`Error::Unmet`] with every piece that does not fit.
pub fn check(job: &Job) -> Result<(), Error> {
    crate::day::check_pieces(&Day::from(job.clone()))
}

#[cfg(test)]
mod tests;

//! What confirming a cut does to the stock: as a pure function; the file is the command's business.

use crate::Error;
use crate::job::limits::MAX_CONTOURS;
use crate::job::stock::{Cut, Stock};
use crate::job::{Piece, Roll};
use crate::layout::Layout;
use crate::offcut::{Offcut, offcuts};
use crate::shape::{Point, Ring};
use std::collections::BTreeSet;

/// What a confirmation came to.
#[derive(Debug, Clone, PartialEq)]
pub enum Confirmed {
    /// This layout was confirmed before; nothing changes.
    Already,
    /// The stock without the film that was cut.
    Now(Update),
}

/// A stock after a cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Update {
    /// The new stock.
    pub stock: Stock,
    /// Length that the piece has left; `None` when it is not known.
    pub left: Option<f64>,
    /// Whether the piece is used up and no longer listed.
    pub used_up: bool,
    /// Ids of the offcuts that were added.
    pub offcuts: Vec<String>,
}

/// Takes the film of `layout` off its piece of the stock; `sha256` is that of the layout as this program writes it, whatever
/// file it was read from. The piece loses the length that the layout used; flaws behind it move up with the film. What remains is dropped when no panel could lie on it.
/// Offcuts that the stock keeps become pieces of their own.
///
/// # Errors
///
/// [`Error::Input`] when the layout names no piece, or one that the stock does not have, or is in another unit, or when
/// the stock would have more pieces than it may; [`Error::Unmet`] when the piece is no longer the one that the layout was made for.
pub fn confirm(stock: &Stock, layout: &Layout, sha256: &str) -> Result<Confirmed, Error> {
    if stock.cut.iter().any(|cut| cut.layout == sha256) {
        return Ok(Confirmed::Already);
    }
    let index = piece_of(stock, layout)?;
    let mut new = stock.clone();
    let id = layout.roll.piece.id.clone().unwrap_or_default();
    let used = layout.measures.length;
    new.cut.push(Cut { layout: sha256.to_owned(), roll: id.clone(), length: used });
    let rest = rest(&stock.rolls[index], used);
    let left = rest.as_ref().and_then(|roll| roll.length);
    let used_up = rest.is_none();
    match rest {
        Some(roll) => new.rolls[index] = roll,
        None => drop(new.rolls.remove(index)),
    }
    let mut offcut_ids = Vec::new();
    for offcut in kept(stock, layout) {
        let roll = piece(&stock.rolls[index], &offcut, fresh_id(&id, stock, &new));
        offcut_ids.extend(roll.piece.id.clone());
        new.rolls.push(roll);
    }
    if new.rolls.len() > MAX_CONTOURS {
        let what = format!(
            "the stock would have {} pieces with the {} kept of this cut; {MAX_CONTOURS} are the most",
            new.rolls.len(),
            offcut_ids.len()
        );
        let remedy = "take pieces out of the stock that are gone or not worth keeping, or let `keep` ask for larger ones";
        return Err(Error::input("stock", what, remedy));
    }
    Ok(Confirmed::Now(Update { stock: new, left, used_up, offcuts: offcut_ids }))
}

/// The index of the piece that the layout lies on, as it was when the layout was made.
fn piece_of(stock: &Stock, layout: &Layout) -> Result<usize, Error> {
    let Some(id) = &layout.roll.piece.id else {
        return Err(Error::input(
            "roll",
            "the layout does not say which piece of film it lies on",
            "give the roll of the job an `id`, or take the film from the stock with `stock`; free film of a layout that is cut already (recut --into) is off the stock, and there is nothing to confirm",
        ));
    };
    if layout.unit != stock.unit {
        let what = format!("the layout is in {} and the stock in {}", layout.unit.name(), stock.unit.name());
        return Err(Error::input("unit", what, "write both in one unit"));
    }
    let Some(index) = stock.rolls.iter().position(|roll| roll.piece.id.as_ref() == Some(id)) else {
        let ids: Vec<&str> = stock.rolls.iter().filter_map(|r| r.piece.id.as_deref()).collect();
        let what = format!("the stock has no piece {id:?}");
        return Err(Error::input("roll.id", what, format!("it has {}", ids.join(", "))));
    };
    let (then, now) = (&layout.roll, &stock.rolls[index]);
    // All but its name and price, which may be corrected at any time.
    let same = Roll { piece: now.piece.clone(), ..then.clone() } == *now;
    if same {
        return Ok(index);
    }
    let length =
        |roll: &Roll| roll.length.map_or("unknown".into(), |l| format!("{l:.1} {}", stock.unit.name()));
    Err(Error::unmet(
        format!("roll {id:?}"),
        format!(
            "the layout was made for another state of this piece (length then {}, now {})",
            length(then),
            length(now)
        ),
        "another layout was cut from it meanwhile, or the stock was edited: nest the job again, or correct the stock by hand",
    ))
}

/// What remains of a piece; nothing where no panel could lie on it.
pub(crate) fn rest(roll: &Roll, used: f64) -> Option<Roll> {
    let length = roll.length.map(|length| length - used);
    if length.is_some_and(|left| left <= roll.lead_margin + roll.tail_margin) {
        return None;
    }
    let moved = |ring: &Ring| {
        let points: Vec<Point> = ring.points().iter().map(|p| Point { x: p.x - used, y: p.y }).collect();
        let behind = points.iter().any(|p| p.x > 0.0);
        // Moving can only spoil a flaw that is degenerate to the last digit.
        behind.then(|| Ring::new(points).ok()).flatten()
    };
    Some(Roll { length, flaws: roll.flaws.iter().filter_map(moved).collect(), ..roll.clone() })
}

/// The offcuts that the stock keeps and that a panel could lie on.
fn kept(stock: &Stock, layout: &Layout) -> Vec<Offcut> {
    let Some(keep) = stock.keep else { return Vec::new() };
    let roll = &layout.roll;
    let (along, across) = (roll.lead_margin + roll.tail_margin, roll.edge_margin[0] + roll.edge_margin[1]);
    let usable = |o: &Offcut| o.length() > along && o.width() > across;
    offcuts(layout, keep).into_iter().filter(usable).collect()
}

/// An offcut as a piece of film; its margins are those of the roll, for the machine is the same. A price for a
/// length is in proportion to its width.
fn piece(roll: &Roll, offcut: &Offcut, id: String) -> Roll {
    // A billionth of the roll's width is far below the last place of a price.
    let part = billionths(offcut.width() / roll.width);
    let price = roll.piece.price.map(|price| price.of_strip(part, BILLION));
    Roll {
        width: offcut.width(),
        length: Some(offcut.length()),
        flaws: Vec::new(),
        piece: Piece { id: Some(id), offcut: true, price, ..roll.piece.clone() },
        ..roll.clone()
    }
}

const BILLION: u64 = 1_000_000_000;

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates; widths are above 0")]
fn billionths(share: f64) -> u64 {
    (share * BILLION as f64).round() as u64
}

/// An id that the stock does not have and never had.
fn fresh_id(of: &str, old: &Stock, new: &Stock) -> String {
    let known: BTreeSet<String> = [old, new]
        .iter()
        .flat_map(|s| {
            s.rolls.iter().filter_map(|r| r.piece.id.clone()).chain(s.cut.iter().map(|c| c.roll.clone()))
        })
        .map(|id| id.to_lowercase())
        .collect();
    // Names grow by a few letters each time an offcut is cut from an offcut; keep them a folder's name.
    let stem: String = of.chars().take(40).collect();
    let free = |n: &u64| !known.contains(&format!("{stem}-{n}").to_lowercase());
    let n = (1..).find(free).unwrap_or_default();
    format!("{stem}-{n}")
}

#[cfg(test)]
mod tests;

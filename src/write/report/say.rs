//! Numbers and names as the page shows them.

use crate::job::Unit;
use crate::report::{Kit, Piece};

pub(super) use crate::write::number::duration;

/// A length in the unit of the job, as fine as a ruler shows it.
pub(super) fn length(mm: f64, unit: Unit) -> String {
    format!("{} {}", digits(mm, unit), unit.name())
}

/// The same without the unit, for a column whose head names it.
pub(super) fn digits(mm: f64, unit: Unit) -> String {
    match unit {
        Unit::Millimetre => format!("{mm:.1}"),
        Unit::Inch => format!("{:.2}", mm / unit.in_mm()),
    }
}

/// A length in metres, as film is bought.
pub(super) fn metres(mm: f64) -> String {
    format!("{:.2} m", mm / 1000.0)
}

/// An area in square metres.
pub(super) fn square_metres(mm2: f64) -> String {
    format!("{:.4} m\u{b2}", mm2 / 1e6)
}

/// A count with its noun: "1 piece", "12 pieces".
pub(super) fn count(n: usize, noun: &str) -> String {
    if n == 1 { format!("1 {noun}") } else { format!("{n} {noun}s") }
}

/// What a kit is called.
pub(super) fn kit(kit: &Kit) -> &str {
    kit.kit.as_deref().unwrap_or("no order")
}

/// Which copy of how many.
pub(super) fn copy(piece: &Piece) -> String {
    if piece.copies > 1 { format!("{} of {}", piece.copy, piece.copies) } else { String::new() }
}

/// A piece's number, panel, copy and order in one line.
pub(super) fn piece(piece: &Piece) -> String {
    let mut text = format!("{}. {}", piece.number, piece.panel);
    if piece.copies > 1 {
        text += &format!(", {}", copy(piece));
    }
    if let Some(kit) = &piece.kit {
        text += &format!("; order {kit}");
    }
    if piece.mirrored {
        text += "; mirrored";
    }
    if piece.filler {
        text += "; filler";
    }
    text
}

/// A piece's panel, and what is not plain about it.
pub(super) fn panel(piece: &Piece) -> String {
    let filler = if piece.filler { " (filler)" } else { "" };
    let mirrored = if piece.mirrored { " (mirrored)" } else { "" };
    format!("{}{filler}{mirrored}", piece.panel)
}

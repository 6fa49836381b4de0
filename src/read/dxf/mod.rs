//! The DXF reader: R12 to 2018, ASCII and binary.
//!
//! ```text
//! bytes -> pairs -> records by section -> entities -> strokes
//! ```
//!
//! Read are LINE, ARC, CIRCLE, ELLIPSE, LWPOLYLINE, POLYLINE, SPLINE, and INSERT with all that
//! it places. Every other kind is counted and warned of by layer. Left out with a warning, too:
//! what lies on a sheet (paper space), is marked invisible, lies on a layer that is off or
//! frozen, or is tilted out of the plane; what is merely raised is read as seen from above.
//! Entities on layer 0 of a block take the layer of the INSERT.
//!
//! A damaged file is an error that names the line (the byte of a binary file): a number that is
//! none or not finite, codes and values out of step, vertices that are promised and missing,
//! a section or the EOF that is missing. Damage in what is not read is not looked at.

mod ascii;
mod binary;
mod bspline;
mod document;
mod entity;
mod fit;
mod form;
mod kinds;
mod layers;
mod notes;
mod pair;
mod path;
mod place;
mod polyline;
mod spline;
mod text;
mod units;

use super::{ReadOptions, Sketch};
use crate::Error;
use document::Document;
use form::Form;

/// Largest file read, in bytes. Taken apart it needs some five times as much memory; drawings
/// of panels have a few hundred kilobytes.
const LARGEST: usize = 64 << 20;

/// Reads a DXF file into strokes.
pub(super) fn read(bytes: &[u8], name: &str, options: &ReadOptions) -> Result<Sketch, Error> {
    if bytes.len() > LARGEST {
        let what = format!("the file has {} MB, more than {} MB", bytes.len() >> 20, LARGEST >> 20);
        return Err(Error::input(name, what, "split the drawing, or leave out what is not to be cut"));
    }
    if bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff") {
        return Err(Error::input(name, "the file is written in UTF-16", "save it as ASCII or UTF-8"));
    }
    let document = Document::parse(bytes).map_err(|fault| {
        let place = format!("{name}: {}", Form::of(bytes).place(fault.at));
        let remedy = fault.remedy.unwrap_or("this is no whole DXF file: export it again");
        Error::input(place, fault.what, remedy)
    })?;
    let mut warnings = Vec::new();
    let own = units::mm_per_unit(&document, name, &mut warnings);
    if options.mm_per_unit.is_some() {
        warnings.clear();
    }
    let mm_per_unit = options.mm_per_unit.or(own);
    let (strokes, left_out) = place::strokes(&document, name, options.chord_tolerance(mm_per_unit))?;
    warnings.extend(left_out);
    Ok(Sketch { mm_per_unit, strokes, warnings })
}

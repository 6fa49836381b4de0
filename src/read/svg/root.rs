//! The outermost `svg` element: what it says about scale, and the start of the walk.

use super::super::{ReadOptions, Sketch};
use super::css::{self, Sheet};
use super::frame::Frame;
use super::length::Length;
use super::notes::{Notes, Source, Stop};
use super::pen::Tolerances;
use super::role::is_svg;
use super::style::Properties;
use super::transform::Map;
use super::viewport::{Fit, Scale, ViewBox};
use super::walk::Walker;
use crate::Error;
use roxmltree::{Document, Node};

/// Relative difference of the scales along x and y from which on it is warned of. Sizes written
/// with three digits differ by less.
const MISMATCH: f64 = 2e-3;

/// Finds the scale and walks the drawing.
pub(super) fn read<'a>(
    document: &'a Document<'a>,
    source: &'a Source<'a>,
    sheet: &'a Sheet<'a>,
    options: &ReadOptions,
) -> Result<Sketch, Error> {
    let root = document.root_element();
    if !(is_svg(root) && root.tag_name().name() == "svg") {
        let what = format!("the outermost element is '{}', not svg", root.tag_name().name());
        return Err(Error::input(source.name(), what, "export the drawing as SVG"));
    }
    let mut notes = Notes::default();
    if let Some(what) = left_out(sheet) {
        notes.warn_all(source, what, "if it hides or moves a shape, write it at the shape itself");
    }
    let own = Properties::of(root, sheet);
    let Ok(scale) = scale(root, &own, source, options, &mut notes) else {
        return Err(failed(notes, source));
    };
    let mm = scale.mm_per_unit;
    let tolerances =
        Tolerances { chord: options.chord_tolerance(Some(mm)), join: options.join_tolerance(Some(mm)) };
    let flip = Map::new(1.0, 0.0, 0.0, 0.0, -scale.stretch, 0.0);
    let mut walker = Walker::new(document, source, sheet, tolerances, notes);
    let stopped = walker.outermost(root, &Frame::new(flip, scale.size)).is_err();
    let (strokes, notes) = walker.into_parts();
    if stopped {
        return Err(failed(notes, source));
    }
    Ok(Sketch { mm_per_unit: Some(mm), strokes, warnings: notes.finish(source)? })
}

fn failed(notes: Notes, source: &Source) -> Error {
    notes.finish(source).err().unwrap_or_else(|| Error::Internal("a stop without a reason".into()))
}

/// A sentence about the parts of the style sheets that were not understood.
fn left_out(sheet: &Sheet<'_>) -> Option<String> {
    let short = |text: &&str| {
        let words: Vec<&str> = text.split_whitespace().take(32).collect();
        words.join(" ").chars().take(32).collect()
    };
    let some: Vec<String> = sheet.left_out.iter().take(css::MOST_NAMED).map(short).collect();
    let more = if sheet.left_out.len() > css::MOST_NAMED { ", …" } else { "" };
    (!some.is_empty()).then(|| format!("style rules that are left out: {}{more}", some.join(", ")))
}

fn scale(
    root: Node<'_, '_>,
    own: &Properties<'_>,
    source: &Source<'_>,
    options: &ReadOptions,
    notes: &mut Notes,
) -> Result<Scale, Stop> {
    let at = root.range().start;
    let view = root.attribute("viewBox");
    let parsed = view.and_then(ViewBox::parse);
    if let (Some(text), None) = (view, parsed) {
        let what = format!("viewBox '{text}' is not four numbers with a width and height above zero");
        notes.refuse(source, at, &what, "correct or remove it")?;
    }
    let fit = root.attribute("preserveAspectRatio").and_then(Fit::parse).unwrap_or_default();
    let mut size = |name| stated_size(root, own, name, source, options, notes);
    let (width, height) = (size("width")?, size("height")?);
    let mut scale = Scale::of(width, height, parsed, fit);
    if let Some(mm) = options.mm_per_unit {
        scale.mm_per_unit = mm;
    } else {
        warn_of_scale(&scale, source, notes);
    }
    // Four orders beyond the finest and coarsest units in use, micrometres and kilometres.
    if !(1e-7..=1e10).contains(&scale.mm_per_unit) || !(1e-6..=1e6).contains(&scale.stretch) {
        let what = format!("width, height and viewBox make one unit {} mm", scale.mm_per_unit);
        return Err(notes.stop(source, at, &what, "correct them, or state the unit of the file"));
    }
    Ok(scale)
}

/// `width` or `height`. A style that makes the picture follow its page (`width: 100%`) does not
/// undo a size in millimetres that stands in the attribute.
fn stated_size(
    root: Node<'_, '_>,
    own: &Properties<'_>,
    name: &'static str,
    source: &Source<'_>,
    options: &ReadOptions,
    notes: &mut Notes,
) -> Result<Option<Length>, Stop> {
    let fixed = |text: &&str| !text.ends_with('%') && *text != "auto";
    let Some(text) = own.get(name).filter(fixed).or(root.attribute(name).map(str::trim)).filter(fixed) else {
        return Ok(None);
    };
    let length = Length::parse(text);
    if length.is_none() && options.mm_per_unit.is_none() {
        let what = format!("{name} '{text}' is not a length with a unit of measurement");
        notes.refuse(source, root.range().start, &what, "write it in mm, or state the unit of the file")?;
    }
    Ok(length)
}

fn warn_of_scale(scale: &Scale, source: &Source<'_>, notes: &mut Notes) {
    if !scale.real {
        let what = format!(
            "no unit of measurement is stated: a pixel is taken as 1/96 inch, one unit of the drawing as {:.6} mm",
            scale.mm_per_unit
        );
        notes.warn_all(source, what, "give width and height in mm, or state the unit of the file");
    }
    if scale.mismatch > MISMATCH {
        let what = format!(
            "width and height ask for scales that differ by {:.1} %; one unit is {} mm along x, {} mm along y",
            100.0 * scale.mismatch,
            scale.mm_per_unit,
            scale.mm_per_unit * scale.stretch
        );
        notes.warn_all(source, what, "compare a known length before cutting");
    }
}

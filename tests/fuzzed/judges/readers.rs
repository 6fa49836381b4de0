//! Every reader, with the bytes as its file.

use super::beside::beside;
use super::refused;
use tuckroll::floor::device;
use tuckroll::job::kits::{Films, KitOptions, parse_kit};
use tuckroll::job::{self, stock};
use tuckroll::read::{Drawing, ReadOptions, lines, read};
use tuckroll::{Error, layout};

/// What a binary DXF file begins with (DXF Reference, "Binary DXF files").
pub const SENTINEL: &[u8] = b"AutoCAD Binary DXF\r\n\x1a\0";

/// No file beside an input that has all in itself.
pub fn no_files(name: &str) -> Result<Vec<u8>, Error> {
    Err(Error::input("", format!("there is no file {name}"), "name another"))
}

pub fn dxf_text(data: &[u8]) {
    if !data.starts_with(SENTINEL) {
        drawing(data, "drawing.dxf");
    }
}

pub fn dxf_binary(data: &[u8]) {
    if data.starts_with(SENTINEL) {
        drawing(data, "drawing.dxf");
    } else {
        drawing(&[SENTINEL, data].concat(), "drawing.dxf");
    }
}

pub fn svg(data: &[u8]) {
    drawing(data, "drawing.svg");
}

fn drawing(data: &[u8], name: &str) {
    match read(data, name, &ReadOptions::default()) {
        Ok(drawing) => sound(&drawing),
        Err(error) => refused(&error),
    }
    match lines(data, name, &ReadOptions::default()) {
        Ok(lines) => assert!(lines.drawn.iter().all(|(points, _)| points.len() > 1)),
        Err(error) => refused(&error),
    }
}

/// Outlines are numbered from 1, finite, and larger than their holes.
fn sound(drawing: &Drawing) {
    assert!(drawing.mm_per_unit.is_none_or(|mm| mm > 0.0 && mm.is_finite()));
    for (i, found) in drawing.found.iter().enumerate() {
        assert_eq!(found.number, i + 1);
        assert!(found.region.area() > 0.0, "{:?}", found.region);
        assert!(found.region.rings().flat_map(|r| r.points()).all(|p| p.x.is_finite() && p.y.is_finite()));
    }
}

/// A job of one piece of film or several, with files beside it; what is read is read again as the same when it is written.
pub fn job(data: &[u8]) {
    let day = match job::parse_day(data, "job.json", &beside, &ReadOptions::default()) {
        Ok(loaded) => loaded.day,
        Err(error) => return refused(&error),
    };
    if let Some(job) = day.single() {
        let text = job::write(&job);
        let again = job::parse(text.as_bytes(), "again.json", &no_files, &ReadOptions::default());
        assert_eq!(again.expect("a written job is read").job, job);
    }
}

/// A layout; it is judged, and read again as the same.
pub fn layout(data: &[u8]) {
    let layout = match layout::read(data, "layout.json") {
        Ok(layout) => layout,
        Err(error) => return refused(&error),
    };
    drop(layout::check(&layout));
    let text = layout::write(&layout);
    assert_eq!(layout::read(text.as_bytes(), "again.json").expect("a written layout is read"), layout);
}

/// A kit with files beside it, for film of two kinds.
pub fn kit(data: &[u8]) {
    let widths = [(Some("cast".to_owned()), 300.0)];
    let options = KitOptions { width: Some(594.0), widths: &widths, ..KitOptions::default() };
    match parse_kit(data, "kit.json", &beside, &options) {
        Ok(made) => assert!(made.panels.iter().all(|p| p.area() > 0.0)),
        Err(error) => refused(&error),
    }
}

pub fn films(data: &[u8]) {
    if let Err(error) = Films::parse(data, "films.json") {
        refused(&error);
    }
}

pub fn stock(data: &[u8]) {
    match stock::parse(data, "stock.json") {
        Ok(stock) => {
            let text = stock::write(&stock);
            let again = stock::parse(text.as_bytes(), "again.json").expect("a written stock is read");
            assert_eq!(stock::write(&again), text);
        }
        Err(error) => refused(&error),
    }
}

pub fn device(data: &[u8]) {
    if let Err(error) = device::read(data, "device.json") {
        refused(&error);
    }
}

//! Records into entities: what each kind means.

use super::document::Record;
use super::entity::{Entity, Insert, Reason, Shape};
use super::pair::Fault;
use super::path::{Path, Vertex};
use super::polyline;
use super::spline;
use super::text::Text;
use crate::shape::Point;
use crate::shape::flatten::EllipseArc;
use std::f64::consts::TAU;

/// Reads the entities of the model or of a block, one after the other.
pub(super) fn entities(records: &[Record], text: Text) -> impl Iterator<Item = Entity> {
    let mut rest = records;
    let apart = std::iter::from_fn(move || {
        let (record, after) = rest.split_first()?;
        let vertices = after.iter().take_while(|r| record.kind == b"POLYLINE" && r.kind == b"VERTEX").count();
        let (vertices, after) = after.split_at(vertices);
        rest = after;
        Some((record, vertices))
    });
    apart.filter(|(record, _)| record.kind != b"SEQEND").map(move |(r, vertices)| entity(r, vertices, text))
}

fn entity(record: &Record, vertices: &[Record], text: Text) -> Entity {
    let layer = text.decode(record.text(8).unwrap_or(b"0"));
    let (shape, flipped) = match read(record, vertices, text) {
        Ok(read) => read,
        Err(fault) => (Shape::Faulty(fault), false),
    };
    Entity { layer, at: record.at, flipped, shape }
}

/// The shape of a record, and whether it is to be mirrored.
fn read(record: &Record, vertices: &[Record], text: Text) -> Result<(Shape, bool), Fault> {
    let left_out = |reason| Ok((Shape::LeftOut(reason), false));
    let flag = |code, value| record.find(code).is_some_and(|p| p.whole() == Ok(value));
    if flag(67, 1) {
        return left_out(Reason::PaperSpace);
    }
    if flag(60, 1) {
        return left_out(Reason::Invisible);
    }
    let kind = String::from_utf8_lossy(record.kind).into_owned();
    // The circle-like and flat kinds are written in a frame of their own, which the extrusion
    // direction turns; the others in that of the world (DXF Reference, Object Coordinate Systems).
    let own_frame = match record.kind {
        b"LINE" | b"SPLINE" | b"ELLIPSE" => false,
        b"POLYLINE" => !polyline::is_spatial(record),
        b"ARC" | b"CIRCLE" | b"LWPOLYLINE" | b"INSERT" => true,
        _ => return left_out(Reason::Kind(kind)),
    };
    record.check()?;
    vertices.iter().try_for_each(Record::check)?;
    // Of a line the extrusion is the way it is thickened; how it lies, its ends tell.
    let up = if record.kind == b"LINE" { Some(true) } else { normal_is_up(record)? };
    let Some(up) = up.filter(|_| is_level(record, vertices)) else { return left_out(Reason::Tilted(kind)) };
    let shape = match record.kind {
        b"LINE" => line(record)?,
        b"ARC" => arc(record)?,
        b"CIRCLE" => circle(record)?,
        b"ELLIPSE" => ellipse(record, up)?,
        b"LWPOLYLINE" => polyline::light(record)?,
        b"POLYLINE" => polyline::heavy(record, vertices)?,
        b"SPLINE" => spline::read(record)?,
        _ => insert(record, text)?,
    };
    Ok((shape, own_frame && !up))
}

/// Whether the extrusion direction points to the viewer or away; `None` when it is tilted.
fn normal_is_up(record: &Record) -> Result<Option<bool>, Fault> {
    let (x, y, z) = (record.real(210, 0.0)?, record.real(220, 0.0)?, record.real(230, 1.0)?);
    // What exported numbers lack to be exactly upright: a tilt of 1e-6 shortens a panel of
    // 10 m by 5e-9 mm.
    let upright = x.abs().max(y.abs()) <= 1e-6 * z.abs() && z != 0.0;
    Ok(upright.then_some(z > 0.0))
}

/// Whether what is written in world coordinates lies at one height, so that it is not shortened when it is seen from above.
fn is_level(record: &Record, vertices: &[Record]) -> bool {
    /// Rise for each length across the plane: it shortens 10 m by 0.005 mm.
    const FLAT: f64 = 1e-3;
    // Ends of a line have the group codes 10 and 11 and those beside them, and so have points to steer a spline and on it.
    let (own, last) = match record.kind {
        b"LINE" | b"SPLINE" => (std::slice::from_ref(record), 1),
        b"POLYLINE" if polyline::is_spatial(record) => (vertices, 0),
        _ => return true,
    };
    let extent = |first: i32| {
        let pairs = own.iter().flat_map(|r| &r.pairs).filter(|p| (first..=first + last).contains(&p.code));
        let values = pairs.filter_map(|p| p.real().ok());
        let range = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)));
        (range.1 - range.0).max(0.0)
    };
    extent(30) <= FLAT * extent(10).max(extent(20))
}

fn line(record: &Record) -> Result<Shape, Fault> {
    let vertices = [record.point(10)?, record.point(11)?].map(|at| Vertex { at, bulge: 0.0 });
    Ok(Shape::Drawn(Path::Polyline { vertices: vertices.to_vec(), closed: false }))
}

fn circle(record: &Record) -> Result<Shape, Fault> {
    round(record, 0.0, TAU)
}

fn arc(record: &Record) -> Result<Shape, Fault> {
    let (start, end) = (record.real(50, 0.0)?, record.real(51, 360.0)?);
    round(record, (start % 360.0).to_radians(), sweep(start, end, 360.0).to_radians())
}

/// How far an arc goes counter-clockwise from `start` to `end`; `turn` is a whole turn in their unit. Equal angles
/// are a whole turn.
fn sweep(start: f64, end: f64, turn: f64) -> f64 {
    /// What the ends of a full turn may miss it by, as a share of a turn: programs print six digits, as in 6.28319
    /// and 12.5664. An arc that is open by less is closed: 0.06 mm on a radius of a metre.
    const SIX_DIGITS: f64 = 1e-5;
    /// What equal angles may differ by after some arithmetic; no arc is so short.
    const ARITHMETIC: f64 = 1e-10;
    let way = end - start;
    let turns = (way / turn).round();
    // With its turns taken off, a turn that was rounded up would look like a tiny arc.
    let rounding = if turns > 0.0 { SIX_DIGITS } else { ARITHMETIC };
    if (way - turns * turn).abs() <= rounding * turn { turn } else { way.rem_euclid(turn) }
}

fn round(record: &Record, start: f64, sweep: f64) -> Result<Shape, Fault> {
    let radius = record.real(40, 0.0)?;
    if radius <= 0.0 {
        return Ok(no_size(record));
    }
    Ok(Shape::Drawn(Path::Arc(EllipseArc::circular(record.point(10)?, radius, start, sweep))))
}

/// An ellipse is given by its centre, its longer half axis and the ratio of the shorter one;
/// the angles are those of the parameter, not of the direction.
fn ellipse(record: &Record, up: bool) -> Result<Shape, Fault> {
    let (centre, u, ratio) = (record.point(10)?, record.point(11)?, record.real(40, 1.0)?);
    let (start, end) = (record.real(41, 0.0)?, record.real(42, TAU)?);
    let turned = Point { x: -u.y, y: u.x } * ratio;
    let v = if up { turned } else { turned * -1.0 };
    if ratio == 0.0 || u == Point::default() {
        return Ok(no_size(record));
    }
    Ok(Shape::Drawn(Path::Arc(EllipseArc { centre, u, v, start, sweep: sweep(start, end, TAU) })))
}

fn insert(record: &Record, text: Text) -> Result<Shape, Fault> {
    let block = text.decode(record.text(2).unwrap_or_default());
    let scale = Point { x: record.real(41, 1.0)?, y: record.real(42, 1.0)? };
    if scale.x == 0.0 || scale.y == 0.0 {
        return Ok(no_size(record));
    }
    Ok(Shape::Insert(Box::new(Insert {
        block,
        at: record.point(10)?,
        scale,
        rotation: record.real(50, 0.0)?,
        columns: record.whole(70, 1)?.max(1),
        rows: record.whole(71, 1)?.max(1),
        spacing: Point { x: record.real(44, 0.0)?, y: record.real(45, 0.0)? },
    })))
}

fn no_size(record: &Record) -> Shape {
    Shape::LeftOut(Reason::Degenerate(String::from_utf8_lossy(record.kind).into_owned()))
}

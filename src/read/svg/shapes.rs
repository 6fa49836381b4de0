//! The basic shapes (SVG 1.1, chapter 9) to the pen.

use super::arc::ArcShape;
use super::length::Length;
use super::pen::{Pen, PenFault};
use super::style::Properties;
use super::viewport::Size;
use crate::shape::Point;
use roxmltree::Node;

/// What is wrong with a shape, in words.
#[derive(Debug)]
pub(super) enum ShapeFault {
    /// An attribute does not make sense.
    Attribute {
        /// Its name.
        name: &'static str,
        /// What is wrong with it.
        what: String,
    },
    /// It cannot be drawn.
    Pen(PenFault),
}

impl From<PenFault> for ShapeFault {
    fn from(fault: PenFault) -> Self {
        Self::Pen(fault)
    }
}

/// Along what a percentage is taken.
#[derive(Debug, Clone, Copy)]
pub(super) enum Along {
    /// The width of the viewport.
    X,
    /// The height.
    Y,
    /// The mean of both.
    Both,
}

/// The lengths of one element, in its user units.
pub(super) struct Lengths<'p, 'a> {
    /// Where they stand.
    pub own: &'p Properties<'a>,
    /// What percentages refer to, where that is known.
    pub viewport: Option<Size>,
}

impl Lengths<'_, '_> {
    /// A length, or `None` when it is absent or `auto`.
    pub fn maybe(&self, name: &'static str, along: Along) -> Result<Option<f64>, ShapeFault> {
        match self.own.get(name) {
            None | Some("auto") => Ok(None),
            Some(text) => self.resolve(name, text, along).map(Some),
        }
    }

    /// A length that is zero when absent.
    fn get(&self, name: &'static str, along: Along) -> Result<f64, ShapeFault> {
        Ok(self.maybe(name, along)?.unwrap_or(0.0))
    }

    /// A length that must not be negative.
    pub fn extent(&self, name: &'static str, along: Along) -> Result<Option<f64>, ShapeFault> {
        match self.maybe(name, along)? {
            Some(value) if value < 0.0 => {
                Err(ShapeFault::Attribute { name, what: format!("'{name}' is negative") })
            }
            other => Ok(other),
        }
    }

    /// The point that two coordinates give.
    pub fn point(&self, x: &'static str, y: &'static str) -> Result<Point, ShapeFault> {
        Ok(Point { x: self.get(x, Along::X)?, y: self.get(y, Along::Y)? })
    }

    fn resolve(&self, name: &'static str, text: &str, along: Along) -> Result<f64, ShapeFault> {
        let fault = |what: String| ShapeFault::Attribute { name, what };
        let short: String = text.chars().take(24).collect();
        let length = Length::parse(text).ok_or_else(|| fault(format!("{name} '{short}' is not a length")))?;
        let whole = self.viewport.map(|size| match along {
            Along::X => size.width,
            Along::Y => size.height,
            Along::Both => size.diagonal(),
        });
        length
            .resolve(whole)
            .ok_or_else(|| fault(format!("{name} '{short}' is per cent of a size that is not stated")))
    }
}

/// Draws a `rect`; nothing when a side is zero.
pub(super) fn rect(lengths: &Lengths<'_, '_>, pen: &mut Pen) -> Result<(), ShapeFault> {
    let at = lengths.point("x", "y")?;
    let width = lengths.extent("width", Along::X)?.unwrap_or(0.0);
    let height = lengths.extent("height", Along::Y)?.unwrap_or(0.0);
    let (rx, ry) = (lengths.extent("rx", Along::X)?, lengths.extent("ry", Along::Y)?);
    if width == 0.0 || height == 0.0 {
        return Ok(());
    }
    // One radius stands for both, and none is more than half a side (SVG 1.1, section 9.2).
    let rx_used = rx.or(ry).unwrap_or(0.0).min(0.5 * width);
    let ry_used = ry.or(rx).unwrap_or(0.0).min(0.5 * height);
    let p = |x: f64, y: f64| Point { x: at.x + x, y: at.y + y };
    if rx_used == 0.0 || ry_used == 0.0 {
        pen.move_to(p(0.0, 0.0));
        for corner in [p(width, 0.0), p(width, height), p(0.0, height)] {
            pen.line_to(corner)?;
        }
    } else {
        rounded(width, height, rx_used, ry_used, p, pen)?;
    }
    pen.close();
    Ok(())
}

fn rounded(
    w: f64,
    h: f64,
    rx: f64,
    ry: f64,
    p: impl Fn(f64, f64) -> Point,
    pen: &mut Pen,
) -> Result<(), PenFault> {
    let corner = ArcShape { rx, ry, turn: 0.0, large: false, sweep: true };
    pen.move_to(p(rx, 0.0));
    for (side, end) in [
        (p(w - rx, 0.0), p(w, ry)),
        (p(w, h - ry), p(w - rx, h)),
        (p(rx, h), p(0.0, h - ry)),
        (p(0.0, ry), p(rx, 0.0)),
    ] {
        pen.line_to(side)?;
        pen.arc_to(corner, end)?;
    }
    Ok(())
}

/// Draws a `circle` or `ellipse`; nothing when a radius is zero.
pub(super) fn ellipse(lengths: &Lengths<'_, '_>, round: bool, pen: &mut Pen) -> Result<(), ShapeFault> {
    let centre = lengths.point("cx", "cy")?;
    let (rx, ry) = if round {
        let r = lengths.extent("r", Along::Both)?;
        (r, r)
    } else {
        let (rx, ry) = (lengths.extent("rx", Along::X)?, lengths.extent("ry", Along::Y)?);
        (rx.or(ry), ry.or(rx))
    };
    if let (Some(rx), Some(ry)) = (rx, ry)
        && rx > 0.0
        && ry > 0.0
    {
        pen.ellipse(centre, rx, ry)?;
    }
    Ok(())
}

/// Draws a `line`.
pub(super) fn line(node: Node<'_, '_>, lengths: &Lengths<'_, '_>, pen: &mut Pen) -> Result<(), ShapeFault> {
    let at = |name: &'static str, along| match node.attribute(name) {
        Some(text) => lengths.resolve(name, text, along),
        None => Ok(0.0),
    };
    pen.move_to(Point { x: at("x1", Along::X)?, y: at("y1", Along::Y)? });
    pen.line_to(Point { x: at("x2", Along::X)?, y: at("y2", Along::Y)? })?;
    Ok(())
}

/// Draws a `polyline` or `polygon`.
pub(super) fn poly(node: Node<'_, '_>, closed: bool, pen: &mut Pen) -> Result<(), ShapeFault> {
    let fault = |what: &str| ShapeFault::Attribute { name: "points", what: what.to_owned() };
    let numbers: Result<Vec<f64>, _> =
        svgtypes::NumberListParser::from(node.attribute("points").unwrap_or_default()).collect();
    let numbers = numbers.map_err(|_| fault("the list of points is not made of numbers"))?;
    let (pairs, odd) = numbers.as_chunks::<2>();
    if !odd.is_empty() {
        return Err(fault("the list of points has an x without a y"));
    }
    for (i, [x, y]) in pairs.iter().enumerate() {
        let p = Point { x: *x, y: *y };
        if i == 0 { pen.move_to(p) } else { pen.line_to(p)? }
    }
    if closed && pairs.len() > 1 {
        pen.close();
    }
    Ok(())
}

//! What the tip of a nose is, and sections of noses.

use super::curve::Curve;
use super::meridian::{Meridian, Piece};
use super::shape::NoseShape;
use super::{Fault, dimension};
use crate::panels::numeric::root_above;
use std::f64::consts::FRAC_PI_2;

/// The tip of a nose. Lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Tip {
    /// As the shape gives it.
    Plain,
    /// Rounded by a sphere that is tangent to the shape. The length of the nose is what stands
    /// after rounding, as a tape measures it.
    Blunted {
        /// Radius of the sphere.
        radius: f64,
    },
    /// The film begins where the nose has this radius: behind a metal tip, or where a point
    /// would be too sharp for film. The length of the nose still counts from its very tip.
    FromRadius(f64),
    /// The film begins so far from the tip, along the axis.
    FromStation(f64),
}

/// The meridian of a nose whose whole length is `length`.
///
/// # Errors
///
/// A [`Fault`] when the shape is impossible or the tip does not fit it.
pub fn nose(shape: NoseShape, base_radius: f64, length: f64, tip: Tip) -> Result<Meridian, Fault> {
    match tip {
        Tip::Blunted { radius } => blunted(shape, base_radius, length, radius),
        _ => cut(shape.meridian(base_radius, length)?, tip),
    }
}

/// The part of a nose that carries film. A sphere cannot be laid to a meridian that is given
/// already, so [`Tip::Blunted`] leaves it as it is.
pub fn cut(whole: Meridian, tip: Tip) -> Result<Meridian, Fault> {
    let (field, arc) = match tip {
        Tip::Plain | Tip::Blunted { .. } => return Ok(whole),
        Tip::FromRadius(radius) => {
            dimension("tip.diameter", radius)?;
            if radius <= whole.fore_radius() {
                return Ok(whole);
            }
            // A flank tangent to the tube reaches its full radius long before the base, by rounding.
            let reached = radius < whole.greatest_radius() * (1.0 - 1e-9);
            ("tip.diameter", whole.arc_at_radius(radius).filter(|_| reached))
        }
        Tip::FromStation(station) => {
            dimension("tip.length", station)?;
            ("tip.length", whole.arc_at_axial(station))
        }
    };
    match arc {
        Some(arc) if arc < whole.arc_length() * (1.0 - 1e-9) => Ok(whole.aft_of(arc)),
        _ => Err(Fault::new(
            field,
            "the tip is as long as the nose or as wide as its base",
            "nothing is left to cover; give the size of the tip itself",
        )),
    }
}

/// A nose rounded by a sphere, found from the length that stands after rounding.
fn blunted(shape: NoseShape, base_radius: f64, length: f64, sphere: f64) -> Result<Meridian, Fault> {
    const FIELD: &str = "tip.radius";
    dimension(FIELD, sphere)?;
    let as_it_stands = shape.meridian(base_radius, length)?;
    if sphere >= base_radius {
        return Err(Fault::new(
            FIELD,
            format!("a sphere of radius {sphere} mm is as wide as the base"),
            "give the radius of the rounding at the tip, not of the base",
        ));
    }
    if rounder_than(&as_it_stands, sphere) {
        return Err(Fault::new(
            FIELD,
            format!("the tip of this shape is rounder than a sphere of radius {sphere} mm already"),
            "leave the tip out",
        ));
    }
    let excess = |sharp: f64| {
        let meridian = shape.meridian(base_radius, sharp).ok()?;
        Some(sharp - touch(&meridian, sphere)?.apex - length)
    };
    let too_large =
        || Fault::new(FIELD, "no nose of this length is rounded so much", "give a smaller radius");
    let sharp = root_above(length, excess).ok_or_else(too_large)?;
    let meridian = shape.meridian(base_radius, sharp)?;
    let touch = touch(&meridian, sphere).ok_or_else(too_large)?;
    Ok(with_cap(&meridian, sphere, touch))
}

/// Whether the meridian leaves its tip outside a sphere laid into it.
fn rounder_than(meridian: &Meridian, sphere: f64) -> bool {
    let near = meridian.at_arc(1e-6 * meridian.arc_length());
    near.radius > sphere * (1.0 - near.slope * near.slope).max(0.0).sqrt()
}

/// Where a sphere touches a meridian.
#[derive(Clone, Copy)]
struct Touch {
    arc: f64,
    /// Angle between meridian and axis there.
    angle: f64,
    /// Axial place of the front of the sphere.
    apex: f64,
}

/// The sphere whose centre lies on the axis touches where radius = sphere x cos(angle).
fn touch(meridian: &Meridian, sphere: f64) -> Option<Touch> {
    let gap = |p: &Piece, v: f64| {
        let slope = p.slope(v);
        p.radius(v) - sphere * (1.0 - slope * slope).max(0.0).sqrt()
    };
    let (i, v) = meridian.first(gap)?;
    let arc = meridian.arc_up_to(i, v);
    let at = meridian.station(i, v, arc);
    let angle = libm::asin(at.slope.clamp(-1.0, 1.0));
    Some(Touch { arc, angle, apex: at.axial + sphere * at.slope - sphere })
}

fn with_cap(meridian: &Meridian, sphere: f64, touch: Touch) -> Meridian {
    let half = 0.5 * (FRAC_PI_2 - touch.angle);
    let cap = Curve::Arc { rho: sphere, chord: touch.angle + half, half };
    meridian.aft_of(touch.arc).behind(Piece::whole(cap))
}

/// A transition or boat tail shaped like a section of a nose: the nose of the wider end's
/// diameter, cut where it has the narrower one, what is left being `length` long.
///
/// # Errors
///
/// A [`Fault`] when a length is not above zero or the shape has no such section.
pub fn section(shape: NoseShape, fore_radius: f64, aft_radius: f64, length: f64) -> Result<Meridian, Fault> {
    dimension("length", length)?;
    dimension("fore_diameter", fore_radius)?;
    dimension("aft_diameter", aft_radius)?;
    let (small, large) = (fore_radius.min(aft_radius), fore_radius.max(aft_radius));
    let straight = Curve::Line { x0: 0.0, r0: fore_radius, x1: length, r1: aft_radius };
    if shape == NoseShape::Conical || small >= large * (1.0 - 1e-12) {
        return Ok(Meridian::new(vec![Piece::whole(straight)]));
    }
    shape.meridian(large, length)?;
    let excess = |sharp: f64| {
        let nose = shape.meridian(large, sharp).ok()?;
        Some(sharp - nose.axial_at_radius(small)? - length)
    };
    let no_section = || {
        Fault::new(
            "profile",
            "this shape has no section of this length between the two diameters",
            "use conical",
        )
    };
    let whole = shape.meridian(large, root_above(length, excess).ok_or_else(no_section)?)?;
    let cut = whole.aft_of(whole.arc_at_radius(small).ok_or_else(no_section)?);
    Ok(if fore_radius < aft_radius { cut } else { cut.reversed() })
}

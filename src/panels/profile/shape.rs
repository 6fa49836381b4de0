//! Nose shapes by name and their generating curves.

use super::curve::Curve;
use super::meridian::{Meridian, Piece};
use super::{Fault, dimension};
use crate::error::Shown;

/// The shape of a nose. Formulas: G. A. Crowell Sr., *The Descriptive Geometry of Nose
/// Cones*, 1996, with t = station / length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NoseShape {
    /// r = R t.
    Conical,
    /// A circular arc that is tangent to the tube.
    TangentOgive,
    /// A circular arc of a given radius, in mm.
    SecantOgive {
        /// Radius of the arc.
        radius: f64,
    },
    /// Half of an ellipse.
    Elliptical,
    /// r = R (2 t - k t^2) / (2 - k); k = 1 is the full parabola, k = 0 the cone.
    Parabolic {
        /// 0 to 1.
        k: f64,
    },
    /// r = R t^n.
    Power {
        /// [`LEAST_POWER`] to 1.
        n: f64,
    },
    /// Haack series: c = 0 gives least drag for length and diameter (von Karman), 1/3 for
    /// length and volume.
    Haack {
        /// 0 to 1; above 2/3 the nose is widest before its base.
        c: f64,
    },
}

/// The least exponent of a power series nose: below it the nose is a disc with a spike.
pub const LEAST_POWER: f64 = 0.1;

impl NoseShape {
    /// The meridian of a sharp nose of this shape. Lengths in mm.
    ///
    /// # Errors
    ///
    /// A [`Fault`] names the field that makes the shape impossible.
    pub fn meridian(&self, base_radius: f64, length: f64) -> Result<Meridian, Fault> {
        dimension("length", length)?;
        dimension("diameter", base_radius)?;
        self.curve(base_radius, length).map(|c| Meridian::new(vec![Piece::whole(c)]))
    }

    fn curve(&self, radius: f64, length: f64) -> Result<Curve, Fault> {
        Ok(match *self {
            Self::Conical => Curve::Line { x0: 0.0, r0: 0.0, x1: length, r1: radius },
            Self::TangentOgive => tangent_ogive(radius, length),
            Self::SecantOgive { radius: rho } => secant_ogive(radius, length, rho)?,
            Self::Elliptical => Curve::Ellipse { length, radius },
            Self::Parabolic { k } => {
                within("profile.k", k, 0.0, 1.0, "0 is a cone, 1 the full parabola")?;
                Curve::Parabola { length, radius, k }
            }
            Self::Power { n } => {
                within("profile.n", n, LEAST_POWER, 1.0, "1 is a cone, 0.5 a parabola")?;
                Curve::Power { length, radius, n }
            }
            Self::Haack { c } => {
                within("profile.c", c, 0.0, 1.0, "0 is von Karman, 0.333333 LV-Haack")?;
                Curve::Haack { length, radius, c }
            }
        })
    }
}

fn within(field: &'static str, value: f64, least: f64, most: f64, hint: &str) -> Result<(), Fault> {
    if value >= least && value <= most {
        return Ok(());
    }
    Err(Fault::new(field, format!("{} is not between {least} and {most}", Shown(value)), hint))
}

/// rho = (R^2 + L^2) / (2 R). The tangent turns from twice the chord's angle to the axis.
fn tangent_ogive(radius: f64, length: f64) -> Curve {
    let rho = (radius * radius + length * length) / (2.0 * radius);
    let chord = libm::atan2(radius, length);
    Curve::Arc { rho, chord, half: chord }
}

/// The arc lies half its angle to either side of the direction of its chord.
fn secant_ogive(radius: f64, length: f64, rho: f64) -> Result<Curve, Fault> {
    let chord = libm::hypot(radius, length);
    let tangent = chord * chord / (2.0 * radius);
    let too_small = |least: f64| {
        Fault::new(
            "profile.radius",
            format!("an arc of radius {rho} mm does not reach from tip to base without turning back"),
            format!("it must be more than {least:.3} mm; the tangent ogive has {tangent:.3} mm"),
        )
    };
    if !(rho.is_finite() && rho > 0.5 * chord) {
        return Err(too_small(0.5 * chord));
    }
    let to_chord = libm::atan2(radius, length);
    let half = libm::asin(0.5 * chord / rho);
    // At the tip the arc must not point backwards: to_chord + half < 90 degrees.
    if to_chord + half >= std::f64::consts::FRAC_PI_2 {
        return Err(too_small(chord * chord / (2.0 * length)));
    }
    Ok(Curve::Arc { rho, chord: to_chord, half })
}

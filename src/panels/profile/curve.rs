//! Generating curves of bodies of revolution, each in a parameter that tames its tip.
//!
//! Formulas of the nose shapes: G. A. Crowell Sr., *The Descriptive Geometry of Nose Cones*, 1996.
//! With `x` from the tip, `r` the radius, `L` the length and `R` the base radius. Several have an
//! infinite slope at the tip; stepping in `x` would miss most of the surface there.

use crate::panels::numeric::integrate;
use std::f64::consts::{FRAC_1_SQRT_2, FRAC_PI_2, PI};

/// A smooth piece of a generating curve. Its parameter runs from 0 (fore) to 1 (aft).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Curve {
    /// A straight line between (`x0`, `r0`) and (`x1`, `r1`).
    Line { x0: f64, r0: f64, x1: f64, r1: f64 },
    /// A circular arc of radius `rho` that starts on the axis; the angle between its tangent and the axis falls from `chord + half` to `chord - half`
    /// (radians). Kept as two angles so that a huge radius costs no digits.
    Arc { rho: f64, chord: f64, half: f64 },
    /// Quarter of an ellipse, its semi-axes being the length and the base radius.
    Ellipse { length: f64, radius: f64 },
    /// r = R (2 t - k t^2) / (2 - k), t = x / L.
    Parabola { length: f64, radius: f64, k: f64 },
    /// r = R t^n; parameter r / R.
    Power { length: f64, radius: f64, n: f64 },
    /// Haack series; parameter u with theta = pi u^2, x = L (1 - cos theta) / 2.
    Haack { length: f64, radius: f64, c: f64 },
    /// Cubic between two measured stations on the axis.
    OnAxis(Cubic),
    /// Cubic between two measured stations on the surface; axial places count from the first.
    OnSurface(Cubic),
}

/// A cubic Hermite piece: radius over a station that runs from `from` to `to`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Cubic {
    pub from: f64,
    pub to: f64,
    /// Radius at either end.
    pub radius: [f64; 2],
    /// Change of radius per station at either end.
    pub slope: [f64; 2],
}

impl Cubic {
    fn station(&self, u: f64) -> f64 {
        self.from + (self.to - self.from) * u
    }

    fn value(&self, u: f64) -> f64 {
        let step = self.to - self.from;
        let (p, m) = (self.radius, self.slope.map(|s| s * step));
        let (a, b) = (1.0 - u, u);
        // Bernstein form: exact at both ends and for straight lines.
        let control = [p[0], p[0] + m[0] / 3.0, p[1] - m[1] / 3.0, p[1]];
        a * a * a * control[0]
            + 3.0 * a * a * b * control[1]
            + 3.0 * a * b * b * control[2]
            + b * b * b * control[3]
    }

    /// Change of radius per station.
    fn rate(&self, u: f64) -> f64 {
        let secant = (self.radius[1] - self.radius[0]) / (self.to - self.from);
        let (a, b) = (1.0 - u, u);
        a * (1.0 - 3.0 * u) * self.slope[0] + 6.0 * a * b * secant + b * (3.0 * u - 2.0) * self.slope[1]
    }
}

impl Curve {
    /// The radius at `u`.
    pub fn radius(&self, u: f64) -> f64 {
        match *self {
            Self::Line { r0, r1, .. } => r0 + (r1 - r0) * u,
            // rho (cos theta - cos fore), theta being the angle here, without cancellation.
            Self::Arc { rho, chord, half } => {
                2.0 * rho * libm::sin(chord + half * (1.0 - u)) * libm::sin(half * u)
            }
            Self::Ellipse { radius, .. } => radius * libm::sin(u * FRAC_PI_2),
            Self::Parabola { radius, k, .. } => radius * u * (2.0 - k * u) / (2.0 - k),
            Self::Power { radius, .. } => radius * u,
            Self::Haack { radius, c, .. } => radius * haack_ordinate(PI * u * u, c),
            Self::OnAxis(cubic) | Self::OnSurface(cubic) => cubic.value(u),
        }
    }

    /// The axial station at `u`, measured aft.
    pub fn axial(&self, u: f64) -> f64 {
        match *self {
            Self::Line { x0, x1, .. } => x0 + (x1 - x0) * u,
            Self::Arc { rho, chord, half } => {
                2.0 * rho * libm::cos(chord + half * (1.0 - u)) * libm::sin(half * u)
            }
            Self::Ellipse { length, .. } => {
                let half = libm::sin(0.5 * u * FRAC_PI_2);
                2.0 * length * half * half
            }
            Self::Parabola { length, .. } => length * u,
            Self::Power { length, n, .. } => length * libm::pow(u, 1.0 / n),
            Self::Haack { length, .. } => {
                let half = libm::sin(0.5 * PI * u * u);
                length * half * half
            }
            Self::OnAxis(cubic) => cubic.station(u),
            Self::OnSurface(_) => integrate(&|v| self.rates(v).0, 0.0, u),
        }
    }

    /// Rates of change of axial station and radius with `u`.
    pub fn rates(&self, u: f64) -> (f64, f64) {
        match *self {
            Self::Line { x0, r0, x1, r1 } => (x1 - x0, r1 - r0),
            Self::Arc { rho, chord, half } => {
                let (sin, cos) = libm::sincos(chord + half * (1.0 - 2.0 * u));
                let turned = 2.0 * rho * half;
                (turned * cos, turned * sin)
            }
            Self::Ellipse { length, radius } => {
                let (sin, cos) = libm::sincos(u * FRAC_PI_2);
                (FRAC_PI_2 * length * sin, FRAC_PI_2 * radius * cos)
            }
            Self::Parabola { length, radius, k } => (length, 2.0 * radius * (1.0 - k * u) / (2.0 - k)),
            Self::Power { length, radius, n } => (length / n * libm::pow(u, 1.0 / n - 1.0), radius),
            Self::Haack { length, radius, c } => haack_rates(length, radius, c, u),
            Self::OnAxis(cubic) => (cubic.to - cubic.from, (cubic.to - cubic.from) * cubic.rate(u)),
            Self::OnSurface(cubic) => {
                // The station is the arc length, so both rates follow from the slope alone.
                let (step, slope) = (cubic.to - cubic.from, cubic.rate(u).clamp(-1.0, 1.0));
                (step * (1.0 - slope * slope).sqrt(), step * slope)
            }
        }
    }

    /// Arc length gained per `u`.
    pub fn speed(&self, u: f64) -> f64 {
        let (dx, dr) = self.rates(u);
        libm::hypot(dx, dr)
    }

    /// Unit tangent (axial, radial), pointing aft.
    pub fn tangent(&self, u: f64) -> (f64, f64) {
        let (dx, dr) = self.rates(u);
        let speed = libm::hypot(dx, dr);
        // Only the Haack tip has no speed in its parameter; its tangent there is radial.
        if speed > 0.0 { (dx / speed, dr / speed) } else { (0.0, 1.0) }
    }
}

/// r / R of the Haack series at angle `theta`:
/// sqrt((theta - sin(2 theta) / 2 + c sin^3 theta) / pi).
fn haack_ordinate(theta: f64, c: f64) -> f64 {
    (haack_square(theta, c).max(0.0) / PI).sqrt()
}

/// theta - sin(2 theta) / 2 + c sin^3 theta.
fn haack_square(theta: f64, c: f64) -> f64 {
    let sin = libm::sin(theta);
    angle_less_half_sine(theta) + c * sin * sin * sin
}

/// theta - sin(2 theta) / 2. Near the tip the two cancel, so there the power series
/// sum of (-1)^k 4^(k+1) theta^(2k+3) / (2k+3)! is summed instead.
fn angle_less_half_sine(theta: f64) -> f64 {
    // Below this the direct form loses digits; above it twelve terms leave less than 1e-17.
    const SERIES_BELOW: f64 = FRAC_1_SQRT_2;
    if theta > SERIES_BELOW {
        return theta - 0.5 * libm::sin(2.0 * theta);
    }
    let square = 4.0 * theta * theta;
    let mut term = 2.0 * theta * theta * theta / 3.0;
    let mut sum = term;
    for k in 1..12 {
        let k = f64::from(k);
        term *= -square / ((2.0 * k + 2.0) * (2.0 * k + 3.0));
        sum += term;
    }
    sum
}

fn haack_rates(length: f64, radius: f64, c: f64, u: f64) -> (f64, f64) {
    let theta = PI * u * u;
    let (sin, cos) = libm::sincos(theta);
    let root = haack_square(theta, c).max(0.0).sqrt();
    let turn = 2.0 * PI * u;
    let dx = 0.5 * length * sin * turn;
    let dr = if root > 0.0 {
        radius / PI.sqrt() * sin * sin * (2.0 + 3.0 * c * cos) / (2.0 * root) * turn
    } else {
        0.0
    };
    (dx, dr)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all() -> Vec<Curve> {
        let (length, radius) = (3.0, 1.0);
        vec![
            Curve::Line { x0: 0.0, r0: 0.0, x1: length, r1: radius },
            Curve::Arc { rho: 5.0, chord: 0.35, half: 0.25 },
            Curve::Ellipse { length, radius },
            Curve::Parabola { length, radius, k: 0.75 },
            Curve::Power { length, radius, n: 0.75 },
            Curve::Haack { length, radius, c: 1.0 / 3.0 },
            Curve::OnAxis(Cubic { from: 1.0, to: 2.0, radius: [0.2, 0.5], slope: [0.5, 0.1] }),
            Curve::OnSurface(Cubic { from: 1.0, to: 2.0, radius: [0.2, 0.5], slope: [0.5, 0.1] }),
        ]
    }

    #[test]
    fn rates_agree_with_differences_of_the_coordinates() {
        const STEP: f64 = 1e-5;
        for curve in all() {
            for i in 1..10 {
                let u = f64::from(i) / 10.0;
                let (dx, dr) = curve.rates(u);
                let ex = (curve.axial(u + STEP) - curve.axial(u - STEP)) / (2.0 * STEP);
                let er = (curve.radius(u + STEP) - curve.radius(u - STEP)) / (2.0 * STEP);
                assert!((dx - ex).abs() < 1e-7, "{curve:?} at {u}: dx {dx} for {ex}");
                assert!((dr - er).abs() < 1e-7, "{curve:?} at {u}: dr {dr} for {er}");
            }
        }
    }

    #[test]
    fn series_and_direct_form_of_the_haack_square_meet() {
        for theta in [0.5, 0.6, 0.7, 0.707] {
            let direct = theta - 0.5 * libm::sin(2.0 * theta);
            assert!((angle_less_half_sine(theta) - direct).abs() < 2e-16);
        }
        // 2/3 theta^3 is the leading term.
        assert!((angle_less_half_sine(1e-5) * 1.5e15 - 1.0).abs() < 1e-9);
    }
}

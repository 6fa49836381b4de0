//! A profile measured with a tape: stations and radii, interpolated without wiggles.
//!
//! Piecewise cubic Hermite interpolation whose slopes keep it monotone between stations:
//! F. N. Fritsch and R. E. Carlson, *Monotone Piecewise Cubic Interpolation*, SIAM Journal on
//! Numerical Analysis 17 (1980) 238-246. Start slopes are the mean of the neighbouring secants,
//! reduced to lie in their circle of radius 3.

use super::Fault;
use super::curve::{Cubic, Curve};
use super::meridian::{Meridian, Piece};
use crate::panels::limits::{LONGEST, SHORTEST};

/// What the stations of a measured profile are measured along.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StationsAlong {
    /// The axis of the body, as with a ruler beside it.
    Axis,
    /// Its surface, as with a tape on it.
    Surface,
}

/// The meridian through measured (station, radius) pairs, in mm, from the tip aft, with `film` added to the greatest
/// radius and as much in proportion to the others: half the thickness of film where that is to count.
///
/// # Errors
///
/// A [`Fault`] names the station that is out of order, negative, or that no surface can join
/// to the one before.
pub fn measured(stations: &[(f64, f64)], along: StationsAlong, film: f64) -> Result<Meridian, Fault> {
    check(stations, along)?;
    let greatest = stations.iter().map(|s| s.1).fold(0.0, f64::max);
    let widened: Vec<(f64, f64)> = stations.iter().map(|s| (s.0, s.1 * (1.0 + film / greatest))).collect();
    let stations = &widened;
    let mut slopes = monotone_slopes(stations);
    if along == StationsAlong::Surface {
        // A surface cannot widen faster than the tape moves along it.
        slopes.iter_mut().for_each(|s| *s = s.clamp(-1.0, 1.0));
    }
    let cubics = stations.windows(2).zip(slopes.windows(2)).map(|(s, m)| Cubic {
        from: s[0].0,
        to: s[1].0,
        radius: [s[0].1, s[1].1],
        slope: [m[0], m[1]],
    });
    Ok(Meridian::new(match along {
        StationsAlong::Axis => cubics.map(|c| Piece::whole(Curve::OnAxis(c))).collect(),
        StationsAlong::Surface => cubics.map(|c| Piece::whole(Curve::OnSurface(c))).collect(),
    }))
}

fn check(stations: &[(f64, f64)], along: StationsAlong) -> Result<(), Fault> {
    const FIELD: &str = "profile.stations";
    let fault = |i: usize, what: &str, remedy: &str| {
        Err(Fault::new(FIELD, format!("station {}: {what}", i + 1), remedy.to_owned()))
    };
    if stations.len() < 2 {
        return Err(Fault::new(
            FIELD,
            "fewer than two stations",
            "measure at the tip, at the base and between",
        ));
    }
    for (i, &(at, radius)) in stations.iter().enumerate() {
        let inner = i > 0 && i + 1 < stations.len();
        if !(at.is_finite() && radius.is_finite()) || radius < 0.0 || (inner && radius == 0.0) {
            return fault(i, "its width is not above zero", "only an end may come to a point");
        }
        if at.abs() > LONGEST || radius > LONGEST || (radius > 0.0 && radius < SHORTEST) {
            return fault(i, "a number is beyond reason", "check number and unit");
        }
    }
    if stations[0].0 != 0.0 {
        return fault(0, "does not lie at 0", "count stations from the tip");
    }
    for (i, pair) in stations.windows(2).enumerate() {
        let (run, rise) = (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1);
        if run < SHORTEST {
            return fault(
                i + 1,
                "does not lie aft of the one before",
                "write stations in order from the tip",
            );
        }
        if along == StationsAlong::Surface && rise.abs() > run {
            return fault(
                i + 1,
                "the radius changes by more than the tape moved",
                "check the numbers, or say \"stations\": \"axis\" if they were taken along the axis",
            );
        }
    }
    if stations.iter().all(|s| s.1 == 0.0) {
        return fault(0, "and all others have no width", "write a diameter or circumference at each");
    }
    Ok(())
}

/// Slopes at the stations that keep the interpolant monotone wherever the data are.
fn monotone_slopes(points: &[(f64, f64)]) -> Vec<f64> {
    let secants: Vec<f64> = points.windows(2).map(|w| (w[1].1 - w[0].1) / (w[1].0 - w[0].0)).collect();
    let n = points.len();
    let mut slopes: Vec<f64> = (0..n)
        .map(|i| match (i, i + 1 == n) {
            (0, _) => end_slope(&secants, points, true),
            (_, true) => end_slope(&secants, points, false),
            _ if secants[i - 1] * secants[i] <= 0.0 => 0.0,
            _ => 0.5 * (secants[i - 1] + secants[i]),
        })
        .collect();
    for (i, secant) in secants.iter().enumerate() {
        limit_pair(&mut slopes, i, *secant);
    }
    slopes
}

/// Slope at an end: that of the parabola through the three nearest stations, so that a round
/// body is not flattened there; the secant where there are only two.
fn end_slope(secants: &[f64], points: &[(f64, f64)], fore: bool) -> f64 {
    let last = secants.len() - 1;
    let (near, next) = if fore { (0, 1) } else { (last, last.wrapping_sub(1)) };
    let Some(next_secant) = secants.get(next).filter(|_| last > 0) else { return secants[near] };
    let run = |i: usize| points[i + 1].0 - points[i].0;
    let slope = secants[near] + (secants[near] - next_secant) * run(near) / (run(near) + run(next));
    // It may not point against the data.
    if slope * secants[near] <= 0.0 { 0.0 } else { slope }
}

/// Brings a pair of end slopes into the circle of radius 3 secants (Fritsch and Carlson, 1980).
fn limit_pair(slopes: &mut [f64], i: usize, secant: f64) {
    if secant == 0.0 {
        slopes[i] = 0.0;
        slopes[i + 1] = 0.0;
        return;
    }
    let (a, b) = (slopes[i] / secant, slopes[i + 1] / secant);
    let size = libm::hypot(a, b);
    if size > 3.0 {
        slopes[i] = 3.0 * a / size * secant;
        slopes[i + 1] = 3.0 * b / size * secant;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_overshoot_between_stations() {
        // The data of Fritsch and Carlson's own example 1 (after Akima, 1970), from memory.
        let data = [
            (0., 10.),
            (2., 10.),
            (3., 10.),
            (5., 10.),
            (6., 10.),
            (8., 10.),
            (9., 10.5),
            (11., 15.),
            (12., 50.),
            (14., 60.),
            (15., 85.),
        ];
        let m = measured(&data, StationsAlong::Axis, 0.0).unwrap();
        let mut before = 0.0;
        for i in 0..=1000 {
            let here = m.at_arc(m.arc_length() * f64::from(i) / 1000.0).radius;
            assert!(here >= before - 1e-12, "falls to {here} from {before}");
            before = here;
        }
        assert!((before - 85.0).abs() < 1e-9);
    }

    #[test]
    fn bad_stations_are_named() {
        let bad = |s: &[(f64, f64)], along| measured(s, along, 0.0).unwrap_err().what;
        assert!(bad(&[(0., 0.), (10., 3.), (8., 5.)], StationsAlong::Axis).contains("station 3"));
        assert!(bad(&[(0., 0.), (10., 12.)], StationsAlong::Surface).contains("tape"));
        assert!(bad(&[(1., 0.), (10., 3.)], StationsAlong::Axis).contains("station 1"));
        assert!(bad(&[(0., 0.), (10., -3.)], StationsAlong::Axis).contains("station 2"));
        assert!(bad(&[(0., 0.), (4., 0.), (10., 3.)], StationsAlong::Axis).contains("station 2"));
        assert!(bad(&[(0., 0.), (10., 0.)], StationsAlong::Axis).contains("width"));
        assert!(bad(&[(0., 0.)], StationsAlong::Axis).contains("fewer"));
    }
}

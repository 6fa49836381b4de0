//! What a flat gore must do to lie on a doubly curved body.
//!
//! A gore carries every circle of the body at its true length: its half width at arc length s
//! is h = pi r / n. Its seam edge then runs sqrt(1 + h'^2) of film for each mm of meridian, while its
//! centre line runs 1. Either the edge is gathered in by 1 - 1 / sqrt(1 + h'^2) (centre laid
//! first) or the middle is stretched by sqrt(1 + h'^2) - 1 (edges laid first). The convention
//! is that of globe gores; see Thyssen, *Parachute design*, and The Math Doctors, *Making a Sphere
//! from Flat Material*, for the width, elementary geometry for the rest.
//!
//! A balance b in 0..1 shares the misfit: the seam keeps 1 + (1 - b)(E - 1) of film per mm, with
//! E = sqrt(1 + h'^2), and the centre line becomes shorter by what that needs.

use super::film::{Demand, Film, Verdict};
use super::profile::{Edge, Meridian};
use std::f64::consts::PI;

/// Film per mm of meridian along the centre line that balancing leaves at least: below this the
/// panel would no longer resemble the body.
const LEAST_CENTRE: f64 = 0.5;

/// Diameter of the tip cap in mm, where film is narrow enough to follow anything and is
/// pressed down with a thumb. Common practice, no source.
const CAP_DIAMETER: f64 = 10.0;

/// The tip cap is never more than this share of the greatest diameter. Common practice, no source.
const CAP_SHARE: f64 = 0.25;

/// Film per mm of meridian along the centre line and along the seam of a gore.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Runs {
    pub centre: f64,
    pub seam: f64,
}

/// The runs where the half width changes by `rate` per mm of meridian.
pub(super) fn runs(rate: f64, balance: f64) -> Runs {
    let seam = 1.0 + (1.0 - balance) * (libm::hypot(1.0, rate) - 1.0);
    let centre = (seam * seam - rate * rate).max(LEAST_CENTRE * LEAST_CENTRE).sqrt();
    Runs { centre, seam: libm::hypot(centre, rate) }
}

/// Which part of a gore is laid first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Order {
    /// The centre line, unstretched; the edges are gathered in.
    CentreFirst,
    /// Both edges, unstretched; the middle is stretched down.
    EdgesFirst,
    /// The centre line, drawn out to the true length of the meridian; for balanced gores.
    CentreDrawn,
}

impl Order {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::CentreFirst => "centre line first, edges gathered in",
            Self::EdgesFirst => "edges first, middle stretched down",
            Self::CentreDrawn => "centre line first, drawn out to the base line, edges gathered in",
        }
    }
}

/// What is asked of the film at one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StrainAt {
    /// Arc length from the fore end, in mm.
    pub arc: f64,
    /// Shrink of the seam when the centre is laid first.
    pub shrink: f64,
    /// Stretch of the centre when the edges are laid first.
    pub stretch: f64,
}

/// What is asked of the film by one gore.
#[derive(Debug, Clone, PartialEq)]
pub struct Strain {
    /// How much longer the whole flat seam is than the flat centre line, as a share of it.
    pub excess: f64,
    /// Along the gore, fore to aft, from the tip cap to the base.
    pub along: Vec<StrainAt>,
    /// Arc length from the fore end at which most is asked, in mm.
    pub worst_arc: f64,
    /// Arc length of the tip cap, which is not judged, in mm.
    pub cap_arc: f64,
    /// The orders of laying that make sense, and what each asks at the worst place.
    pub orders: Vec<(Order, Demand)>,
}

impl Strain {
    /// A panel of a developable body: nothing is asked of the film.
    pub fn none() -> Self {
        let orders = vec![(Order::CentreFirst, Demand::default())];
        Self { excess: 0.0, along: Vec::new(), worst_arc: 0.0, cap_arc: 0.0, orders }
    }

    /// One of `n` gores of `meridian`, balanced by `balance` (0 to 1). `cap_diameter` overrides the
    /// diameter of the tip cap.
    pub fn of(meridian: &Meridian, n: u32, balance: f64, cap_diameter: Option<f64>) -> Self {
        let per_radius = PI / f64::from(n);
        let whole =
            |f: &dyn Fn(Runs) -> f64| meridian.integral(&|_, slope| f(runs(per_radius * slope, balance)));
        let excess = whole(&|r| r.seam) / whole(&|r| r.centre) - 1.0;
        let cap_arc = cap_arc(meridian, cap_diameter);
        let at = |arc: f64, slope: f64| {
            let r = runs(per_radius * slope, balance);
            StrainAt { arc, shrink: 1.0 - r.centre / r.seam, stretch: r.seam / r.centre - 1.0 }
        };
        let first = meridian.at_arc(cap_arc);
        let mut along = vec![at(cap_arc, first.slope)];
        // The slope changes with the angle of the edge, so the samples of the edge show it well.
        let samples = meridian.sample(&Edge { per_radius, doubled_below: 0.0 }, SAMPLE_TOLERANCE);
        along.extend(samples.iter().filter(|s| s.arc > cap_arc).map(|s| at(s.arc, s.slope)));
        let worst = along.iter().copied().fold(along[0], |w, s| if s.stretch > w.stretch { s } else { w });
        Self { excess, worst_arc: worst.arc, cap_arc, orders: orders(&along, balance, &worst), along }
    }

    /// The order of laying that asks least of `film`, and whether it lies down then.
    pub fn judge(&self, film: &Film) -> (Order, Demand, Verdict) {
        let judged = self.orders.iter().map(|(order, demand)| (*order, *demand, film.judge(*demand)));
        let best = judged.min_by_key(|(.., verdict)| *verdict);
        best.unwrap_or((Order::CentreFirst, Demand::default(), Verdict::Fits))
    }
}

/// Chord tolerance of the stations at which strain is looked at, in mm.
const SAMPLE_TOLERANCE: f64 = 0.05;

fn orders(along: &[StrainAt], balance: f64, worst: &StrainAt) -> Vec<(Order, Demand)> {
    let mut list = vec![
        (Order::CentreFirst, Demand { stretch: 0.0, shrink: worst.shrink }),
        (Order::EdgesFirst, Demand { stretch: worst.stretch, shrink: 0.0 }),
    ];
    if balance > 0.0 {
        let mut demand = Demand::default();
        for s in along {
            // The rate of the half width, back from the strain between centre and seam.
            let r = drawn(s.stretch, balance);
            demand.stretch = demand.stretch.max(1.0 / r.centre - 1.0);
            demand.shrink = demand.shrink.max(1.0 - 1.0 / r.seam);
        }
        list.insert(0, (Order::CentreDrawn, demand));
    }
    list
}

/// The runs of a balanced gore from the ratio of seam to centre, less 1: the inverse of [`runs`].
fn drawn(stretch: f64, balance: f64) -> Runs {
    // seam / centre rises with the rate, so the rate is found by bisection.
    let ratio = 1.0 + stretch;
    let rate = PI
        * super::numeric::bisect(|w| {
            let r = runs(PI * w, balance);
            r.seam / r.centre - ratio
        });
    runs(rate, balance)
}

/// Where the tip cap ends. A body that is cut at its fore end has none unless it asks for one.
fn cap_arc(meridian: &Meridian, diameter: Option<f64>) -> f64 {
    let widest = 2.0 * meridian.greatest_radius();
    let cap = diameter.unwrap_or_else(|| CAP_DIAMETER.min(CAP_SHARE * widest));
    if 2.0 * meridian.fore_radius() >= cap {
        return 0.0;
    }
    meridian.arc_at_radius(0.5 * cap).unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::super::film::Limit;
    use super::super::profile::NoseShape;
    use super::*;

    fn cast() -> Film {
        let (max_stretch, max_shrink) = (Limit { warn: 0.10, stop: 0.15 }, Limit { warn: 0.03, stop: 0.06 });
        Film {
            id: "c".into(),
            name: "c".into(),
            max_stretch,
            max_shrink,
            thickness: None,
            source: String::new(),
        }
    }

    fn percent(value: f64, expected: f64) {
        assert!((100.0 * value - expected).abs() <= 0.005 + 1e-9, "{} for {expected}", 100.0 * value);
    }

    /// Seam over centre line of hemisphere gores, derived from the cosine gore of The Math Doctors
    /// and Thyssen: the length of a cosine arc by numeric integration.
    #[test]
    fn seam_excess_of_hemisphere_gores() {
        let ball = NoseShape::Elliptical.meridian(60.0, 60.0).unwrap();
        for (n, excess) in [(4, 13.98), (6, 6.54), (8, 3.75), (10, 2.42), (12, 1.69), (16, 0.96), (24, 0.43)]
        {
            percent(Strain::of(&ball, n, 0.0, None).excess, excess);
        }
    }

    /// The slender ogive of Hoult (2011): derived in the same way.
    #[test]
    fn seam_excess_of_a_slender_ogive() {
        let ogive = NoseShape::TangentOgive.meridian(3.0 * 25.4, 30.0 * 25.4).unwrap();
        for (n, excess) in [(4, 0.404), (6, 0.180), (8, 0.101), (12, 0.045)] {
            let e = 100.0 * Strain::of(&ogive, n, 0.0, None).excess;
            assert!((e - excess).abs() <= 6e-4, "{e} for {excess}");
        }
    }

    /// Safe stretch: under 15 %, above 10 % easily too much (a film maker's laying instructions).
    /// Four gores on a hemisphere are warned of, four on a slender ogive are not.
    #[test]
    fn a_hemisphere_of_four_gores_is_refused_and_a_slender_ogive_is_not() {
        let ball = NoseShape::Elliptical.meridian(60.0, 60.0).unwrap();
        assert_ne!(Strain::of(&ball, 4, 0.0, None).judge(&cast()).2, Verdict::Fits);
        assert_eq!(Strain::of(&ball, 12, 0.0, None).judge(&cast()).2, Verdict::Fits);
        let ogive = NoseShape::TangentOgive.meridian(76.2, 762.0).unwrap();
        assert_eq!(Strain::of(&ogive, 4, 0.0, None).judge(&cast()).2, Verdict::Fits);
    }

    #[test]
    fn both_orders_speak_of_the_same_misfit() {
        let ball = NoseShape::Elliptical.meridian(60.0, 60.0).unwrap();
        let strain = Strain::of(&ball, 8, 0.0, None);
        for s in &strain.along {
            assert!(((1.0 - s.shrink) * (1.0 + s.stretch) - 1.0).abs() < 1e-12);
        }
        // At the pole's side of the cap the half width changes by pi / 8 per mm, nearly.
        assert!((strain.orders[1].1.stretch - (libm::hypot(1.0, PI / 8.0) - 1.0)).abs() < 2e-3);
        assert_eq!(strain.worst_arc, strain.cap_arc);
        assert!(strain.cap_arc > 5.0 && strain.cap_arc < 5.1, "{}", strain.cap_arc);
    }

    #[test]
    fn balance_shares_the_misfit() {
        let ball = NoseShape::Elliptical.meridian(60.0, 60.0).unwrap();
        let (none, half, full) = (
            Strain::of(&ball, 8, 0.0, None),
            Strain::of(&ball, 8, 0.5, None),
            Strain::of(&ball, 8, 1.0, None),
        );
        let (order, demand) = half.orders[0];
        assert_eq!(order, Order::CentreDrawn);
        let shrink = none.orders[0].1.shrink;
        assert!(demand.shrink > 0.4 * shrink && demand.shrink < 0.6 * shrink);
        assert!(demand.stretch > 0.02 && demand.stretch < 0.06, "{demand:?}");
        assert!(full.orders[0].1.shrink < 1e-9);
        assert!(full.excess > none.excess);
    }
}

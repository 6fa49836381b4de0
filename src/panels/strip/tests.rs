//! Developed panels against sheet-metal books and closed forms.

use super::super::chart::{GoreChart, SectorChart, Slant, WrapChart};
use super::super::profile::{Meridian, NoseShape};
use super::super::{Hand, Lap};
use super::*;
use crate::shape::length;
use std::f64::consts::PI;

const FINE: f64 = 1e-7;

fn bare<C: Chart>(chart: C, radii: [f64; 2]) -> Strip<C> {
    Strip { chart, seam: seam(0.0, Lap::One), aft: End::default(), fore: End::default(), radii }
}

fn seam(overlap: f64, lap: Lap) -> Seam {
    Seam { overlap, lap, under: Hand::Left }
}

fn gore(m: &Meridian, n: u32, tolerance: f64) -> Strip<GoreChart> {
    bare(GoreChart::new(m, n, 0.0, 0.0, tolerance), [m.aft_radius(), m.fore_radius()])
}

fn sector(d_aft: f64, d_fore: f64, height: f64, n: u32) -> Strip<SectorChart> {
    let radii = [0.5 * d_aft, 0.5 * d_fore];
    bare(SectorChart::new(radii[0], radii[1], height, n, 0.0, FINE), radii)
}

fn close(value: f64, expected: f64, tolerance: f64) {
    assert!((value - expected).abs() <= tolerance, "{value} for {expected}");
}

fn line_length(points: &[Point]) -> f64 {
    points.windows(2).map(|w| length(w[1] - w[0])).sum()
}

/// Distance of the developed ends from the cone's apex, by the sector's own geometry.
fn sector_radii(s: &Strip<SectorChart>) -> (f64, f64) {
    let slant = s.chart.length();
    let (aft, fore) = (s.chart.half(0.0), s.chart.half(slant));
    let per = slant / (aft - fore).abs();
    (per * aft.min(fore), per * aft.max(fore))
}

/// Hoult (2011): 379.2477 in^2 whatever the number of gores; gore length 30.1996 in.
#[test]
fn gores_of_the_published_ogive_add_up_to_its_surface() {
    let m = NoseShape::TangentOgive.meridian(3.0, 30.0).unwrap();
    for n in [2, 3, 4, 6, 8, 12, 24] {
        let flat = gore(&m, n, 0.1 * FINE).flat().unwrap();
        close(f64::from(n) * flat.outline.area(), 379.2477, 5e-5);
        let b = flat.outline.bounds();
        close(b.width(), 30.1996, 5e-5);
        close(b.height(), 2.0 * PI * 3.0 / f64::from(n), 1e-12);
        close(b.min.x, 0.0, 0.0);
    }
}

/// The gore of a globe: half width R cos(latitude) pi / n at arc length R latitude; values for
/// 12 gores derived from the cosine curve (The Math Doctors; Thyssen; The Boy Mechanic, 1913).
#[test]
fn globe_gore_of_twelve() {
    let m = NoseShape::Elliptical.meridian(100.0, 100.0).unwrap();
    let strip = gore(&m, 12, 1e-5);
    for (latitude, half) in [
        (0.0, 0.26180),
        (15.0, 0.25288),
        (30.0, 0.22672),
        (45.0, 0.18512),
        (60.0, 0.13090),
        (75.0, 0.06776),
        (90.0, 0.0),
    ] {
        let s = 100.0 * f64::to_radians(latitude);
        close(strip.chart.half(s) / 100.0, half, 6e-6);
    }
    let flat = strip.flat().unwrap();
    close(12.0 * flat.outline.area(), 2.0 * PI * 1e4, 0.05);
    // Half angle of the point: atan(pi / 12) = 14.67 degrees.
    let seam = &flat.seams[0];
    let (tip, before) = (seam[seam.len() - 1], seam[seam.len() - 2]);
    close(libm::atan2(before.y - tip.y, tip.x - before.x).to_degrees(), 14.67, 0.05);
}

/// Half width of a gore at the base over the radius, pi / n, and by how much it is wider than a flat
/// facet, (pi / n) / sin(pi / n): a gore wraps the surface, a facet would leave gaps.
#[test]
#[allow(clippy::approx_constant, reason = "as the table has them")]
fn gores_carry_the_arc_and_not_the_chord() {
    let m = NoseShape::Elliptical.meridian(1.0, 1.0).unwrap();
    for (n, half, over) in [
        (4, 0.785398, 11.07),
        (6, 0.523599, 4.72),
        (8, 0.392699, 2.62),
        (10, 0.314159, 1.66),
        (12, 0.261799, 1.15),
        (16, 0.196350, 0.65),
        (24, 0.130900, 0.29),
    ] {
        let strip = gore(&m, n, 1e-6);
        close(strip.chart.half(0.0), half, 6e-7);
        let chord = libm::sin(PI / f64::from(n));
        close(100.0 * (strip.chart.half(0.0) / chord - 1.0), over, 5e-3);
    }
}

/// A whole globe's gore is n / 2 times as long as wide and has the area 4 pi R^2 / n, so half of it
/// has half. Undivided it is a sinusoid that comes to its pole at 2 atan(pi) = 144.686 degrees
/// (kenta.blogspot.com, *Globe shape*, 2005).
#[test]
fn globe_gores_and_the_undivided_sinusoid() {
    let m = NoseShape::Elliptical.meridian(100.0, 100.0).unwrap();
    let flat = gore(&m, 12, 1e-6).flat().unwrap();
    let b = flat.outline.bounds();
    close(2.0 * b.width() / b.height(), 6.0, 1e-9);
    close(2.0 * flat.outline.area() / (4.0 * PI * 1e4 / 12.0), 1.0, 1e-6);
    let whole = gore(&m, 1, 1e-5);
    let run = 1e-3;
    let half_angle = libm::atan2(whole.chart.half(whole.chart.length() - run), run);
    close(2.0 * half_angle.to_degrees(), 144.686, 5e-3);
}

/// Worked balloon of 10 ft and dome of R = 25 cm, corrected values of the published examples:
/// gore length (quarter) 94.248 in and 39.270 cm, width of 12 gores 13.090 cm.
#[test]
fn worked_balloon_and_dome() {
    let balloon = NoseShape::Elliptical.meridian(60.0, 60.0).unwrap();
    close(gore(&balloon, 12, 1e-4).flat().unwrap().outline.bounds().width(), 0.5 * 188.496, 5e-4);
    let dome = NoseShape::Elliptical.meridian(25.0, 25.0).unwrap();
    let b = gore(&dome, 12, 1e-4).flat().unwrap().outline.bounds();
    close(b.width(), 39.270, 5e-4);
    close(b.height(), 13.090, 5e-4);
}

/// Frustum of 5 in to 8 in, 4 in high: radii 7.12 and 11.39, angle 126.4 degrees (ceemrr.com,
/// *Drawings and nets*); frustum of 6 in and 3 in, 3 in high and 8 in and 4 in, 4 in high:
/// E. M. Longfield, *Sheet Metal Drafting*, 1921, p. 128, developed values derived; transition
/// between two tubes of the published tube table, derived.
#[test]
fn frustums_of_the_sheet_metal_books() {
    for (aft, fore, h, inner, outer, angle, area, digits) in [
        (8.0, 5.0, 4.0, 7.12, 11.39, 126.4, 87.23578, 5e-3),
        (8.0, 5.0, 4.0, 7.12000, 11.39200, 126.40444, 87.23578, 6e-6),
        (6.0, 3.0, 3.0, 3.35410, 6.70820, 160.99689, 47.4175, 6e-6),
        (66.04, 24.7904, 50.0, 32.50537, 86.59217, 137.27799, 7716.892, 6e-6),
    ] {
        for (a, f) in [(aft, fore), (fore, aft)] {
            let s = sector(a, f, h, 1);
            let (r0, r1) = sector_radii(&s);
            close(s.chart.length(), outer - inner, 2.0 * digits);
            close(r0, inner, digits);
            close(r1, outer, digits);
            close(s.chart.angle().to_degrees(), angle, if digits > 1e-3 { 0.05 } else { 6e-6 });
            close(s.flat().unwrap().outline.area() / area, 1.0, 1e-6);
        }
    }
    // Slants: sqrt(1.5^2 + 3^2) = 3.354 (Longfield, p. 128), the others derived.
    for (aft, fore, h, slant) in
        [(8.0, 5.0, 4.0, 4.2720), (6.0, 3.0, 3.0, 3.3541), (66.04, 24.7904, 50.0, 54.0868)]
    {
        close(sector(aft, fore, h, 1).chart.length(), slant, 5e-5);
    }
    close(sector(8.0, 4.0, 4.0, 1).flat().unwrap().outline.area(), 84.2978, 5e-5);
}

/// Cones: 90 degree apex gives a sector of 254.6 degrees (anvilfire.com); slant of six base radii
/// gives 60 degrees (*The Builder-Mechanic*); radius 7 and arc 14 give 49 in^2 and base 5 in, slant
/// 12 in give 94.248 in^2 (Longfield 1921, p. 82); flower holder of ch. V: 98.8996 degrees.
#[test]
fn cones_of_the_sheet_metal_books() {
    let cone = |d: f64, h: f64| sector(d, 0.0, h, 1);
    close(cone(2.0, 1.0).chart.angle().to_degrees(), 254.5584, 5e-5);
    close(cone(2.0, libm::sqrt(35.0)).chart.angle().to_degrees(), 60.0, 1e-9);
    let r = 7.0 / PI;
    close(cone(2.0 * r, libm::sqrt(49.0 - r * r)).flat().unwrap().outline.area(), 49.0, 1e-5);
    close(cone(5.0, libm::sqrt(144.0 - 6.25)).flat().unwrap().outline.area(), 94.248, 5e-4);
    close(2.0 * cone(5.0, libm::sqrt(144.0 - 6.25)).chart.half(0.0), 15.7080, 5e-5);
    close(cone(4.0, 7.0).chart.length(), 7.28011, 6e-6);
    close(cone(4.0, 7.0).chart.angle().to_degrees(), 98.8996, 6e-5);
    close(cone(6.0, 30.0).flat().unwrap().outline.area(), 284.15354, 5e-5);
    close(cone(6.0, 30.0).chart.angle().to_degrees(), 35.82134, 5e-6);
}

/// A sector of 254.56 degrees and radius 1 is 2.0 wide and 1 + cos(52.72 degrees) = 1.6057 high.
#[test]
fn a_sector_above_180_degrees_has_its_true_box() {
    let s = sector(libm::sqrt(2.0), 0.0, 0.5 * libm::sqrt(2.0), 1);
    let b = s.flat().unwrap().outline.bounds();
    close(b.height(), 2.0, 1e-6);
    close(b.width(), 1.6057, 5e-5);
    // Base arc through the origin, tip on +x.
    close(b.min.x, 0.0, 1e-12);
}

/// What is added at the ends of a frustum goes on as the cone does: an annular sector, (angle / 2)
/// (R^2 - r^2), at the narrow end as at the wide one. It once ran into itself at the narrow end.
#[test]
fn ends_of_a_frustum_follow_the_cone() {
    // The transition of the tube table: inner radius 32.50537, slant 54.08680, 137.27799 degrees.
    for (aft, fore, at_aft, at_fore) in [(24.7904, 66.04, 5.0, 3.0), (66.04, 24.7904, 3.0, 5.0)] {
        for n in [1, 2, 3] {
            let mut s = sector(aft, fore, 50.0, n);
            s.aft = End { trim: at_aft, ..End::default() };
            s.fore = End { reach: at_fore, ..End::default() };
            let (inner, outer) = (32.50537 - 5.0, 86.59217 + 3.0);
            let exact = 0.5 * f64::to_radians(137.27799) * (outer * outer - inner * inner) / f64::from(n);
            close(s.flat().unwrap().outline.area() / exact, 1.0, 1e-6);
        }
    }
}

#[test]
fn near_cylinders_go_over_into_the_rectangle() {
    let area = |d: f64| sector(60.0, 60.0 + d, 200.0, 1).flat().unwrap().outline.area();
    close(area(0.0), PI * 60.0 * 200.0, 1e-9);
    for d in [1e-13, 1e-11, 1e-9, 1e-6, 1e-3, 0.1] {
        let slant = libm::hypot(200.0, 0.5 * d);
        close(area(d) / (PI * 0.5 * (120.0 + d) * slant), 1.0, 1e-9);
        close(area(-d) / (PI * 0.5 * (120.0 - d) * slant), 1.0, 1e-9);
    }
    let flat = sector(60.0, 60.0, 200.0, 3).flat().unwrap();
    assert_eq!(flat.outline.points().len(), 4);
}

#[test]
fn matching_seam_edges_have_equal_length() {
    let m = NoseShape::Haack { c: 0.0 }.meridian(40.0, 200.0).unwrap();
    let lengths = |f: &Flat| (line_length(&f.seams[0]), line_length(&f.seams[1]));
    for n in 2..9 {
        let (left, right) = lengths(&gore(&m, n, 0.02).flat().unwrap());
        close(left, right, 1e-9);
        let (left, right) = lengths(&sector(80.0, 50.0, 60.0, n).flat().unwrap());
        close(left, right, 1e-9);
        close(left, libm::hypot(60.0, 15.0), 1e-9);
    }
}

fn wrap(radius: f64, len: f64, n: u32, lean: f64, cuts: [Option<Slant>; 2]) -> Strip<WrapChart> {
    let half = PI * radius / f64::from(n);
    let chart = WrapChart { radius, length: len, half, lean, middle: 0.0, cuts, tolerance: 1e-6 };
    bare(chart, [radius, radius])
}

/// *Body Tube Data Tables*, D. Cook, 2016-2018: outer diameters in inches; circumferences in mm
/// derived. With 6 mm of overlap the 0.736 in tube takes 64.730 mm.
#[test]
fn wraps_of_the_published_tubes() {
    for (od, circumference) in [
        (0.543, 43.329),
        (0.736, 58.730),
        (0.767, 61.204),
        (0.976, 77.881),
        (1.325, 105.730),
        (1.540, 122.887),
        (1.637, 130.627),
        (2.217, 176.909),
        (2.600, 207.471),
        (3.125, 249.364),
        (4.024, 321.101),
    ] {
        let flat = wrap(0.5 * od * 25.4, 300.0, 1, 0.0, [None; 2]).flat().unwrap();
        close(flat.outline.bounds().height(), circumference, 6e-4);
    }
    let mut strip = wrap(0.5 * 0.736 * 25.4, 300.0, 1, 0.0, [None; 2]);
    strip.seam = seam(6.0, Lap::One);
    let b = strip.flat().unwrap().outline.bounds();
    close(b.height(), 64.730, 6e-4);
    close(b.width(), 300.0, 0.0);
}

/// Common practice, no source: circumference over n plus about a quarter inch at each side; a
/// circumference of 17.5 in makes three pieces of 6.33 in before trimming.
#[test]
fn gore_width_of_the_trade() {
    let mut strip = wrap(17.5 / (2.0 * PI), 20.0, 3, 0.0, [None; 2]);
    strip.seam = seam(0.25, Lap::Both);
    close(strip.flat().unwrap().outline.bounds().height(), 6.33, 5e-3);
}

/// y = 100 cos(x / 100) for a tube of 200 cut at 45 degrees, period 628.3185: Mathematics
/// Central, University of Regina; amplitude 32.9956 for R = 57.15 and 30 degrees, derived.
#[test]
fn oblique_cut_of_a_tube() {
    let cut = |angle| Some(Slant { angle, toward: 0.0 });
    let flat = wrap(100.0, 500.0, 1, 0.0, [cut(45.0), None]).flat().unwrap();
    let aft: Vec<&Point> = flat.outline.points().iter().filter(|p| p.x < 499.0).collect();
    assert!(aft.len() > 100);
    for p in aft {
        close(p.x, 100.0 * libm::cos(p.y / 100.0), 1e-9);
    }
    close(flat.outline.bounds().height(), 628.3185, 5e-5);
    // The mean height is unchanged.
    close(flat.outline.area() / (2.0 * PI * 100.0 * 500.0), 1.0, 1e-7);
    let flat = wrap(57.15, 500.0, 1, 0.0, [None, cut(30.0)]).flat().unwrap();
    close(flat.outline.bounds().max.x - 500.0, 32.9956, 5e-5);
}

/// The same curve, x = R tan(angle) cos(y / R), where the cut reaches past the middle of the tube:
/// which end it is must not be guessed from where it lies.
#[test]
fn a_steep_cut_past_the_middle_of_the_tube_keeps_its_curve() {
    let cut = |angle, toward| Some(Slant { angle, toward });
    let flat = wrap(100.0, 250.0, 1, 0.0, [cut(60.0, 0.0), None]).flat().unwrap();
    close(flat.outline.area() / (2.0 * PI * 100.0 * 250.0), 1.0, 1e-6);
    let flat = wrap(100.0, 250.0, 1, 0.0, [None, cut(60.0, 180.0)]).flat().unwrap();
    close(flat.outline.area() / (2.0 * PI * 100.0 * 250.0), 1.0, 1e-6);
}

/// Every point of a slanted end lies in the plane of the cut, however the seam leans.
#[test]
fn a_slanted_end_with_a_leaning_seam_lies_in_its_plane() {
    for (lean, angle) in [(0.3, 60.0), (0.9, 44.0), (-0.9, 44.0), (2.0, 20.0)] {
        let tan = libm::tan(f64::to_radians(angle));
        let strip = wrap(100.0, 500.0, 1, lean, [None, Some(Slant { angle, toward: 30.0 })]);
        let flat = strip.flat().unwrap();
        let plane = |y: f64| 500.0 + 100.0 * tan * libm::cos(-y / 100.0 - f64::to_radians(30.0));
        let fore: Vec<&Point> = flat.outline.points().iter().filter(|p| p.x > 300.0).collect();
        assert!(fore.len() > 100);
        for p in &fore {
            close(p.x, plane(p.y), 1e-6);
        }
        for pair in fore.windows(2) {
            let middle = (*pair[0] + *pair[1]) * 0.5;
            // 1e-6 is the chord tolerance of these strips, measured along x on the steepest side.
            close(middle.x, plane(middle.y), 2e-6 * libm::hypot(1.0, tan));
        }
    }
}

#[test]
fn a_leaning_seam_makes_a_parallelogram_with_its_lap_square_to_the_seam() {
    let lean = libm::tan(f64::to_radians(30.0));
    let mut strip = wrap(30.0, 100.0, 2, lean, [None; 2]);
    strip.seam = seam(6.0, Lap::One);
    let flat = strip.flat().unwrap();
    let width = PI * 30.0 + 6.0 / libm::cos(f64::to_radians(30.0));
    close(flat.outline.area(), width * 100.0, 1e-9);
    close(line_length(&flat.seams[0]), 100.0 / libm::cos(f64::to_radians(30.0)), 1e-9);
    assert_eq!(flat.outline.points().len(), 4);
}

#[test]
fn the_lap_is_added_to_one_edge_and_runs_out_at_the_tip() {
    let m = NoseShape::TangentOgive.meridian(41.7, 410.0).unwrap();
    let strip = |overlap, lap| {
        Strip { chart: GoreChart::new(&m, 4, 0.0, overlap, 0.02), ..gore(&m, 4, 0.02) }
            .with_seam(seam(overlap, lap))
    };
    let one = strip(6.0, Lap::One).flat().unwrap().outline;
    let b = one.bounds();
    let half = PI * 41.7 / 4.0;
    close(b.max.y, half + 6.0, 1e-9);
    close(b.min.y, -half, 1e-9);
    // Area S / n plus the lap along the arc, less the taper.
    let extra = one.area() - m.surface_area() / 4.0;
    assert!(extra < 6.0 * m.arc_length() && extra > 0.95 * 6.0 * m.arc_length(), "{extra}");
    close(b.max.x, m.arc_length(), 1e-9);
    let both = strip(6.0, Lap::Both).flat().unwrap().outline.bounds();
    close(both.height(), 2.0 * half + 12.0, 1e-9);
}

impl<C> Strip<C> {
    fn with_seam(self, seam: Seam) -> Self {
        Self { seam, ..self }
    }
}

#[test]
fn ends_reach_trim_and_fold() {
    let m = NoseShape::TangentOgive.meridian(41.7, 410.0).unwrap().aft_of(60.0);
    let mut strip = gore(&m, 4, 0.02);
    strip.aft = End { reach: 3.0, trim: 5.0, fold: 0.0 };
    strip.fore = End { reach: 0.0, trim: 0.0, fold: 4.0 };
    let flat = strip.flat().unwrap();
    let b = flat.outline.bounds();
    close(b.min.x, -8.0, 1e-12);
    close(b.max.x, m.arc_length() + 4.0, 1e-9);
    // The flap is as wide as its part of the disc: pi (r - fold) / n to either side.
    let end: Vec<&Point> = flat.outline.points().iter().filter(|p| p.x > b.max.x - 1e-6).collect();
    assert_eq!(end.len(), 2);
    close((end[0].y - end[1].y).abs(), 2.0 * PI * (m.fore_radius() - 4.0) / 4.0, 1e-9);
    assert_eq!(strip.slits(EndName::Fore).len(), 1);
    let mut tube = wrap(30.0, 100.0, 1, 0.0, [None; 2]);
    tube.aft = End { fold: 8.0, ..End::default() };
    assert_eq!(tube.slits(EndName::Aft).len(), 18);
    assert!(tube.flat().is_ok());
    assert!(End { fold: 8.0, trim: 1.0, reach: 0.0 }.check("aft", 30.0).is_err());
    assert!(End { fold: 31.0, ..End::default() }.check("aft", 30.0).is_err());
    assert!(End { trim: 1.0, ..End::default() }.check("tip", 0.0).is_err());
}

#[test]
fn a_balanced_gore_is_shorter_along_its_middle() {
    let m = NoseShape::Elliptical.meridian(60.0, 60.0).unwrap();
    let length = |balance| GoreChart::new(&m, 8, balance, 0.0, 0.01).length();
    close(length(0.0), m.arc_length(), 1e-9);
    assert!(length(0.5) < length(0.0) && length(1.0) < length(0.5));
    // Balanced fully, the seam is as long as the meridian.
    let strip = bare(GoreChart::new(&m, 8, 1.0, 0.0, 0.001), [60.0, 0.0]);
    close(line_length(&strip.flat().unwrap().seams[0]) / m.arc_length(), 1.0, 1e-4);
}

#[test]
fn points_of_gores_keep_to_the_chord_tolerance_and_are_not_many() {
    let m = NoseShape::TangentOgive.meridian(41.7, 410.0).unwrap();
    let flat = gore(&m, 6, 0.02).flat().unwrap();
    close(6.0 * flat.outline.area() / m.surface_area(), 1.0, 1e-3);
    assert!(flat.outline.points().len() < 80, "{}", flat.outline.points().len());
}

//! The `dxf` crate reads the same files: its entities and ours are the same.

use super::{entities, fixture};
use dxf::Drawing;
use dxf::entities::EntityType;
use std::f64::consts::PI;
use tuckroll::read::{ReadOptions, read};

#[test]
fn single_entities_have_the_size_that_the_crate_reads() {
    for name in ["lines-R12-asc.dxf", "lines-R2018-bin.dxf", "curves-R2000-asc.dxf", "curves-R2013-bin.dxf"] {
        let bytes = fixture(name);
        let theirs = Drawing::load(&mut bytes.as_slice()).unwrap();
        let options = ReadOptions { chord_tolerance_mm: 1e-4, ..ReadOptions::default() };
        let ours = read(&bytes, name, &options).unwrap();
        let mut compared = 0;
        for entity in theirs.entities() {
            let Some(area) = area(&entity.specific) else { continue };
            let near = |f: &&tuckroll::read::Found| {
                f.layer == entity.common.layer && (f.region.outline().area() - area).abs() < 1e-4 * area
            };
            assert_eq!(ours.found.iter().filter(near).count(), 1, "{name}: {} {area}", entity.common.layer);
            compared += 1;
        }
        assert!(compared >= 1, "{name}");
    }
}

/// The area of an entity that is a closed contour by itself, by closed form. Of two concentric
/// circles only the outer one is an outline.
fn area(entity: &EntityType) -> Option<f64> {
    match entity {
        EntityType::Circle(c) if c.radius > 20.0 => Some(PI * c.radius * c.radius),
        EntityType::Ellipse(e) if e.end_parameter - e.start_parameter > 6.0 => {
            let a = e.major_axis.x * e.major_axis.x + e.major_axis.y * e.major_axis.y;
            Some(PI * a * e.minor_axis_ratio)
        }
        EntityType::LwPolyline(p) if p.flags & 1 == 1 => {
            let n = p.vertices.len();
            let side = |i: usize| {
                let (v, w) = (&p.vertices[i], &p.vertices[(i + 1) % n]);
                let angle = 4.0 * libm::atan(v.bulge);
                let radius = libm::hypot(v.x - w.x, v.y - w.y) / 2.0 / libm::sin(angle / 2.0);
                let bump =
                    if v.bulge == 0.0 { 0.0 } else { radius * radius / 2.0 * (angle - libm::sin(angle)) };
                (v.x * w.y - w.x * v.y) / 2.0 + bump
            };
            Some((0..n).map(side).sum::<f64>().abs())
        }
        _ => None,
    }
}

/// What the crate loses without a word is an error or a warning here.
#[test]
fn what_the_crate_loses_in_silence_is_told() {
    let last_is_bad = entities("0 LINE 8 a 10 0 20 0 11 1 21 1 0 LINE 8 a 10 0 20 0 11 1 21 x");
    let load = |text: &str| Drawing::load(&mut text.as_bytes()).map(|d| d.entities().count()).ok();
    assert_eq!(load(&last_is_bad), Some(1), "the crate no longer loses it: take this line out");
    assert!(super::try_read(&last_is_bad).unwrap_err().to_string().contains("line 27"));
    let unknown = entities("0 HATCH 8 a 10 0 20 0");
    assert_eq!(load(&unknown), Some(0));
    assert!(super::told(&super::drawing(&unknown)).contains("1 HATCH"));
    let cut = "0\nSECTION\n2\nHEADER\n0\nENDSEC\n";
    assert_eq!(load(cut), Some(0));
    assert!(super::try_read(cut).unwrap_err().to_string().contains("EOF"));
}

//! The drawn lines: one polyline per contour.

use std::collections::BTreeMap;

use super::pairs::Pairs;
use super::{Count, Version};
use crate::shape::{Point, plain_line};
use crate::write::Layer;
use crate::write::sheet::Contour;

/// Writes polylines and keeps count of them.
pub(super) struct Drawing {
    /// The text of the section.
    pub out: Pairs,
    version: Version,
    /// Owner of every entity; without meaning in R12.
    owner: u64,
    /// Steps per unit to which coordinates are rounded.
    steps: f64,
    /// What was written, layer by layer.
    pub counts: BTreeMap<Layer, Count>,
    /// Lines that vanish when their coordinates are rounded.
    pub vanished: usize,
}

impl Drawing {
    pub fn new(out: Pairs, version: Version, owner: u64, steps: f64) -> Self {
        Self { out, version, owner, steps, counts: BTreeMap::new(), vanished: 0 }
    }

    /// Writes one contour, without points that fall together when rounded.
    pub fn add(&mut self, contour: &Contour) {
        let (points, closed) = self.rounded(contour);
        if points.len() < 2 {
            self.vanished += 1;
            return;
        }
        let count = self.counts.entry(contour.layer).or_default();
        count.vertices += points.len();
        if closed {
            count.closed += 1;
        } else {
            count.open += 1;
        }
        let layer = contour.layer.name();
        match self.version {
            Version::R12 => self.polyline(layer, closed, &points),
            Version::R2000 | Version::R2010 => self.light_polyline(layer, closed, &points),
        }
    }

    /// The points as they are written, and whether what is left of them is closed.
    fn rounded(&self, contour: &Contour) -> (Vec<Point>, bool) {
        let round = |v: f64| (v * self.steps).round() / self.steps;
        let points = contour.points.iter().map(|p| Point { x: round(p.x), y: round(p.y) }).collect();
        plain_line(points, contour.closed)
    }

    fn polyline(&mut self, layer: &str, closed: bool, points: &[Point]) {
        let out = &mut self.out;
        out.text(0, "POLYLINE");
        out.text(8, layer);
        out.int(66, 1);
        out.point3(10, Point { x: 0.0, y: 0.0 });
        out.int(70, i64::from(closed));
        for p in points {
            out.text(0, "VERTEX");
            out.text(8, layer);
            out.point3(10, *p);
        }
        out.text(0, "SEQEND");
        out.text(8, layer);
    }

    fn light_polyline(&mut self, layer: &str, closed: bool, points: &[Point]) {
        let out = &mut self.out;
        let handle = out.new_handle();
        out.text(0, "LWPOLYLINE");
        out.handle(5, handle);
        out.handle(330, self.owner);
        out.text(100, "AcDbEntity");
        out.text(8, layer);
        out.text(100, "AcDbPolyline");
        out.int(90, points.len() as i64);
        out.int(70, i64::from(closed));
        for p in points {
            out.point(10, *p);
        }
    }
}

//! From a job to an instance, and from spots back to placements.

use super::field::Spot;
use super::instance::{Entry, Instance, Parts};
use super::kind::{Headings, Shape};
use crate::job::{Job, KeepClear, Panel};
use crate::layout::Placement;
use crate::shape::{Bounds, Point, Region, Ring, Turn, wrap_degrees};
use std::collections::BTreeMap;

/// An instance and what is needed to name its pieces again.
#[derive(Debug)]
pub struct Request {
    /// What the search gets.
    pub instance: Instance,
    /// Panel index and copy of every piece.
    pub pieces: Vec<(usize, u32)>,
    /// Panel index and copy of every filler.
    pub fillers: Vec<(usize, u32)>,
    /// Middle of every panel's box, grain along +x.
    centres: Vec<Point>,
    origin: Point,
}

/// Coordinates closer than this part of the width are the same when shapes are compared.
const SAME: f64 = 1e-7;

/// Builds the instance: equal shapes become one kind, whatever their ids.
pub fn request(job: &Job) -> Request {
    let roll = &job.roll;
    let origin = Point { x: roll.lead_margin, y: roll.edge_margin[0] };
    let mut parts =
        Parts { width: roll.usable_width(), gap: job.gap, tolerance: roll.tolerance(), ..Parts::default() };
    parts.flaws =
        roll.flaws.iter().map(|f| f.counter_clockwise().into_iter().map(|p| p - origin).collect()).collect();
    let mut kinds = BTreeMap::new();
    let mut groups = BTreeMap::new();
    let (mut pieces, mut fillers, mut centres) = (Vec::new(), Vec::new(), Vec::new());
    for (p, panel) in job.panels.iter().enumerate() {
        let group = panel.match_group.as_ref().map(|m| {
            let next = groups.len() as u32;
            *groups.entry((panel.kit.clone(), m.clone())).or_insert(next)
        });
        let shape = shape(panel, group.is_some());
        centres.push(bounds(&shape).centre());
        let next = parts.shapes.len() as u32;
        let kind = *kinds.entry(key(&shape, SAME * roll.width)).or_insert(next);
        if kind == next {
            parts.shapes.push(shape);
        }
        for copy in 1..=panel.copies {
            let (entries, names) = if panel.optional {
                (&mut parts.fillers, &mut fillers)
            } else {
                (&mut parts.entries, &mut pieces)
            };
            entries.push(Entry { kind, group });
            names.push((p, copy));
        }
    }
    parts.groups = groups.len();
    Request { instance: Instance::new(parts), pieces, fillers, centres, origin }
}

/// The panel with its grain turned along +x.
fn shape(panel: &Panel, bound: bool) -> Shape {
    let turn = Turn::degrees(-panel.grain.along);
    let ring = |r: &Ring| -> Option<Ring> {
        if panel.grain.along % 360.0 == 0.0 {
            return Some(r.clone());
        }
        Ring::new(r.points().iter().map(|p| turn.apply(*p)).collect()).ok()
    };
    let region = |r: &Region| -> Option<Region> {
        let holes = r.holes().iter().map(ring).collect::<Option<Vec<_>>>()?;
        Region::new(ring(r.outline())?, holes).ok()
    };
    // Rounding in a turn can only spoil an outline that is degenerate to the last digit; its hull will do then.
    let parts = panel.parts.iter().map(|r| region(r).unwrap_or_else(|| hull_of(r, turn))).collect();
    Shape {
        parts,
        hull: panel.keep_clear == KeepClear::Hull,
        fill_holes: panel.fill_holes,
        headings: match panel.grain.rule.headings() {
            None => Headings::Any,
            Some(list) => Headings::Near { nominal: list.to_vec(), slack: panel.grain.slack },
        },
        mirror: panel.mirror,
        bound,
    }
}

fn hull_of(r: &Region, turn: Turn) -> Region {
    let pts: Vec<Point> = r.outline().points().iter().map(|p| turn.apply(*p)).collect();
    Ring::new(crate::shape::convex_hull(&pts)).map_or_else(|_| r.clone(), Region::solid)
}

fn bounds(shape: &Shape) -> Bounds {
    let zero = Point { x: 0.0, y: 0.0 };
    shape.parts.iter().map(Region::bounds).reduce(Bounds::with).unwrap_or(Bounds { min: zero, max: zero })
}

/// What makes two shapes one kind: the same contours, wherever they start and whichever way
/// they run, and the same rules.
fn key(shape: &Shape, unit: f64) -> (Vec<Vec<(i64, i64)>>, String) {
    let at = bounds(shape).min;
    let mut rings: Vec<Vec<(i64, i64)>> = Vec::new();
    for r in shape.parts.iter().flat_map(Region::rings) {
        let mut pts: Vec<(i64, i64)> = r
            .counter_clockwise()
            .into_iter()
            .map(|p| (((p.x - at.x) / unit).round() as i64, ((p.y - at.y) / unit).round() as i64))
            .collect();
        let first = (0..pts.len()).min_by_key(|i| pts[*i]).unwrap_or(0);
        pts.rotate_left(first);
        rings.push(pts);
    }
    rings.sort();
    let rules =
        format!("{:?} {} {} {} {}", shape.headings, shape.hull, shape.fill_holes, shape.mirror, shape.bound);
    (rings, rules)
}

impl Request {
    /// The placement of piece `i`, or of a filler, at a spot.
    pub fn placement(&self, job: &Job, piece: (usize, u32), spot: Spot) -> Placement {
        let inst = &self.instance;
        let stance = &inst.stances[spot.stance as usize];
        let (panel, copy) = piece;
        let grain = &job.panels[panel].grain;
        let heading = f64::from(stance.heading) * 360.0 / f64::from(inst.per_turn);
        let rotation = wrap_degrees(grain.rotation(heading, stance.mirrored));
        // The kind's origin in the panel's own frame lies at `along` turned back.
        let centre = Turn::degrees(grain.along).apply(self.centres[panel]);
        let m = if stance.mirrored { Point { x: centre.x, y: -centre.y } } else { centre };
        let at = spot.at + self.origin - Turn::degrees(rotation).apply(m);
        Placement { panel, copy, at, rotation, mirrored: stance.mirrored }
    }
}

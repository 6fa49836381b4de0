//! From a job to an instance, and from spots back to placements.

use super::bound::Least;
use super::instance::{Entry, Instance, Part, Parts, Spot};
use super::kind::{Headings, MOST_CORNERS, MOST_PARTS, Shape};
use crate::job::{Extents, Job, KeepClear, Panel, extents, fitting_headings};
use crate::layout::Placement;
use crate::shape::{Bounds, Point, Region, Ring, Turn, wrap_degrees};
use crate::{Error, Problems, Warning};
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
    /// Least extents of every kind.
    pub least: Vec<Least>,
    /// What became of each panel.
    members: Vec<Member>,
    origin: Point,
}

/// A panel in the instance.
#[derive(Debug)]
struct Member {
    kind: u32,
    group: Option<u32>,
    /// Middle of its box in the frame of its shape.
    centre: Point,
    /// Degrees by which its grain points away from +x in that frame.
    offset: f64,
}

/// Coordinates closer than this part of the width are the same when shapes are compared.
const SAME: f64 = 1e-7;

/// Builds the instance: equal shapes become one kind, whatever their ids.
///
/// The search turns panels in steps. A panel, or a match group, that fits at none of them gets a
/// frame of its own, turned so that a heading at which it fits is a step.
///
/// # Errors
///
/// [`Error::Unmet`] when a required panel fits at no heading that can be tried; [`Error::Input`] when there are
/// more different shapes than the search can hold.
pub fn request(job: &Job) -> Result<Request, Error> {
    let plain = build(job, &vec![0.0; job.panels.len()])?;
    let offsets = offsets(job, &plain);
    let request = if offsets.iter().all(|o| *o == 0.0) { plain } else { build(job, &offsets)? };
    refuse_misfits(job, &request)?;
    Ok(request)
}

fn build(job: &Job, offsets: &[f64]) -> Result<Request, Error> {
    let roll = &job.roll;
    let origin = Point { x: roll.lead_margin, y: roll.edge_margin[0] };
    let mut parts =
        Parts { width: roll.usable_width(), gap: job.gap, tolerance: roll.tolerance(), ..Parts::default() };
    parts.flaws =
        roll.flaws.iter().map(|f| f.counter_clockwise().into_iter().map(|p| p - origin).collect()).collect();
    let mut kinds = BTreeMap::new();
    let mut groups = BTreeMap::new();
    let (mut pieces, mut fillers, mut members) = (Vec::new(), Vec::new(), Vec::new());
    let mut least = Vec::new();
    for (p, (panel, &offset)) in job.panels.iter().zip(offsets).enumerate() {
        let group = panel.match_group.as_ref().map(|m| {
            let next = groups.len() as u32;
            *groups.entry((panel.kit.clone(), m.clone())).or_insert(next)
        });
        let shape = shape(panel, group.is_some(), offset);
        let centre = bounds(&shape).centre();
        let next = parts.shapes.len() as u32;
        let kind = *kinds.entry(key(&shape, SAME * roll.width)).or_insert(next);
        if kind == next {
            let Extents { along, across } = extents(panel);
            least.push(Least { along: along.size, across: across.size });
            parts.shapes.push(shape);
        }
        members.push(Member { kind, group, centre, offset });
        for copy in 1..=panel.copies {
            let (entries, names) = if panel.optional {
                (&mut parts.fillers, &mut fillers)
            } else {
                (&mut parts.entries, &mut pieces)
            };
            entries.push(Entry { kind, group, part: Part::WHOLE });
            names.push((p, copy));
        }
    }
    parts.groups = groups.len();
    if let Some(count) = parts.too_many() {
        let what = format!("{count} different shapes and flaws are more than one search can hold");
        return Err(Error::input("panels", what, "split the job into several"));
    }
    Ok(Request { instance: Instance::new(parts), pieces, fillers, least, members, origin })
}

/// By how many degrees the frame of each panel is to be turned: 0 where a step of the grid will do.
fn offsets(job: &Job, plain: &Request) -> Vec<f64> {
    let inst = &plain.instance;
    let step = 360.0 / f64::from(inst.per_turn);
    let of_groups: Vec<f64> = (0..inst.groups.len())
        .map(|g| {
            let members = || job.panels.iter().zip(&plain.members).filter(|(_, m)| m.group == Some(g as u32));
            let required = members().filter(|(p, _)| !p.optional);
            let arcs = required.map(|(p, _)| fitting_headings(p, &job.roll)).reduce(|a, b| a.common(&b));
            let on_grid = !inst.groups[g].is_empty();
            arcs.filter(|_| !on_grid).and_then(|a| a.roomiest()).map_or(0.0, |h| h % step)
        })
        .collect();
    let of_panel = |(panel, member): (&Panel, &Member)| match member.group {
        Some(g) => of_groups[g as usize],
        None if !inst.kinds[member.kind as usize].stances.is_empty() => 0.0,
        None => {
            let least = extents(panel).across;
            (if least.mirrored { step - least.heading % step } else { least.heading % step }) % step
        }
    };
    job.panels.iter().zip(&plain.members).map(of_panel).collect()
}

/// What passes [`crate::job::check_fits`] fits at some heading, but for mirrored panels of a match
/// group whose heading lies between the steps.
fn refuse_misfits(job: &Job, request: &Request) -> Result<(), Error> {
    let inst = &request.instance;
    let mut problems = Problems::default();
    for (panel, member) in job.panels.iter().zip(&request.members).filter(|(p, _)| !p.optional) {
        let shut = |g: u32| inst.groups[g as usize].is_empty();
        if inst.kinds[member.kind as usize].stances.is_empty() || member.group.is_some_and(shut) {
            problems.push(
                format!("panel {:?}", panel.id),
                "it fits across the roll at no heading that the search tries",
                "take wider film, draw it mirrored, or take it out of its match group",
            );
        }
    }
    if problems.0.is_empty() { Ok(()) } else { Err(Error::Unmet(problems)) }
}

/// The panel with its grain turned to point `offset` degrees away from +x.
fn shape(panel: &Panel, bound: bool, offset: f64) -> Shape {
    let turn = Turn::degrees(offset - panel.grain.along);
    let ring = |r: &Ring| -> Option<Ring> {
        if (offset - panel.grain.along) % 360.0 == 0.0 {
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
        offset,
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

/// The step of a grid in which a coordinate lies. Its steps change at odd places: numbers with few decimals would often
/// lie at halves, and fall to either side by chance.
fn step(v: f64) -> i64 {
    (v + 0.271_828).floor() as i64
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
            .map(|p| (step((p.x - at.x) / unit), step((p.y - at.y) / unit)))
            .collect();
        let first = (0..pts.len()).min_by_key(|i| pts[*i]).unwrap_or(0);
        pts.rotate_left(first);
        rings.push(pts);
    }
    rings.sort();
    let rules = format!(
        "{:?} {} {} {} {} {}",
        shape.headings, shape.hull, shape.fill_holes, shape.mirror, shape.offset, shape.bound
    );
    (rings, rules)
}

impl Request {
    /// A warning where panels have so many corners or parts that the search keeps others away from more than them.
    pub fn coarsened(&self, job: &Job) -> Option<Warning> {
        let coarse = |m: &&Member| self.instance.kinds[m.kind as usize].coarsened;
        let named = job.panels.iter().zip(&self.members).filter(|(_, m)| coarse(m)).map(|(p, _)| &p.id);
        let ids: Vec<&String> = named.collect();
        let first = ids.first()?;
        let more = if ids.len() > 1 { format!(" and {} more", ids.len() - 1) } else { String::new() };
        let what = format!(
            "an outline of more than {MOST_CORNERS} corners, or one of more than {MOST_PARTS} parts, is nested \
             with some room to spare around it"
        );
        Some(Warning::new(
            format!("panel {first:?}{more}"),
            what,
            "draw it with fewer points if film is dear",
        ))
    }

    /// The placement of piece `i`, or of a filler, at a spot.
    pub fn placement(&self, job: &Job, piece: (usize, u32), spot: Spot) -> Placement {
        let inst = &self.instance;
        let stance = &inst.stances[spot.stance as usize];
        let (panel, copy) = piece;
        let grain = &job.panels[panel].grain;
        let Member { offset, centre, .. } = self.members[panel];
        let step = f64::from(stance.heading) * 360.0 / f64::from(inst.per_turn);
        let heading = step + if stance.mirrored { -offset } else { offset };
        let rotation = wrap_degrees(grain.rotation(heading, stance.mirrored));
        // The kind's origin in the panel's own frame lies at its centre turned back.
        let centre = Turn::degrees(grain.along - offset).apply(centre);
        let m = if stance.mirrored { Point { x: centre.x, y: -centre.y } } else { centre };
        let at = spot.at + self.origin - Turn::degrees(rotation).apply(m);
        Placement { panel, copy, at, rotation, mirrored: stance.mirrored }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::fixtures::{job_of, panel, ring};

    /// On film of 500 a step is 0.00005: both sides end at half of one.
    #[test]
    fn an_outline_drawn_elsewhere_is_the_same_kind() {
        for (dx, dy) in [(0.1, 0.3), (0.7, 1e3), (-12.3, 77.7)] {
            let drawn = |id: &str, x: f64, y: f64| {
                let far = (x + 10.000_025, y + 20.000_075);
                panel(id, vec![Region::solid(ring(&[(x, y), (far.0, y), far, (x, far.1)]))])
            };
            let job = job_of(500.0, vec![drawn("here", 0.0, 0.0), drawn("there", dx, dy)]);
            assert_eq!(request(&job).unwrap().instance.kinds.len(), 1, "{dx}, {dy}");
        }
    }
}

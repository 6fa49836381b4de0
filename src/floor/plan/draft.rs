//! What is cut in which section, before any order is looked for.

use super::sections::{self, Extent};
use super::{Contour, Kind, Options, contours};
use crate::error::Error;
use crate::floor::film::Film;
use crate::floor::marks::{self, Mark};
use crate::floor::test_cut;
use crate::floor::waste::{Ground, Obstacle};
use crate::layout::Layout;
use crate::shape::{Bounds, Point};
use std::collections::BTreeMap;

/// A section before its order is known.
pub(super) struct Draft {
    /// Its panels, as indices into the layout's placements.
    pub placements: Vec<usize>,
    /// Its contours, in rising order.
    pub members: Vec<usize>,
    /// The box round its panels.
    pub panels: Bounds,
    /// Its registration marks.
    pub marks: Vec<Mark>,
}

/// All contours, and the sections in which they are cut.
pub(super) fn draft(
    layout: &Layout,
    film: &Film,
    options: &Options,
) -> Result<(Vec<Contour>, Vec<Draft>), Error> {
    let mut contours = contours(layout, film)?;
    let extents = extents(&contours);
    let mut sections = Vec::new();
    for placements in sections::assign(layout, &extents, options.section_length)? {
        let inside = |c: &Contour| c.placement.is_some_and(|p| placements.binary_search(&p).is_ok());
        let members: Vec<usize> = (0..contours.len()).filter(|&i| inside(&contours[i])).collect();
        let Some(panels) = members.iter().map(|&i| contours[i].bounds).reduce(Bounds::with) else { continue };
        sections.push(Draft { placements, members, panels, marks: Vec::new() });
    }
    if let Some(wanted) = &options.marks {
        let reaches: Vec<(f64, f64)> = sections.iter().map(|s| (s.panels.min.x, s.panels.max.x)).collect();
        for (section, marks) in sections.iter_mut().zip(marks::marks(film, &reaches, wanted)?) {
            section.marks = marks;
        }
    }
    if let (Some(size), Some(first)) = (options.test_cut, sections.first_mut()) {
        for (name, points) in test_cut::shapes(film, size)? {
            add(&mut contours, first, Contour::loose(name.to_owned(), Kind::Test, true, points));
        }
    }
    // Last, as they stay away from everything else.
    add_waste_cuts(&mut contours, &mut sections, film, options);
    Ok((contours, sections))
}

fn add(contours: &mut Vec<Contour>, section: &mut Draft, contour: Option<Contour>) {
    if let Some(contour) = contour {
        section.members.push(contours.len());
        contours.push(contour);
    }
}

/// How far cuts in the waste stay away from the sides of the film, in mm: a strip that is cut
/// off at the edge gets under the rollers. Common practice, no source.
const FROM_SIDE: f64 = 3.0;

fn add_waste_cuts(contours: &mut Vec<Contour>, sections: &mut [Draft], film: &Film, options: &Options) {
    let weeding = &options.weeding;
    if weeding.strips.is_none() && !weeding.frame {
        return;
    }
    let marks = sections.iter().flat_map(|s| &s.marks).map(|m| corners(&m.bounds));
    let outlines =
        contours.iter().filter(|c| matches!(c.kind, Kind::Outline | Kind::Test)).map(|c| c.points.clone());
    let obstacles: Vec<Obstacle> = outlines.chain(marks).filter_map(|ring| Obstacle::of(&ring)).collect();
    let ground = Ground { obstacles: &obstacles, weeding, across: [FROM_SIDE, film.width - FROM_SIDE] };
    let starts: Vec<f64> = sections.iter().skip(1).map(|s| s.panels.min.x).collect();
    let mut number = 0;
    for (i, section) in sections.iter_mut().enumerate() {
        let to = starts.get(i).copied();
        let reach = (section.panels.min.x, to.unwrap_or(section.panels.max.x));
        let lines = ground.lines(reach, to.is_none(), &section.panels);
        for line in lines.iter().flat_map(|line| in_pieces(line, options.window)) {
            number += 1;
            add(
                contours,
                section,
                Contour::loose(format!("waste/{number}"), Kind::Waste, false, line.to_vec()),
            );
        }
    }
}

/// A line in equal pieces that are no longer along the feed than a window: a frame of one piece would take the film
/// from its start to its end and back.
fn in_pieces(&[a, b]: &[Point; 2], window: f64) -> impl Iterator<Item = [Point; 2]> {
    let count = ((b.x - a.x).abs() / window).ceil().clamp(1.0, MOST_PIECES);
    let at = move |i: f64| if i >= count { b } else { a + (b - a) * (i / count) };
    (0..count as u32).map(f64::from).map(move |i| [at(i), at(i + 1.0)])
}

/// A frame is cut in no more pieces; more would only be a slip in the options.
const MOST_PIECES: f64 = 1000.0;

fn corners(b: &Bounds) -> Vec<Point> {
    [(b.min.x, b.min.y), (b.max.x, b.min.y), (b.max.x, b.max.y), (b.min.x, b.max.y)]
        .map(|(x, y)| Point { x, y })
        .to_vec()
}

/// The extent of every placement that has contours.
fn extents(contours: &[Contour]) -> Vec<Extent> {
    let mut boxes: BTreeMap<usize, Bounds> = BTreeMap::new();
    for (placement, bounds) in contours.iter().filter_map(|c| Some((c.placement?, c.bounds))) {
        boxes.entry(placement).and_modify(|b| *b = b.with(bounds)).or_insert(bounds);
    }
    boxes.into_iter().map(|(placement, bounds)| Extent { placement, bounds }).collect()
}

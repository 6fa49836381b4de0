//! Contours in contours: outlines, holes, islands.

use super::grid::Grid;
use super::report::{Kind, Report};
use super::{Broken, Contour};
use crate::read::Found;
use crate::shape::{Bounds, Region, RegionFault, Ring, lies_inside, rings_cross};

/// Nests the contours of each layer by the even-odd rule. Outlines come out in the order in
/// which they begin in the file, numbered from 1; holes that cannot be cut are broken.
pub(super) fn nest(contours: Vec<Contour>, report: &mut Report) -> (Vec<Found>, Vec<Broken>) {
    let parents = parents(&contours, report);
    let depths = depths(&contours, &parents);
    let mut holes: Vec<Vec<usize>> = vec![Vec::new(); contours.len()];
    for (i, parent) in parents.iter().enumerate() {
        if let Some(parent) = parent.filter(|_| !depths[i].is_multiple_of(2)) {
            holes[parent].push(i);
        }
    }
    let (mut found, mut broken) = (Vec::new(), Vec::new());
    for i in (0..contours.len()).filter(|i| depths[*i].is_multiple_of(2)) {
        let region = region(&contours, i, std::mem::take(&mut holes[i]), report, &mut broken);
        found.push(Found { number: found.len() + 1, layer: contours[i].layer.to_string(), region });
    }
    (found, broken)
}

/// The smallest contour round each contour.
fn parents(contours: &[Contour], report: &mut Report) -> Vec<Option<usize>> {
    let mut by_area: Vec<(f64, usize)> =
        contours.iter().enumerate().map(|(i, c)| (c.ring.area(), i)).collect();
    by_area.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let boxes: Vec<Bounds> = by_area.iter().map(|(_, i)| contours[*i].ring.bounds()).collect();
    let grid = Grid::new(&boxes);
    let mut parents = vec![None; contours.len()];
    for (small, (_, i)) in by_area.iter().enumerate() {
        let inner = &contours[*i];
        for large in grid.near(&boxes[small]).into_iter().filter(|large| *large > small) {
            let outer = &contours[by_area[large].1];
            if outer.layer != inner.layer || !boxes[small].near(&boxes[large], 0.0) {
                continue;
            }
            match relation(&inner.ring, &outer.ring) {
                Relation::Inside => {
                    parents[*i] = Some(by_area[large].1);
                    break;
                }
                Relation::Crossing => warn_crossing(inner, outer, report),
                Relation::Apart => {}
            }
        }
    }
    parents
}

enum Relation {
    Inside,
    Crossing,
    Apart,
}

fn relation(inner: &Ring, outer: &Ring) -> Relation {
    if rings_cross(inner, outer) {
        return Relation::Crossing;
    }
    if lies_inside(inner, outer) { Relation::Inside } else { Relation::Apart }
}

fn warn_crossing(inner: &Contour, outer: &Contour, report: &mut Report) {
    let what = format!(
        "the contour crosses the one that begins at {}; each is an outline of its own",
        if outer.place.is_empty() { "another place" } else { &outer.place }
    );
    report.warn(Kind::Crossing, &inner.layer, &inner.place, inner.ring.points()[0], &what, "");
}

/// How many contours lie round each contour. Parents are larger, so going by falling area
/// every parent is known before its children.
fn depths(contours: &[Contour], parents: &[Option<usize>]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..contours.len()).collect();
    let area: Vec<f64> = contours.iter().map(|c| c.ring.area()).collect();
    order.sort_by(|a, b| area[*b].total_cmp(&area[*a]).then(b.cmp(a)));
    let mut depths = vec![0; contours.len()];
    for i in order {
        depths[i] = parents[i].map_or(0, |p| depths[p] + 1);
    }
    depths
}

/// The region of an outline; holes that meet another are taken out and reported as broken.
fn region(
    contours: &[Contour],
    outline: usize,
    mut holes: Vec<usize>,
    report: &mut Report,
    broken: &mut Vec<Broken>,
) -> Region {
    let ring = |i: usize| contours[i].ring.clone();
    loop {
        let fault = match Region::new(ring(outline), holes.iter().map(|i| ring(*i)).collect()) {
            Ok(region) => return region,
            Err(RegionFault::HoleOutside { hole }) => hole,
            Err(RegionFault::HolesMeet { second, .. }) => second,
        };
        let hole = &contours[holes.remove(fault)];
        broken.push(report.hole_meets(&hole.layer, &hole.place, hole.ring.points()[0]));
    }
}

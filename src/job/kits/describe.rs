//! What the fit sheet says of a part: its kind in words, its side view, its seams, its strain.

use super::model::{Kind, NoseProfile, Part};
use super::sheet::{PartSheet, StrainSheet};
use crate::panels::profile::{Edge, Meridian, NoseShape};
use crate::panels::{EdgeFinish, Film, Hand, Lap, Made, Seam};
use crate::shape::Point;

/// Chord tolerance of the side view in mm: it is a picture.
const PICTURE_TOLERANCE: f64 = 0.1;

/// Half of the side view, from the tip on.
pub(super) fn silhouette(meridian: &Meridian) -> Vec<Point> {
    let edge = Edge { per_radius: 1.0, doubled_below: 0.0 };
    let stations = meridian.sample(&edge, PICTURE_TOLERANCE);
    stations.iter().map(|s| Point { x: s.axial, y: s.radius }).collect()
}

/// The sheet of a part before anything is known of its panels.
pub(super) fn blank_sheet(part: &Part, film: &Film) -> PartSheet {
    PartSheet {
        id: part.id.clone(),
        what: what(&part.kind),
        film: film.clone(),
        silhouette: Vec::new(),
        slants: [None; 2],
        separates: part.separates,
        covered_by_previous: false,
        pieces: 0,
        seams: Vec::new(),
        seam_twist: 0.0,
        overlap: 0.0,
        lap_under: None,
        lapped: String::new(),
        panels: Vec::new(),
        strain: None,
        notes: Vec::new(),
    }
}

fn what(kind: &Kind) -> String {
    match kind {
        Kind::Nose(nose) => match &nose.profile {
            NoseProfile::Measured(_) => "nose, measured".into(),
            NoseProfile::Shape { shape, .. } => format!("nose, {}", shape_words(shape)),
        },
        Kind::Tube(_) => "tube".into(),
        Kind::Transition(t) if t.fore_radius > t.aft_radius => {
            format!("boat tail, {}", shape_words(&t.shape))
        }
        Kind::Transition(t) => format!("transition, {}", shape_words(&t.shape)),
        Kind::Fin(_) => "fins, left and right faces".into(),
        Kind::Plate(_) => "plate".into(),
    }
}

fn shape_words(shape: &NoseShape) -> String {
    match shape {
        NoseShape::Conical => "conical".into(),
        NoseShape::TangentOgive => "tangent ogive".into(),
        NoseShape::SecantOgive { radius } => format!("secant ogive of radius {radius:.1} mm"),
        NoseShape::Elliptical => "elliptical".into(),
        NoseShape::Parabolic { k } => format!("parabolic series, k = {k}"),
        NoseShape::Power { n } => format!("power series, n = {n}"),
        NoseShape::Haack { c } if *c == 0.0 => "von Karman".into(),
        NoseShape::Haack { c } => format!("Haack series, C = {c:.4}"),
    }
}

/// Adds where the seams of a round part lie, and how they lap. `twist` in degrees for each mm along the body.
pub(super) fn describe_round(sheet: &mut PartSheet, made: &Made, seam: &Seam, front: f64, twist: f64) {
    sheet.pieces = made.pieces;
    sheet.overlap = seam.overlap;
    sheet.seam_twist = twist;
    let n = f64::from(made.pieces);
    sheet.seams = (0..made.pieces).map(|k| front + (f64::from(k) + 0.5) * 360.0 / n).collect();
    sheet.lap_under = (seam.lap == Lap::One).then_some(seam.under);
    sheet.lapped = match (seam.lap, seam.under) {
        (Lap::Both, _) => "overlap on both edges, trimmed when laid".into(),
        (Lap::One, Hand::Left) => "the left edge of each panel lies under its left neighbour".into(),
        (Lap::One, Hand::Right) => "the right edge of each panel lies under its right neighbour".into(),
    };
    if made.panels.iter().any(|p| p.unmarked_edge) {
        sheet.notes.push("the numbers stand on the lap only, where nothing of them is seen later".into());
    }
}

/// In which order the faces of a fin are laid.
pub(super) fn fin_words(edges: EdgeFinish) -> &'static str {
    match edges {
        EdgeFinish::Flush => "the left faces, then the right ones; both end at the edges",
        EdgeFinish::SetBack(_) => {
            "the left faces, then the right ones; both end a little before the free edges"
        }
        EdgeFinish::Wrap { first: Some(Hand::Left), .. } => {
            "the left faces first, folded round the free edges; the right faces lie over the folds"
        }
        EdgeFinish::Wrap { first: Some(Hand::Right), .. } => {
            "the right faces first, folded round the free edges; the left faces lie over the folds"
        }
        EdgeFinish::Wrap { first: None, .. } => {
            "the left faces first, folded round the free edges; then the right faces, folded over the left ones"
        }
    }
}

/// What the film must give to lie on a doubly curved part.
pub(super) fn strain_sheet(made: &Made, meridian: &Meridian) -> StrainSheet {
    let s = &made.strain;
    StrainSheet {
        excess: s.excess,
        along: s.along.clone(),
        arc_length: meridian.arc_length(),
        worst_from_base: meridian.arc_length() - s.worst_arc,
        orders: s.orders.clone(),
        order: made.order,
        demand: made.demand,
        verdict: made.verdict.words(),
    }
}

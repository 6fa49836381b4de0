//! What is probably typed wrong: a circumference as a diameter, inches as millimetres.

use super::model::{Kind, Kit, NoseProfile};
use crate::panels::Planform;
use crate::shape::Bounds;
use std::f64::consts::PI;

/// A doubt about part `part`, or about the whole kit.
pub(super) struct Doubt {
    pub part: Option<usize>,
    pub field: &'static str,
    pub what: String,
    pub remedy: &'static str,
}

/// A rocket shorter than this, in mm, was probably given in inches.
const SHORTEST: f64 = 20.0;

/// A rocket longer than this, in mm, probably has its millimetres read as inches.
const LONGEST: f64 = 10_000.0;

/// Diameters of neighbours whose ratio is as near to pi as this are a diameter and a circumference.
const NEAR_PI: f64 = 0.03;

const CHECK_DIAMETER: &str =
    "was a circumference typed as a diameter? `circumference` takes what a tape measures";

/// Everything doubtful about a kit.
pub(super) fn doubts(kit: &Kit) -> Vec<Doubt> {
    let mut list = Vec::new();
    let length: f64 = kit.parts.iter().map(|p| axial_length(&p.kind)).sum();
    for (i, part) in kit.parts.iter().enumerate() {
        match &part.kind {
            Kind::Nose(nose) => {
                let (width, long) = nose_size(&nose.profile);
                if width > long {
                    let what = format!("the nose is {width:.1} mm wide and {long:.1} mm long");
                    list.push(Doubt { part: Some(i), field: "diameter", what, remedy: CHECK_DIAMETER });
                }
            }
            Kind::Fin(fin) => {
                let (root, span) = fin_size(&fin.planform);
                if length > 0.0 && root.max(span) > length {
                    let what = format!("a fin of {root:.1} x {span:.1} mm on a body {length:.1} mm long");
                    list.push(Doubt {
                        part: Some(i),
                        field: "planform",
                        what,
                        remedy: "check the fin's numbers and their unit",
                    });
                }
            }
            _ => {}
        }
    }
    list.extend(joints(kit));
    list.extend(whole(kit, length));
    list
}

fn whole(kit: &Kit, length: f64) -> Option<Doubt> {
    // A kit of fins alone is as large as its largest fin.
    let (what, size) = match length {
        l if l > 0.0 => ("whole rocket", l),
        _ => ("largest fin", kit.parts.iter().map(|p| fin_extent(&p.kind)).fold(0.0, f64::max)),
    };
    let doubt = |what: String, remedy| Some(Doubt { part: None, field: "unit", what, remedy });
    if size > 0.0 && size < SHORTEST {
        return doubt(
            format!("the {what} is {size:.2} mm long"),
            "were inches typed as mm? Say \"unit\": \"in\"",
        );
    }
    if size > LONGEST {
        return doubt(
            format!("the {what} is {:.1} m long", size / 1000.0),
            "were mm read as inches? Say \"unit\": \"mm\"",
        );
    }
    None
}

fn fin_extent(kind: &Kind) -> f64 {
    match kind {
        Kind::Fin(fin) => {
            let (root, span) = fin_size(&fin.planform);
            root.max(span)
        }
        _ => 0.0,
    }
}

/// Neighbours one of which is pi times as wide as the other.
fn joints(kit: &Kit) -> Vec<Doubt> {
    let mut list = Vec::new();
    let mut before: Option<f64> = None;
    for (i, part) in kit.parts.iter().enumerate() {
        let Some((fore, aft)) = end_radii(&part.kind) else { continue };
        if let Some(previous) = before.filter(|p| *p > 0.0 && fore > 0.0) {
            let ratio = previous.max(fore) / previous.min(fore);
            if (ratio / PI - 1.0).abs() < NEAR_PI {
                let what = format!(
                    "its fore end is {:.1} mm wide where the part before is {:.1} mm",
                    2.0 * fore,
                    2.0 * previous
                );
                list.push(Doubt { part: Some(i), field: "diameter", what, remedy: CHECK_DIAMETER });
            }
        }
        before = Some(aft);
    }
    list
}

fn end_radii(kind: &Kind) -> Option<(f64, f64)> {
    match kind {
        Kind::Nose(n) => Some((0.0, 0.5 * nose_size(&n.profile).0)),
        Kind::Tube(t) => Some((t.radius, t.radius)),
        Kind::Transition(t) => Some((t.fore_radius, t.aft_radius)),
        Kind::Fin(_) | Kind::Plate(_) => None,
    }
}

fn axial_length(kind: &Kind) -> f64 {
    match kind {
        Kind::Nose(n) => nose_size(&n.profile).1,
        Kind::Tube(t) => t.length,
        Kind::Transition(t) => t.length,
        Kind::Fin(_) | Kind::Plate(_) => 0.0,
    }
}

fn nose_size(profile: &NoseProfile) -> (f64, f64) {
    match profile {
        NoseProfile::Shape { radius, length, .. } => (2.0 * radius, *length),
        NoseProfile::Measured(m) => (2.0 * m.body.aft_radius(), m.body.axial_length()),
    }
}

fn fin_size(planform: &Planform) -> (f64, f64) {
    match planform {
        Planform::Trapezoid { root, span, .. } | Planform::Elliptical { root, span } => (*root, *span),
        Planform::Polygon(points) => Bounds::of(points).map_or((0.0, 0.0), |b| (b.width(), b.height())),
    }
}

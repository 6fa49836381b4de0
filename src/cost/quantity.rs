//! Lengths and areas in whole micrometres, so that money is exact.

use crate::job::{Panel, Unit};
use crate::layout::{Layout, Placement};
use crate::shape::Bounds;
use std::collections::BTreeMap;

/// What the pieces of one kit ask of one piece of film, in square micrometres.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Claim {
    pub kit: Option<String>,
    pub pieces: u64,
    /// Area of required panels, and of the upright boxes round them as they lie.
    pub panel: u128,
    pub boxes: u128,
    /// The same of fillers.
    pub filler: u128,
    pub filler_boxes: u128,
}

/// The claims of a layout by kit, in the order of the ids, those without a kit last.
pub(super) fn claims(layout: &Layout) -> Vec<Claim> {
    let mut claims: BTreeMap<super::Key, Claim> = BTreeMap::new();
    for place in &layout.placements {
        let Some(panel) = layout.panels.get(place.panel) else { continue };
        let claim = claims
            .entry(super::key(panel.kit.as_ref()))
            .or_insert_with(|| Claim { kit: panel.kit.clone(), ..Claim::default() });
        claim.pieces += 1;
        let (area, boxed) = (panel.area(), box_area(panel, place));
        let (panels, boxes) = if panel.optional {
            (&mut claim.filler, &mut claim.filler_boxes)
        } else {
            (&mut claim.panel, &mut claim.boxes)
        };
        *panels += square_micrometres(area, layout.unit);
        *boxes += square_micrometres(boxed, layout.unit);
    }
    claims.into_values().collect()
}

/// Area of the upright box round a panel as it lies.
fn box_area(panel: &Panel, place: &Placement) -> f64 {
    let pose = place.pose();
    let points = panel.parts.iter().flat_map(|part| part.outline().points()).map(|p| pose.apply(*p));
    let bounds = points.fold(None, |b: Option<Bounds>, p| {
        let mut b = b.unwrap_or(Bounds { min: p, max: p });
        b.add(p);
        Some(b)
    });
    bounds.map_or(0.0, |b| b.width() * b.height())
}

/// Whole micrometres.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "saturates; lengths are 0 or more"
)]
pub(super) fn micrometres(mm: f64) -> u64 {
    (mm * 1e3).round() as u64
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates; areas are 0 or more")]
fn square_micrometres(area: f64, unit: Unit) -> u128 {
    (area * unit.in_mm() * unit.in_mm() * 1e6).round() as u128
}

/// Back to square millimetres.
pub(super) fn mm2(square_micrometres: u128) -> f64 {
    square_micrometres as f64 / 1e6
}

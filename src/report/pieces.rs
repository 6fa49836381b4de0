//! The pieces as they come off the roll.

use super::Piece;
use crate::layout::{Layout, Placement};
use crate::shape::{Bounds, Point};

/// Every placed piece, by least x, then by least y; numbered from 1.
pub(super) fn in_order_of_the_roll(layout: &Layout) -> Vec<Piece> {
    let mut pieces: Vec<Piece> =
        layout.placements.iter().enumerate().filter_map(|(i, p)| piece(layout, i, p)).collect();
    pieces.sort_by(|a, b| {
        a.x_mm.total_cmp(&b.x_mm).then(a.y_mm.total_cmp(&b.y_mm)).then(a.placement.cmp(&b.placement))
    });
    for (i, piece) in pieces.iter_mut().enumerate() {
        piece.number = i + 1;
    }
    pieces
}

/// `None` for a placement of a panel that the layout lacks, which no checked layout has.
fn piece(layout: &Layout, index: usize, placement: &Placement) -> Option<Piece> {
    let panel = layout.panels.get(placement.panel)?;
    let (pose, mm) = (placement.pose(), layout.unit.in_mm());
    let points: Vec<Point> =
        panel.parts.iter().flat_map(|part| part.outline().points()).map(|p| pose.apply(*p) * mm).collect();
    let b = Bounds::of(&points)?;
    let (copy, copies) = panel.numbered(placement.copy);
    Some(Piece {
        number: 0,
        panel: panel.id.clone(),
        copy,
        copies,
        kit: panel.kit.clone(),
        filler: panel.optional,
        x_mm: b.min.x,
        y_mm: b.min.y,
        along_mm: b.width(),
        across_mm: b.height(),
        area_mm2: panel.area() * mm * mm,
        rotation_degrees: placement.rotation,
        mirrored: placement.mirrored,
        placement: index,
        panel_index: placement.panel,
    })
}

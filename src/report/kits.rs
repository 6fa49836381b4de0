//! The orders and what of them lies on the film.

use super::Kit;
use super::Piece;
use crate::layout::Layout;

/// One entry for each order with a piece on the film, in the order in which the job names them.
pub(super) fn in_order_of_the_job(layout: &Layout, pieces: &[Piece]) -> Vec<Kit> {
    let mut kits: Vec<Kit> = Vec::new();
    let mut index = std::collections::BTreeMap::new();
    for panel in &layout.panels {
        index.entry(panel.kit.clone()).or_insert_with(|| {
            kits.push(empty(panel.kit.clone()));
            kits.len() - 1
        });
    }
    for piece in pieces {
        if let Some(kit) = index.get(&piece.kit).and_then(|i| kits.get_mut(*i)) {
            add(kit, piece);
        }
    }
    kits.retain(|kit| kit.pieces + kit.fillers > 0);
    kits
}

fn empty(kit: Option<String>) -> Kit {
    Kit {
        kit,
        pieces: 0,
        fillers: 0,
        panel_area_mm2: 0.0,
        filler_area_mm2: 0.0,
        film_area_mm2: 0.0,
        cost: None,
        from_x_mm: f64::INFINITY,
        to_x_mm: f64::NEG_INFINITY,
    }
}

fn add(kit: &mut Kit, piece: &Piece) {
    let (count, area) = if piece.filler {
        (&mut kit.fillers, &mut kit.filler_area_mm2)
    } else {
        (&mut kit.pieces, &mut kit.panel_area_mm2)
    };
    *count += 1;
    *area += piece.area_mm2;
    kit.from_x_mm = kit.from_x_mm.min(piece.x_mm);
    kit.to_x_mm = kit.to_x_mm.max(piece.x_mm + piece.along_mm);
}

//! Panels laid out side by side to look at, in place of a nested layout.

use super::{Layout, MadeBy, Placement, assemble};
use crate::job::{Job, Panel, Roll, Shop, Unit};
use crate::shape::{Bounds, Point, Region};

/// Space between panels, in mm: enough for a label.
const SPACE_MM: f64 = 12.0;

/// Copies of one panel that are drawn one by one when their lines differ; more than this are
/// nothing anybody looks at.
const MOST_COPIES: u32 = 48;

/// Panels in rows, one below the other: each panel once, or every copy of it in one row where the
/// copies have lines of their own.
pub fn table(name: &str, unit: Unit, panels: &[Panel]) -> Layout {
    let space = SPACE_MM / unit.in_mm();
    let mut placements = Vec::new();
    let mut y = space;
    for (i, panel) in panels.iter().enumerate().rev() {
        let Some(b) = panel.parts.iter().map(Region::bounds).reduce(Bounds::with) else { continue };
        for k in 0..drawn(panel) {
            let x = space - b.min.x + f64::from(k) * (b.width() + space);
            let at = Point { x, y: y - b.min.y };
            placements.push(Placement { panel: i, copy: k + 1, at, rotation: 0.0, mirrored: false });
        }
        y += b.height() + space;
    }
    let roll = Roll { tail_margin: space, ..Roll::plain(y) };
    let panels = panels.iter().map(|p| Panel { copies: drawn(p), ..p.clone() }).collect();
    let shop = Shop::default();
    let job = Job { name: name.to_owned(), source: None, unit, roll, gap: space, panels, notes: None, shop };
    let made_by =
        MadeBy { version: String::new(), seed: 0, walks: 0, rounds: 0, stopped: "side by side".to_owned() };
    assemble(&job, placements, made_by)
}

fn drawn(panel: &Panel) -> u32 {
    let differ = panel.lines.iter().any(|l| l.copy.is_some());
    if differ { panel.copies.min(MOST_COPIES) } else { 1 }
}

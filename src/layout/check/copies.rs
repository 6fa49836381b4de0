//! Every copy of every required panel lies somewhere, exactly once, and nothing else does.

use super::{Fault, Placed, Stencil};
use crate::job::{By, Panel, Stray, stray_line};
use crate::layout::Layout;
use crate::shape::{Contours, is_thicker_than};
use std::collections::{BTreeMap, BTreeSet};

/// Checks the copies and gives those that can be judged further.
pub(super) fn check<'a>(
    layout: &'a Layout,
    stencils: &'a [Stencil],
    faults: &mut Vec<Fault>,
) -> Vec<Placed<'a>> {
    check_ids(&layout.panels, faults);
    check_thickness(layout, faults);
    check_lines(layout, faults);
    let mut seen: BTreeSet<(usize, u32)> = BTreeSet::new();
    let mut placed = Vec::with_capacity(layout.placements.len());
    for place in &layout.placements {
        let panel = layout.panels.get(place.panel).filter(|panel| (1..=panel.copies).contains(&place.copy));
        let (Some(panel), Some(stencil)) = (panel, stencils.get(place.panel)) else {
            let id = layout.panels.get(place.panel).map(|panel| panel.id.clone());
            let id = id.unwrap_or_else(|| format!("panels[{}]", place.panel));
            faults.push(Fault::NoSuchCopy { copy: name(&id, place.copy) });
            continue;
        };
        let copy = name(&panel.id, place.copy);
        if !seen.insert((place.panel, place.copy)) {
            faults.push(Fault::PlacedTwice { copy: copy.clone() });
        }
        match Placed::new(copy.clone(), panel, place, stencil) {
            Some(p) => placed.push(p),
            None => faults.push(Fault::Unplaceable { copy }),
        }
    }
    check_complete(&layout.panels, &seen, faults);
    placed
}

/// What faults call a copy.
pub(super) fn name(id: &str, copy: u32) -> String {
    format!("{id}#{copy}")
}

fn check_ids(panels: &[Panel], faults: &mut Vec<Fault>) {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for panel in panels {
        *counts.entry(&panel.id).or_default() += 1;
    }
    let doubled = counts.into_iter().filter(|(_, count)| *count > 1);
    faults.extend(doubled.map(|(id, _)| Fault::DuplicateId { id: id.into() }));
}

fn check_lines(layout: &Layout, faults: &mut Vec<Fault>) {
    let most = 0.5 * layout.gap + layout.roll.tolerance();
    let strays = layout.panels.iter().filter_map(|panel| Some((panel, stray_line(panel, By::Knife, most)?)));
    faults.extend(strays.map(|(panel, Stray { line, near })| Fault::StrayLine {
        id: panel.id.clone(),
        line,
        near,
    }));
}

fn check_thickness(layout: &Layout, faults: &mut Vec<Fault>) {
    let depth = 0.5 * layout.roll.thinnest();
    for panel in &layout.panels {
        for (part, region) in panel.parts.iter().enumerate() {
            if !is_thicker_than(&Contours::of_regions([region]), depth) {
                faults.push(Fault::TooThin { id: panel.id.clone(), part });
            }
        }
    }
}

fn check_complete(panels: &[Panel], seen: &BTreeSet<(usize, u32)>, faults: &mut Vec<Fault>) {
    for (index, panel) in panels.iter().enumerate().filter(|(_, panel)| !panel.optional && panel.copies > 0) {
        let of_panel = || seen.range((index, 1)..=(index, panel.copies)).map(|(_, copy)| *copy);
        let missing = panel.copies - of_panel().count() as u32;
        if missing > 0 {
            let first = (1..).zip(of_panel()).find(|(want, have)| want != have).map(|(want, _)| want);
            let first = first.unwrap_or(panel.copies - missing + 1);
            faults.push(Fault::NotPlaced { copy: name(&panel.id, first), more: missing - 1 });
        }
    }
}

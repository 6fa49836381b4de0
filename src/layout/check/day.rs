//! What the layouts of a day must come to together.

use super::Fault;
use super::copies::name;
use crate::job::Day;
use crate::layout::Layout;
use std::collections::BTreeMap;

/// Where the layouts of a day's pieces of film do not hold every copy of every required panel once. Copies go by
/// their numbers in the day. Says nothing of each layout by itself; [`check`](super::check) does.
pub fn check_day(layouts: &[&Layout], day: &Day) -> Vec<Fault> {
    let mut times: BTreeMap<(&str, u32), usize> = BTreeMap::new();
    for layout in layouts {
        for place in &layout.placements {
            let Some(panel) = layout.panels.get(place.panel) else { continue };
            *times.entry((&panel.id, panel.numbered(place.copy).0)).or_default() += 1;
        }
    }
    let twice = times.iter().filter(|(_, times)| **times > 1);
    let mut faults: Vec<Fault> =
        twice.map(|((id, copy), _)| Fault::PlacedTwice { copy: name(id, *copy) }).collect();
    for panel in day.panels.iter().filter(|panel| !panel.optional) {
        let mut missing = (1..=panel.copies).filter(|copy| !times.contains_key(&(panel.id.as_str(), *copy)));
        if let Some(first) = missing.next() {
            faults.push(Fault::NotPlaced { copy: name(&panel.id, first), more: missing.count() as u32 });
        }
    }
    faults
}

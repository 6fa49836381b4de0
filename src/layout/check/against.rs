//! What a layout and its job must have in common.

use super::Fault;
use crate::job::{Job, Panel};
use crate::layout::Layout;
use std::collections::BTreeMap;

/// Where the layout is not one of this job: panels, roll, gap or unit that differ, value by
/// value. Says nothing of the placements; [`check`](super::check) does.
pub fn check_against(layout: &Layout, job: &Job) -> Vec<Fault> {
    let mut found = Differences(Vec::new());
    found.compare("unit", &layout.unit, &job.unit);
    found.compare("gap", &layout.gap, &job.gap);
    found.compare_rolls(layout, job);
    found.compare_panels(layout, job);
    found.0
}

struct Differences(Vec<Fault>);

impl Differences {
    fn compare<T: PartialEq>(&mut self, place: impl Into<String>, ours: &T, jobs: &T) {
        if ours != jobs {
            self.0.push(Fault::Differs { place: place.into() });
        }
    }

    fn compare_rolls(&mut self, layout: &Layout, job: &Job) {
        let (a, b) = (&layout.roll, &job.roll);
        self.compare("roll.width", &a.width, &b.width);
        self.compare("roll.edge_margin", &a.edge_margin, &b.edge_margin);
        self.compare("roll.lead_margin", &a.lead_margin, &b.lead_margin);
        self.compare("roll.tail_margin", &a.tail_margin, &b.tail_margin);
        self.compare("roll.length", &a.length, &b.length);
        self.compare("roll.flaws", &a.flaws, &b.flaws);
        self.compare("roll.id", &a.piece.id, &b.piece.id);
        self.compare("roll.film", &a.piece.film, &b.piece.film);
        self.compare("roll.price", &a.piece.price, &b.piece.price);
    }

    fn compare_panels(&mut self, layout: &Layout, job: &Job) {
        let (ours, jobs) = (by_id(&layout.panels), by_id(&job.panels));
        for (id, panel) in &jobs {
            match ours.get(id) {
                Some(own) => self.compare_panel(own, panel),
                None => self.0.push(Fault::PanelMissing { id: (*id).into() }),
            }
        }
        let unknown = ours.into_keys().filter(|id| !jobs.contains_key(id));
        self.0.extend(unknown.map(|id| Fault::PanelUnknown { id: id.into() }));
    }

    fn compare_panel(&mut self, own: &Panel, jobs: &Panel) {
        let place = |key: &str| format!("panel {}: {key}", own.id);
        self.compare(place("outline, holes or parts"), &own.parts, &jobs.parts);
        self.compare(place("lines"), &own.lines, &jobs.lines);
        self.compare(place("copies"), &own.copies, &jobs.copies);
        self.compare(place("numbers"), &own.numbers, &jobs.numbers);
        self.compare(place("grain"), &own.grain, &jobs.grain);
        self.compare(place("mirror"), &own.mirror, &jobs.mirror);
        self.compare(place("optional"), &own.optional, &jobs.optional);
        self.compare(place("kit"), &own.kit, &jobs.kit);
        self.compare(place("film"), &own.film, &jobs.film);
        self.compare(place("match"), &own.match_group, &jobs.match_group);
        self.compare(place("keep_clear"), &own.keep_clear, &jobs.keep_clear);
        self.compare(place("fill_holes"), &own.fill_holes, &jobs.fill_holes);
    }
}

fn by_id(panels: &[Panel]) -> BTreeMap<&str, &Panel> {
    panels.iter().map(|panel| (panel.id.as_str(), panel)).collect()
}

//! Whether cells cut the same panels: film that is spent on less is not cheaper.

use super::Cell;
use crate::job::Panel;
use crate::shape::Region;
use std::collections::{BTreeMap, BTreeSet};

/// The settings by which kits are made of other panels: a nose in other gores, and a part in other strips
/// where the film is narrower.
const REMAKES: [&str; 2] = ["gores", "width"];

/// What a cell must cut, over all pieces of film.
pub(super) struct Wanted<'a> {
    settings: Vec<&'a (String, String)>,
    panels: BTreeMap<&'a str, Entry<'a>>,
}

/// One required panel.
#[derive(PartialEq)]
struct Entry<'a> {
    kit: Option<&'a str>,
    parts: &'a [Region],
    copies: u64,
}

impl<'a> Wanted<'a> {
    /// Of one cell.
    pub fn of(cell: &'a Cell) -> Self {
        let mut panels: BTreeMap<&str, Entry<'_>> = BTreeMap::new();
        for panel in cell.layouts.iter().flat_map(|l| &l.panels).filter(|p| !p.optional) {
            let Panel { id, kit, parts, copies, .. } = panel;
            let entry = Entry { kit: kit.as_deref(), parts, copies: 0 };
            panels.entry(id).or_insert(entry).copies += u64::from(*copies);
        }
        let settings = cell.name.settings.iter().filter(|(key, _)| REMAKES.contains(&key.as_str())).collect();
        Self { settings, panels }
    }

    /// Whether another cell cuts the same. Where its kits may be made of other panels, it has the same orders, the
    /// same panels of none, and as many of each panel that is the same.
    pub fn is_that_of(&self, other: &Self) -> bool {
        if self.settings == other.settings {
            return self.panels == other.panels;
        }
        self.orders() == other.orders() && self.is_within(other) && other.is_within(self)
    }

    fn orders(&self) -> BTreeSet<&str> {
        self.panels.values().filter_map(|entry| entry.kit).collect()
    }

    fn is_within(&self, other: &Self) -> bool {
        self.panels.iter().all(|(id, own)| match other.panels.get(id) {
            Some(theirs) => own == theirs || own.kit.is_some() && own.parts != theirs.parts,
            None => own.kit.is_some(),
        })
    }
}

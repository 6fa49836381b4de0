//! Colours of orders.

use crate::layout::Layout;
use std::collections::BTreeMap;

/// Fills for the orders. Chosen so that any two of them and the film lie at least 0.08 apart
/// in Oklab (B. Ottosson, 2020), with normal sight and as a protanope, deuteranope or
/// tritanope sees them (G. M. Machado et al., IEEE Trans. Vis. Comput. Graph. 15, 2009), and
/// all light enough for dark letters.
const FILLS: [&str; 10] = [
    "#67def2", "#c8800d", "#d7e6ab", "#5d91e7", "#eec651", "#b879b2", "#bcc6a2", "#e69c3a", "#68b7ed",
    "#c098a3",
];

/// Fill of panels that belong to no order where others do.
const NO_ORDER: &str = "#ffffff";

/// One line of the legend.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Entry {
    /// The order; where the job has no orders, the panel.
    pub name: String,
    /// Its fill.
    pub fill: &'static str,
    /// Pieces of it on the film.
    pub pieces: usize,
}

/// Which colour every panel has.
#[derive(Debug)]
pub(super) struct Palette {
    /// The legend, in the order in which the layout lists the panels.
    pub entries: Vec<Entry>,
    /// For every panel of the layout, its entry.
    pub of_panel: Vec<usize>,
}

impl Palette {
    /// Colours by order, or by panel where no panel belongs to an order. After ten the colours
    /// begin again: the labels tell such orders apart.
    pub fn of(layout: &Layout) -> Self {
        let any_kit = layout.panels.iter().any(|p| p.kit.is_some());
        let mut palette = Self { entries: Vec::new(), of_panel: Vec::new() };
        let mut seen = BTreeMap::new();
        for panel in &layout.panels {
            let key = if any_kit { panel.kit.as_deref() } else { Some(panel.id.as_str()) };
            let entry = *seen.entry(key).or_insert_with(|| {
                let used = palette.entries.iter().filter(|e| e.fill != NO_ORDER).count();
                let fill = if key.is_some() { FILLS[used % FILLS.len()] } else { NO_ORDER };
                palette.entries.push(Entry { name: key.unwrap_or("no order").to_owned(), fill, pieces: 0 });
                palette.entries.len() - 1
            });
            palette.of_panel.push(entry);
        }
        for placement in &layout.placements {
            if let Some(&entry) = palette.of_panel.get(placement.panel) {
                palette.entries[entry].pieces += 1;
            }
        }
        palette
    }
}

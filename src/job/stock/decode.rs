//! From the JSON tree of a stock file to the parsed stock.

use super::{Cut, FORMAT, Stock};
use crate::job::Shop;
use crate::job::decode::Decoder;
use crate::json::{Fields, Node, Path};

impl Decoder<'_> {
    /// The whole stock file.
    pub(super) fn stock(&mut self, node: &Node<'_>) -> Option<Stock> {
        let mut fields = Fields::open(node, self.report)?;
        if !self.format(&mut fields, FORMAT) {
            return None;
        }
        self.unit(&mut fields);
        let keep = fields.get("keep").and_then(|n| self.keep(&n));
        // A stock may run out.
        let rolls = fields.need("rolls", self.report).map_or_else(Vec::new, |n| self.film_in_stock(&n));
        self.check_rolls(&rolls, &Shop::default(), &Path::ROOT.key("rolls"));
        let cut = fields.get("cut").map_or_else(Vec::new, |n| self.cuts(&n));
        let notes = self.notes(fields.get("notes"));
        fields.finish(self.report);
        Some(Stock { unit: self.unit, keep, rolls, cut, notes })
    }

    fn film_in_stock(&mut self, node: &Node<'_>) -> Vec<crate::job::Roll> {
        if node.value.as_array().is_some_and(Vec::is_empty) { Vec::new() } else { self.rolls(node) }
    }

    fn cuts(&mut self, node: &Node<'_>) -> Vec<Cut> {
        let Some(items) = node.items(self.report) else { return Vec::new() };
        items.filter_map(|n| self.cut(&n)).collect()
    }

    fn cut(&mut self, node: &Node<'_>) -> Option<Cut> {
        let mut fields = Fields::open(node, self.report)?;
        let layout = fields.need("layout", self.report).and_then(|n| self.id(&n));
        let roll = fields.need("roll", self.report).and_then(|n| self.id(&n));
        let length = fields.need("length", self.report).and_then(|n| self.size(&n));
        fields.finish(self.report);
        Some(Cut { layout: layout?, roll: roll?, length: length? })
    }
}

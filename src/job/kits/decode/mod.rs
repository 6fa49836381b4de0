//! From the JSON tree of a kit file to the parsed kit, all problems gathered.

mod measure;
mod parts;
mod profile;
mod seams;
mod wraps;

use super::model::{Kit, Part};
use crate::job::decode::Decoder;
use crate::json::{Fields, Node};
use seams::Common;

/// The value of `format` in a kit file.
pub(crate) const FORMAT: &str = "tuckroll-kit-1";

impl Decoder<'_> {
    /// The whole kit file.
    pub(super) fn kit(&mut self, node: &Node<'_>) -> Option<Kit> {
        let mut fields = Fields::open(node, self.report)?;
        if !self.format(&mut fields, FORMAT) {
            return None;
        }
        self.unit(&mut fields);
        let name = fields.need("name", self.report).and_then(|n| self.title(&n)).unwrap_or_default();
        let film = self.optional_id(fields.get("film"));
        let films = fields.get("films").and_then(|n| n.text(self.report)).map(str::to_owned);
        let count_thickness = self.flag(fields.get("count_thickness"));
        let seams = self.seams(fields.get("seams"), Common::default());
        let grain = self.grain(fields.get("grain"));
        let common = Common { grain, count_thickness, ..seams };
        let list = fields.need("parts", self.report);
        let parts = list.map_or_else(Vec::new, |n| self.parts_list(&n, common));
        if let Some(list) = list {
            self.wraps(film.as_deref(), &list);
        }
        // For people and other programs; nothing is made of it.
        self.notes(fields.get("notes"));
        fields.finish(self.report);
        Some(Kit { name, unit: self.unit, film, films, parts })
    }

    fn parts_list(&mut self, node: &Node<'_>, common: Common) -> Vec<Part> {
        let Some(items) = self.few(node) else { return Vec::new() };
        if items.len() == 0 {
            node.problem(self.report, "there are no parts", "give at least one");
        }
        items.filter_map(|n| self.part_of_kit(n, common)).collect()
    }
}

//! Several pieces of film.

use super::Decoder;
use crate::job::{Roll, Shop};
use crate::json::{Fields, Node, Path};

impl Decoder<'_> {
    /// The pieces of film of a job, each with an id.
    pub(crate) fn rolls(&mut self, node: &Node<'_>) -> Vec<Roll> {
        let Some(items) = self.few(node) else { return Vec::new() };
        if items.len() == 0 {
            node.problem(self.report, "there are no pieces of film", "give at least one");
        }
        items.filter_map(|n| self.named_roll(n)).collect()
    }

    fn named_roll(&mut self, node: Node<'_>) -> Option<Roll> {
        let node = match node.value.get("id").and_then(serde_json::Value::as_str) {
            Some(id) => node.named("roll", id),
            None => node,
        };
        if node.value.is_object() && node.value.get("id").is_none() {
            node.problem(
                self.report,
                "the piece of film has no `id`",
                "give each an `id`; its result is a folder of that name",
            );
        }
        self.roll(&node)
    }

    /// What concerns all pieces together: ids that differ, and prices for all or for none.
    pub(crate) fn check_rolls(&mut self, rolls: &[Roll], shop: &Shop, path: &Path<'_>) {
        let folded = |roll: &Roll| roll.piece.id.as_ref().map(|id| id.to_lowercase());
        for (i, roll) in rolls.iter().enumerate() {
            let id = folded(roll);
            if let Some(first) = rolls[..i].iter().position(|r| id.is_some() && folded(r) == id) {
                let what = format!("the id is that of rolls[{first}], or differs only in capital letters");
                self.report.problem(
                    &path.index(i).key("id"),
                    what,
                    "some systems take both for one folder; rename one",
                );
            }
        }
        let priced = shop.rates.is_some() || rolls.iter().any(|r| r.piece.price.is_some());
        for (i, _) in rolls.iter().enumerate().filter(|(_, r)| priced && r.piece.price.is_none()) {
            let remedy =
                "give every piece a `price` (amount \"0\" for film that is paid for), or none and no `rates`";
            self.report.problem(&path.index(i), "the price of the film is missing", remedy);
        }
    }

    /// Exactly one way to say what film there is.
    pub(crate) fn one_source_of_film(&mut self, fields: &Fields<'_>, there: [(&str, bool); 3]) {
        let given: Vec<String> =
            there.iter().filter(|(_, yes)| *yes).map(|(key, _)| format!("`{key}`")).collect();
        if given.len() > 1 {
            let what = format!("{} are given together", given.join(" and "));
            fields.problem(self.report, what, "give one of `roll`, `rolls` and `stock`");
        }
    }
}

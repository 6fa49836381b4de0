//! The keys of one object.

use super::node::{Node, Path};
use super::{Report, nearest};
use serde_json::{Map, Value};

/// The keys of one object: what is asked for is known, what is left at the end is not.
/// A decoder asks for every key it knows, whatever the others say, and then calls
/// [`Fields::finish`].
pub(crate) struct Fields<'a> {
    map: &'a Map<String, Value>,
    path: &'a Path<'a>,
    known: Vec<&'static str>,
}

impl<'a> Fields<'a> {
    /// Opens the object at `node`.
    pub fn open(node: &'a Node<'a>, report: &mut Report) -> Option<Self> {
        let Value::Object(map) = node.value else { return node.wrong_type("an object", report) };
        Some(Self { map, path: &node.path, known: Vec::new() })
    }

    /// The value of an optional key.
    pub fn get(&mut self, key: &'static str) -> Option<Node<'a>> {
        self.known.push(key);
        let value = self.map.get(key)?;
        Some(Node { value, path: self.path.key(key) })
    }

    /// The value of a key that must be there.
    pub fn need(&mut self, key: &'static str, report: &mut Report) -> Option<Node<'a>> {
        let node = self.get(key);
        if node.is_none() {
            self.problem(report, format!("the key `{key}` is missing"), "");
        }
        node
    }

    /// Adds a problem about the object as a whole.
    pub fn problem(&self, report: &mut Report, what: impl Into<String>, remedy: impl Into<String>) {
        report.problem(self.path, what, remedy);
    }

    /// Reports every key that nobody asked for.
    pub fn finish(self, report: &mut Report) {
        for key in self.map.keys() {
            if self.known.contains(&key.as_str()) {
                continue;
            }
            let newer = "the file may be meant for a newer version of tuckroll";
            let like = if report.is_full() { None } else { nearest(key, self.known.iter().copied()) };
            let remedy = match like {
                Some(like) => format!("did you mean `{like}`? If not, {newer}"),
                None => newer.to_owned(),
            };
            report.problem(&self.path.key(key), "unknown key", remedy);
        }
    }
}

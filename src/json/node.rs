//! A value of a JSON tree that knows its place.

use super::Report;
use serde_json::Value;
use std::fmt;

/// The place of a value: steps from the root, kept as a chain on the stack.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Path<'a> {
    parent: Option<&'a Path<'a>>,
    step: Step<'a>,
    /// What the value is called by its user, such as `panel "nose"`.
    kind_and_id: Option<(&'static str, &'a str)>,
}

#[derive(Debug, Clone, Copy)]
enum Step<'a> {
    Root,
    Key(&'a str),
    Index(usize),
}

impl<'a> Path<'a> {
    /// The place of the whole file.
    pub const ROOT: Path<'static> = Path { parent: None, step: Step::Root, kind_and_id: None };

    /// The place of `key` in the object at this place.
    pub fn key<'b>(&'b self, key: &'b str) -> Path<'b> {
        Path { parent: Some(self), step: Step::Key(key), kind_and_id: None }
    }

    /// The place of item `index` in the list at this place.
    pub fn index<'b>(&'b self, index: usize) -> Path<'b> {
        Path { parent: Some(self), step: Step::Index(index), kind_and_id: None }
    }

    /// The same place, called `kind` `id` in problems.
    pub fn named(self, kind: &'static str, id: &'a str) -> Self {
        Self { kind_and_id: Some((kind, id)), ..self }
    }

    fn write_steps(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(parent) = self.parent {
            parent.write_steps(f)?;
        }
        let first = self.parent.is_none_or(|p| matches!(p.step, Step::Root));
        match self.step {
            Step::Root => Ok(()),
            Step::Index(i) => write!(f, "[{i}]"),
            Step::Key(key) => {
                f.write_str(if first { "" } else { "." })?;
                write_key(f, key)
            }
        }
    }

    fn id(&self) -> Option<(&'static str, &'a str)> {
        self.kind_and_id.or_else(|| self.parent.and_then(Path::id))
    }
}

/// Keys of the formats as they are; any other in quotes, so that it cannot disturb a terminal.
fn write_key(f: &mut fmt::Formatter<'_>, key: &str) -> fmt::Result {
    let plain = !key.is_empty() && key.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'_');
    if plain { f.write_str(key) } else { write!(f, "{key:?}") }
}

impl fmt::Display for Path<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.write_steps(f)?;
        match self.id() {
            Some((kind, id)) => write!(f, " ({kind} {id:?})"),
            None => Ok(()),
        }
    }
}

/// A value and its place.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Node<'a> {
    /// The value.
    pub value: &'a Value,
    /// Its place.
    pub path: Path<'a>,
}

impl<'a> Node<'a> {
    /// The whole file.
    pub fn root(value: &'a Value) -> Self {
        Self { value, path: Path::ROOT }
    }

    /// The same node, called `kind` `id` in problems.
    pub fn named(self, kind: &'static str, id: &'a str) -> Self {
        Self { path: self.path.named(kind, id), ..self }
    }

    /// The text here.
    pub fn text(&self, report: &mut Report) -> Option<&'a str> {
        if let Value::String(s) = self.value {
            return Some(s);
        }
        self.wrong_type("a string", report)
    }

    /// The yes or no here.
    pub fn flag(&self, report: &mut Report) -> Option<bool> {
        if let Value::Bool(b) = self.value {
            return Some(*b);
        }
        self.wrong_type("true or false", report)
    }

    /// The finite number here.
    pub fn number(&self, report: &mut Report) -> Option<f64> {
        match self.value {
            Value::Number(n) => n.as_f64().filter(|v| v.is_finite()),
            _ => None,
        }
        .or_else(|| self.wrong_type("a finite number", report))
    }

    /// The whole number here, from 0; `3.0` is one as well.
    pub fn whole(&self, report: &mut Report) -> Option<u64> {
        let Value::Number(n) = self.value else { return self.wrong_type("a whole number", report) };
        n.as_u64().or_else(|| n.as_f64().and_then(whole_of)).or_else(|| {
            self.problem(report, format!("{n} is not a whole number from 0"), "");
            None
        })
    }

    /// The items of the list here.
    pub fn items<'b>(
        &'b self,
        report: &mut Report,
    ) -> Option<impl ExactSizeIterator<Item = Node<'b>> + use<'a, 'b>>
    where
        'a: 'b,
    {
        let Value::Array(list) = self.value else { return self.wrong_type("a list", report) };
        Some(list.iter().enumerate().map(|(i, value)| Node { value, path: self.path.index(i) }))
    }

    /// Adds a problem at this place.
    pub fn problem(&self, report: &mut Report, what: impl Into<String>, remedy: impl Into<String>) {
        report.problem(&self.path, what, remedy);
    }

    /// Says that something else was expected here.
    pub fn wrong_type<T>(&self, expected: &str, report: &mut Report) -> Option<T> {
        let remedy = if self.value.is_null() {
            "leave out a key that is not wanted; some programs write null for a number that is not one"
        } else if expected.ends_with(" number")
            && self.value.as_str().is_some_and(|s| s.parse::<f64>().is_ok())
        {
            "write the number without quotes"
        } else {
            ""
        };
        self.problem(report, format!("expected {expected}, found {}", kind(self.value)), remedy);
        None
    }
}

/// The whole number that `v` is, if it is one; exact up to 2^53.
fn whole_of(v: f64) -> Option<u64> {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a whole number in range was checked for"
    )]
    ((0.0..=9_007_199_254_740_992.0).contains(&v) && v.fract() == 0.0).then_some(v as u64)
}

fn kind(value: &Value) -> &'static str {
    match value {
        Value::Null => "null",
        Value::Bool(_) => "true or false",
        Value::Number(_) => "a number",
        Value::String(_) => "a string",
        Value::Array(_) => "a list",
        Value::Object(_) => "an object",
    }
}

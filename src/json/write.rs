//! Trees to text: one fact a line, lists of points on one line, the same bytes every time.

use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Map, Value};
use std::borrow::Cow;
use std::fmt::Write;
use std::ops::{Add, Mul};

/// Widest object that is written on one line.
const LINE: usize = 160;

/// `value` as a text file. The types that are written have only text as keys, which is all
/// that could fail; a number that is not finite becomes null, which no reader here takes.
pub(crate) fn to_text(value: &impl Serialize) -> String {
    text_of(&serde_json::to_value(value).unwrap_or_default())
}

/// The JSON Schema of `T` as a text file.
pub(crate) fn schema<T: JsonSchema>() -> String {
    text_of(schemars::schema_for!(T).as_value())
}

/// How large something is in a file.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(crate) struct Weight {
    /// Bytes of its text.
    pub bytes: usize,
    /// How many values it is, as the reader counts them.
    pub values: usize,
}

impl Add for Weight {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        let bytes = self.bytes.saturating_add(other.bytes);
        Self { bytes, values: self.values.saturating_add(other.values) }
    }
}

impl Mul<usize> for Weight {
    type Output = Self;

    fn mul(self, count: usize) -> Self {
        Self { bytes: self.bytes.saturating_mul(count), values: self.values.saturating_mul(count) }
    }
}

/// How large `value` is in a file, so deep in lists and objects, with its line break and indent.
pub(crate) fn weigh(value: &impl Serialize, depth: usize) -> Weight {
    let tree = serde_json::to_value(value).unwrap_or_default();
    let mut bytes = around(depth);
    write_value(&mut bytes, &tree, depth);
    Weight { bytes, values: values(&tree) }
}

/// The same for an object that is there as a tree already.
pub(crate) fn weigh_object(map: &Map<String, Value>, depth: usize) -> Weight {
    let mut bytes = around(depth);
    write_block(&mut bytes, ["{", "}"], map.iter().map(|(key, v)| (Some(key.as_str()), v)), depth);
    Weight { bytes, values: 1 + map.values().map(values).sum::<usize>() }
}

/// Comma, line break and indent.
fn around(depth: usize) -> usize {
    2 + depth
}

fn values(tree: &Value) -> usize {
    1 + match tree {
        Value::Array(list) => list.iter().map(values).sum(),
        Value::Object(map) => map.values().map(values).sum(),
        _ => 0,
    }
}

/// Where text goes: into a file, or only onto the scales.
trait Out {
    fn text(&mut self, text: &str);
}

impl Out for String {
    fn text(&mut self, text: &str) {
        self.push_str(text);
    }
}

impl Out for usize {
    fn text(&mut self, text: &str) {
        *self = self.saturating_add(text.len());
    }
}

/// The value as a text file, with a line break at its end. Numbers are written with the
/// fewest digits that read back to the same value.
fn text_of(value: &Value) -> String {
    let mut out = String::new();
    write_value(&mut out, value, 0);
    out.push('\n');
    out
}

fn write_value(out: &mut impl Out, value: &Value, depth: usize) {
    match value {
        Value::Object(map) if !map.is_empty() && !fits_on_line(value) => {
            let fields = map.iter().map(|(key, v)| (Some(key.as_str()), v));
            write_block(out, ["{", "}"], fields, depth);
        }
        Value::Array(list) if !list.is_empty() && !is_flat(value) => {
            write_block(out, ["[", "]"], list.iter().map(|v| (None, v)), depth);
        }
        _ => write_inline(out, value),
    }
}

/// Writes a list or object with one item a line.
fn write_block<'a>(
    out: &mut impl Out,
    brackets: [&str; 2],
    items: impl Iterator<Item = (Option<&'a str>, &'a Value)>,
    depth: usize,
) {
    out.text(brackets[0]);
    for (i, (key, value)) in items.enumerate() {
        out.text(if i == 0 { "\n" } else { ",\n" });
        indent(out, depth + 1);
        if let Some(key) = key {
            write_key(out, key);
        }
        write_value(out, value, depth + 1);
    }
    out.text("\n");
    indent(out, depth);
    out.text(brackets[1]);
}

fn indent(out: &mut impl Out, depth: usize) {
    (0..depth).for_each(|_| out.text(" "));
}

fn write_key(out: &mut impl Out, key: &str) {
    write_inline(out, &Value::from(key));
    out.text(": ");
}

fn write_inline(out: &mut impl Out, value: &Value) {
    match value {
        Value::Array(list) => {
            out.text("[");
            for (i, item) in list.iter().enumerate() {
                out.text(if i == 0 { "" } else { ", " });
                write_inline(out, item);
            }
            out.text("]");
        }
        Value::Object(map) => {
            out.text("{");
            for (i, (key, item)) in map.iter().enumerate() {
                out.text(if i == 0 { "" } else { ", " });
                write_key(out, key);
                write_inline(out, item);
            }
            out.text("}");
        }
        Value::String(_) => out.text(&tame(&value.to_string())),
        scalar => out.text(&scalar.to_string()),
    }
}

/// Whether a character can steer a terminal or turn the order of what is read: all control
/// characters (C0, DEL, C1), the line separators, and the marks of the Unicode bidirectional
/// algorithm (UAX #9, table 2 and the marks of section 2.6).
pub fn steers(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// JSON text in which such characters stand as JSON escapes, as a file may be printed on a terminal. They occur
/// inside strings only, so the value stays the same; line breaks between the values stay too.
pub fn tame(json: &str) -> Cow<'_, str> {
    let odd = |c: char| steers(c) && c != '\n';
    if !json.contains(odd) {
        return Cow::Borrowed(json);
    }
    let mut out = String::with_capacity(json.len() + 16);
    for c in json.chars() {
        if odd(c) {
            // Every one of them lies in the basic plane, so one escape is enough.
            let _ = write!(out, "\\u{:04x}", u32::from(c));
        } else {
            out.push(c);
        }
    }
    Cow::Owned(out)
}

/// Whether a list holds nothing but scalars and points.
fn is_flat(value: &Value) -> bool {
    let scalar = |v: &Value| !v.is_array() && !v.is_object();
    let point = |v: &Value| scalar(v) || v.as_array().is_some_and(|l| l.iter().all(scalar));
    value.as_array().is_some_and(|list| list.iter().all(point))
}

/// Whether an object is short and holds only scalars and lists of scalars.
fn fits_on_line(value: &Value) -> bool {
    let Value::Object(map) = value else { return false };
    let small = |v: &Value| match v {
        Value::Object(_) => false,
        Value::Array(list) => list.len() <= 2 && list.iter().all(|v| !v.is_array() && !v.is_object()),
        _ => true,
    };
    if map.len() > 8 || !map.values().all(small) {
        return false;
    }
    let mut line = String::new();
    write_inline(&mut line, value);
    line.len() <= LINE
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn points_stay_on_one_line_and_numbers_are_short() {
        let v = json!({
            "name": "a \"b\"\n", "empty": {}, "none": [],
            "outline": [[0, 0.1], [1e30, -0.0]],
            "placements": [{"panel": "p", "x": 1}, {"panel": "q", "x": 2.5}],
        });
        let expected = "{\n \"name\": \"a \\\"b\\\"\\n\",\n \"empty\": {},\n \"none\": [],\n \
             \"outline\": [[0, 0.1], [1e30, -0.0]],\n \"placements\": [\n  {\"panel\": \"p\", \"x\": 1},\n  \
             {\"panel\": \"q\", \"x\": 2.5}\n ]\n}\n";
        assert_eq!(text_of(&v).replace("e+", "e"), expected);
    }

    #[test]
    fn what_steers_a_terminal_is_escaped_and_keeps_its_value() {
        let name = "\u{1b}[2J \u{7f}\u{80}\u{9b}2J\u{9f} \u{61c}\u{200e}\u{200f} \u{2028}\u{2029} \u{202a}\u{202e}x\u{2066}\u{2069}\n";
        let v = json!({ "name": name, "notes": { name: [name] }, "list": [name, 1, [2, name]] });
        let text = to_text(&v);
        assert!(!text.contains(|c| steers(c) && c != '\n'), "{text:?}");
        assert!(text.contains(
            r"\u007f\u0080\u009b2J\u009f \u061c\u200e\u200f \u2028\u2029 \u202a\u202ex\u2066\u2069\n"
        ));
        assert_eq!(serde_json::from_str::<Value>(&text).unwrap(), v);
        // What is only foreign to English stays as it is.
        let plain = "Flügel 12″ \u{a0}\u{ad}\u{200b}\u{200d} 日本 🚀";
        assert_eq!(to_text(&json!(plain)), format!("\"{plain}\"\n"));
    }

    #[test]
    fn what_is_written_reads_back() {
        let v = json!({"a": [[1.5, [2]], {"b": {"c": [null, true, "x"]}}], "n": 0.1 + 0.2, "big": u64::MAX});
        let back: Value = serde_json::from_str(&text_of(&v)).unwrap();
        assert_eq!(back, v);
    }
}

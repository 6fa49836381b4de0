//! Bytes to a tree of values, stricter than JSON asks: no key twice, no number out of range.

use crate::Error;
use serde::de::{DeserializeSeed, Deserializer, Error as _, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Number, Value};
use std::cell::Cell;
use std::fmt;

/// Greatest size of an input file in bytes (64 MiB): far above a day's jobs, far below what
/// would exhaust a small machine.
pub const MAX_INPUT_BYTES: usize = 64 << 20;

/// Greatest number of values in a JSON file. A file of nothing but `0,0,0` would otherwise
/// take thirty-six times its size in memory; this many take 375 MB, twice where they are notes. A layout of as
/// many points as there may be has four and a half million, with the lines that it writes on panels.
pub const MAX_VALUES: usize = 5_000_000;

/// Greatest depth of lists and objects in each other: the limit of the JSON reader, which
/// keeps it from exhausting the stack (it stops at the 128th).
pub const MAX_DEPTH: usize = 127;

/// Reads a JSON file into a tree.
///
/// # Errors
///
/// [`Error::Input`] with file, line and column for anything that is not strict JSON in UTF-8,
/// for a key that is written twice in one object, and for a file beyond the limits above.
pub fn parse(bytes: &[u8], name: &str) -> Result<Value, Error> {
    if bytes.len() > MAX_INPUT_BYTES {
        return Err(Error::input(
            name,
            format!("the file is larger than {} MiB", MAX_INPUT_BYTES >> 20),
            "split it into several jobs, or move outlines into drawings beside it",
        ));
    }
    let text = decode_utf8(bytes, name)?;
    if text.trim().is_empty() {
        return Err(Error::input(name, "the file is empty", "expected a JSON object"));
    }
    let count = Cell::new(0);
    let mut deserializer = serde_json::Deserializer::from_str(text);
    Tree { count: &count }
        .deserialize(&mut deserializer)
        .and_then(|value| deserializer.end().map(|()| value))
        .map_err(|e| syntax_error(&e, text, name))
}

/// Whether the bytes are a JSON object whose `format` is this one.
pub fn has_format(bytes: &[u8], format: &str) -> bool {
    parse(bytes, "").is_ok_and(|tree| tree.get("format").and_then(Value::as_str) == Some(format))
}

/// The text of the file; a byte order mark at its start is skipped.
fn decode_utf8<'a>(bytes: &'a [u8], name: &str) -> Result<&'a str, Error> {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    std::str::from_utf8(bytes).map_err(|e| {
        let good = &bytes[..e.valid_up_to()];
        let line = 1 + good.iter().filter(|b| **b == b'\n').count();
        let column = 1 + good.iter().rev().take_while(|b| **b != b'\n').count();
        Error::input(
            format!("{name}: line {line}, column {column}"),
            "this is not UTF-8 text",
            "save the file as JSON in UTF-8",
        )
    })
}

fn syntax_error(e: &serde_json::Error, text: &str, name: &str) -> Error {
    let place = format!("{name}: line {}, column {}", e.line(), e.column());
    let full = e.to_string();
    let what = full.split(" at line ").next().unwrap_or(&full).to_owned();
    let remedy = if what.contains("recursion limit") {
        format!("lists and objects may lie at most {MAX_DEPTH} deep in each other")
    } else if near_non_finite(text, e.line(), e.column()) {
        "every number must be finite: NaN and Infinity are not JSON".to_owned()
    } else if what.contains("number out of range") {
        "every number must be finite".to_owned()
    } else if what.contains("trailing comma") {
        "remove the comma".to_owned()
    } else if e.is_eof() {
        "the file ends too early; is it complete?".to_owned()
    } else if what.contains("trailing characters") {
        "one file holds one JSON object and nothing after it".to_owned()
    } else {
        String::new()
    };
    Error::input(place, what, remedy)
}

/// Whether the line has a non-finite number, as some programs write it, at or just before the column.
fn near_non_finite(text: &str, line: usize, column: usize) -> bool {
    let Some(bytes) = text.lines().nth(line.saturating_sub(1)).map(str::as_bytes) else { return false };
    let from = column.saturating_sub(2).min(bytes.len());
    let window = &bytes[from..bytes.len().min(from + 10)];
    [&b"NaN"[..], b"nan", b"Inf", b"inf"].iter().any(|word| window.windows(3).any(|w| w == *word))
}

/// Builds a value and counts what it builds.
#[derive(Clone, Copy)]
struct Tree<'c> {
    count: &'c Cell<usize>,
}

impl<'de> DeserializeSeed<'de> for Tree<'_> {
    type Value = Value;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Value, D::Error> {
        self.count.set(self.count.get() + 1);
        if self.count.get() > MAX_VALUES {
            return Err(D::Error::custom(format_args!("the file holds more than {MAX_VALUES} values")));
        }
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Tree<'_> {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a JSON value")
    }

    fn visit_unit<E>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }

    fn visit_bool<E>(self, v: bool) -> Result<Value, E> {
        Ok(Value::Bool(v))
    }

    fn visit_i64<E>(self, v: i64) -> Result<Value, E> {
        Ok(Value::Number(v.into()))
    }

    fn visit_u64<E>(self, v: u64) -> Result<Value, E> {
        Ok(Value::Number(v.into()))
    }

    fn visit_f64<E: serde::de::Error>(self, v: f64) -> Result<Value, E> {
        Number::from_f64(v).map(Value::Number).ok_or_else(|| E::custom("number out of range"))
    }

    fn visit_str<E>(self, v: &str) -> Result<Value, E> {
        Ok(Value::String(v.to_owned()))
    }

    fn visit_string<E>(self, v: String) -> Result<Value, E> {
        Ok(Value::String(v))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Value, A::Error> {
        let mut list = Vec::new();
        while let Some(item) = items.next_element_seed(self)? {
            list.push(item);
        }
        // Most lists are points; room for two more numbers beside each would take as much again.
        list.shrink_to_fit();
        Ok(Value::Array(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Value, A::Error> {
        let mut map = Map::new();
        while let Some(key) = entries.next_key::<String>()? {
            if map.contains_key(&key) {
                return Err(A::Error::custom(format_args!("the key {key:?} is written twice in one object")));
            }
            map.insert(key, entries.next_value_seed(self)?);
        }
        Ok(Value::Object(map))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn problem(text: &str) -> String {
        match parse(text.as_bytes(), "a.json") {
            Err(Error::Input(p)) => p.to_string(),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn syntax_errors_name_line_column_and_remedy() {
        for (text, parts) in [
            ("", &["a.json: ", "empty"][..]),
            ("{\"a\": 1,\n \"a\": 2}", &["line 2", "\"a\" is written twice"]),
            ("{\"a\": 1e999}", &["line 1", "out of range", "finite"]),
            ("{\"a\": NaN}", &["line 1", "finite"]),
            ("[1, -Infinity]", &["line 1", "finite"]),
            ("{} {}", &["line 1, column 4", "nothing after it"]),
            ("[1,]", &["remove the comma"]),
            ("{\"a\": [1, 2", &["ends too early"]),
            (&"[".repeat(100_000), &["127 deep"]),
        ] {
            let p = problem(text);
            assert!(parts.iter().all(|part| p.contains(part)), "{p}");
        }
    }

    #[test]
    fn text_that_is_not_utf8_is_located() {
        let Err(Error::Input(p)) = parse(b"{\n \"a\": \"\xff\"}", "a.json") else { panic!() };
        assert!(p.to_string().contains("line 2, column 8"), "{p}");
    }

    #[test]
    fn a_byte_order_mark_is_skipped_and_order_kept() {
        let v = parse(b"\xEF\xBB\xBF{\"b\": 1, \"a\": [0.1, -0]}", "a.json").unwrap();
        assert_eq!(v.to_string(), "{\"b\":1,\"a\":[0.1,-0.0]}");
    }

    #[test]
    fn a_file_of_too_many_values_is_refused() {
        let text = format!("[{}0]", "0,".repeat(MAX_VALUES));
        assert!(problem(&text).contains("more than 5000000 values"));
    }
}

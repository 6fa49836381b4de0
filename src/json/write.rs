//! Trees to text: one fact a line, lists of points on one line, the same bytes every time.

use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

/// Widest object that is written on one line.
const LINE: usize = 160;

/// `value` as a text file. The types that are written have only text as keys, which is all
/// that could fail; a number that is not finite becomes null, which no reader here takes.
pub(crate) fn to_text(value: &impl Serialize) -> String {
    write(&serde_json::to_value(value).unwrap_or_default())
}

/// The JSON Schema of `T` as a text file.
pub(crate) fn schema<T: JsonSchema>() -> String {
    write(schemars::schema_for!(T).as_value())
}

/// The value as a text file, with a line break at its end. Numbers are written with the
/// fewest digits that read back to the same value.
fn write(value: &Value) -> String {
    let mut out = String::new();
    write_value(&mut out, value, 0);
    out.push('\n');
    out
}

fn write_value(out: &mut String, value: &Value, depth: usize) {
    match value {
        Value::Object(map) if !map.is_empty() && !fits_on_line(value) => {
            let fields = map.iter().map(|(key, v)| (Some(key.as_str()), v));
            write_block(out, ['{', '}'], fields, depth);
        }
        Value::Array(list) if !list.is_empty() && !is_flat(value) => {
            write_block(out, ['[', ']'], list.iter().map(|v| (None, v)), depth);
        }
        _ => write_inline(out, value),
    }
}

/// Writes a list or object with one item a line.
fn write_block<'a>(
    out: &mut String,
    brackets: [char; 2],
    items: impl Iterator<Item = (Option<&'a str>, &'a Value)>,
    depth: usize,
) {
    out.push(brackets[0]);
    for (i, (key, value)) in items.enumerate() {
        out.push_str(if i == 0 { "\n" } else { ",\n" });
        indent(out, depth + 1);
        if let Some(key) = key {
            write_key(out, key);
        }
        write_value(out, value, depth + 1);
    }
    out.push('\n');
    indent(out, depth);
    out.push(brackets[1]);
}

fn indent(out: &mut String, depth: usize) {
    out.extend(std::iter::repeat_n(' ', depth));
}

fn write_key(out: &mut String, key: &str) {
    write_inline(out, &Value::from(key));
    out.push_str(": ");
}

fn write_inline(out: &mut String, value: &Value) {
    match value {
        Value::Array(list) => {
            out.push('[');
            for (i, item) in list.iter().enumerate() {
                out.push_str(if i == 0 { "" } else { ", " });
                write_inline(out, item);
            }
            out.push(']');
        }
        Value::Object(map) => {
            out.push('{');
            for (i, (key, item)) in map.iter().enumerate() {
                out.push_str(if i == 0 { "" } else { ", " });
                write_key(out, key);
                write_inline(out, item);
            }
            out.push('}');
        }
        scalar => out.push_str(&scalar.to_string()),
    }
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
        assert_eq!(write(&v).replace("e+", "e"), expected);
    }

    #[test]
    fn what_is_written_reads_back() {
        let v = json!({"a": [[1.5, [2]], {"b": {"c": [null, true, "x"]}}], "n": 0.1 + 0.2, "big": u64::MAX});
        let back: Value = serde_json::from_str(&write(&v)).unwrap();
        assert_eq!(back, v);
    }
}

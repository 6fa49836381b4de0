//! The schemas and the readers know the same keys.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use serde_json::Value;
use tuckroll::job::kits::{films_schema, kit_schema};

/// Every key of every object that a schema describes.
fn keys_in_schema(schema: &Value, into: &mut BTreeSet<String>) {
    match schema {
        Value::Object(map) => {
            if let Some(Value::Object(properties)) = map.get("properties") {
                into.extend(properties.keys().cloned());
            }
            map.values().for_each(|v| keys_in_schema(v, into));
        }
        Value::Array(list) => list.iter().for_each(|v| keys_in_schema(v, into)),
        _ => {}
    }
}

/// Every key that a reader asks for: string literals in calls that take one.
fn keys_in_source(files: &[PathBuf]) -> BTreeSet<String> {
    let mut keys = BTreeSet::new();
    for path in files {
        let text = std::fs::read_to_string(path).unwrap();
        for call in [".get(\"", ".need(\"", "fields, \"", "\", \"", "percent(\""] {
            keys.extend(text.split(call).skip(1).filter_map(|r| r.split('"').next()).map(str::to_owned));
        }
    }
    keys.retain(|k| k.chars().all(|c| c.is_ascii_lowercase() || c == '_') && !k.is_empty());
    keys
}

fn source(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src/job").join(name)
}

#[test]
fn the_kit_schema_has_every_key_that_the_reader_asks_for() {
    let schema: Value = serde_json::from_str(&kit_schema()).unwrap();
    let mut known = BTreeSet::new();
    keys_in_schema(&schema, &mut known);
    let files = ["mod.rs", "measure.rs", "parts.rs", "profile.rs", "seams.rs"];
    let files: Vec<PathBuf> = files.iter().map(|f| source(&format!("kits/decode/{f}"))).collect();
    let asked = keys_in_source(&files);
    assert!(asked.len() > 40, "{asked:?}");
    let missing: Vec<&String> = asked.difference(&known).collect();
    assert!(missing.is_empty(), "not in the schema: {missing:?}");
    // Read by the decoder of panels and of the format itself.
    let elsewhere = [
        "format",
        "unit",
        "along",
        "rule",
        "slack",
        "outline",
        "holes",
        "parts",
        "file",
        "layer",
        "pick",
        "file_unit",
        "all",
    ];
    let unasked: Vec<&String> =
        known.difference(&asked).filter(|k| !elsewhere.contains(&k.as_str())).collect();
    assert!(unasked.is_empty(), "in the schema, but never asked for: {unasked:?}");
}

#[test]
fn the_film_schema_has_every_key_that_the_reader_asks_for() {
    let schema: Value = serde_json::from_str(&films_schema()).unwrap();
    let mut known = BTreeSet::new();
    keys_in_schema(&schema, &mut known);
    let mut asked = keys_in_source(&[source("kits/films.rs")]);
    asked.insert("format".into());
    assert_eq!(known.difference(&asked).collect::<Vec<_>>(), Vec::<&String>::new());
}

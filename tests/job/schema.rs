//! The schemas and the readers know the same keys.

use super::{change, parse_layout, sample, sample_layout};
use serde_json::{Map, Value, json};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// The definition that `node` refers to, and its name.
fn resolve<'s>(root: &'s Value, node: &'s Value) -> (&'s str, &'s Value) {
    match node["$ref"].as_str() {
        Some(name) => {
            let name = name.strip_prefix("#/$defs/").unwrap();
            (name, &root["$defs"][name])
        }
        None => ("", node),
    }
}

/// An object of a file: where it is, what the schema calls it, its keys and those it may have.
struct Seen {
    pointer: String,
    name: String,
    keys: BTreeSet<String>,
    properties: BTreeSet<String>,
}

/// Walks a file along its schema and lists the objects that may not have just any key.
fn walk(root: &Value, schema: &Value, file: &Value, pointer: &str, seen: &mut Vec<Seen>) {
    let (name, schema) = resolve(root, schema);
    match file {
        Value::Array(list) => {
            for (i, item) in list.iter().enumerate() {
                walk(root, &schema["items"], item, &format!("{pointer}/{i}"), seen);
            }
        }
        Value::Object(map) if schema["additionalProperties"] == json!(false) => {
            let properties = schema["properties"].as_object().unwrap();
            seen.push(Seen {
                pointer: pointer.to_owned(),
                name: name.to_owned(),
                keys: map.keys().cloned().collect(),
                properties: properties.keys().cloned().collect(),
            });
            for (key, value) in map {
                walk(root, &properties[key], value, &format!("{pointer}/{key}"), seen);
            }
        }
        Value::Object(map) => assert!(pointer == "/notes" || map.is_empty(), "{pointer} may have any key"),
        _ => {}
    }
}

/// Every key that stands in the source of the readers.
fn keys_in_source() -> BTreeSet<String> {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let decoders = std::fs::read_dir(src.join("job/decode")).unwrap().map(|e| e.unwrap().path());
    let mut keys = BTreeSet::new();
    for path in decoders.chain([src.join("layout/file.rs"), src.join("job/stock/decode.rs")]) {
        let text = std::fs::read_to_string(path).unwrap();
        for call in [".get(\"", ".need(\""] {
            keys.extend(
                text.split(call).skip(1).filter_map(|rest| rest.split('"').next()).map(str::to_owned),
            );
        }
    }
    keys
}

/// Holds the schema and the reader to the same keys; the files together use all of them.
fn same_keys(schema: &str, files: &[Value], read: impl Fn(&Value) -> Option<String>) -> BTreeSet<String> {
    let schema: Value = serde_json::from_str(schema).unwrap();
    let candidates = keys_in_source();
    let mut used: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let mut known: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for file in files {
        assert_eq!(read(file), None, "the sample itself must be good");
        let mut seen = Vec::new();
        walk(&schema, &schema, file, "", &mut seen);
        for object in seen {
            for key in candidates.difference(&object.properties) {
                let mut changed = file.clone();
                change(&mut changed, &format!("{}/{key}", object.pointer), Some(json!({})));
                let said = read(&changed).unwrap_or_else(|| panic!("{}/{key} was taken", object.pointer));
                assert!(said.contains("unknown key"), "{said}");
            }
            used.entry(object.name.clone()).or_default().extend(object.keys);
            known.insert(object.name, object.properties);
        }
    }
    for (name, properties) in &known {
        assert_eq!(&used[name], properties, "the samples must use every key of {name:?}");
    }
    assert_eq!(known.len(), definitions(&schema));
    known.into_values().flatten().collect()
}

/// How many kinds of objects a schema describes.
fn definitions(schema: &Value) -> usize {
    let defs: Map<String, Value> = schema["$defs"].as_object().unwrap().clone();
    1 + defs.values().filter(|d| d["type"] == "object").count()
}

#[test]
fn readers_take_every_key_of_the_schemas_and_no_other() {
    let said = |e: tuckroll::Error| e.to_string();
    let with = |key: &str, value: Value| {
        let mut file = sample();
        change(&mut file, "/roll", None);
        change(&mut file, &format!("/{key}"), Some(value));
        file
    };
    let stock: Value = serde_json::from_str(super::STOCK).unwrap();
    let jobs = [sample(), with("rolls", stock["rolls"].clone()), with("stock", json!("stock.json"))];
    let mut all = same_keys(&tuckroll::job::schema(), &jobs, |f| super::parse_day(f).err().map(said));
    let layouts = [sample_layout()];
    all.extend(same_keys(&tuckroll::layout::schema(), &layouts, |f| parse_layout(f).err().map(said)));
    let read =
        |f: &Value| tuckroll::job::stock::parse(f.to_string().as_bytes(), "stock.json").err().map(said);
    all.extend(same_keys(&tuckroll::job::stock::schema(), &[stock], read));
    assert_eq!(keys_in_source(), all);
}

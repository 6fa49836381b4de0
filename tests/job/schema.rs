//! The schemas and the readers know the same keys.

use super::{change, parse, parse_layout, sample, sample_layout};
use serde_json::{Map, Value, json};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// Keys that are refused with a message of their own: they belong to a later version.
const LATER: [&str; 1] = ["rolls"];

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
    for path in decoders.chain([src.join("layout/file.rs")]) {
        let text = std::fs::read_to_string(path).unwrap();
        for call in [".get(\"", ".need(\"", ".refuse_later(\""] {
            keys.extend(
                text.split(call).skip(1).filter_map(|rest| rest.split('"').next()).map(str::to_owned),
            );
        }
    }
    keys
}

fn same_keys(schema: &str, file: &Value, read: impl Fn(&Value) -> Option<String>) -> BTreeSet<String> {
    let schema: Value = serde_json::from_str(schema).unwrap();
    assert_eq!(read(file), None, "the sample itself must be good");
    let mut seen = Vec::new();
    walk(&schema, &schema, file, "", &mut seen);
    let candidates = keys_in_source();
    let mut used: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for object in &seen {
        used.entry(&object.name).or_default().extend(object.keys.iter().map(String::as_str));
        for key in candidates.difference(&object.properties) {
            let mut changed = file.clone();
            change(&mut changed, &format!("{}/{key}", object.pointer), Some(json!({})));
            let said = read(&changed).unwrap_or_else(|| panic!("{}/{key} was taken", object.pointer));
            assert!(
                said.contains("unknown key")
                    || (LATER.contains(&key.as_str()) && said.contains("not handle")),
                "{said}"
            );
        }
    }
    let mut all = BTreeSet::new();
    for object in &seen {
        let used: BTreeSet<String> = used[object.name.as_str()].iter().map(|k| (*k).to_owned()).collect();
        assert_eq!(used, object.properties, "the sample must use every key of {:?}", object.name);
        all.extend(object.properties.clone());
    }
    assert_eq!(seen.iter().map(|s| &s.name).collect::<BTreeSet<_>>().len(), definitions(&schema));
    all
}

/// How many kinds of objects a schema describes.
fn definitions(schema: &Value) -> usize {
    let defs: Map<String, Value> = schema["$defs"].as_object().unwrap().clone();
    1 + defs.values().filter(|d| d["type"] == "object").count()
}

#[test]
fn readers_take_every_key_of_the_schemas_and_no_other() {
    let said = |e: tuckroll::Error| e.to_string();
    let mut all = same_keys(&tuckroll::job::schema(), &sample(), |f| parse(f).err().map(said));
    all.extend(same_keys(&tuckroll::layout::schema(), &sample_layout(), |f| parse_layout(f).err().map(said)));
    all.extend(LATER.map(str::to_owned));
    assert_eq!(keys_in_source(), all);
}

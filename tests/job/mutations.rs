//! Random damage to files: an answer or a list of problems, never a panic.

use super::{parse_layout, parse_text, sample, sample_layout};
use proptest::prelude::*;
use serde_json::{Value, json};

/// Values that are wrong in most places.
fn odd_value() -> impl Strategy<Value = Value> {
    prop_oneof![
        Just(Value::Null),
        Just(json!(true)),
        Just(json!({})),
        Just(json!([])),
        Just(json!([[0, 0], [1, 0], [1, 1]])),
        Just(json!([[0, 0], [1, 0], [0.5, 0], [1, 1], [1, 1]])),
        Just(json!("fin")),
        "\\PC{0,8}".prop_map(Value::from),
        any::<f64>().prop_map(Value::from),
        any::<i64>().prop_map(Value::from),
        (-3.0..4.0f64).prop_map(Value::from),
    ]
}

/// How many values there are in a tree.
fn size(value: &Value) -> usize {
    1 + match value {
        Value::Array(list) => list.iter().map(size).sum(),
        Value::Object(map) => map.values().map(size).sum(),
        _ => 0,
    }
}

/// Replaces the value with this number, counted depth first.
fn replace(value: &mut Value, number: &mut usize, new: &Value) {
    if *number == 0 {
        *value = new.clone();
    }
    let Some(rest) = number.checked_sub(1) else {
        *number = usize::MAX;
        return;
    };
    *number = rest;
    match value {
        Value::Array(list) => list.iter_mut().for_each(|v| replace(v, number, new)),
        Value::Object(map) => map.values_mut().for_each(|v| replace(v, number, new)),
        _ => {}
    }
}

/// The file with some of its values replaced.
fn damaged(mut file: Value, hits: &[(prop::sample::Index, Value)]) -> Value {
    for (at, new) in hits {
        let mut number = at.index(size(&file));
        replace(&mut file, &mut number, new);
    }
    file
}

/// What a reader says: problems with places, or a value that is read again as the same.
fn sound<T: PartialEq + std::fmt::Debug>(
    result: Result<T, tuckroll::Error>,
    again: impl Fn(&T) -> Result<T, tuckroll::Error>,
) -> Result<(), TestCaseError> {
    match result {
        Ok(value) => prop_assert_eq!(&again(&value).unwrap(), &value),
        // A film may have become too narrow for the panels of a kit.
        Err(tuckroll::Error::Input(problems) | tuckroll::Error::Unmet(problems)) => {
            prop_assert!(!problems.0.is_empty() && problems.0.iter().all(|p| !p.place.is_empty()));
        }
        Err(other) => prop_assert!(false, "{other}"),
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1500))]

    #[test]
    fn damaged_jobs(hits in prop::collection::vec((any::<prop::sample::Index>(), odd_value()), 1..4)) {
        let text = damaged(sample(), &hits).to_string();
        sound(parse_text(&text), |job| parse_text(&tuckroll::job::write(job)))?;
    }

    #[test]
    fn damaged_layouts(hits in prop::collection::vec((any::<prop::sample::Index>(), odd_value()), 1..4)) {
        let file = damaged(sample_layout(), &hits);
        let again = |l: &_| tuckroll::layout::read(tuckroll::layout::write(l).as_bytes(), "again.json");
        sound(parse_layout(&file), again)?;
    }

    #[test]
    fn damaged_text(cut in any::<prop::sample::Index>(), junk in "\\PC{0,3}|[\\[\\]{}\",:0-9eE.+-]{1,3}", len in 0usize..4) {
        let text = sample().to_string();
        let chars: Vec<char> = text.chars().collect();
        let at = cut.index(chars.len());
        let end = (at + len).min(chars.len());
        let text: String = chars[..at].iter().copied().chain(junk.chars()).chain(chars[end..].iter().copied()).collect();
        sound(parse_text(&text), |job| parse_text(&tuckroll::job::write(job)))?;
    }
}

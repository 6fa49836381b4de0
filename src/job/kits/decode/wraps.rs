//! Tubes that one wrap covers: the first says what the wrap is, the others only how long they are.

use crate::job::decode::Decoder;
use crate::json::Node;
use serde_json::Value;

/// Keys that say what a wrap is. A covered tube may repeat what the first one says.
const OF_THE_WRAP: [&str; 6] = ["film", "grain", "pieces", "seam_angle", "seams", "spares"];

impl Decoder<'_> {
    /// What would be lost without a word: settings of covered tubes, and of ends that lie under the wrap.
    pub(super) fn wraps(&mut self, kit_film: Option<&str>, list: &Node<'_>) {
        let Value::Array(parts) = list.value else { return };
        let says = |i: usize, key: &str| parts.get(i).and_then(|part| part.get(key));
        let id = |i: usize| says(i, "id").and_then(Value::as_str).unwrap_or_default();
        let is_tube = |i: usize| says(i, "kind").and_then(Value::as_str) == Some("tube");
        let goes_on =
            |i: usize| is_tube(i) && says(i, "with_next") == Some(&Value::Bool(true)) && is_tube(i + 1);
        let mut first = 0;
        for i in 0..parts.len().saturating_sub(1) {
            if !goes_on(i) {
                first = i + 1;
                continue;
            }
            let mut lost = |part: usize, key: &str, remedy: String| {
                let at = list.path.index(part).named("part", id(part));
                let what = format!("one wrap covers {:?} and {:?}: this would not count", id(i), id(i + 1));
                self.report.problem(&at.key(key), what, remedy);
            };
            if says(i, "aft").is_some() {
                lost(
                    i,
                    "aft",
                    format!("leave it out, or write it at {:?} if it is meant for the end", id(i + 1)),
                );
            }
            if says(i + 1, "fore").is_some() {
                lost(
                    i + 1,
                    "fore",
                    format!("leave it out, or write it at {:?} if it is meant for the start", id(first)),
                );
            }
            for key in OF_THE_WRAP {
                let (whole, own) = (says(first, key), says(i + 1, key));
                let by_kit = key == "film" && whole.is_none() && own.and_then(Value::as_str) == kit_film;
                if own.is_some() && own != whole && !by_kit {
                    let remedy = format!("write it at {:?}, or leave out its `with_next`", id(first));
                    lost(i + 1, key, remedy);
                }
            }
        }
    }
}

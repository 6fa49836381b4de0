//! Lengths in millimetres, and round things measured across or around.

use crate::job::decode::Decoder;
use crate::json::{Fields, Node};
use crate::panels::Pieces;
use serde_json::Value;
use std::f64::consts::PI;

impl Decoder<'_> {
    /// A length above 0, in mm.
    pub(super) fn positive_mm(&mut self, node: &Node<'_>) -> Option<f64> {
        self.positive(node).map(|v| v * self.unit.in_mm())
    }

    /// A length from 0, in mm.
    pub(super) fn size_mm(&mut self, node: &Node<'_>) -> Option<f64> {
        self.size(node).map(|v| v * self.unit.in_mm())
    }

    /// A length from 0, in mm; 0 where the key is absent.
    pub(super) fn size_mm_or_zero(&mut self, node: Option<Node<'_>>) -> f64 {
        node.and_then(|n| self.size_mm(&n)).unwrap_or_default()
    }

    /// A length above 0 that must be there, in mm.
    pub(super) fn need_mm(&mut self, fields: &mut Fields<'_>, key: &'static str) -> Option<f64> {
        fields.need(key, self.report).and_then(|n| self.positive_mm(&n))
    }

    /// A radius in mm, from a diameter or from a circumference: exactly one of the two.
    pub(super) fn radius(
        &mut self,
        fields: &mut Fields<'_>,
        diameter: &'static str,
        circumference: &'static str,
    ) -> Option<f64> {
        match (fields.get(diameter), fields.get(circumference)) {
            (Some(d), None) => self.positive_mm(&d).map(|d| 0.5 * d),
            (None, Some(c)) => self.positive_mm(&c).map(|c| c / (2.0 * PI)),
            (None, None) => {
                let what = format!("neither `{diameter}` nor `{circumference}` is given");
                fields.problem(self.report, what, "measure one of them");
                None
            }
            (Some(_), Some(c)) => {
                let what = format!("`{diameter}` and `{circumference}` are both given");
                c.problem(self.report, what, "keep the one that was measured");
                None
            }
        }
    }

    /// `"auto"` or a whole number.
    pub(super) fn pieces(&mut self, node: Option<Node<'_>>) -> Pieces {
        let Some(node) = node else { return Pieces::Auto };
        match node.value {
            Value::String(word) if word == "auto" => Pieces::Auto,
            Value::Number(_) => match node.whole(self.report).and_then(|n| u32::try_from(n).ok()) {
                Some(n) => Pieces::Exactly(n),
                None => Pieces::Auto,
            },
            _ => {
                node.problem(self.report, "expected \"auto\" or a whole number", "");
                Pieces::Auto
            }
        }
    }
}

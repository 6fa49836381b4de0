//! Profiles and tips of noses.

use super::super::model::{Measured, NoseProfile};
use crate::job::decode::Decoder;
use crate::json::{Fields, Node};
use crate::panels::Fault;
use crate::panels::profile::{NoseShape, StationsAlong, Tip, measured};
use serde::Deserialize;
use serde_json::Value;
use std::f64::consts::PI;

#[derive(Deserialize, Clone, Copy, PartialEq)]
#[serde(rename_all = "kebab-case")]
enum ShapeWord {
    Conical,
    TangentOgive,
    /// What a shop calls the tangent ogive.
    Ogive,
    SecantOgive,
    Elliptical,
    Parabolic,
    Power,
    Haack,
    VonKarman,
    LvHaack,
    Measured,
}

#[derive(Deserialize, Clone, Copy)]
#[serde(rename_all = "lowercase")]
enum AlongWord {
    Axis,
    Surface,
}

#[derive(Deserialize, Clone, Copy)]
#[serde(rename_all = "lowercase")]
enum WidthWord {
    Diameter,
    Circumference,
}

impl Decoder<'_> {
    /// The profile of a nose with its base and length.
    pub(super) fn nose_profile(&mut self, fields: &mut Fields<'_>) -> Option<NoseProfile> {
        let node = fields.need("profile", self.report);
        let is_measured =
            node.is_some_and(|n| n.value.get("shape").and_then(Value::as_str) == Some("measured"));
        if is_measured {
            for key in ["diameter", "circumference", "length"] {
                if let Some(stray) = fields.get(key) {
                    stray.problem(self.report, "a measured profile says this itself", "leave it out");
                }
            }
            return node.and_then(|n| self.measured(&n));
        }
        let radius = self.radius(fields, "diameter", "circumference");
        let length = self.need_mm(fields, "length");
        let shape = node.and_then(|n| self.nose_shape(&n));
        Some(NoseProfile::Shape { shape: shape?, radius: radius?, length: length? })
    }

    /// A shape by its name, or an object with the name and a number that goes with it.
    pub(super) fn nose_shape(&mut self, node: &Node<'_>) -> Option<NoseShape> {
        if node.value.is_string() {
            let word = self.word(node)?;
            return self.plain_shape(word, node);
        }
        let mut fields = Fields::open(node, self.report)?;
        let word = fields.need("shape", self.report).and_then(|n| self.word::<ShapeWord>(&n));
        let shape = word.and_then(|w| self.shape_with_number(w, &mut fields, node));
        fields.finish(self.report);
        shape
    }

    fn plain_shape(&mut self, word: ShapeWord, node: &Node<'_>) -> Option<NoseShape> {
        let missing = match word {
            ShapeWord::Conical => return Some(NoseShape::Conical),
            ShapeWord::TangentOgive | ShapeWord::Ogive => return Some(NoseShape::TangentOgive),
            ShapeWord::Elliptical => return Some(NoseShape::Elliptical),
            ShapeWord::VonKarman => return Some(NoseShape::Haack { c: 0.0 }),
            ShapeWord::LvHaack => return Some(NoseShape::Haack { c: 1.0 / 3.0 }),
            ShapeWord::SecantOgive => r#"{"shape": "secant-ogive", "radius": 900}"#,
            ShapeWord::Parabolic => r#"{"shape": "parabolic", "k": 1}"#,
            ShapeWord::Power => r#"{"shape": "power", "n": 0.5}"#,
            ShapeWord::Haack => r#"{"shape": "haack", "c": 0}"#,
            ShapeWord::Measured => {
                r#"{"shape": "measured", "stations": "surface", "widths": "circumference", "points": [[0, 0], [50, 120]]}"#
            }
        };
        node.problem(self.report, "this shape needs a number", format!("write it as {missing}"));
        None
    }

    fn shape_with_number(
        &mut self,
        word: ShapeWord,
        fields: &mut Fields<'_>,
        node: &Node<'_>,
    ) -> Option<NoseShape> {
        match word {
            ShapeWord::SecantOgive => {
                self.need_mm(fields, "radius").map(|radius| NoseShape::SecantOgive { radius })
            }
            ShapeWord::Parabolic => self.need_number(fields, "k").map(|k| NoseShape::Parabolic { k }),
            ShapeWord::Power => self.need_number(fields, "n").map(|n| NoseShape::Power { n }),
            ShapeWord::Haack => self.need_number(fields, "c").map(|c| NoseShape::Haack { c }),
            plain => self.plain_shape(plain, node),
        }
    }

    fn need_number(&mut self, fields: &mut Fields<'_>, key: &'static str) -> Option<f64> {
        fields.need(key, self.report).and_then(|n| n.number(self.report))
    }

    fn measured(&mut self, node: &Node<'_>) -> Option<NoseProfile> {
        let mut fields = Fields::open(node, self.report)?;
        fields.get("shape");
        let along = fields.need("stations", self.report).and_then(|n| self.word::<AlongWord>(&n));
        let widths = fields.need("widths", self.report).and_then(|n| self.word::<WidthWord>(&n));
        let points_node = fields.need("points", self.report);
        fields.finish(self.report);
        let points_node = points_node?;
        let points = self.points(&points_node)?;
        let along = match along? {
            AlongWord::Axis => StationsAlong::Axis,
            AlongWord::Surface => StationsAlong::Surface,
        };
        let per_width = match widths? {
            WidthWord::Diameter => 0.5,
            WidthWord::Circumference => 0.5 / PI,
        };
        let mm = self.unit.in_mm();
        let stations: Vec<(f64, f64)> = points.iter().map(|p| (p.x * mm, p.y * mm * per_width)).collect();
        match measured(&stations, along, 0.0) {
            Ok(body) => Some(NoseProfile::Measured(Measured { stations, along, body })),
            Err(Fault { what, remedy, .. }) => {
                points_node.problem(self.report, what, remedy);
                None
            }
        }
    }

    /// What the tip is: one of three ways to say it.
    pub(super) fn tip(&mut self, node: Option<Node<'_>>) -> Tip {
        let Some(node) = node else { return Tip::Plain };
        let Some(mut fields) = Fields::open(&node, self.report) else { return Tip::Plain };
        let (radius, diameter, length) = (fields.get("radius"), fields.get("diameter"), fields.get("length"));
        let given = [radius, diameter, length].iter().flatten().count();
        let mut mm = |node: Option<Node<'_>>| node.and_then(|n| self.positive_mm(&n));
        let (radius, diameter, length) = (mm(radius), mm(diameter), mm(length));
        fields.finish(self.report);
        match (radius, diameter, length) {
            (Some(radius), None, None) => Tip::Blunted { radius },
            (None, Some(diameter), None) => Tip::FromRadius(0.5 * diameter),
            (None, None, Some(length)) => Tip::FromStation(length),
            _ if given == 1 => Tip::Plain,
            _ => {
                node.problem(
                    self.report,
                    "a tip has one of `radius`, `diameter` and `length`",
                    "`radius` of a rounded tip; `diameter` or `length` of a tip that carries no film",
                );
                Tip::Plain
            }
        }
    }
}

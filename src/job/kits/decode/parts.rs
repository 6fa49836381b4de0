//! One part of a kit.

use super::super::model::{Kind, Nose, Part, Plate, PlateShape, Round, Transition, Tube};
use super::seams::{Common, HandWord};
use crate::error::Shown;
use crate::job::decode::{Decoder, Shape};
use crate::json::{Fields, Node};
use crate::panels::profile::NoseShape;
use crate::panels::{EdgeFinish, Fin, Planform};
use crate::shape::Point;
use serde::Deserialize;

#[derive(Deserialize, Clone, Copy)]
#[serde(rename_all = "lowercase")]
enum KindWord {
    Nose,
    Tube,
    Transition,
    Fin,
    Plate,
}

#[derive(Deserialize, Clone, Copy)]
#[serde(rename_all = "lowercase")]
enum PlanformWord {
    Trapezoid,
    Elliptical,
    Polygon,
}

#[derive(Deserialize)]
#[serde(rename_all = "lowercase")]
enum FirstWord {
    Left,
    Right,
    Both,
}

impl Decoder<'_> {
    pub(super) fn part_of_kit(&mut self, node: Node<'_>, common: Common) -> Option<Part> {
        let node = match node.value.get("id").and_then(serde_json::Value::as_str) {
            Some(id) => node.named("part", id),
            None => node,
        };
        let mut fields = Fields::open(&node, self.report)?;
        let id = fields.need("id", self.report).and_then(|n| self.part_id(&n)).unwrap_or_default();
        let kind = fields.need("kind", self.report).and_then(|n| self.word::<KindWord>(&n));
        let film = self.optional_id(fields.get("film"));
        let separates = self.flag(fields.get("separates"));
        let spares = fields.get("spares").map_or(0, |n| self.spares(&n));
        let grain_node = fields.get("grain");
        let grain = if grain_node.is_some() { self.grain(grain_node) } else { common.grain };
        // Without a kind nothing else can be understood, and its keys would all seem unknown.
        let kind = match kind? {
            KindWord::Nose => self.nose(&mut fields, common).map(Kind::Nose),
            KindWord::Tube => self.tube(&mut fields, common).map(Kind::Tube),
            KindWord::Transition => self.transition(&mut fields, common).map(Kind::Transition),
            KindWord::Fin => self.fin(&mut fields).map(Kind::Fin),
            KindWord::Plate => self.plate(&mut fields).map(Kind::Plate),
        };
        fields.finish(self.report);
        let (overlap, count_thickness) = (common.seam.overlap, common.count_thickness);
        Some(Part { id, film, separates, grain, spares, overlap, count_thickness, kind: kind? })
    }

    /// How many spare copies; none where it says 0.
    fn spares(&mut self, node: &Node<'_>) -> u32 {
        if node.value.as_u64() == Some(0) { 0 } else { self.copies(node) }
    }

    /// The id of a part stands in the ids of its panels, between slashes.
    fn part_id(&mut self, node: &Node<'_>) -> Option<String> {
        let id = self.id(node)?;
        if id.contains('/') {
            node.problem(self.report, "the id of a part has a slash", "panels are called KIT/PART/PANEL");
        }
        Some(id)
    }

    fn round(&mut self, fields: &mut Fields<'_>, pieces: &'static str, common: Common) -> Round {
        let pieces = self.pieces(fields.get(pieces));
        let Common { seam, front, .. } = self.seams(fields.get("seams"), common);
        let (aft, _) = self.end(fields.get("aft"), false);
        let (fore, _) = self.end(fields.get("fore"), false);
        Round { pieces, seam, front, aft, fore }
    }

    fn nose(&mut self, fields: &mut Fields<'_>, common: Common) -> Option<Nose> {
        let profile = self.nose_profile(fields);
        let tip = self.tip(fields.get("tip"));
        let balance = self.balance(fields);
        let cap_diameter = fields.get("tip_cap").and_then(|n| self.positive_mm(&n));
        let round = self.round(fields, "gores", common);
        Some(Nose { round, profile: profile?, tip, balance, cap_diameter })
    }

    fn balance(&mut self, fields: &mut Fields<'_>) -> f64 {
        let Some(node) = fields.get("balance") else { return 0.0 };
        let value = node.number(self.report).unwrap_or_default();
        if !(0.0..=1.0).contains(&value) {
            node.problem(
                self.report,
                format!("{} is not between 0 and 1", Shown(value)),
                "0 keeps the centre line true, 1 the seams",
            );
        }
        value
    }

    fn tube(&mut self, fields: &mut Fields<'_>, common: Common) -> Option<Tube> {
        let radius = self.radius(fields, "diameter", "circumference");
        let length = self.need_mm(fields, "length");
        let lean = fields.get("seam_angle").and_then(|n| self.angle(&n, 90.0)).unwrap_or_default();
        let with_next = self.flag(fields.get("with_next"));
        let pieces = self.pieces(fields.get("pieces"));
        let Common { seam, front, .. } = self.seams(fields.get("seams"), common);
        let (aft, aft_cut) = self.end(fields.get("aft"), true);
        let (fore, fore_cut) = self.end(fields.get("fore"), true);
        let round = Round { pieces, seam, front, aft, fore };
        Some(Tube { round, radius: radius?, length: length?, lean, cuts: [aft_cut, fore_cut], with_next })
    }

    fn transition(&mut self, fields: &mut Fields<'_>, common: Common) -> Option<Transition> {
        let fore_radius = self.radius(fields, "fore_diameter", "fore_circumference");
        let aft_radius = self.radius(fields, "aft_diameter", "aft_circumference");
        let length = self.need_mm(fields, "length");
        let shape = fields.get("profile").map_or(Some(NoseShape::Conical), |n| self.nose_shape(&n));
        let balance = self.balance(fields);
        let round = self.round(fields, "pieces", common);
        Some(Transition {
            round,
            shape: shape?,
            fore_radius: fore_radius?,
            aft_radius: aft_radius?,
            length: length?,
            balance,
        })
    }

    fn fin(&mut self, fields: &mut Fields<'_>) -> Option<Fin> {
        let planform = fields.need("planform", self.report).and_then(|n| self.planform(&n));
        let count = fields.need("count", self.report).map_or(1, |n| self.copies(&n));
        let root_allowance = self.size_mm_or_zero(fields.get("root_allowance"));
        let edges = self.edges(fields);
        Some(Fin { planform: planform?, count, root_allowance, edges })
    }

    fn planform(&mut self, node: &Node<'_>) -> Option<Planform> {
        let mut fields = Fields::open(node, self.report)?;
        let word = fields.need("shape", self.report).and_then(|n| self.word::<PlanformWord>(&n))?;
        let planform = match word {
            PlanformWord::Trapezoid => self.trapezoid(&mut fields),
            PlanformWord::Elliptical => {
                let (root, span) = (self.need_mm(&mut fields, "root"), self.need_mm(&mut fields, "span"));
                root.zip(span).map(|(root, span)| Planform::Elliptical { root, span })
            }
            PlanformWord::Polygon => {
                let mm = self.unit.in_mm();
                let points = fields.need("points", self.report).and_then(|n| self.points(&n));
                points.map(|p| {
                    Planform::Polygon(p.iter().map(|p| Point { x: p.x * mm, y: p.y * mm }).collect())
                })
            }
        };
        fields.finish(self.report);
        planform
    }

    fn trapezoid(&mut self, fields: &mut Fields<'_>) -> Option<Planform> {
        let root = self.need_mm(fields, "root");
        let tip = fields.need("tip", self.report).and_then(|n| self.size_mm(&n));
        let span = self.need_mm(fields, "span");
        let mm = self.unit.in_mm();
        let sweep = fields.need("sweep", self.report).and_then(|n| self.length(&n)).map(|v| v * mm);
        Some(Planform::Trapezoid { root: root?, tip: tip?, span: span?, sweep: sweep? })
    }

    fn edges(&mut self, fields: &mut Fields<'_>) -> EdgeFinish {
        let wrap = fields.get("wrap");
        let set_back = fields.get("set_back");
        let first = fields.get("wrap_first");
        if let (Some(_), Some(node)) = (wrap, set_back) {
            node.problem(
                self.report,
                "`set_back` beside `wrap`",
                "film is folded round the edges or ends before them",
            );
        }
        if let (None, Some(node)) = (wrap, first) {
            node.problem(
                self.report,
                "`wrap_first` without `wrap`",
                "give `wrap`: how far film is folded round the edges",
            );
        }
        let first = match first.and_then(|n| self.word::<FirstWord>(&n)) {
            Some(FirstWord::Both) => None,
            Some(FirstWord::Right) => Some(HandWord::Right.hand()),
            Some(FirstWord::Left) | None => Some(HandWord::Left.hand()),
        };
        match (wrap.and_then(|n| self.size_mm(&n)), set_back.and_then(|n| self.size_mm(&n))) {
            (Some(width), _) => EdgeFinish::Wrap { width, first },
            (None, Some(width)) => EdgeFinish::SetBack(width),
            (None, None) => EdgeFinish::Flush,
        }
    }

    fn plate(&mut self, fields: &mut Fields<'_>) -> Option<Plate> {
        let copies = fields.get("copies").map_or(1, |n| self.copies(&n));
        let drawing = self.drawing(fields);
        let shape = match self.shape(fields, drawing, true) {
            Shape::Here(regions) => PlateShape::Here(regions),
            Shape::Drawing(drawing) => PlateShape::Drawing(drawing),
        };
        Some(Plate { copies, shape })
    }
}

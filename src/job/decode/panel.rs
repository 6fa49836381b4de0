//! One panel.

use super::Decoder;
use crate::error::Shown;
use crate::job::limits::MAX_COPIES;
use crate::job::{Grain, GrainRule, Line, Numbers, Panel, Unit};
use crate::json::{Fields, Node};
use crate::shape::{Region, wrap_degrees};

/// A panel as written: its shape may still lie in a drawing.
#[derive(Debug)]
pub(crate) struct PanelDraft {
    /// Everything but the shape.
    pub panel: Panel,
    /// The shape.
    pub shape: Shape,
}

/// Where the shape of a panel is written.
#[derive(Debug)]
pub(crate) enum Shape {
    /// In the file itself.
    Here(Vec<Region>),
    /// In a drawing beside it.
    Drawing(DrawingRef),
}

/// Contours of a drawing.
#[derive(Debug, Clone)]
pub(crate) struct DrawingRef {
    /// The file, relative to the job's folder.
    pub file: String,
    /// Which of its contours.
    pub choice: Choice,
    /// Overrides the unit of the drawing.
    pub unit: Option<Unit>,
}

/// Which contours of a drawing are meant.
#[derive(Debug, Clone, Default)]
pub(crate) struct Choice {
    /// Those on this layer.
    pub layer: Option<String>,
    /// Those with these numbers.
    pub pick: Option<Vec<usize>>,
    /// Each one a panel of its own.
    pub all: bool,
}

impl Decoder<'_> {
    /// A panel whose shape is written out or, where `drawings` says so, lies in a drawing.
    pub(crate) fn panel(&mut self, node: Node<'_>, drawings: bool) -> Option<PanelDraft> {
        let node = match node.value.get("id").and_then(serde_json::Value::as_str) {
            Some(id) => node.named("panel", id),
            None => node,
        };
        let mut fields = Fields::open(&node, self.report)?;
        let panel = self.all_but_shape(&mut fields);
        let drawing = if drawings { self.drawing(&mut fields) } else { None };
        let shape = self.shape(&mut fields, drawing, drawings);
        fields.finish(self.report);
        Some(PanelDraft { panel, shape })
    }

    fn all_but_shape(&mut self, fields: &mut Fields<'_>) -> Panel {
        let before = self.report.problem_count();
        let copies = fields.get("copies").map_or(1, |n| self.copies(&n));
        // Where the number is wrong, nothing else is held against it.
        let known = (self.report.problem_count() == before).then_some(copies);
        Panel {
            id: fields.need("id", self.report).and_then(|n| self.id(&n)).unwrap_or_default(),
            kit: self.optional_id(fields.get("kit")),
            film: self.optional_id(fields.get("film")),
            copies,
            numbers: fields.get("numbers").and_then(|n| self.numbers(&n, known)),
            parts: Vec::new(),
            lines: fields.get("lines").map_or_else(Vec::new, |n| self.lines(&n, known)),
            keep_clear: self.word_or_default(fields.get("keep_clear")),
            fill_holes: self.flag(fields.get("fill_holes")),
            grain: self.grain(fields.get("grain")),
            match_group: self.optional_id(fields.get("match")),
            mirror: self.flag(fields.get("mirror")),
            optional: self.flag(fields.get("optional")),
            priority: fields.get("priority").and_then(|n| self.priority(&n)),
        }
    }

    /// Which copies of a day these are.
    fn numbers(&mut self, node: &Node<'_>, copies: Option<u32>) -> Option<Numbers> {
        let mut fields = Fields::open(node, self.report)?;
        let list = fields.need("copies", self.report);
        let of = fields.need("of", self.report).map_or(1, |n| self.copies(&n));
        fields.finish(self.report);
        let (list, copies) = (list?, copies?);
        let numbers: Vec<u32> = list.items(self.report)?.filter_map(|n| self.copy_number(&n)).collect();
        let ascend = numbers.is_sorted_by(|a, b| a < b) && numbers.last().is_some_and(|last| *last <= of);
        if !ascend || numbers.len() != copies as usize {
            let what = format!("these are not the numbers of {copies} of {of} copies");
            list.problem(self.report, what, "give one for each copy, ascending");
            return None;
        }
        Some(Numbers { copies: numbers, of })
    }

    pub(crate) fn copies(&mut self, node: &Node<'_>) -> u32 {
        let Some(copies) = node.whole(self.report) else { return 1 };
        match u32::try_from(copies) {
            Ok(0) => {
                node.problem(self.report, "0 copies", "leave out a panel that is not wanted");
                1
            }
            Ok(copies) if u64::from(copies) <= MAX_COPIES => copies,
            _ => {
                let what = format!("{copies} copies; {MAX_COPIES} are the most");
                node.problem(self.report, what, "split the job");
                1
            }
        }
    }

    /// A place in a queue, from 1.
    pub(crate) fn priority(&mut self, node: &Node<'_>) -> Option<u32> {
        let number = node.whole(self.report)?;
        let valid = u32::try_from(number).ok().filter(|n| *n > 0);
        if valid.is_none() {
            node.problem(
                self.report,
                format!("{number} is no priority"),
                "1 is the most urgent, then 2, 3, …",
            );
        }
        valid
    }

    pub(crate) fn grain(&mut self, node: Option<Node<'_>>) -> Grain {
        let plain = Grain { along: 0.0, rule: GrainRule::OneWay, slack: 0.0 };
        let Some(node) = node else { return plain };
        let Some(mut fields) = Fields::open(&node, self.report) else { return plain };
        let grain = Grain {
            along: self.degrees(fields.get("along"), [-360.0, 360.0]),
            rule: self.word_or_default(fields.get("rule")),
            slack: self.degrees(fields.get("slack"), [0.0, 45.0]),
        };
        fields.finish(self.report);
        grain
    }

    /// Degrees from `range[0]` to `range[1]`; 0 where the key is absent.
    fn degrees(&mut self, node: Option<Node<'_>>, range: [f64; 2]) -> f64 {
        let Some(node) = node else { return 0.0 };
        let Some(value) = node.number(self.report) else { return 0.0 };
        if value < range[0] || value > range[1] {
            let what = format!("{} is not within {} to {} degrees", Shown(value), range[0], range[1]);
            node.problem(self.report, what, "");
        }
        value
    }

    /// Degrees written in [0, 360).
    pub(crate) fn rotation(&mut self, node: &Node<'_>) -> Option<f64> {
        let value = node.number(self.report)?;
        if (0.0..360.0).contains(&value) {
            return Some(value);
        }
        let remedy = format!("write it as {}", Shown(wrap_degrees(value)));
        node.problem(self.report, format!("{} degrees is not from 0 to below 360", Shown(value)), remedy);
        None
    }

    fn lines(&mut self, node: &Node<'_>, copies: Option<u32>) -> Vec<Line> {
        let Some(items) = self.few(node) else { return Vec::new() };
        items.filter_map(|n| self.line(&n, copies)).collect()
    }

    fn line(&mut self, node: &Node<'_>, copies: Option<u32>) -> Option<Line> {
        let mut fields = Fields::open(node, self.report)?;
        let role = fields.need("role", self.report).and_then(|n| self.word(&n));
        let points_node = fields.need("points", self.report);
        let closed = self.flag(fields.get("closed"));
        let copy_node = fields.get("copy");
        let copy = copy_node.as_ref().and_then(|n| self.copy_number(n));
        if let (Some(node), Some(copy), Some(copies)) = (copy_node, copy, copies.filter(|n| copy > Some(*n)))
        {
            let what = format!("a line of copy {copy}, and there are {copies}");
            node.problem(self.report, what, "copies are numbered from 1 to `copies`");
        }
        fields.finish(self.report);
        let points_node = points_node?;
        let points = self.points(&points_node)?;
        if points.len() < 2 {
            points_node.problem(self.report, "a line needs at least two points", "");
        }
        Some(Line { role: role?, points, closed, copy })
    }

    /// The shape: exactly one of `outline`, `parts` and a drawing.
    pub(crate) fn shape(
        &mut self,
        fields: &mut Fields<'_>,
        drawing: Option<DrawingRef>,
        drawings: bool,
    ) -> Shape {
        let parts = fields.get("parts");
        let (outline, holes) = (fields.get("outline"), fields.get("holes"));
        let count =
            [outline.is_some(), parts.is_some(), drawing.is_some()].iter().filter(|there| **there).count();
        if count != 1 {
            let choices =
                if drawings { "one of `outline`, `parts` and `file`" } else { "`outline` or `parts`" };
            let what = if count == 0 { "the panel has no shape" } else { "the panel has several shapes" };
            fields.problem(self.report, what, format!("give {choices}"));
        }
        if let (Some(holes), None) = (holes, outline) {
            let remedy =
                if parts.is_some() { "write holes inside each part" } else { "holes belong to an `outline`" };
            holes.problem(self.report, "holes without an outline", remedy);
        }
        if let Some(drawing) = drawing {
            return Shape::Drawing(drawing);
        }
        Shape::Here(match (outline, parts) {
            (Some(_), _) => self.region(fields).into_iter().collect(),
            (None, Some(node)) => self.parts(&node),
            (None, None) => Vec::new(),
        })
    }

    fn parts(&mut self, node: &Node<'_>) -> Vec<Region> {
        let Some(items) = self.few(node) else { return Vec::new() };
        let count = items.len();
        if count == 0 {
            node.problem(self.report, "the list of parts is empty", "give at least one part");
        }
        let parts: Vec<Region> = items.filter_map(|n| self.part(&n)).collect();
        if parts.len() == count
            && let Some((i, j)) = crate::shape::first_overlap(&parts)
        {
            let what = format!("parts [{i}] and [{j}] overlap");
            node.problem(
                self.report,
                what,
                "parts of one panel lie apart; join overlapping ones into one outline",
            );
        }
        parts
    }

    fn part(&mut self, node: &Node<'_>) -> Option<Region> {
        let mut fields = Fields::open(node, self.report)?;
        let region = self.region(&mut fields);
        fields.finish(self.report);
        region
    }

    /// The keys that point into a drawing.
    pub(crate) fn drawing(&mut self, fields: &mut Fields<'_>) -> Option<DrawingRef> {
        let file = fields.get("file");
        let (layer, pick) = (fields.get("layer"), fields.get("pick"));
        let (unit, all) = (fields.get("file_unit"), fields.get("all"));
        if file.is_none() {
            for stray in [layer, pick, unit, all].into_iter().flatten() {
                stray.problem(
                    self.report,
                    "the panel has no `file` that this could choose from",
                    "give a `file`",
                );
            }
        }
        let choice = Choice {
            layer: layer.and_then(|n| n.text(self.report)).map(str::to_owned),
            pick: pick.and_then(|n| self.pick(&n)),
            all: self.flag(all),
        };
        let unit = unit.and_then(|n| self.word(&n));
        let file = file?.text(self.report).unwrap_or_default().to_owned();
        Some(DrawingRef { file, choice, unit })
    }

    fn pick(&mut self, node: &Node<'_>) -> Option<Vec<usize>> {
        let items = self.few(node)?;
        let numbers: Vec<usize> =
            items.filter_map(|n| n.whole(self.report)).filter_map(|n| usize::try_from(n).ok()).collect();
        if numbers.is_empty() {
            node.problem(
                self.report,
                "nothing is picked",
                "give the numbers that `tuckroll outlines` prints",
            );
        }
        Some(numbers)
    }
}

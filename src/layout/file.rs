//! Layout files in and out.

use super::wire::{FORMAT, WireLayout};
use super::{Layout, MadeBy, Measures, Placement};
use crate::Error;
use crate::error::Shown;
use crate::job::check_ids;
use crate::job::decode::{Decoder, Draft, PanelDraft, Shape};
use crate::job::limits::MAX_COPIES;
use crate::job::{Panel, Size, Tally, read_input};
use crate::json::{self, Fields, Node, Path, Report, nearest};
use crate::shape::Point;
use std::collections::BTreeMap;

/// Loads a layout file.
///
/// # Errors
///
/// [`Error::Input`] with everything that is wrong with it, [`Error::Io`] when it cannot be read.
pub fn load(path: &std::path::Path) -> Result<Layout, Error> {
    let name = path.display().to_string();
    read(&read_input(path)?, &name)
}

/// Reads the bytes of a layout file, called `name` in problems. What it states is taken as it
/// is; whether it is true is for the check to say.
///
/// # Errors
///
/// [`Error::Input`] with everything that is wrong with it.
pub fn read(bytes: &[u8], name: &str) -> Result<Layout, Error> {
    let tree = json::parse(bytes, name)?;
    let mut report = Report::new(name);
    let layout = Decoder::new(&mut report).layout(&Node::root(&tree));
    report.or_ok(layout).map(|(layout, _)| layout)
}

/// The text of a layout file: keys in a fixed order, every number with the fewest digits that
/// read back to the same value.
pub fn write(layout: &Layout) -> String {
    json::to_text(&WireLayout::from(layout))
}

/// The JSON Schema of the layout format.
pub fn schema() -> String {
    json::schema::<WireLayout>()
}

impl Decoder<'_> {
    /// The whole layout file.
    fn layout(&mut self, node: &Node<'_>) -> Option<Layout> {
        let mut fields = Fields::open(node, self.report)?;
        if !self.format(&mut fields, FORMAT) {
            return None;
        }
        self.unit(&mut fields);
        let Draft { name, unit, roll, gap, notes, shop } = self.head(&mut fields, false);
        let panels = fields.need("panels", self.report).map_or_else(Vec::new, |n| self.panels(&n, false));
        let panels: Vec<Panel> = panels.into_iter().map(written_out).collect();
        check_ids(panels.iter().map(|p| p.id.as_str()).enumerate(), &Path::ROOT.key("panels"), self.report);
        let placements = fields.need("placements", self.report).map(|n| self.placements(&n, &panels));
        let measures = self.measures(&mut fields);
        let made_by = fields.get("made_by").and_then(|n| self.made_by(&n));
        fields.finish(self.report);
        Some(Layout {
            name,
            unit,
            roll: roll?,
            gap,
            notes,
            shop,
            panels,
            placements: placements?,
            measures: measures?,
            made_by,
        })
    }

    fn measures(&mut self, fields: &mut Fields<'_>) -> Option<Measures> {
        let length = fields.need("length", self.report).and_then(|n| self.size(&n));
        let panel_area = fields.need("panel_area", self.report).and_then(|n| self.area(&n));
        let filler_area = fields.get("filler_area").map_or(Some(0.0), |n| self.area(&n));
        let waste_percent = fields.need("waste_percent", self.report).and_then(|n| n.number(self.report));
        let density_percent = fields.need("density_percent", self.report).and_then(|n| n.number(self.report));
        Some(Measures {
            length: length?,
            panel_area: panel_area?,
            filler_area: filler_area?,
            waste_percent: waste_percent?,
            density_percent: density_percent?,
        })
    }

    fn area(&mut self, node: &Node<'_>) -> Option<f64> {
        let value = node.number(self.report)?;
        if value < 0.0 {
            node.problem(self.report, format!("{} is below 0", Shown(value)), "");
        }
        Some(value)
    }

    fn placements(&mut self, node: &Node<'_>, panels: &[Panel]) -> Vec<Placement> {
        let Some(items) = node.items(self.report) else { return Vec::new() };
        if items.len() as u64 > MAX_COPIES {
            let what = format!("{} placements; {MAX_COPIES} are the most", items.len());
            node.problem(self.report, what, "");
            return Vec::new();
        }
        let numbers: BTreeMap<&str, usize> =
            panels.iter().enumerate().map(|(i, p)| (p.id.as_str(), i)).collect();
        let placements: Vec<Placement> = items.filter_map(|n| self.placement(&n, &numbers)).collect();
        self.check_film(node, &placements, panels);
        placements
    }

    /// The files made of a layout hold every point of every copy.
    fn check_film(&mut self, node: &Node<'_>, placements: &[Placement], panels: &[Panel]) {
        let mut copies = vec![0; panels.len()];
        for place in placements {
            if let Some(count) = copies.get_mut(place.panel) {
                *count += 1;
            }
        }
        let mut tally = Tally::default();
        for (panel, copies) in panels.iter().zip(copies).filter(|(_, copies)| *copies > 0) {
            tally.add_placed(Size::of_placed(panel, copies));
        }
        if let Some((what, remedy)) = tally.excess() {
            node.problem(self.report, what, remedy);
        }
    }

    fn placement(&mut self, node: &Node<'_>, numbers: &BTreeMap<&str, usize>) -> Option<Placement> {
        let mut fields = Fields::open(node, self.report)?;
        let panel = fields.need("panel", self.report).and_then(|n| self.panel_number(&n, numbers));
        let copy = fields.need("copy", self.report).and_then(|n| self.copy_number(&n));
        let x = fields.need("x", self.report).and_then(|n| self.length(&n));
        let y = fields.need("y", self.report).and_then(|n| self.length(&n));
        let rotation = fields.need("rotation", self.report).and_then(|n| self.rotation(&n));
        let mirrored = fields.need("mirrored", self.report).and_then(|n| n.flag(self.report));
        fields.finish(self.report);
        Some(Placement {
            panel: panel?,
            copy: copy?,
            at: Point { x: x?, y: y? },
            rotation: rotation?,
            mirrored: mirrored?,
        })
    }

    fn panel_number(&mut self, node: &Node<'_>, numbers: &BTreeMap<&str, usize>) -> Option<usize> {
        let id = node.text(self.report)?;
        let number = numbers.get(id).copied();
        if number.is_none() {
            let like = if self.report.is_full() { None } else { nearest(id, numbers.keys().copied()) };
            let remedy = like.map(|like| format!("did you mean {like:?}?"));
            node.problem(self.report, format!("there is no panel {id:?}"), remedy.unwrap_or_default());
        }
        number
    }

    fn made_by(&mut self, node: &Node<'_>) -> Option<MadeBy> {
        let mut fields = Fields::open(node, self.report)?;
        let version = fields.need("version", self.report).and_then(|n| self.title(&n));
        let seed = fields.need("seed", self.report).and_then(|n| n.whole(self.report));
        let walks = fields.need("walks", self.report).and_then(|n| n.whole(self.report));
        let rounds = fields.need("rounds", self.report).and_then(|n| n.whole(self.report));
        let stopped = fields.need("stopped", self.report).and_then(|n| self.title(&n));
        fields.finish(self.report);
        let walks = u32::try_from(walks?);
        if walks.is_err() {
            node.problem(self.report, "the number of walks is out of range", "");
        }
        Some(MadeBy {
            version: version?,
            seed: seed?,
            walks: walks.ok()?,
            rounds: rounds?,
            stopped: stopped?,
        })
    }
}

/// A layout's panel; its shape is always in the file itself.
fn written_out(draft: PanelDraft) -> Panel {
    match draft.shape {
        Shape::Here(parts) => Panel { parts, ..draft.panel },
        Shape::Drawing(_) => draft.panel,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::fixtures::{frame, job_of, rectangle, ring};
    use crate::job::{Day, Line, LineRole, layout_weight};
    use crate::json::weigh;
    use crate::layout::assemble;
    use crate::shape::Region;

    /// The size that is told before the search is not less than that of the file, nor much more.
    #[test]
    fn what_a_layout_weighs_is_foreseen() {
        let line = |copy| {
            let points = vec![Point { x: 1. / 3., y: 1. }, Point { x: 2., y: 1. }];
            Line { role: LineRole::Draw, points, closed: false, copy }
        };
        let mut panels = vec![rectangle(&"Ä\"".repeat(50), 20.123_456_789, 10.), rectangle("b", 5., 5.)];
        panels[0].copies = 40;
        panels[0].lines = vec![line(None), line(Some(2))];
        panels[1].parts.push(Region::solid(ring(&[(9., 0.), (9.5, 0.), (9.5, 0.1)])));
        let mut job = job_of(600., panels);
        job.notes =
            serde_json::json!({"a": [[[1, {"b": "c"}]], "\u{7}"]}).as_object().cloned().map(Into::into);
        job.roll.flaws = vec![frame(3., 3.)];
        let place = |copy| Placement {
            panel: 0,
            copy,
            at: Point { x: 1_234.567_890_123_456_7, y: -1e-7 / 3. },
            rotation: 359.999_999_999_999_94,
            mirrored: false,
        };
        let made_by =
            MadeBy { version: "0".into(), seed: u64::MAX, walks: 8, rounds: 9, stopped: "rounds".into() };
        let layout = assemble(&job, (1..=40).map(place).collect(), made_by);
        let text = write(&layout);
        let foreseen = layout_weight(&Day::from(job));
        let values = weigh(&serde_json::from_str::<serde_json::Value>(&text).unwrap(), 0).values;
        // Room for what stands at the head, and 80 bytes for each of 41 copies.
        let bytes = text.len()..=text.len() + 4096 + 41 * 80;
        assert!(bytes.contains(&foreseen.bytes), "{} for {}", foreseen.bytes, text.len());
        assert!((values..=values + 110).contains(&foreseen.values), "{} for {values}", foreseen.values);
        assert_eq!(read(text.as_bytes(), "layout.json").unwrap(), layout);
    }
}

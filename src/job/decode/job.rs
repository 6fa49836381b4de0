//! The whole job, shapes in drawings not yet fetched.

use super::{Decoder, PanelDraft};
use crate::job::{Notes, Roll, Shop, Unit};
use crate::json::{Fields, Node, Path};

/// The value of `format` in a job.
pub(crate) const FORMAT: &str = "tuckroll-job-1";

/// A job as written.
#[derive(Debug)]
pub(crate) struct JobDraft {
    /// Its heading.
    pub head: Draft,
    /// Free text.
    pub source: Option<String>,
    /// The panels, in the order of the file.
    pub panels: Vec<PanelDraft>,
    /// The kits, in the order of the file.
    pub kits: Vec<KitDraft>,
    /// The film library that kits are held against.
    pub films: Option<String>,
    /// Several pieces of film.
    pub rolls: Option<Vec<Roll>>,
    /// The stock file that lists the pieces of film.
    pub stock: Option<String>,
}

/// A kit as a job names it.
#[derive(Debug)]
pub(crate) struct KitDraft {
    /// Number of the order.
    pub id: String,
    /// The kit file, relative to the job's folder.
    pub file: String,
    /// How many orders.
    pub copies: u32,
    /// How soon it is due.
    pub priority: Option<u32>,
}

/// What a job and a layout have in common.
#[derive(Debug)]
pub(crate) struct Draft {
    /// Shown in reports.
    pub name: String,
    /// Of every length.
    pub unit: Unit,
    /// The film.
    pub roll: Option<Roll>,
    /// Between cut lines.
    pub gap: f64,
    /// Carried along.
    pub notes: Option<Notes>,
    /// Money and offcuts.
    pub shop: Shop,
}

impl Decoder<'_> {
    /// The whole job file.
    pub(crate) fn job(&mut self, node: &Node<'_>) -> Option<JobDraft> {
        let mut fields = Fields::open(node, self.report)?;
        if !self.format(&mut fields, FORMAT) {
            return None;
        }
        // The unit comes first: lengths are held against it.
        self.unit(&mut fields);
        let rolls_node = fields.get("rolls");
        let rolls = rolls_node.map(|n| self.rolls(&n));
        let stock = fields.get("stock").and_then(|n| n.text(self.report)).map(str::to_owned);
        let one_roll = fields.get("roll").is_some();
        self.one_source_of_film(
            &fields,
            [("roll", one_roll), ("rolls", rolls.is_some()), ("stock", stock.is_some())],
        );
        let kits_node = fields.get("kits");
        let films = fields.get("films").and_then(|n| n.text(self.report)).map(str::to_owned);
        let head = self.head(&mut fields, rolls.is_some() || stock.is_some());
        if let Some(rolls) = &rolls {
            self.check_rolls(rolls, &head.shop, &Path::ROOT.key("rolls"));
        }
        let source = fields.get("source").and_then(|n| n.text(self.report)).map(str::to_owned);
        let kits = kits_node.map_or_else(Vec::new, |n| self.kits(&n));
        let panels =
            if kits_node.is_some() { fields.get("panels") } else { fields.need("panels", self.report) };
        // Kits alone are enough to cut.
        let empty = |n: &Node<'_>| n.value.as_array().is_some_and(Vec::is_empty);
        let panels = panels.filter(|n| kits_node.is_none() || !empty(n));
        let panels = panels.map_or_else(Vec::new, |n| self.panels(&n, true));
        fields.finish(self.report);
        Some(JobDraft { head, source, panels, kits, films, rolls, stock })
    }

    fn kits(&mut self, node: &Node<'_>) -> Vec<KitDraft> {
        let Some(items) = self.few(node) else { return Vec::new() };
        if items.len() == 0 {
            node.problem(self.report, "there are no kits", "give at least one, or leave `kits` out");
        }
        let mut kits: Vec<KitDraft> = Vec::new();
        for item in items {
            let Some(kit) = self.kit_of_job(item) else { continue };
            if kits.iter().any(|k| k.id == kit.id) {
                item.problem(
                    self.report,
                    format!("the kit {:?} is listed twice", kit.id),
                    "use `copies`, or another id",
                );
            }
            kits.push(kit);
        }
        kits
    }

    fn kit_of_job(&mut self, node: Node<'_>) -> Option<KitDraft> {
        let mut fields = Fields::open(&node, self.report)?;
        let id = fields.need("id", self.report).and_then(|n| self.id(&n));
        let file = fields.need("file", self.report).and_then(|n| n.text(self.report)).map(str::to_owned);
        let copies = fields.get("copies").map_or(1, |n| self.copies(&n));
        let priority = fields.get("priority").and_then(|n| self.priority(&n));
        fields.finish(self.report);
        Some(KitDraft { id: id?, file: file?, copies, priority })
    }

    /// Name, unit, roll, gap and notes; without complaint about the roll when `other_film` is given.
    pub(crate) fn head(&mut self, fields: &mut Fields<'_>, other_film: bool) -> Draft {
        let name = fields.need("name", self.report).and_then(|n| self.title(&n));
        // Where there is other film, a roll beside it is reported already.
        let roll = if other_film { None } else { fields.need("roll", self.report) };
        let shop = self.shop(fields);
        let roll = roll.and_then(|n| {
            let roll = self.roll(&n)?;
            self.check_price(&n, &roll, &shop);
            Some(roll)
        });
        Draft {
            name: name.unwrap_or_default(),
            unit: self.unit,
            roll,
            gap: fields.need("gap", self.report).and_then(|n| self.size(&n)).unwrap_or_default(),
            notes: self.notes(fields.get("notes")),
            shop,
        }
    }

    /// The panels; with `drawings` their shapes may lie in files of their own.
    pub(crate) fn panels(&mut self, node: &Node<'_>, drawings: bool) -> Vec<PanelDraft> {
        let Some(items) = node.items(self.report) else { return Vec::new() };
        if items.len() == 0 {
            node.problem(self.report, "there are no panels", "give at least one");
        }
        items.filter_map(|n| self.panel(n, drawings)).collect()
    }
}

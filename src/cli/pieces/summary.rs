//! `summary.json`: what a day on several pieces of film came to.

use super::super::output::{Written, paths};
use super::super::result::{FilmJson, Measured};
use super::super::{clean, listing, numbers, say};
use super::nested::{Piece, Pieces};
use serde::Serialize;
use tuckroll::cost::{self, Bill, Statement};
use tuckroll::day::Plan;
use tuckroll::job::{Day, Share};
use tuckroll::{Error, Warning, json, money};

/// The whole of it, in JSON.
#[derive(Debug, Clone, Serialize)]
pub struct Summary {
    format: &'static str,
    name: String,
    unit: &'static str,
    rolls: Vec<RollLine>,
    unused: Vec<String>,
    left_out: Vec<LeftOutLine>,
    length_mm: f64,
    film_area_mm2: f64,
    panel_area_mm2: f64,
    waste_percent: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    cost: Option<Statement>,
    version: &'static str,
    seed: u64,
    rounds: u64,
    warnings: Vec<say::Finding>,
    #[serde(skip)]
    totals: String,
}

/// One piece of film that is used.
#[derive(Debug, Clone, Serialize)]
struct RollLine {
    id: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    film: Option<String>,
    layout: String,
    #[serde(flatten)]
    measured: Measured,
    lower_bound_mm: f64,
    #[serde(flatten)]
    left: FilmJson,
}

/// An order that found no film.
#[derive(Debug, Clone, Serialize)]
struct LeftOutLine {
    #[serde(skip_serializing_if = "Option::is_none")]
    kit: Option<String>,
    panels: Vec<PanelLine>,
}

#[derive(Debug, Clone, Serialize)]
struct PanelLine {
    panel: String,
    copies: usize,
}

/// The summary, as `--json` prints it.
#[derive(Debug, Serialize)]
struct Printed {
    exit_code: u8,
    #[serde(flatten)]
    summary: Summary,
    files: Vec<String>,
}

impl Summary {
    /// Sums up.
    pub fn of(day: &Day, plan: &Plan, nested: &Pieces, bill: Option<&Bill>, warnings: &[Warning]) -> Self {
        let mm = day.unit.in_mm();
        let sum = |of: fn(&Piece) -> f64| nested.pieces.iter().map(of).sum::<f64>();
        let film = sum(|p| p.layout.roll.width * p.layout.measures.length);
        let panels = sum(|p| p.layout.measures.panel_area);
        let used = |i: &usize| plan.pieces.iter().any(|load| load.roll == *i);
        let seed = nested.pieces.first().and_then(|p| p.layout.made_by.as_ref()).map_or(0, |m| m.seed);
        Self {
            format: listing::FORMAT,
            name: day.name.clone(),
            unit: day.unit.name(),
            rolls: nested.pieces.iter().map(|p| roll_line(day, p)).collect(),
            unused: (0..day.rolls.len()).filter(|i| !used(i)).map(|i| Piece::folder(day, i)).collect(),
            left_out: left_out(day, plan),
            length_mm: sum(|p| p.layout.measures.length) * mm,
            film_area_mm2: film * mm * mm,
            panel_area_mm2: panels * mm * mm,
            waste_percent: if film > 0.0 { 100.0 * (1.0 - panels / film) } else { 0.0 },
            cost: bill.map(cost::statement),
            version: concat!("tuckroll ", env!("CARGO_PKG_VERSION")),
            seed,
            rounds: nested.rounds,
            warnings: say::findings(warnings),
            totals: totals(day, nested, bill),
        }
    }

    /// The text of `summary.json`.
    pub fn text(&self) -> Result<Vec<u8>, Error> {
        let text = serde_json::to_string_pretty(self).map_err(|e| Error::Internal(e.to_string()))?;
        Ok((json::tame(&text).into_owned() + "\n").into_bytes())
    }

    /// The summary with what is known once the files are there.
    pub fn json(&self, exit_code: u8, written: &Written, warnings: &[Warning]) -> impl Serialize + use<> {
        let summary = Self { warnings: say::findings(warnings), ..self.clone() };
        Printed { exit_code, summary, files: paths(&written.files) }
    }

    /// The sums, for people.
    pub fn totals(&self) -> String {
        self.totals.clone()
    }
}

fn roll_line(day: &Day, piece: &Piece) -> RollLine {
    let (id, mm) = (Piece::folder(day, piece.roll), day.unit.in_mm());
    RollLine {
        layout: format!("{id}/layout.json"),
        id,
        film: day.rolls[piece.roll].piece.film.clone(),
        measured: Measured::of(&piece.layout),
        lower_bound_mm: piece.lower_bound * mm,
        left: FilmJson::of(&piece.film, mm).without_cost(),
    }
}

fn left_out(day: &Day, plan: &Plan) -> Vec<LeftOutLine> {
    let line =
        |share: &Share| PanelLine { panel: day.panels[share.panel].id.clone(), copies: share.copies.len() };
    let order = |left: &tuckroll::day::LeftOut| LeftOutLine {
        kit: left.kit.clone(),
        panels: left.shares.iter().map(line).collect(),
    };
    plan.left_out.iter().map(order).collect()
}

/// What was left out, in words.
pub fn told_left_out(day: &Day, plan: &Plan) -> Vec<String> {
    let words = |line: &LeftOutLine| {
        let panels: Vec<_> = line.panels.iter().map(|p| (p.copies, p.panel.as_str())).collect();
        say::left_out(line.kit.as_deref(), &panels)
    };
    left_out(day, plan).iter().map(words).collect()
}

fn totals(day: &Day, nested: &Pieces, bill: Option<&Bill>) -> String {
    let length: f64 = nested.pieces.iter().map(|p| p.layout.measures.length).sum();
    let pieces = numbers::count(nested.pieces.len(), "piece");
    let mut text =
        format!("{}: {} of film on {pieces}", clean::one_line(&day.name), numbers::metres(length, day.unit));
    if let Some(bill) = bill {
        let of = |amount| format!("{} {}", money::text(amount, bill.rates.decimals), bill.rates.currency);
        text += &format!(", film {}", of(bill.total.film).trim());
        if bill.total.film != bill.total.total() {
            text += &format!(", {} in all", of(bill.total.total()).trim());
        }
    }
    clean::one_line(&text).into_owned() + "\n"
}

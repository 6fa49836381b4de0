//! What came of a nest, as text and as JSON.

use super::keep::Kept;
use super::output::{Written, named, paths};
use super::{clean, numbers, say};
use serde::Serialize;
use std::fmt::Write;
use tuckroll::cost::{self, Bill, Statement};
use tuckroll::layout::Layout;
use tuckroll::nest::Effort;
use tuckroll::offcut::{self, Offcut};
use tuckroll::report::LeftOut;
use tuckroll::write::percent;
use tuckroll::{Error, Warning, money};

/// Everything there is to say.
pub struct Outcome<'a> {
    /// The proven layout.
    pub layout: &'a Layout,
    /// The search result behind it.
    pub kept: &'a Kept,
    /// The files.
    pub written: &'a Written,
    /// Money, film left and offcuts.
    pub film: &'a Film,
    /// All warnings.
    pub warnings: &'a [Warning],
    /// What the search was asked for.
    pub effort: Effort,
    /// What else was asked for that changes the result.
    pub options: &'a str,
}

/// The line that tells how to get the same bytes again; `others` are the options that are not about effort.
pub fn repeat(rounds: u64, effort: &Effort, others: &str) -> String {
    let Effort { seed, patience, group_kits, .. } = effort;
    let patience = patience.map_or_else(String::new, |n| format!(" --patience {n}"));
    let group = if *group_kits { " --group kit" } else { "" };
    format!("  repeat   --rounds {rounds}{patience} --seed {seed}{group}{others}\n")
}

/// What the film of a layout costs, and what is left of it.
#[derive(Debug)]
pub struct Film {
    bill: Option<Bill>,
    left: Option<f64>,
    offcuts: Vec<Offcut>,
}

impl Film {
    /// That of one layout.
    pub fn of(layout: &Layout) -> Result<Self, Error> {
        Ok(Self {
            bill: cost::bill(&[layout])?,
            left: cost::film_left(layout),
            offcuts: offcut::worth_keeping(layout),
        })
    }

    /// For people, the work included.
    pub fn text(&self, layout: &Layout) -> String {
        self.lines(layout, true)
    }

    /// For people, as one of several pieces: the time for the job and for each kit is not this piece's alone.
    pub fn text_of_piece(&self, layout: &Layout) -> String {
        self.lines(layout, false)
    }

    fn lines(&self, layout: &Layout, work: bool) -> String {
        let mut text = String::new();
        let unit = layout.unit;
        if let Some(left) = self.left {
            let (length, metres) = (numbers::length(left, unit), numbers::metres(left, unit));
            let _ = writeln!(text, "  left     {length} ({metres}) on the roll");
        }
        if let Some(bill) = &self.bill {
            let of = |amount| format!("{} {}", money::text(amount, bill.rates.decimals), bill.rates.currency);
            let mut line = format!("  cost     film {}", of(bill.total.film).trim());
            if work && bill.total.film != bill.total.total() {
                line += &format!(", {} in all", of(bill.total.total()).trim());
            }
            text += &clean::one_line(&line);
            text.push('\n');
        }
        for o in &self.offcuts {
            let (size, at) = ([o.length(), o.width()], [o.at.min.x, o.at.min.y]);
            let [l, w, x, y] = [size[0], size[1], at[0], at[1]].map(|v| numbers::length(v, unit));
            let _ = writeln!(text, "  offcut   {l} along x {w} across, at x {x}, y {y}");
        }
        text
    }
}

/// An offcut in JSON.
#[derive(Debug, Clone, Serialize)]
pub struct OffcutLine {
    x_mm: f64,
    y_mm: f64,
    length_mm: f64,
    width_mm: f64,
}

impl OffcutLine {
    fn of(offcut: &Offcut, mm: f64) -> Self {
        Self {
            x_mm: offcut.at.min.x * mm,
            y_mm: offcut.at.min.y * mm,
            length_mm: offcut.length() * mm,
            width_mm: offcut.width() * mm,
        }
    }
}

/// Money, film left and offcuts in JSON.
#[derive(Debug, Clone, Serialize)]
pub struct FilmJson {
    #[serde(skip_serializing_if = "Option::is_none")]
    film_left_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    cost: Option<Statement>,
    offcuts: Vec<OffcutLine>,
}

impl FilmJson {
    /// The same without the money, where that is summed up elsewhere.
    pub fn without_cost(self) -> Self {
        Self { cost: None, ..self }
    }

    /// That of one layout.
    pub fn of(film: &Film, mm: f64) -> Self {
        Self {
            film_left_mm: film.left.map(|left| left * mm),
            cost: film.bill.as_ref().map(cost::statement),
            offcuts: film.offcuts.iter().map(|o| OffcutLine::of(o, mm)).collect(),
        }
    }
}

/// What a layout measures, in millimetres whatever the job's unit, as the names say.
#[derive(Debug, Clone, Serialize)]
pub struct Measured {
    length_mm: f64,
    waste_percent: f64,
    density_percent: f64,
    panel_area_mm2: f64,
    filler_area_mm2: f64,
    pieces: usize,
}

impl Measured {
    /// The measures that the layout states.
    pub fn of(layout: &Layout) -> Self {
        let mm = layout.unit.in_mm();
        let measures = &layout.measures;
        Self {
            length_mm: measures.length * mm,
            waste_percent: measures.waste_percent,
            density_percent: measures.density_percent,
            panel_area_mm2: measures.panel_area * mm * mm,
            filler_area_mm2: measures.filler_area * mm * mm,
            pieces: layout.placements.len(),
        }
    }
}

#[derive(Debug, Serialize)]
struct Json<'a> {
    exit_code: u8,
    name: &'a str,
    unit: &'static str,
    #[serde(flatten)]
    measured: Measured,
    lower_bound_mm: f64,
    #[serde(flatten)]
    film: FilmJson,
    left_out: &'a [LeftOut],
    seed: u64,
    walks: u32,
    rounds: u64,
    stopped: &'a str,
    files: Vec<String>,
    warnings: Vec<say::Finding>,
}

impl Outcome<'_> {
    /// The result as one serialisable object.
    pub fn json(&self, exit_code: u8) -> impl Serialize + '_ {
        let made_by = self.layout.made_by.as_ref();
        Json {
            exit_code,
            name: &self.layout.name,
            unit: self.layout.unit.name(),
            measured: Measured::of(self.layout),
            lower_bound_mm: self.kept.nested.lower_bound * self.layout.unit.in_mm(),
            film: FilmJson::of(self.film, self.layout.unit.in_mm()),
            left_out: &self.kept.left_out,
            seed: made_by.map_or(0, |m| m.seed),
            walks: self.kept.nested.walks,
            rounds: self.kept.nested.rounds,
            stopped: made_by.map_or("", |m| m.stopped.as_str()),
            files: paths(&self.written.files),
            warnings: say::findings(self.warnings),
        }
    }

    /// The result in a few lines.
    pub fn text(&self) -> String {
        let mut text = headline(self.layout);
        text += &self.bound();
        text += &self.film.text(self.layout);
        let _ = writeln!(text, "  written  {}", named(&self.written.files));
        if let Some(made_by) = &self.layout.made_by {
            text += &repeat(made_by.rounds, &self.effort, self.options);
        }
        text
    }

    /// What waiting longer could win at most.
    fn bound(&self) -> String {
        let length = self.layout.measures.length;
        let bound = self.kept.nested.lower_bound.min(length);
        let least = numbers::length(bound, self.layout.unit);
        if length <= bound {
            return "  bound    no layout is shorter than this one\n".into();
        }
        let could_save = 100.0 * (1.0 - bound / length);
        format!("  bound    no layout is shorter than {least} ({could_save:.1} % less)\n")
    }
}

/// An export in JSON.
#[derive(Debug, Serialize)]
struct Exported<'a> {
    exit_code: u8,
    name: &'a str,
    #[serde(flatten)]
    measured: Measured,
    files: Vec<String>,
    warnings: Vec<say::Finding>,
}

/// Tells what was written of a layout that was there before.
pub fn tell_export(layout: &Layout, written: &Written, json: bool) -> Result<(), Error> {
    if json {
        return say::json(&Exported {
            exit_code: 0,
            name: &layout.name,
            measured: Measured::of(layout),
            files: paths(&written.files),
            warnings: say::findings(&written.warnings),
        });
    }
    say::out(format!("{}  written  {}\n", headline(layout), named(&written.files)).as_bytes())
}

/// Name, pieces, length and waste.
pub fn headline(layout: &Layout) -> String {
    let measures = &layout.measures;
    let pieces = numbers::count(layout.placements.len(), "panel");
    let width = numbers::length(layout.roll.width, layout.unit);
    format!(
        "{}: {pieces} on a roll {width} wide\n  length   {} ({})\n  waste    {}\n  density  {}\n",
        clean::one_line(&layout.name),
        numbers::length(measures.length, layout.unit),
        numbers::metres(measures.length, layout.unit),
        percent(measures.waste_percent),
        percent(measures.density_percent),
    )
}

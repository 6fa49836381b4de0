//! The `kits` of a job: each copy of a kit is an order of its own.

use super::build::FilmWidth;
use super::films::Films;
use super::load::{KitOptions, KitPanels, KitSource, placed};
use super::sheet::KitSheet;
use crate::job::decode::KitDraft;
use crate::job::drawing::Drawings;
use crate::job::files::Beside;
use crate::job::{Files, Panel, Size, Tally, Unit};
use crate::json::{Path, Report};
use crate::read::ReadOptions;
use crate::{Error, Problems};
use std::collections::BTreeMap;

/// What kits are expanded for.
pub(in crate::job) struct Expansion<'a> {
    pub files: &'a dyn Files,
    pub read: ReadOptions,
    pub unit: Unit,
    /// Film and usable width of each piece, in the job's unit.
    pub widths: Vec<FilmWidth>,
    /// The film library that the job names.
    pub films: Option<String>,
    /// Gores of every nose, whatever its kit says.
    pub gores: Option<u32>,
}

/// What the kits of a job give.
#[derive(Default)]
pub(in crate::job) struct Orders {
    /// Each panel with the index of its kit in the job.
    pub panels: Vec<(usize, Panel)>,
    pub sheets: Vec<KitSheet>,
    /// Well-formed parts that cannot be met.
    pub unmet: Problems,
    /// A file that could not be read although it is there.
    pub failure: Option<Error>,
    /// The size of the job so far.
    pub tally: Tally,
    /// Whether a kit has a nose, or could not be read.
    pub may_have_noses: bool,
}

/// A kit file and what it names, read once for all orders of it.
struct KitFile<'a> {
    source: KitSource,
    own_films: Option<Films>,
    drawings: Drawings<'a>,
}

/// Kit files by name; `None` is one that is reported already.
type KitFiles<'a> = BTreeMap<String, Option<KitFile<'a>>>;

impl<'a> Expansion<'a> {
    /// Expands all kits as long as there is not too much beside what the tally has already; problems go to the job's
    /// report with their own places.
    pub fn orders(&self, kits: &[KitDraft], tally: Tally, report: &mut Report) -> Orders {
        let mut orders = Orders { tally, ..Orders::default() };
        let films = match self.films(report).and_then(|films| Ok((films, Films::shipped()?))) {
            Ok(films) => films,
            Err(e) => {
                orders.refuse(e, report);
                orders.may_have_noses = true;
                return orders;
            }
        };
        let mut known = KitFiles::new();
        for (i, kit) in kits.iter().enumerate() {
            if orders.tally.is_over_without_copies() {
                orders.tally.leave_the_rest();
                orders.may_have_noses = true;
                break;
            }
            if !known.contains_key(&kit.file) {
                let file = self.kit_file(i, kit, report).map_err(|e| orders.refuse(e, report)).ok();
                orders.may_have_noses |= file.as_ref().is_none_or(|file| file.source.has_nose());
                known.insert(kit.file.clone(), file);
            }
            let Some(Some(file)) = known.get_mut(&kit.file) else { continue };
            if let Err(e) = self.kit(i, kit, file, &films, report, &mut orders) {
                orders.refuse(e, report);
            }
        }
        orders
    }

    fn films(&self, report: &Report) -> Result<Option<Films>, Error> {
        let Some(file) = &self.films else { return Ok(None) };
        let place = report.place(&Path::ROOT.key("films"));
        let bytes = self.files.shared(file).map_err(|e| placed(e, &place))?;
        Films::parse(&bytes, file).map(Some)
    }

    fn kit_file(&self, i: usize, kit: &KitDraft, report: &Report) -> Result<KitFile<'a>, Error> {
        let path = Path::ROOT.key("kits");
        let place = report.place(&path.index(i).key("file"));
        let bytes = self.files.shared(&kit.file).map_err(|e| placed(e, &place))?;
        let source = KitSource::parse(&bytes, &kit.file)?;
        let beside = Beside::file(self.files, &kit.file);
        let own_films = source.own_films(&beside)?;
        Ok(KitFile { source, own_films, drawings: Drawings::new(beside, self.read) })
    }

    /// All orders of a kit. The first tells how large the others are.
    fn kit(
        &self,
        i: usize,
        kit: &KitDraft,
        file: &mut KitFile<'a>,
        (films, shipped): &(Option<Films>, Films),
        report: &mut Report,
        orders: &mut Orders,
    ) -> Result<(), Error> {
        let copies = u64::from(kit.copies);
        orders.tally.add_kit_parts(copies.saturating_mul(file.source.part_count() as u64));
        if orders.tally.is_over_without_copies() {
            return Ok(());
        }
        let KitFile { source, own_films, drawings } = file;
        let films = films.as_ref().or(own_films.as_ref()).unwrap_or(shipped);
        for copy in 1..=kit.copies {
            let order = if kit.copies == 1 { kit.id.clone() } else { format!("{}.{copy}", kit.id) };
            let options = KitOptions {
                order: Some(&order),
                films: Some(films),
                width: self.widths.iter().map(|(_, width)| *width).reduce(f64::max),
                widths: &self.widths,
                unit: Some(self.unit),
                read: self.read,
                gores: self.gores,
            };
            let KitPanels { panels, sheet, warnings, .. } = source.make(drawings, films, &options)?;
            for panel in &panels {
                let size = Size::of(panel);
                if copy == 1 {
                    orders.tally.add_copies(size.copies.saturating_mul(copies));
                }
                orders.tally.add(Size { copies: 0, ..size });
            }
            // Every copy says the same.
            if copy == 1 {
                warnings.into_iter().for_each(|w| report.warn(w));
            }
            if orders.tally.is_over() {
                return Ok(());
            }
            let due = |p| Panel { priority: kit.priority, ..p };
            orders.panels.extend(panels.into_iter().map(|p| (i, due(p))));
            orders.sheets.push(sheet);
        }
        Ok(())
    }
}

impl Orders {
    fn refuse(&mut self, error: Error, report: &mut Report) {
        match error {
            Error::Input(problems) => problems.0.into_iter().for_each(|p| report.adopt(p)),
            Error::Unmet(problems) => self.unmet.0.extend(problems.0),
            other => {
                report.problem(&Path::ROOT.key("kits"), other.to_string(), "");
                self.failure.get_or_insert(other);
            }
        }
    }
}

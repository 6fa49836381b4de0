//! The `kits` of a job: each copy of a kit is an order of its own.

use super::films::Films;
use super::load::{FilmWidth, KitOptions, KitSource, placed};
use super::sheet::KitSheet;
use crate::job::decode::KitDraft;
use crate::job::{Files, Panel, Unit};
use crate::json::{Path, Report};
use crate::read::ReadOptions;
use crate::{Error, Problems};

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
}

impl Expansion<'_> {
    /// Expands all kits; problems go to the job's report with their own places.
    pub fn orders(&self, kits: &[KitDraft], report: &mut Report) -> Orders {
        let mut orders = Orders::default();
        let films = match self.films(report) {
            Ok(films) => films,
            Err(e) => {
                orders.refuse(e, report);
                return orders;
            }
        };
        for (i, kit) in kits.iter().enumerate() {
            if let Err(e) = self.kit(i, kit, films.as_ref(), report, &mut orders) {
                orders.refuse(e, report);
            }
        }
        orders
    }

    fn films(&self, report: &Report) -> Result<Option<Films>, Error> {
        let Some(file) = &self.films else { return Ok(None) };
        let place = report.place(&Path::ROOT.key("films"));
        let bytes = self.files.fetch(file).map_err(|e| placed(e, &place))?;
        Films::parse(&bytes, file).map(Some)
    }

    fn kit(
        &self,
        i: usize,
        kit: &KitDraft,
        films: Option<&Films>,
        report: &mut Report,
        orders: &mut Orders,
    ) -> Result<(), Error> {
        let path = Path::ROOT.key("kits");
        let place = report.place(&path.index(i).key("file"));
        let bytes = self.files.fetch(&kit.file).map_err(|e| placed(e, &place))?;
        let source = KitSource::parse(&bytes, &kit.file)?;
        let beside = Beside { files: self.files, folder: folder_of(&kit.file) };
        let own = source.own_films(&beside)?;
        let shipped = Films::shipped()?;
        let films = films.or(own.as_ref()).unwrap_or(&shipped);
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
            let made = source.make(&beside, films, &options)?;
            let due = |p| Panel { priority: kit.priority, ..p };
            orders.panels.extend(made.panels.into_iter().map(|p| (i, due(p))));
            orders.sheets.push(made.sheet);
            // Every copy says the same.
            if copy == 1 {
                made.warnings.into_iter().for_each(|w| report.warn(w));
            }
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

/// The files beside a kit file that does not lie beside the job.
struct Beside<'f> {
    files: &'f dyn Files,
    folder: &'f str,
}

impl Files for Beside<'_> {
    fn fetch(&self, file: &str) -> Result<Vec<u8>, Error> {
        // An absolute path stays what it is, for whoever permits it.
        if self.folder.is_empty() || std::path::Path::new(file).is_absolute() {
            return self.files.fetch(file);
        }
        self.files.fetch(&format!("{}/{file}", self.folder))
    }
}

fn folder_of(file: &str) -> &str {
    file.rsplit_once('/').map_or("", |(folder, _)| folder)
}

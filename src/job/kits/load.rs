//! Kit files in.

use super::build::{Builder, Built, FilmWidth};
use super::films::Films;
use super::joints::check_joints;
use super::model::{Kind, Kit};
use super::plausible::{Doubt, doubts};
use super::sheet::KitSheet;
use super::wire;
use crate::job::drawing::Drawings;
use crate::job::files::{Beside, read_input};
use crate::job::{Files, Folder, Kept, Panel, Tally, Unit};
use crate::json::{self, Node, Path, Report};
use crate::panels::{CHORD_TOLERANCE, Film, Pieces};
use crate::read::ReadOptions;
use crate::{Error, Problem, Problems, Warning};
use std::borrow::Cow;

/// What a kit is made for.
#[derive(Debug, Clone, Copy)]
pub struct KitOptions<'a> {
    /// Number of the order, in ids and on labels.
    pub order: Option<&'a str>,
    /// The film library; a kit's own comes before the shipped one.
    pub films: Option<&'a Films>,
    /// Usable width of the roll, in the unit of the panels, where it is known.
    pub width: Option<f64>,
    /// Pieces of film, in the same unit: a part of a film that is among them is made for the widest
    /// piece of that film, any other for `width`.
    pub widths: &'a [FilmWidth],
    /// Unit of the panels; by default the kit's own.
    pub unit: Option<Unit>,
    /// How drawings of plates are read. Its chord tolerance holds for all panels.
    pub read: ReadOptions,
    /// Gores of every nose, whatever the kit says.
    pub gores: Option<u32>,
}

impl Default for KitOptions<'_> {
    fn default() -> Self {
        let read = ReadOptions { chord_tolerance_mm: CHORD_TOLERANCE, ..ReadOptions::default() };
        Self { order: None, films: None, width: None, widths: &[], unit: None, read, gores: None }
    }
}

/// The panels of a kit, and the sheet that goes with them.
#[derive(Debug, Clone, PartialEq)]
pub struct KitPanels {
    /// Unit of the panels.
    pub unit: Unit,
    /// The panels.
    pub panels: Vec<Panel>,
    /// What the sheet tells.
    pub sheet: KitSheet,
    /// What the user should know.
    pub warnings: Vec<Warning>,
}

/// Loads a kit file and makes its panels.
///
/// # Errors
///
/// [`Error::Input`] with everything that is wrong with it, [`Error::Unmet`] when its parts are
/// well-formed but film or roll cannot do it, [`Error::Io`] when a file cannot be read.
pub fn load_kit(path: &std::path::Path, outside: bool, options: &KitOptions<'_>) -> Result<KitPanels, Error> {
    let name = path.display().to_string();
    let bytes = read_input(path)?;
    let files = Folder { outside, ..Folder::of(path) };
    parse_kit(&bytes, &name, &files, options)
}

/// Parses the bytes of a kit file, called `name` in problems, and makes its panels; drawings and
/// film library come from `files`.
///
/// # Errors
///
/// As [`load_kit`].
pub fn parse_kit(
    bytes: &[u8],
    name: &str,
    files: &dyn Files,
    options: &KitOptions<'_>,
) -> Result<KitPanels, Error> {
    let files = &Kept::new(files);
    let source = KitSource::parse(bytes, name)?;
    let own = source.own_films(files)?;
    let shipped = Films::shipped()?;
    let films = options.films.or(own.as_ref()).unwrap_or(&shipped);
    source.make(&mut Drawings::new(Beside::job(files), options.read), films, options)
}

/// The kit with so many gores on every nose.
fn with_gores(kit: &Kit, gores: u32) -> Kit {
    let mut kit = kit.clone();
    for part in &mut kit.parts {
        if let Kind::Nose(nose) = &mut part.kind {
            nose.round.pieces = Pieces::Exactly(gores);
        }
    }
    kit
}

/// The value of `format` in a list of panels.
const PANELS_FORMAT: &str = "tuckroll-panels-1";

/// The text of a list of panels: what a job takes in `panels`, with the unit it is in.
pub fn write_panels(panels: &[Panel], unit: Unit) -> String {
    let panels = panels.iter().map(wire::WirePanel::from).collect();
    json::to_text(&wire::WirePanels { format: PANELS_FORMAT, unit, panels })
}

/// Whether `bytes` are such a list.
pub fn is_panel_list(bytes: &[u8]) -> bool {
    json::has_format(bytes, PANELS_FORMAT)
}

/// The JSON Schema of the kit format.
pub fn kit_schema() -> String {
    json::schema::<wire::WireKit>()
}

/// The JSON Schema of a film library.
pub fn films_schema() -> String {
    json::schema::<wire::WireFilms>()
}

/// A kit file as parsed, before anything is made of it.
pub(super) struct KitSource {
    kit: Kit,
    name: String,
}

impl KitSource {
    pub fn parse(bytes: &[u8], name: &str) -> Result<Self, Error> {
        let tree = json::parse(bytes, name)?;
        let mut report = Report::new(name);
        let kit = crate::job::decode::Decoder::new(&mut report).kit(&Node::root(&tree));
        if let Some(kit) = &kit {
            check_ids(kit, &mut report);
            check_joints(kit, &mut report);
        }
        let (kit, _) = report.or_ok(kit)?;
        Ok(Self { kit, name: name.to_owned() })
    }

    /// The film library that the kit names.
    pub fn own_films(&self, files: &dyn Files) -> Result<Option<Films>, Error> {
        let Some(file) = &self.kit.films else { return Ok(None) };
        let bytes = files.fetch(file).map_err(|e| placed(e, &format!("{}: films", self.name)))?;
        Films::parse(&bytes, file).map(Some)
    }

    /// How many parts an order has.
    pub fn part_count(&self) -> usize {
        self.kit.parts.len()
    }

    /// Whether there is a nose among them.
    pub fn has_nose(&self) -> bool {
        self.kit.parts.iter().any(|part| matches!(part.kind, Kind::Nose(_)))
    }

    /// Makes the panels of one order, with drawings that are read as the options say.
    pub fn make(
        &self,
        drawings: &mut Drawings<'_>,
        films: &Films,
        options: &KitOptions<'_>,
    ) -> Result<KitPanels, Error> {
        let mut report = Report::new(&self.name);
        let found = self.films(films, &mut report);
        drawings.begin_order();
        let mut unmet = Problems::default();
        let unit = options.unit.unwrap_or(self.kit.unit);
        let mut built = None;
        let kit = options.gores.map_or(Cow::Borrowed(&self.kit), |n| Cow::Owned(with_gores(&self.kit, n)));
        if let Some(films) = found {
            let mut builder = Builder {
                kit: &kit,
                order: options.order,
                films,
                width: options.width.map(|w| w * unit.in_mm()),
                widths: options.widths,
                unit,
                tolerance: options.read.chord_tolerance_mm,
                report: &mut report,
                unmet: Problems::default(),
                tally: Tally::default(),
            };
            built = Some(builder.build(drawings));
            unmet = builder.unmet;
        }
        if let Some(failure) = drawings.failure.take().filter(|_| report.problem_count() == 1) {
            return Err(failure);
        }
        let failed = report.problem_count() > 0 || !unmet.0.is_empty();
        for doubt in self.doubts(&report) {
            // Where something fails, a doubt may be the reason for it.
            match failed {
                true if unmet.0.is_empty() => report.adopt(doubt),
                true => unmet.0.push(doubt),
                false => report.warn(doubt),
            }
        }
        let (Built { panels, parts }, warnings) = report.or_ok(built)?;
        if !unmet.0.is_empty() {
            return Err(Error::Unmet(unmet));
        }
        let sheet = KitSheet {
            order: options.order.map(str::to_owned),
            name: self.kit.name.clone(),
            unit: self.kit.unit,
            parts,
        };
        Ok(KitPanels { unit, panels, sheet, warnings })
    }

    /// The film of each part.
    fn films<'f>(&self, films: &'f Films, report: &mut Report) -> Option<Vec<&'f Film>> {
        let mut list = Vec::new();
        let whole = self.film(films, self.kit.film.as_deref(), "film", None, report);
        for (i, part) in self.kit.parts.iter().enumerate() {
            let film = match &part.film {
                Some(id) => self.film(films, Some(id), "film", Some(i), report),
                None => whole,
            };
            list.extend(film);
        }
        (list.len() == self.kit.parts.len()).then_some(list)
    }

    fn film<'f>(
        &self,
        films: &'f Films,
        id: Option<&str>,
        field: &str,
        part: Option<usize>,
        report: &mut Report,
    ) -> Option<&'f Film> {
        let problem = match films.find(id) {
            Ok(film) => return Some(film),
            Err(problem) => problem,
        };
        let parts = Path::ROOT.key("parts");
        let place = match part {
            Some(i) => report.place(&parts.index(i).named("part", &self.kit.parts[i].id).key(field)),
            None => report.place(&Path::ROOT.key(field)),
        };
        report.adopt(Problem { place, ..problem });
        None
    }

    fn doubts(&self, report: &Report) -> Vec<Warning> {
        let parts = Path::ROOT.key("parts");
        let place = |doubt: &Doubt| match doubt.part {
            Some(i) => report.place(&parts.index(i).named("part", &self.kit.parts[i].id).key(doubt.field)),
            None => report.place(&Path::ROOT.key(doubt.field)),
        };
        doubts(&self.kit).into_iter().map(|d| Warning::new(place(&d), d.what, d.remedy)).collect()
    }
}

/// Part ids are unique: they stand in the ids of panels.
fn check_ids(kit: &Kit, report: &mut Report) {
    let parts = Path::ROOT.key("parts");
    for (i, part) in kit.parts.iter().enumerate() {
        if let Some(first) = kit.parts[..i].iter().position(|p| p.id == part.id && !p.id.is_empty()) {
            let what = format!("the id {:?} is used by parts[{first}] already", part.id);
            report.problem(&parts.index(i).key("id"), what, "give every part an id of its own");
        }
    }
}

/// Names the place of problems that have none.
pub(super) fn placed(error: Error, place: &str) -> Error {
    let name = |mut problems: Problems| {
        problems.0.iter_mut().filter(|p| p.place.is_empty()).for_each(|p| p.place = place.to_owned());
        problems
    };
    match error {
        Error::Input(p) => Error::Input(name(p)),
        Error::Unmet(p) => Error::Unmet(name(p)),
        other => other,
    }
}

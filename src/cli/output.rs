//! Files out: which ones, made of a layout, moved in as a set.

use super::args::{DxfName, FileArgs};
use super::clean;
use super::folder::Folder;
use super::kind::Kind;
use super::names;
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use tuckroll::job::Unit;
use tuckroll::job::kits::KitSheet;
use tuckroll::layout::{self, Layout};
use tuckroll::report::{self, Circumstances, Report};
use tuckroll::write::{self, DxfOptions, SvgOptions, Version};
use tuckroll::{Error, Warning};

/// Width of the picture in pixels: 180 to the inch on A4, and a screen full of detail.
const PICTURE_WIDTH: u32 = 2000;

/// Fit sheets that are all named.
const SHEETS_NAMED: usize = 6;

/// Where the result goes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Target {
    /// A folder that holds all files.
    Folder(PathBuf),
    /// The layout alone, to standard output; typed as '-'.
    Stdout,
}

/// Which files are wanted, and how.
#[derive(Debug, Clone, Copy)]
pub struct Wanted {
    replace: bool,
    unit: Unit,
    dxf: DxfName,
    png: bool,
}

/// What was written.
#[derive(Debug)]
pub struct Written {
    /// The layout file.
    pub layout: Vec<u8>,
    /// The files, in the order in which they are named to the user.
    pub files: Vec<PathBuf>,
    /// What the writers had to say.
    pub warnings: Vec<Warning>,
}

/// Files by name, as JSON tells them.
pub fn paths(files: &[PathBuf]) -> Vec<String> {
    files.iter().map(|path| path.display().to_string()).collect()
}

/// Files by name, for people. Of many fit sheets the first and the last are named.
pub fn named(files: &[PathBuf]) -> String {
    let last = |path: &str| Path::new(path).file_name().and_then(|name| name.to_str()).map(str::to_owned);
    let (sheets, mut names): (Vec<String>, Vec<String>) =
        paths(files).into_iter().partition(|path| last(path).is_some_and(|name| names::is_sheet(&name)));
    match &sheets[..] {
        [first, .., last] if sheets.len() > SHEETS_NAMED => {
            names.push(format!("{} fit sheets from {first} to {last}", sheets.len()));
        }
        _ => names.extend(sheets),
    }
    clean::one_line(&names.join(", ")).into_owned()
}

impl Target {
    /// What was typed; options about files make no sense where none is written.
    pub fn resolve(typed: &Path, args: &FileArgs) -> Result<Self, Error> {
        if typed.as_os_str() != "-" {
            return Ok(Self::Folder(typed.to_owned()));
        }
        match args.cut.vain().or(args.png.then_some("--png")) {
            Some(option) => Err(Error::input(option, "'-o -' writes the layout only", "name a folder")),
            None => Ok(Self::Stdout),
        }
    }

    /// What was typed, where only a folder will do.
    pub fn folder_only(typed: &Path) -> Result<Self, Error> {
        if typed.as_os_str() == "-" {
            return Err(Error::input("-o", "several files do not go to standard output", "name a folder"));
        }
        Ok(Self::Folder(typed.to_owned()))
    }

    /// Makes sure, before any long work on `inputs`, that a result of this kind can be put there.
    pub fn open(&self, kind: Kind, wanted: &Wanted, inputs: &[&Path]) -> Result<Place, Error> {
        match self {
            Self::Folder(path) => Ok(Place::Folder(Folder::open(path, kind, wanted.replace, inputs)?)),
            Self::Stdout => Ok(Place::Stdout),
        }
    }
}

/// A place that stands open for the result.
#[derive(Debug)]
pub enum Place {
    /// A folder that will be moved in whole.
    Folder(Folder),
    /// Nothing to prepare.
    Stdout,
}

impl Place {
    /// Refuses another file where the result will be: it would stop it, or be taken for somebody's own.
    pub fn refuse_inside(&self, option: &str, file: &Path) -> Result<(), Error> {
        match self {
            Self::Folder(folder) if folder.would_hold(file) => {
                let what = format!("{} lies in the folder of the result", file.display());
                Err(Error::input(option, what, "name a file outside of it"))
            }
            Self::Folder(_) | Self::Stdout => Ok(()),
        }
    }

    /// Makes the files of a layout and moves them in as a set. `known` is for the report, which
    /// adds what the writers have to say.
    pub fn write(
        self,
        layout: &Layout,
        sheets: &[KitSheet],
        wanted: &Wanted,
        known: Option<&Circumstances<'_>>,
    ) -> Result<Written, Error> {
        let json = layout::write(layout).into_bytes();
        let Self::Folder(folder) = self else {
            return Ok(Written { layout: json, files: Vec::new(), warnings: Vec::new() });
        };
        let Drawn { mut files, warnings } = wanted.draw(layout, json.clone(), known)?;
        files.extend(fit_sheets(sheets));
        Ok(Written { layout: json, files: folder.commit(&files)?, warnings })
    }

    /// Makes the files of several layouts, each in a folder of its own, and moves them in as a set.
    pub fn write_pieces(
        self,
        layouts: &[(String, &Layout)],
        summary: Vec<u8>,
        sheets: &[KitSheet],
        wanted: &Wanted,
        said: &[Warning],
    ) -> Result<Written, Error> {
        let known = Circumstances { warnings: said, ..Circumstances::default() };
        let mut files = vec![(names::SUMMARY.to_owned(), summary.clone())];
        let mut warnings = Vec::new();
        for (name, layout) in layouts {
            let drawn = wanted.draw(layout, layout::write(layout).into_bytes(), Some(&known))?;
            files.extend(drawn.files.into_iter().map(|(file, bytes)| (format!("{name}/{file}"), bytes)));
            warnings.extend(drawn.warnings);
        }
        files.extend(fit_sheets(sheets));
        let paths = match self {
            Self::Folder(folder) => folder.commit(&files)?,
            Self::Stdout => Vec::new(),
        };
        Ok(Written { layout: summary, files: paths, warnings })
    }
}

/// The files of one layout.
struct Drawn {
    files: Vec<(String, Vec<u8>)>,
    warnings: Vec<Warning>,
}

impl Wanted {
    /// What was typed.
    pub fn of(args: &FileArgs) -> Self {
        let cut = args.cut;
        Self { replace: cut.replace, unit: cut.cut_unit.into(), dxf: cut.dxf, png: args.png }
    }

    /// The files of a layout, whose own file is `json`; the report adds what the writers have to say.
    fn draw(
        &self,
        layout: &Layout,
        json: Vec<u8>,
        known: Option<&Circumstances<'_>>,
    ) -> Result<Drawn, Error> {
        // One after the other: side by side they need more than a gigabyte for 10,000 panels.
        let cut = write::dxf(layout, &self.dxf_options(&json))?;
        let preview = write::svg(layout, &SvgOptions::default())?;
        let picture = if self.png { Some(write::png(&preview, PICTURE_WIDTH)?) } else { None };
        let layout_sha256 = &sha256(&json);
        let mut files = vec![(names::LAYOUT.to_owned(), json), (names::CUT.to_owned(), cut.bytes)];
        files.push((names::PREVIEW.to_owned(), preview.into_bytes()));
        files.extend(picture.map(|bytes| (names::PICTURE.to_owned(), bytes)));
        if let Some(known) = known {
            let warnings: Vec<Warning> = known.warnings.iter().chain(&cut.warnings).cloned().collect();
            let known = Circumstances { layout_sha256, warnings: &warnings, ..*known };
            files.extend(report_files(&report::report(layout, &known)?, layout)?);
        }
        Ok(Drawn { files, warnings: cut.warnings })
    }

    fn dxf_options(&self, layout_json: &[u8]) -> DxfOptions {
        let version = version(self.dxf);
        DxfOptions { version, unit: self.unit, labels: true, layout_sha256: Some(sha256(layout_json)) }
    }
}

/// The report for people, for scripts and for a spreadsheet.
pub fn report_files(report: &Report, layout: &Layout) -> Result<Vec<(String, Vec<u8>)>, Error> {
    Ok(vec![
        (names::REPORT.to_owned(), write::report_html(report, layout)?.into_bytes()),
        (names::REPORT_JSON.to_owned(), report::write(report).into_bytes()),
        (names::KITS.to_owned(), write::kits_csv(report)?),
    ])
}

/// The version of DXF that was typed.
pub fn version(name: DxfName) -> Version {
    match name {
        DxfName::R12 => Version::R12,
        DxfName::R2000 => Version::R2000,
        DxfName::R2010 => Version::R2010,
    }
}

/// The fit sheets of the orders that are cut: without those of these kits.
pub fn without<'a>(sheets: Vec<KitSheet>, left_out: impl Iterator<Item = &'a str>) -> Vec<KitSheet> {
    let left_out: BTreeSet<&str> = left_out.collect();
    sheets.into_iter().filter(|sheet| sheet.order.as_deref().is_none_or(|o| !left_out.contains(o))).collect()
}

/// A fit sheet for each order that is a kit.
pub fn fit_sheets(sheets: &[KitSheet]) -> Vec<(String, Vec<u8>)> {
    let names = sheet_names(sheets.iter().map(|sheet| sheet.order.as_deref().unwrap_or_default()));
    names.into_iter().zip(sheets).map(|(name, sheet)| (name, write::fit_sheet(sheet).into_bytes())).collect()
}

/// A file name for each order. Two may differ in letters only that no file name has, or too far back: those after
/// the first get a number.
fn sheet_names<'o>(orders: impl Iterator<Item = &'o str>) -> Vec<String> {
    // The names taken, each with the next number for another one like it.
    let mut taken: BTreeMap<String, usize> = BTreeMap::new();
    let name = |order: &'o str| {
        let plain = names::sheet_name(order);
        let mut number = taken.get(&plain).copied().unwrap_or(2);
        let mut name = plain.clone();
        while taken.contains_key(&name) {
            name = names::sheet_name(&format!("{number}_{order}"));
            number += 1;
        }
        taken.insert(plain, number);
        taken.entry(name.clone()).or_insert(2);
        name
    };
    orders.map(name).collect()
}

/// The SHA-256 of some bytes in hexadecimal.
pub fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn orders_that_are_written_alike_get_sheets_of_their_own() {
        let names = sheet_names(["A/1", "A:1", "2_A/1", "A*1", "B", "A_1"].into_iter());
        let expected = ["A_1", "2_A_1", "2_2_A_1", "3_A_1", "B", "4_A_1"];
        assert_eq!(names, expected.map(|name| format!("sheet-{name}.html")));
    }

    #[test]
    fn of_many_fit_sheets_two_are_named() {
        let paths = |sheets: usize| -> Vec<PathBuf> {
            let sheets = (1..=sheets).map(|i| format!("out/sheet-{i}.html").into());
            [PathBuf::from("out/layout.json")].into_iter().chain(sheets).collect()
        };
        assert_eq!(named(&paths(2)), "out/layout.json, out/sheet-1.html, out/sheet-2.html");
        let many = "out/layout.json, 800 fit sheets from out/sheet-1.html to out/sheet-800.html";
        assert_eq!(named(&paths(800)), many);
    }

    /// Looking through all names for each of them takes hours.
    #[test]
    fn many_orders_that_are_written_alike_are_told_apart_at_once() {
        let orders: Vec<String> = (0..50_000).map(|i| format!("{}.{i}", "x".repeat(60))).collect();
        let names = sheet_names(orders.iter().map(String::as_str));
        let different: std::collections::BTreeSet<&String> = names.iter().collect();
        assert_eq!(different.len(), 50_000);
    }
}

//! Files out: which ones, made of a layout, moved in as a set.

use super::args::{DxfName, FileArgs};
use super::clean;
use super::folder::{self, Folder};
use sha2::{Digest, Sha256};
use std::path::{Path, PathBuf};
use tuckroll::job::Unit;
use tuckroll::job::kits::KitSheet;
use tuckroll::layout::{self, Layout};
use tuckroll::report::{self, Circumstances, Report};
use tuckroll::write::{self, DxfOptions, SvgOptions, Version};
use tuckroll::{Error, Warning};

/// Width of the picture in pixels: 180 to the inch on A4, and a screen full of detail.
const PICTURE_WIDTH: u32 = 2000;

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

/// Files by name, for people.
pub fn named(files: &[PathBuf]) -> String {
    clean::one_line(&paths(files).join(", ")).into_owned()
}

impl Target {
    /// What was typed; options about files make no sense where none is written.
    pub fn resolve(typed: &Path, args: &FileArgs) -> Result<Self, Error> {
        if typed.as_os_str() != "-" {
            return Ok(Self::Folder(typed.to_owned()));
        }
        if args.cut.replace || args.png {
            let option = if args.png { "--png" } else { "--replace" };
            return Err(Error::input(option, "'-o -' writes the layout only", "name a folder"));
        }
        Ok(Self::Stdout)
    }

    /// What was typed, where only a folder will do.
    pub fn folder_only(typed: &Path) -> Result<Self, Error> {
        if typed.as_os_str() == "-" {
            return Err(Error::input("-o", "several files do not go to standard output", "name a folder"));
        }
        Ok(Self::Folder(typed.to_owned()))
    }

    /// Makes sure, before any long work, that the result can be put there.
    pub fn open(&self, wanted: &Wanted) -> Result<Place, Error> {
        match self {
            Self::Folder(path) => Ok(Place::Folder(Folder::open(path, wanted.replace)?)),
            Self::Stdout => Ok(Place::Stdout),
        }
    }
}

/// A place that stands open for the result.
pub enum Place {
    /// A folder that will be moved in whole.
    Folder(Folder),
    /// Nothing to prepare.
    Stdout,
}

impl Place {
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
        let mut files = vec![(folder::SUMMARY.to_owned(), summary.clone())];
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
        let mut files = vec![(folder::LAYOUT.to_owned(), json), (folder::CUT.to_owned(), cut.bytes)];
        files.push((folder::PREVIEW.to_owned(), preview.into_bytes()));
        files.extend(picture.map(|bytes| (folder::PICTURE.to_owned(), bytes)));
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
        (folder::REPORT.to_owned(), write::report_html(report, layout)?.into_bytes()),
        (folder::REPORT_JSON.to_owned(), report::write(report).into_bytes()),
        (folder::KITS.to_owned(), write::kits_csv(report)?),
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

/// A fit sheet for each order that is a kit.
pub fn fit_sheets(sheets: &[KitSheet]) -> Vec<(String, Vec<u8>)> {
    let mut files: Vec<(String, Vec<u8>)> = Vec::new();
    for sheet in sheets {
        let order = sheet.order.as_deref().unwrap_or_default();
        let mut name = folder::sheet_name(order);
        // Two orders may differ in letters only that no file name has.
        let mut next = 2;
        while files.iter().any(|(n, _)| *n == name) {
            name = folder::sheet_name(&format!("{next}_{order}"));
            next += 1;
        }
        files.push((name, write::fit_sheet(sheet).into_bytes()));
    }
    files
}

/// The SHA-256 of some bytes in hexadecimal.
pub fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

//! The kinds of result. Each is known by the list in it, and is replaced by its own kind only.

use super::{listing, names};
use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::path::Path;
use tuckroll::floor::plan;
use tuckroll::job::kits;
use tuckroll::{Error, compare, json, layout, report};

/// What a command writes into its folder.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A layout with all that `nest` makes of it, or a folder of them for each piece of film.
    Nest,
    /// A layout with its cut file and preview.
    Export,
    /// Flat panels of a kit.
    Panels,
    /// A report on its own.
    Report,
    /// Variants of a job side by side.
    Comparison,
    /// A cut plan and its files, or a folder of them for each piece of film.
    Cut,
}

impl Kind {
    /// Whether a folder holds a result of this kind and nothing else.
    ///
    /// # Errors
    ///
    /// [`Error::Input`] when not, with the reason; [`Error::Io`] when it cannot be looked at.
    pub fn check(self, path: &Path) -> Result<(), Error> {
        let Some(pieces) = self.pieces(path).map_err(|e| Error::io(path, e))? else {
            return self.check_one(path);
        };
        for entry in fs::read_dir(path).map_err(|e| Error::io(path, e))? {
            let entry = entry.map_err(|e| Error::io(path, e))?;
            let is_dir = entry.file_type().map_err(|e| Error::io(path, e))?.is_dir();
            let name = entry.file_name();
            if is_dir && name.to_str().is_some_and(|n| pieces.contains(n)) {
                self.check_one(&entry.path())?;
            } else if is_dir || !name.to_str().is_some_and(|n| self.is_beside_pieces(n)) {
                return Err(holding(path, &name));
            }
        }
        Ok(())
    }

    /// The same for a folder without folders in it.
    fn check_one(self, path: &Path) -> Result<(), Error> {
        for entry in fs::read_dir(path).map_err(|e| Error::io(path, e))? {
            let entry = entry.map_err(|e| Error::io(path, e))?;
            let is_file = entry.file_type().map_err(|e| Error::io(path, e))?.is_file();
            let name = entry.file_name();
            if !(is_file && name.to_str().is_some_and(|n| self.has_name(n))) {
                return Err(holding(path, &name));
            }
        }
        let (list, ours) = self.list();
        let found = holds(path, list, |bytes| ours(bytes).then_some(())).is_some();
        if found { Ok(()) } else { Err(foreign(path, &format!("it has no {list} that can be read"))) }
    }

    /// The file that tells what a folder is, and whether its bytes do.
    fn list(self) -> (&'static str, fn(&[u8]) -> bool) {
        match self {
            Self::Nest | Self::Export => (names::LAYOUT, |bytes| layout::read(bytes, names::LAYOUT).is_ok()),
            Self::Panels => (names::PANELS, kits::is_panel_list),
            Self::Report => (names::REPORT_JSON, report::is_report),
            Self::Comparison => (names::COMPARISON_JSON, compare::is_comparison),
            Self::Cut => (names::PLAN, plan::is_plan),
        }
    }

    /// Whether a file of this name may be in a result of this kind.
    fn has_name(self, name: &str) -> bool {
        use names::{
            COMPARISON, COMPARISON_CSV, COMPARISON_JSON, CUT, JOB, KITS, LAYOUT, PANELS, PATTERNS_DXF,
            PATTERNS_SVG, PICTURE, PLAN, PLOT, PREVIEW, REPORT, REPORT_JSON,
        };
        let is_export = || [LAYOUT, CUT, PREVIEW, PICTURE].contains(&name);
        let is_report = || [REPORT, REPORT_JSON, KITS].contains(&name);
        match self {
            Self::Nest => is_export() || is_report() || names::is_sheet(name),
            Self::Export => is_export(),
            Self::Panels => {
                [PANELS, JOB, PATTERNS_DXF, PATTERNS_SVG].contains(&name) || names::is_sheet(name)
            }
            Self::Report => is_report(),
            Self::Comparison => [COMPARISON, COMPARISON_JSON, COMPARISON_CSV].contains(&name),
            Self::Cut => [PLAN, PLOT, CUT].contains(&name) || names::is_section(name),
        }
    }

    /// Whether a file of this name may lie beside the folders of pieces of film.
    fn is_beside_pieces(self, name: &str) -> bool {
        self == Self::Nest && (name == names::SUMMARY || names::is_sheet(name))
    }

    /// The folders of a result for several pieces of film; `None` where it is not one.
    fn pieces(self, path: &Path) -> io::Result<Option<BTreeSet<String>>> {
        match self {
            Self::Nest => Ok(holds(path, names::SUMMARY, |bytes| {
                let listing = listing::read(bytes, names::SUMMARY).ok()?;
                Some(listing.rolls.into_iter().collect())
            })),
            Self::Cut => planned(path),
            Self::Export | Self::Panels | Self::Report | Self::Comparison => Ok(None),
        }
    }
}

/// The folders in a folder, where there is nothing else and each has a cut plan.
fn planned(path: &Path) -> io::Result<Option<BTreeSet<String>>> {
    let mut names = BTreeSet::new();
    for entry in fs::read_dir(path)? {
        let entry = entry?;
        let has_plan = || holds(&entry.path(), names::PLAN, |bytes| plan::is_plan(bytes).then_some(()));
        match entry.file_name().into_string() {
            Ok(name) if entry.file_type()?.is_dir() && has_plan().is_some() => names.insert(name),
            _ => return Ok(None),
        };
    }
    Ok(if names.is_empty() { None } else { Some(names) })
}

/// What the file `name` in a folder says. It is looked at before it is read: a pipe would be waited for, and a link
/// may lead to what never ends.
fn holds<T>(folder: &Path, name: &str, said: impl FnOnce(&[u8]) -> Option<T>) -> Option<T> {
    let path = folder.join(name);
    let readable = |kind: fs::Metadata| kind.is_file() && kind.len() <= json::MAX_INPUT_BYTES as u64;
    if !path.symlink_metadata().is_ok_and(readable) {
        return None;
    }
    said(&fs::read(&path).ok()?)
}

fn holding(path: &Path, name: &std::ffi::OsStr) -> Error {
    foreign(path, &format!("it holds {}", name.to_string_lossy()))
}

/// The refusal to replace a folder.
pub fn foreign(path: &Path, why: &str) -> Error {
    let what = format!("is no earlier result of this command ({why}) and is not replaced");
    Error::input(path.display().to_string(), what, "name a new folder")
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs::File;

    #[test]
    fn a_file_that_is_none_is_not_read() {
        let dir = tempfile::tempdir().unwrap();
        let in_it = |name: &str| dir.path().join(name);
        fs::write(in_it("plain"), "x").unwrap();
        fs::create_dir(in_it("folder")).unwrap();
        // One byte more than any file of ours has, without taking the room.
        File::create(in_it("large")).unwrap().set_len(json::MAX_INPUT_BYTES as u64 + 1).unwrap();
        #[cfg(unix)]
        std::os::unix::fs::symlink(in_it("plain"), in_it("link")).unwrap();
        assert_eq!(holds(dir.path(), "plain", |bytes| Some(bytes.to_vec())), Some(b"x".to_vec()));
        for name in ["none", "folder", "large", "link"] {
            let read = holds(dir.path(), name, |_| -> Option<()> { panic!("{name} was read") });
            assert!(read.is_none(), "{name}");
        }
    }
}

//! The folder of a result: there as a whole or not at all.
//!
//! The files are written into a temporary folder beside it, which is made before the long
//! run so that a place that cannot be written is noticed first, and moved in by renaming.

use super::{draft, pieces, signals};
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use tempfile::TempDir;
use tuckroll::floor::plan;
use tuckroll::job::kits;
use tuckroll::{Error, compare, json, layout, report};

/// The result of a nest. A folder with anything but these files in it is not ours.
pub const LAYOUT: &str = "layout.json";
/// The file for the plotter.
pub const CUT: &str = "cut.dxf";
/// The drawing to look at.
pub const PREVIEW: &str = "preview.svg";
/// The picture to look at.
pub const PICTURE: &str = "preview.png";

/// The report to read.
pub const REPORT: &str = "report.html";
/// The report for scripts.
pub const REPORT_JSON: &str = "report.json";
/// The orders for a spreadsheet.
pub const KITS: &str = "kits.csv";

/// The comparison to read.
pub const COMPARISON: &str = "compare.html";
/// The comparison for scripts.
pub const COMPARISON_JSON: &str = "compare.json";
/// The comparison for a spreadsheet.
pub const COMPARISON_CSV: &str = "compare.csv";
/// What a day on several pieces of film came to.
pub const SUMMARY: &str = "summary.json";

/// The order of the cuts.
pub const PLAN: &str = "plan.json";
/// The file for a plotter.
pub const PLOT: &str = "cut.plt";

/// The names of a section's files for plotter and host.
pub fn section_names(number: usize) -> (String, String) {
    (format!("cut-{number}.plt"), format!("cut-{number}.dxf"))
}

/// Panels for a job.
pub const PANELS: &str = "panels.json";
/// A job of panels alone.
pub const JOB: &str = "job.json";
/// Patterns for CAD.
pub const PATTERNS_DXF: &str = "panels.dxf";
/// Patterns for a drawing program.
pub const PATTERNS_SVG: &str = "panels.svg";

/// The name of an order's fit sheet; what could not be in a file name becomes a line.
pub fn sheet_name(order: &str) -> String {
    let plain = |c: char| if c.is_alphanumeric() || "._-".contains(c) { c } else { '_' };
    // A name of a file may be 255 bytes long; a letter takes four at most.
    let order: String = order.chars().take(50).map(plain).collect();
    if order.is_empty() { "sheet.html".into() } else { format!("sheet-{order}.html") }
}

/// Whether it is a name that [`sheet_name`] gives.
pub fn is_sheet(path: &Path) -> bool {
    let name = path.file_name().and_then(|name| name.to_str());
    name.is_some_and(|name| name.starts_with("sheet") && name.ends_with(".html"))
}

/// Whether a result of this program may have a file of this name.
fn is_known(name: &str) -> bool {
    let fixed = [
        LAYOUT,
        CUT,
        PREVIEW,
        PICTURE,
        SUMMARY,
        REPORT,
        REPORT_JSON,
        KITS,
        COMPARISON,
        COMPARISON_JSON,
        COMPARISON_CSV,
        PANELS,
        JOB,
        PATTERNS_DXF,
        PATTERNS_SVG,
        PLAN,
        PLOT,
    ];
    fixed.contains(&name) || is_section(name) || is_sheet(Path::new(name))
}

/// Whether it is a name that [`section_names`] gives.
fn is_section(name: &str) -> bool {
    let inner = name.strip_prefix("cut-").and_then(|n| n.strip_suffix(".plt").or(n.strip_suffix(".dxf")));
    inner.is_some_and(|n| !n.is_empty() && n.bytes().all(|b| b.is_ascii_digit()))
}

/// A folder to come.
#[derive(Debug)]
pub struct Folder {
    path: PathBuf,
    parent: PathBuf,
    replace: bool,
}

impl Folder {
    /// Prepares to write the folder `path`.
    ///
    /// # Errors
    ///
    /// [`Error::Input`] when it is there and may not be replaced, or its parent is not there;
    /// [`Error::Io`] when its parent cannot be written.
    pub fn open(path: &Path, replace: bool) -> Result<Self, Error> {
        may_become(path, replace)?;
        let parent = match path.parent() {
            Some(parent) if parent != Path::new("") => parent,
            _ => Path::new("."),
        };
        if !parent.is_dir() {
            return Err(Error::input(shown(parent), "there is no such folder", "make it first"));
        }
        let folder = Self { path: path.to_owned(), parent: parent.to_owned(), replace };
        // Made only to see that it can be: a program that is killed in a long run leaves nothing behind.
        signals::tidily(|| folder.workshop().map(drop))?;
        Ok(folder)
    }

    /// A folder beside the one to come, so that a rename does not cross file systems; removed when dropped.
    fn workshop(&self) -> Result<TempDir, Error> {
        let made = tempfile::Builder::new().prefix(draft::PREFIX).tempdir_in(&self.parent);
        made.map_err(|e| Error::io(&self.parent, without_path(&e)))
    }

    /// Writes the files and moves them in as a set. Gives their paths.
    pub fn commit<N: AsRef<str>>(self, files: &[(N, Vec<u8>)]) -> Result<Vec<PathBuf>, Error> {
        signals::tidily(|| self.move_in(files))?;
        Ok(files.iter().map(|(name, _)| self.path.join(name.as_ref())).collect())
    }

    fn move_in<N: AsRef<str>>(&self, files: &[(N, Vec<u8>)]) -> Result<(), Error> {
        let workshop = self.workshop()?;
        let fresh = workshop.path().join("new");
        fs::create_dir(&fresh).map_err(|e| self.failed(e))?;
        for (name, bytes) in files {
            let name = name.as_ref();
            signals::go_on(&self.path)?;
            let at = fresh.join(name);
            let inner = at.parent().filter(|dir| *dir != fresh);
            inner
                .map_or(Ok(()), fs::create_dir_all)
                .map_err(|e| Error::io(self.path.join(name), without_path(&e)))?;
            write_whole(&at, bytes).map_err(|e| Error::io(self.path.join(name), e))?;
        }
        may_become(&self.path, self.replace)?;
        signals::settle(&self.path)?;
        self.put_in_place(&fresh, &workshop.path().join("old")).map_err(|e| self.failed(e))?;
        settle_names(&self.parent);
        Ok(())
    }

    /// Moves the new folder to its place; an old one there ends up in the workshop. Where the system can
    /// exchange two folders in one step there is always one of them in that place.
    fn put_in_place(&self, fresh: &Path, stale: &Path) -> io::Result<()> {
        if self.path.symlink_metadata().is_err() {
            return fs::rename(fresh, &self.path);
        }
        if exchange(fresh, &self.path).is_ok() {
            return Ok(());
        }
        fs::rename(&self.path, stale)?;
        fs::rename(fresh, &self.path).or_else(|e| fs::rename(stale, &self.path).and(Err(e)))
    }

    fn failed(&self, e: io::Error) -> Error {
        Error::io(&self.path, e)
    }
}

/// Writes a file down to the disk, so that a full disk is noticed here.
fn write_whole(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = File::create_new(path)?;
    file.write_all(bytes)?;
    file.sync_all()
}

/// Brings the names in a folder down to the disk. Some systems cannot open folders; there it is left to them.
fn settle_names(folder: &Path) {
    let _ = File::open(folder).and_then(|folder| folder.sync_all());
}

/// Exchanges two folders in one step.
#[cfg(target_os = "linux")]
fn exchange(a: &Path, b: &Path) -> io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    renameat_with(CWD, a, CWD, b, RenameFlags::EXCHANGE).map_err(io::Error::from)
}

/// Only Linux is known to be able to.
#[cfg(not(target_os = "linux"))]
fn exchange(_: &Path, _: &Path) -> io::Result<()> {
    Err(io::ErrorKind::Unsupported.into())
}

/// The error without the name of the temporary folder, which nobody typed.
fn without_path(e: &io::Error) -> io::Error {
    e.raw_os_error().map_or_else(|| io::Error::from(e.kind()), io::Error::from_raw_os_error)
}

/// Whether a result may be put at `path`: nothing is there, or an earlier result that may go.
fn may_become(path: &Path, replace: bool) -> Result<(), Error> {
    match path.symlink_metadata() {
        // Whether there is a folder to put it in is asked next.
        Err(e) if matches!(e.kind(), io::ErrorKind::NotFound | io::ErrorKind::NotADirectory) => Ok(()),
        Err(e) => Err(Error::io(path, e)),
        Ok(_) if !replace => {
            let remedy = "name a new folder, or add --replace to put the new result in its place";
            Err(Error::input(shown(path), "is there already", remedy))
        }
        Ok(kind) if !kind.is_dir() => Err(foreign(path, "it is not a folder")),
        Ok(_) => is_ours(path),
    }
}

/// Whether a folder holds a result of this program and nothing else.
fn is_ours(path: &Path) -> Result<(), Error> {
    let nested = holds(path, SUMMARY, pieces::is_summary);
    let several = nested || holds_only_plans(path).map_err(|e| Error::io(path, e))?;
    for entry in fs::read_dir(path).map_err(|e| Error::io(path, e))? {
        let entry = entry.map_err(|e| Error::io(path, e))?;
        let name = entry.file_name();
        let known = name.to_str().is_some_and(is_known);
        let kind = entry.file_type().map_err(|e| Error::io(path, e))?;
        if several && kind.is_dir() {
            // The folder of one piece of film; no piece has pieces of its own.
            let inner = entry.path();
            if inner.join(SUMMARY).symlink_metadata().is_ok() {
                return Err(foreign(path, &format!("it holds {}", name.to_string_lossy())));
            }
            is_ours(&inner)?;
        } else if !(known && kind.is_file()) {
            return Err(foreign(path, &format!("it holds {}", name.to_string_lossy())));
        }
    }
    let ours = several
        || holds(path, PANELS, kits::is_panel_list)
        || holds(path, REPORT_JSON, report::is_report)
        || holds(path, COMPARISON_JSON, compare::is_comparison)
        || holds(path, PLAN, plan::is_plan)
        || holds(path, LAYOUT, |bytes| layout::read(bytes, LAYOUT).is_ok());
    if ours {
        return Ok(());
    }
    Err(foreign(path, &format!("it has no {LAYOUT} or other list of ours that can be read")))
}

/// Whether there is nothing but folders with the plan of a cut in each: one for each piece of film.
fn holds_only_plans(path: &Path) -> io::Result<bool> {
    let mut any = false;
    for entry in fs::read_dir(path)? {
        let entry = entry?;
        if !entry.file_type()?.is_dir() || !holds(&entry.path(), PLAN, plan::is_plan) {
            return Ok(false);
        }
        any = true;
    }
    Ok(any)
}

/// Whether the file `name` in a folder is one of ours. It is looked at before it is read: a pipe would be waited for,
/// and a link may lead to what never ends.
fn holds(folder: &Path, name: &str, ours: impl Fn(&[u8]) -> bool) -> bool {
    let path = folder.join(name);
    let readable = |kind: fs::Metadata| kind.is_file() && kind.len() <= json::MAX_INPUT_BYTES as u64;
    path.symlink_metadata().is_ok_and(readable) && fs::read(&path).is_ok_and(|bytes| ours(&bytes))
}

fn foreign(path: &Path, why: &str) -> Error {
    let what = format!("was not written by this program ({why}) and is not replaced");
    Error::input(shown(path), what, "name a new folder")
}

fn shown(path: &Path) -> String {
    path.display().to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(dir: &Path) -> Vec<String> {
        let mut names: Vec<String> =
            fs::read_dir(dir).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }

    #[test]
    fn nothing_lies_about_until_the_files_are_written() {
        let dir = tempfile::tempdir().unwrap();
        let _folder = Folder::open(&dir.path().join("out"), false).unwrap();
        assert!(names(dir.path()).is_empty());
    }

    #[test]
    fn a_new_folder_takes_the_place_of_the_old_one() {
        let dir = tempfile::tempdir().unwrap();
        let (new, old, stale) = (dir.path().join("new"), dir.path().join("old"), dir.path().join("stale"));
        for (at, name) in [(&new, CUT), (&old, PREVIEW)] {
            fs::create_dir(at).unwrap();
            fs::write(at.join(name), "").unwrap();
        }
        let folder = Folder { path: old.clone(), parent: dir.path().to_owned(), replace: true };
        folder.put_in_place(&new, &stale).unwrap();
        assert_eq!(names(&old), [CUT]);
        let kept = if cfg!(target_os = "linux") { new } else { stale };
        assert_eq!(names(&kept), [PREVIEW]);
    }

    #[test]
    fn files_appear_together() {
        let dir = tempfile::tempdir().unwrap();
        let out = dir.path().join("out");
        let folder = Folder::open(&out, false).unwrap();
        let paths = folder.commit(&[(CUT, b"0".to_vec()), (PREVIEW, b"1".to_vec())]).unwrap();
        assert_eq!(paths, [out.join(CUT), out.join(PREVIEW)]);
        assert_eq!(names(&out), [CUT, PREVIEW]);
        assert_eq!(names(dir.path()), ["out"]);
    }

    #[test]
    fn a_folder_that_appears_meanwhile_is_spared() {
        let dir = tempfile::tempdir().unwrap();
        let out = dir.path().join("out");
        let folder = Folder::open(&out, false).unwrap();
        fs::create_dir(&out).unwrap();
        assert_eq!(folder.commit(&[(CUT, Vec::new())]).unwrap_err().exit_code(), 2);
        assert!(names(&out).is_empty());
        assert_eq!(names(dir.path()), ["out"]);
    }

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
        assert!(holds(dir.path(), "plain", |bytes| bytes == b"x"));
        for name in ["none", "folder", "large", "link"] {
            assert!(!holds(dir.path(), name, |_| panic!("{name} was read")), "{name}");
        }
    }

    #[test]
    fn folders_of_others_are_never_replaced() {
        let dir = tempfile::tempdir().unwrap();
        let out = dir.path().join("out");
        fs::create_dir(&out).unwrap();
        assert_eq!(Folder::open(&out, true).unwrap_err().exit_code(), 2, "no layout in it");
        fs::write(out.join(LAYOUT), "{}").unwrap();
        assert_eq!(Folder::open(&out, true).unwrap_err().exit_code(), 2, "not our layout");
        let file = dir.path().join("file");
        fs::write(&file, "x").unwrap();
        assert_eq!(Folder::open(&file, true).unwrap_err().exit_code(), 2, "a file");
        let lost = dir.path().join("none/out");
        assert_eq!(Folder::open(&lost, false).unwrap_err().exit_code(), 2, "no parent");
    }
}

//! The folder of a result: there as a whole or not at all.
//!
//! The files are written into a temporary folder beside it, which is made before the long
//! run so that a place that cannot be written is noticed first, and moved in by renaming.

use super::draft;
use super::kind::{self, Kind};
use super::signals;
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use tempfile::TempDir;
use tuckroll::Error;

/// A folder to come.
#[derive(Debug)]
pub struct Folder {
    /// As typed, for messages.
    typed: PathBuf,
    /// Where it is: a folder that is there is moved by its own name, not as `.` or `..`.
    path: PathBuf,
    parent: PathBuf,
    kind: Kind,
    replace: bool,
}

impl Folder {
    /// Prepares to write a result of this kind as the folder `typed`; `inputs` are what the command reads.
    ///
    /// # Errors
    ///
    /// [`Error::Input`] when it is there and may not be replaced, or its parent is not there;
    /// [`Error::Io`] when its parent cannot be written.
    pub fn open(typed: &Path, kind: Kind, replace: bool, inputs: &[&Path]) -> Result<Self, Error> {
        // Without a point or a slash at its end, which a rename does not take.
        let typed: PathBuf = typed.components().collect();
        may_become(&typed, kind, replace)?;
        let there = typed.canonicalize().ok();
        there.iter().try_for_each(|path| spares(path, &typed, inputs))?;
        let path = there.unwrap_or_else(|| typed.clone());
        let parent = parent_of(&path).to_owned();
        if !parent.is_dir() {
            return Err(Error::input(shown(&parent), "there is no such folder", "make it first"));
        }
        let folder = Self { typed, path, parent, kind, replace };
        // Made only to see that it can be: a program that is killed in a long run leaves nothing behind.
        signals::tidily(|| folder.workshop().map(drop))?;
        Ok(folder)
    }

    /// Whether a file that is to be written would lie in this folder, or be it.
    pub fn would_hold(&self, file: &Path) -> bool {
        resolved(file).starts_with(resolved(&self.path))
    }

    /// A folder beside the one to come, so that a rename does not cross file systems; removed when dropped.
    fn workshop(&self) -> Result<TempDir, Error> {
        let made = tempfile::Builder::new().prefix(draft::PREFIX).tempdir_in(&self.parent);
        made.map_err(|e| Error::io(&self.parent, without_path(&e)))
    }

    /// Writes the files and moves them in as a set. Gives their paths.
    pub fn commit<N: AsRef<str>>(self, files: &[(N, Vec<u8>)]) -> Result<Vec<PathBuf>, Error> {
        signals::tidily(|| self.move_in(files))?;
        Ok(files.iter().map(|(name, _)| self.typed.join(name.as_ref())).collect())
    }

    fn move_in<N: AsRef<str>>(&self, files: &[(N, Vec<u8>)]) -> Result<(), Error> {
        let workshop = self.workshop()?;
        let fresh = workshop.path().join("new");
        fs::create_dir(&fresh).map_err(|e| self.failed(e))?;
        for (name, bytes) in files {
            let name = name.as_ref();
            signals::go_on(&self.typed)?;
            let at = fresh.join(name);
            let inner = at.parent().filter(|dir| *dir != fresh);
            inner
                .map_or(Ok(()), fs::create_dir_all)
                .map_err(|e| Error::io(self.typed.join(name), without_path(&e)))?;
            write_whole(&at, bytes).map_err(|e| Error::io(self.typed.join(name), e))?;
        }
        may_become(&self.path, self.kind, self.replace)?;
        signals::settle(&self.typed)?;
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
        Error::io(&self.typed, e)
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

/// Whether a result may be put at `path`: nothing is there, or an earlier result of its kind that may go.
fn may_become(path: &Path, kind: Kind, replace: bool) -> Result<(), Error> {
    match path.symlink_metadata() {
        // Whether there is a folder to put it in is asked next.
        Err(e) if matches!(e.kind(), io::ErrorKind::NotFound | io::ErrorKind::NotADirectory) => Ok(()),
        Err(e) => Err(Error::io(path, e)),
        Ok(_) if !replace => {
            let remedy = "name a new folder, or add --replace to put the new result in its place";
            Err(Error::input(shown(path), "is there already", remedy))
        }
        Ok(there) if !there.is_dir() => Err(kind::foreign(path, "it is not a folder")),
        Ok(_) => kind.check(path),
    }
}

/// Refuses to replace a folder that is still needed: by this command, or by whoever called it from in there.
fn spares(path: &Path, typed: &Path, inputs: &[&Path]) -> Result<(), Error> {
    let within = |at: &Path| at.canonicalize().is_ok_and(|at| at.starts_with(path));
    if within(Path::new(".")) {
        let what = "the current folder is in it, and would be gone";
        return Err(Error::input(shown(typed), what, "go up, and name the folder from there"));
    }
    match inputs.iter().find(|input| within(input)) {
        Some(input) => {
            let what = format!("holds {}, which this command reads", shown(input));
            Err(Error::input(shown(typed), what, "name a new folder"))
        }
        None => Ok(()),
    }
}

/// A path without links, points and other ways to say the same, whether or not something is there.
fn resolved(path: &Path) -> PathBuf {
    let there = path.canonicalize().ok();
    let to_come = || Some(parent_of(path).canonicalize().ok()?.join(path.file_name()?));
    there.or_else(to_come).unwrap_or_else(|| path.to_owned())
}

fn parent_of(path: &Path) -> &Path {
    path.parent().filter(|parent| *parent != Path::new("")).unwrap_or(Path::new("."))
}

fn shown(path: &Path) -> String {
    path.display().to_string()
}

#[cfg(test)]
mod tests {
    use super::super::names::{CUT, LAYOUT, PREVIEW};
    use super::*;

    fn names(dir: &Path) -> Vec<String> {
        let mut names: Vec<String> =
            fs::read_dir(dir).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }

    fn open(path: &Path, replace: bool) -> Result<Folder, Error> {
        Folder::open(path, Kind::Nest, replace, &[])
    }

    #[test]
    fn nothing_lies_about_until_the_files_are_written() {
        let dir = tempfile::tempdir().unwrap();
        let _folder = open(&dir.path().join("out"), false).unwrap();
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
        let (typed, path, parent) = (old.clone(), old.clone(), dir.path().to_owned());
        let folder = Folder { typed, path, parent, kind: Kind::Nest, replace: true };
        folder.put_in_place(&new, &stale).unwrap();
        assert_eq!(names(&old), [CUT]);
        let kept = if cfg!(target_os = "linux") { new } else { stale };
        assert_eq!(names(&kept), [PREVIEW]);
    }

    #[test]
    fn files_appear_together() {
        let dir = tempfile::tempdir().unwrap();
        let out = dir.path().join("out");
        let folder = open(&out, false).unwrap();
        let paths = folder.commit(&[(CUT, b"0".to_vec()), (PREVIEW, b"1".to_vec())]).unwrap();
        assert_eq!(paths, [out.join(CUT), out.join(PREVIEW)]);
        assert_eq!(names(&out), [CUT, PREVIEW]);
        assert_eq!(names(dir.path()), ["out"]);
    }

    #[test]
    fn a_folder_that_appears_meanwhile_is_spared() {
        let dir = tempfile::tempdir().unwrap();
        let out = dir.path().join("out");
        let folder = open(&out, false).unwrap();
        fs::create_dir(&out).unwrap();
        assert_eq!(folder.commit(&[(CUT, Vec::new())]).unwrap_err().exit_code(), 2);
        assert!(names(&out).is_empty());
        assert_eq!(names(dir.path()), ["out"]);
    }

    #[test]
    fn folders_of_others_are_never_replaced() {
        let dir = tempfile::tempdir().unwrap();
        let out = dir.path().join("out");
        fs::create_dir(&out).unwrap();
        assert_eq!(open(&out, true).unwrap_err().exit_code(), 2, "no layout in it");
        fs::write(out.join(LAYOUT), "{}").unwrap();
        assert_eq!(open(&out, true).unwrap_err().exit_code(), 2, "not our layout");
        let file = dir.path().join("file");
        fs::write(&file, "x").unwrap();
        assert_eq!(open(&file, true).unwrap_err().exit_code(), 2, "a file");
        let lost = dir.path().join("none/out");
        assert_eq!(open(&lost, false).unwrap_err().exit_code(), 2, "no parent");
    }

    #[test]
    fn a_folder_is_known_by_whatever_name() {
        let dir = tempfile::tempdir().unwrap();
        let out = dir.path().join("out");
        let to_come = open(&dir.path().join("./out/."), false).unwrap();
        assert!(to_come.would_hold(&out) && to_come.would_hold(&dir.path().join("../").join(&out)));
        assert!(!to_come.would_hold(&dir.path().join("out.csv")));
        to_come.commit(&[(CUT, Vec::new())]).unwrap();
        assert_eq!(names(&out), [CUT]);
    }
}

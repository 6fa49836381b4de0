//! Where the drawings of a job come from.

use crate::Error;
use crate::json::MAX_INPUT_BYTES;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::fmt;
use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::{Component, Path, PathBuf};
use std::sync::Arc;

/// Fetches the files that a job names.
pub trait Files {
    /// The bytes of `file`, as the job names it.
    ///
    /// # Errors
    ///
    /// [`Error::Input`] when there is no such file or it may not be used, [`Error::Io`] when it
    /// cannot be read. The place of a problem is filled in by the caller.
    fn fetch(&self, file: &str) -> Result<Vec<u8>, Error>;

    /// The same bytes to be shared: who keeps them gives them out without a copy.
    ///
    /// # Errors
    ///
    /// As [`Files::fetch`].
    fn shared(&self, file: &str) -> Result<Arc<Vec<u8>>, Error> {
        self.fetch(file).map(Arc::new)
    }

    /// One name for all the names that `file` may go by.
    fn key(&self, file: &str) -> PathBuf {
        Path::new(file).components().filter(|c| !matches!(c, Component::CurDir)).collect()
    }
}

impl<F: Fn(&str) -> Result<Vec<u8>, Error>> Files for F {
    fn fetch(&self, file: &str) -> Result<Vec<u8>, Error> {
        self(file)
    }
}

/// The files of one folder and the folders in it. Nothing outside is read, whether it is named
/// by an absolute path, by `..` or through a link: a job from elsewhere must not be able to
/// look around.
#[derive(Debug, Clone)]
pub struct Folder {
    /// The folder.
    pub root: PathBuf,
    /// Whether files outside the folder may be read after all.
    pub outside: bool,
}

impl Folder {
    /// The folder that the file `path` lies in.
    pub fn of(path: &Path) -> Self {
        let root = match path.parent() {
            Some(parent) if parent != Path::new("") => parent.to_owned(),
            _ => PathBuf::from("."),
        };
        Self { root, outside: false }
    }

    /// The true path of `file`, if it may be read.
    fn resolve(&self, file: &str) -> Result<PathBuf, Error> {
        let named = Path::new(file);
        let stays = named.components().all(|c| matches!(c, Component::Normal(_) | Component::CurDir));
        if !self.outside && !stays {
            return Err(leaves_folder(file));
        }
        let true_path = |path: &Path| path.canonicalize().map_err(|e| read_error(path, e));
        let path = true_path(&self.root.join(named))?;
        if !self.outside && !path.starts_with(true_path(&self.root)?) {
            return Err(leaves_folder(file));
        }
        Ok(path)
    }
}

impl Files for Folder {
    fn fetch(&self, file: &str) -> Result<Vec<u8>, Error> {
        let path = self.resolve(file)?;
        let kind = path.metadata().map_err(|e| read_error(&path, e))?;
        if !kind.is_file() {
            return Err(Error::input("", format!("{file:?} is not a file"), "name a DXF or SVG file"));
        }
        read_capped(&path)
    }

    fn key(&self, file: &str) -> PathBuf {
        self.resolve(file).unwrap_or_else(|_| PathBuf::from(file))
    }
}

/// Files that are fetched once and kept, under whichever names they are asked for and however often: what changes
/// on the disk meanwhile cannot mix two states of a file.
pub struct Kept<'f> {
    files: &'f dyn Files,
    kept: RefCell<BTreeMap<PathBuf, Arc<Vec<u8>>>>,
}

impl<'f> Kept<'f> {
    /// Nothing fetched yet.
    pub fn new(files: &'f dyn Files) -> Self {
        Self { files, kept: RefCell::default() }
    }
}

impl fmt::Debug for Kept<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_list().entries(self.kept.borrow().keys()).finish()
    }
}

impl Files for Kept<'_> {
    fn fetch(&self, file: &str) -> Result<Vec<u8>, Error> {
        self.shared(file).map(|bytes| bytes.to_vec())
    }

    fn shared(&self, file: &str) -> Result<Arc<Vec<u8>>, Error> {
        let key = self.files.key(file);
        if let Some(bytes) = self.kept.borrow().get(&key) {
            return Ok(Arc::clone(bytes));
        }
        let bytes = self.files.shared(file)?;
        self.kept.borrow_mut().insert(key, Arc::clone(&bytes));
        Ok(bytes)
    }

    fn key(&self, file: &str) -> PathBuf {
        self.files.key(file)
    }
}

/// The files that a file of the job names: from the folder that it lies in itself.
pub(super) struct Beside<'f> {
    files: &'f dyn Files,
    folder: String,
}

impl<'f> Beside<'f> {
    /// Those that the job names.
    pub fn job(files: &'f dyn Files) -> Self {
        Self { files, folder: String::new() }
    }

    /// Those that `file` names.
    pub fn file(files: &'f dyn Files, file: &str) -> Self {
        Self { files, folder: file.rsplit_once('/').map_or("", |(folder, _)| folder).to_owned() }
    }

    fn named_in_job(&self, file: &str) -> String {
        // An absolute path stays what it is, for whoever permits it.
        if self.folder.is_empty() || Path::new(file).is_absolute() {
            return file.to_owned();
        }
        format!("{}/{file}", self.folder)
    }
}

impl Files for Beside<'_> {
    fn fetch(&self, file: &str) -> Result<Vec<u8>, Error> {
        self.files.fetch(&self.named_in_job(file))
    }

    fn shared(&self, file: &str) -> Result<Arc<Vec<u8>>, Error> {
        self.files.shared(&self.named_in_job(file))
    }

    fn key(&self, file: &str) -> PathBuf {
        self.files.key(&self.named_in_job(file))
    }
}

/// The bytes of an input file of the user, who is told its name.
///
/// # Errors
///
/// [`Error::Input`] when there is no such file or it is larger than any input may be, [`Error::Io`] when it cannot
/// be read.
pub fn read_input(path: &Path) -> Result<Vec<u8>, Error> {
    let mut result = read_capped(path);
    if let Err(Error::Input(problems)) = &mut result {
        problems.0.iter_mut().for_each(|p| p.place = path.display().to_string());
    }
    result
}

/// The bytes of a file, as long as it is not larger than any input may be.
fn read_capped(path: &Path) -> Result<Vec<u8>, Error> {
    let mut bytes = Vec::new();
    let file = File::open(path).map_err(|e| read_error(path, e))?;
    // One byte more than allowed shows that there is more.
    file.take(MAX_INPUT_BYTES as u64 + 1).read_to_end(&mut bytes).map_err(|e| read_error(path, e))?;
    if bytes.len() > MAX_INPUT_BYTES {
        let what = format!("{} is larger than {} MiB", path.display(), MAX_INPUT_BYTES >> 20);
        return Err(Error::input("", what, "split it into several files"));
    }
    Ok(bytes)
}

fn read_error(path: &Path, e: std::io::Error) -> Error {
    match e.kind() {
        ErrorKind::NotFound | ErrorKind::NotADirectory => {
            Error::input("", format!("there is no file {}", path.display()), "check its name and folder")
        }
        ErrorKind::IsADirectory => Error::input("", format!("{} is a folder", path.display()), "name a file"),
        _ => Error::io(path, e),
    }
}

fn leaves_folder(file: &str) -> Error {
    Error::input(
        "",
        format!("{file:?} lies outside the job's folder"),
        "put the drawing beside the job file and name it from there",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_of_several_names_is_read_once_and_stays_as_it_was() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("fin.dxf");
        std::fs::write(&path, "old").unwrap();
        let folder = Folder::of(&dir.path().join("day.json"));
        let kept = Kept::new(&folder);
        assert_eq!(kept.fetch("fin.dxf").unwrap(), b"old");
        std::fs::write(&path, "new").unwrap();
        #[cfg(unix)]
        std::os::unix::fs::symlink(&path, dir.path().join("link.dxf")).unwrap();
        for name in ["fin.dxf", "./fin.dxf", if cfg!(unix) { "link.dxf" } else { "fin.dxf" }] {
            assert_eq!(kept.fetch(name).unwrap(), b"old", "{name}");
        }
        // What is not there may still come.
        assert!(kept.fetch("late.dxf").is_err());
        std::fs::write(dir.path().join("late.dxf"), "late").unwrap();
        assert_eq!(kept.fetch("late.dxf").unwrap(), b"late");
        // Where the names of a file are not known, what says nothing is left out of them.
        let fetched = RefCell::new(0);
        let files = |_: &str| {
            *fetched.borrow_mut() += 1;
            Ok(Vec::new())
        };
        let kept = Kept::new(&files);
        for name in ["art/a.svg", "./art/a.svg", "art/./a.svg", "art//a.svg"] {
            assert!(kept.fetch(name).is_ok());
        }
        assert_eq!(*fetched.borrow(), 1);
    }

    #[test]
    fn nothing_outside_the_folder_is_read() {
        let dir = tempfile::tempdir().unwrap();
        let (inner, secret) = (dir.path().join("job"), dir.path().join("secret.dxf"));
        std::fs::create_dir_all(inner.join("art")).unwrap();
        std::fs::write(&secret, "secret").unwrap();
        std::fs::write(inner.join("art/fin.dxf"), "fin").unwrap();
        let mut folder = Folder::of(&inner.join("day.json"));
        assert_eq!(folder.fetch("art/fin.dxf").unwrap(), b"fin");
        assert_eq!(folder.fetch("./art/fin.dxf").unwrap(), b"fin");
        let absolute = secret.to_str().unwrap();
        for outside in ["../secret.dxf", "art/../../secret.dxf", absolute] {
            let e = folder.fetch(outside).unwrap_err();
            assert!(e.to_string().contains("outside the job's folder"), "{e}");
        }
        assert!(matches!(folder.fetch("art"), Err(Error::Input(_))));
        let e = folder.fetch("none.dxf").unwrap_err();
        assert!(e.exit_code() == 2 && e.to_string().contains("there is no file"), "{e}");
        #[cfg(unix)]
        {
            std::os::unix::fs::symlink(&secret, inner.join("link.dxf")).unwrap();
            assert!(folder.fetch("link.dxf").unwrap_err().to_string().contains("outside"));
        }
        folder.outside = true;
        assert_eq!(folder.fetch("../secret.dxf").unwrap(), b"secret");
    }
}

//! Where the drawings of a job come from.

use crate::Error;
use crate::json::MAX_INPUT_BYTES;
use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::{Component, Path, PathBuf};

/// Fetches the files that a job names.
pub trait Files {
    /// The bytes of `file`, as the job names it.
    ///
    /// # Errors
    ///
    /// [`Error::Input`] when there is no such file or it may not be used, [`Error::Io`] when it
    /// cannot be read. The place of a problem is filled in by the caller.
    fn fetch(&self, file: &str) -> Result<Vec<u8>, Error>;
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
}

/// The bytes of an input file of the user, who is told its name.
pub(crate) fn read_input(path: &Path) -> Result<Vec<u8>, Error> {
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

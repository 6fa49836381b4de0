//! Files out: which ones, made of a layout, moved in as a set.

use super::args::FileArgs;
use std::path::{Path, PathBuf};
use tuckroll::layout::{self, Layout};
use tuckroll::{Error, Warning};

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

impl Target {
    /// What was typed; options about files make no sense where none is written.
    pub fn resolve(typed: &Path, args: &FileArgs) -> Result<Self, Error> {
        if typed.as_os_str() != "-" {
            return Ok(Self::Folder(typed.to_owned()));
        }
        if args.replace || args.png {
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
            Self::Folder(path) => Folder::open(path, *wanted).map(Place::Folder),
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
    /// Makes the files of a layout and moves them in as a set.
    pub fn write(self, layout: &Layout, _wanted: &Wanted) -> Result<Written, Error> {
        let json = layout::write(layout).into_bytes();
        let files = match self {
            Self::Folder(folder) => folder.commit(&json)?,
            Self::Stdout => Vec::new(),
        };
        Ok(Written { layout: json, files, warnings: Vec::new() })
    }
}

/// A folder with the layout alone, until the writers of the other files are there.
pub struct Folder(PathBuf);

impl Folder {
    fn open(path: &Path, wanted: Wanted) -> Result<Self, Error> {
        if path.symlink_metadata().is_ok() || wanted.replace {
            return Err(Error::input(
                path.display().to_string(),
                "is there already and cannot be replaced yet",
                "name a new folder (--replace comes with the cut file)",
            ));
        }
        Ok(Self(path.to_owned()))
    }

    fn commit(self, json: &[u8]) -> Result<Vec<PathBuf>, Error> {
        let path = self.0.join("layout.json");
        std::fs::create_dir(&self.0).map_err(|e| Error::io(&self.0, e))?;
        std::fs::write(&path, json).map_err(|e| Error::io(&path, e))?;
        Ok(vec![path])
    }
}

impl Wanted {
    /// What was typed.
    pub fn of(args: &FileArgs) -> Self {
        Self { replace: args.replace }
    }
}

//! Files in: read whole, once, and never more than can be meant.

use super::args::DrawingArgs;
use std::fs::File;
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use tuckroll::Error;
use tuckroll::job::{self, Files, Folder, LoadOptions, LoadedDay, Variation};
use tuckroll::layout::{self, Layout};
use tuckroll::read::ReadOptions;

/// No file of any format is larger than this; each reader has a lower limit of its own. It
/// keeps an endless pipe or device from filling the memory.
const LARGEST: u64 = 256 << 20;

/// Where an input comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Source {
    /// A file.
    File(PathBuf),
    /// Standard input, typed as '-'.
    Stdin,
}

impl Source {
    /// What was typed.
    pub fn of(typed: PathBuf) -> Self {
        if typed.as_os_str() == "-" { Self::Stdin } else { Self::File(typed) }
    }

    /// The file, unless it is standard input.
    pub fn file(&self) -> Vec<&Path> {
        match self {
            Self::File(path) => vec![path],
            Self::Stdin => Vec::new(),
        }
    }

    /// Its name in messages.
    pub fn name(&self) -> String {
        match self {
            Self::File(path) => path.display().to_string(),
            Self::Stdin => "standard input".into(),
        }
    }

    /// Refuses to take two inputs from standard input, which is empty after the first.
    pub fn refuse_twice(typed: &Path, other: Option<&Path>) -> Result<(), Error> {
        if typed.as_os_str() != "-" || other.is_none_or(|other| other.as_os_str() != "-") {
            return Ok(());
        }
        Err(Error::input("standard input", "'-' is given for two inputs", "name a file for one of them"))
    }

    /// All of its bytes.
    pub fn bytes(&self) -> Result<Vec<u8>, Error> {
        match self {
            Self::File(path) => {
                let file = open(path)?;
                whole(file, path)
            }
            Self::Stdin => whole(io::stdin().lock(), Path::new("standard input")),
        }
    }
}

/// Opens a file for reading. A wrong name is wrong input; anything else is a file that could
/// not be read. A folder opens well enough and fails later in words that nobody understands,
/// so it is refused here.
fn open(path: &Path) -> Result<File, Error> {
    let wrong = |what, remedy| Err(Error::input(path.display().to_string(), what, remedy));
    match File::open(path) {
        Err(e) if e.kind() == io::ErrorKind::NotFound => wrong("there is no such file", "check the name"),
        Err(e) => Err(Error::io(path, e)),
        Ok(file) if file.metadata().is_ok_and(|m| m.is_dir()) => {
            wrong("this is a folder, not a file", "name a file in it, such as its layout.json")
        }
        Ok(file) => Ok(file),
    }
}

fn whole(from: impl Read, name: &Path) -> Result<Vec<u8>, Error> {
    let mut bytes = Vec::new();
    from.take(LARGEST + 1).read_to_end(&mut bytes).map_err(|e| Error::io(name, e))?;
    if bytes.len() as u64 > LARGEST {
        let what = format!("larger than {} MiB", LARGEST >> 20);
        return Err(Error::input(name.display().to_string(), what, "is this the right file?"));
    }
    Ok(bytes)
}

/// How drawings are to be read, as typed.
pub fn read_options(args: DrawingArgs) -> ReadOptions {
    ReadOptions {
        chord_tolerance_mm: args.chord_tolerance,
        join_tolerance_mm: args.join_tolerance,
        ..ReadOptions::default()
    }
}

/// Drawings are named where a job should be, often enough to deserve an answer of their own.
fn refuse_drawing(path: &Path) -> Result<(), Error> {
    let drawing =
        path.extension().is_some_and(|e| e.eq_ignore_ascii_case("dxf") || e.eq_ignore_ascii_case("svg"));
    if !drawing {
        return Ok(());
    }
    let remedy =
        "write a job file that names it as `file` of a panel; 'tuckroll outlines' lists what is in it";
    Err(Error::input(path.display().to_string(), "this is a drawing, not a job", remedy))
}

/// Loads a job, of one piece of film or several, and its drawings.
pub fn day(source: &Source, options: &LoadOptions) -> Result<LoadedDay, Error> {
    let job = JobFile::read(source, options.outside)?;
    job.day(&job.folder, options)
}

/// A job file as it was when it was read.
pub struct JobFile {
    name: String,
    bytes: Vec<u8>,
    /// Where the files lie that it names. Those of a job from a pipe lie in the current folder.
    pub folder: Folder,
}

impl JobFile {
    /// Reads it.
    pub fn read(source: &Source, outside: bool) -> Result<Self, Error> {
        let (bytes, folder) = match source {
            Source::File(path) => {
                refuse_drawing(path)?;
                (job::read_input(path)?, Folder::of(path))
            }
            Source::Stdin => (source.bytes()?, Folder { root: PathBuf::from("."), outside }),
        };
        Ok(Self { name: source.name(), bytes, folder: Folder { outside, ..folder } })
    }

    /// What it asks for, with the files that it names.
    pub fn day(&self, files: &dyn Files, options: &LoadOptions) -> Result<LoadedDay, Error> {
        job::parse_day_varied(&self.bytes, &self.name, files, &options.read, &options.vary)
    }
}

/// How a job and its drawings are to be loaded, as typed.
pub fn load_options(drawing: DrawingArgs, outside: bool, vary: Variation) -> LoadOptions {
    LoadOptions { read: read_options(drawing), outside, vary }
}

/// Reads a layout.
pub fn layout(source: &Source) -> Result<Layout, Error> {
    layout::read(&source.bytes()?, &source.name())
}

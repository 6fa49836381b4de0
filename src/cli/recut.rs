//! `tuckroll recut`: a new job from pieces of a layout.

use super::args::RecutArgs;
use super::draft::draft_in;
use super::input::Source;
use super::{clean, layouts, numbers, say, signals};
use serde::Serialize;
use std::io::Write;
use std::path::{Path, PathBuf};
use tuckroll::job::{self, Job};
use tuckroll::layout::Layout;
use tuckroll::read::ReadOptions;
use tuckroll::recut::{self, Choice};
use tuckroll::{Error, Warning};

/// Writes the job.
pub fn run(args: RecutArgs) -> Result<u8, Error> {
    Source::refuse_twice(&args.layout, args.into.as_deref())?;
    let layout = layouts::proven(&Source::of(args.layout))?;
    let into = args.into.map(|path| layouts::proven(&Source::of(path))).transpose()?;
    let choice = Choice { copies: args.panel, kits: args.kit };
    let found =
        recut::recut(&layout, &choice, into.as_ref()).and_then(|job| recut::check(&job).map(|()| job));
    let job = match found {
        Err(Error::Unmet(_)) if into.is_none() => on_new_roll(&layout, &choice)?,
        found => found?,
    };
    let text = job::write(&job);
    let no_files = |name: &str| Err(Error::Internal(format!("the new job names a file, {name:?}")));
    job::parse_day(text.as_bytes(), "the new job", &no_files, &ReadOptions::default())?;
    let Some(out) = args.out.filter(|out| out.as_os_str() != "-") else {
        if args.json {
            return Err(Error::input(
                "--json",
                "standard output is taken by the job",
                "write the job to a file with -o",
            ));
        }
        say::out(text.as_bytes())?;
        return Ok(0);
    };
    write_new(&out, text.as_bytes())?;
    let pieces = job.panels.len();
    if args.json {
        say::json(&Told { exit_code: 0, name: &job.name, pieces, files: [out.display().to_string()] })?;
    } else {
        let count = numbers::count(pieces, "piece");
        let line = format!("{}: {count}, written to {}\n", job.name, out.display());
        say::out(format!("{}\n", clean::one_line(line.trim_end())).as_bytes())?;
    }
    Ok(0)
}

/// Pieces that what is left of their roll does not take.
fn on_new_roll(layout: &Layout, choice: &Choice) -> Result<Job, Error> {
    let job = recut::on_new_roll(layout, choice)?;
    recut::check(&job)?;
    say::warnings(&[Warning::new(
        "roll",
        "what is left of the roll of this layout does not take these pieces: the job asks for a new roll like it",
        "give the job the roll you have, or use free film of a layout with --into LAYOUT.json",
    )]);
    Ok(job)
}

/// Writes a file that must not be there yet, whole or not at all.
fn write_new(path: &Path, bytes: &[u8]) -> Result<(), Error> {
    let failed = |e: std::io::Error| match e.kind() {
        std::io::ErrorKind::AlreadyExists => {
            Error::input(path.display().to_string(), "is there already", "name a new file")
        }
        std::io::ErrorKind::NotFound | std::io::ErrorKind::NotADirectory => {
            Error::input(path.display().to_string(), "there is no such folder", "make it first")
        }
        _ => Error::io(path, e),
    };
    let folder = match path.parent() {
        Some(folder) if folder != Path::new("") => folder.to_owned(),
        _ => PathBuf::from("."),
    };
    signals::tidily(|| {
        let mut new = draft_in(&folder).map_err(failed)?;
        new.write_all(bytes).and_then(|()| new.as_file().sync_all()).map_err(failed)?;
        signals::settle(path)?;
        new.persist_noclobber(path).map(drop).map_err(|e| failed(e.error))
    })
}

/// What was written, in JSON.
#[derive(Debug, Serialize)]
struct Told<'a> {
    exit_code: u8,
    name: &'a str,
    pieces: usize,
    files: [String; 1],
}

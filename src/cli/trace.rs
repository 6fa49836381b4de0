//! How the best layout grew better, as a file to plot.
//!
//! One line for each improvement and one at the end, under the heading `seconds,length,density`:
//! seconds since the search began, length in the job's unit, density in per cent.

use super::draft::draft_in;
use super::signals;
use std::fs::File;
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use tempfile::NamedTempFile;
use tuckroll::Error;
use tuckroll::job::Job;
use tuckroll::layout::Measures;
use tuckroll::nest::Progress;

const HEADING: &str = "seconds,length,density\n";

/// What a search told of itself, as far as it matters later.
#[derive(Debug, Default)]
pub struct Curve {
    points: Vec<Progress>,
    last: Option<Progress>,
}

impl Curve {
    /// Takes note of how far the search has come.
    pub fn tell(&mut self, news: &Progress) {
        if self.points.last().is_none_or(|best| news.length < best.length) {
            self.points.push(*news);
        }
        self.last = Some(*news);
    }

    fn text(&self, job: &Job) -> String {
        let ended = self.last.filter(|last| self.points.last() != Some(last));
        let lines = self.points.iter().chain(&ended).map(|p| {
            let density = density(job, p.length);
            format!("{:.3},{:.6},{density:.6}\n", p.elapsed.as_secs_f64(), p.length)
        });
        HEADING.to_owned() + &lines.collect::<String>()
    }
}

/// What a layout of that length with all required panels states.
fn density(job: &Job, length: f64) -> f64 {
    let required = job.panels.iter().filter(|p| !p.optional);
    let panel_area = required.map(|p| p.area() * f64::from(p.copies)).sum();
    Measures::of(&job.roll, length, panel_area, 0.0).density_percent
}

/// A trace to come: its place is made sure of before the long run.
#[derive(Debug)]
pub struct Trace {
    path: PathBuf,
    parent: PathBuf,
}

impl Trace {
    /// Prepares to write the file `path`.
    ///
    /// # Errors
    ///
    /// [`Error::Input`] when it is there and may not be replaced, [`Error::Io`] when the folder
    /// cannot be written.
    pub fn open(path: &Path, replace: bool) -> Result<Self, Error> {
        may_become(path, replace)?;
        let parent = path.parent().filter(|p| *p != Path::new("")).unwrap_or(Path::new("."));
        if !parent.is_dir() {
            let name = parent.display().to_string();
            return Err(Error::input(name, "there is no such folder", "make it first"));
        }
        let trace = Self { path: path.to_owned(), parent: parent.to_owned() };
        // Made only to see that it can be: a program that is killed in a long run leaves nothing behind.
        signals::tidily(|| trace.draft().map(drop))?;
        Ok(trace)
    }

    fn draft(&self) -> Result<NamedTempFile, Error> {
        draft_in(&self.parent).map_err(|e| Error::io(&self.parent, e))
    }

    /// Writes the curve, whole.
    pub fn write(self, job: &Job, curve: &Curve) -> Result<(), Error> {
        let failed = |e: io::Error| Error::io(&self.path, e);
        signals::tidily(|| {
            let mut draft = self.draft()?;
            draft.write_all(curve.text(job).as_bytes()).map_err(failed)?;
            draft.as_file().sync_all().map_err(failed)?;
            draft.persist(&self.path).map(drop).map_err(|e| failed(e.error))
        })
    }
}

/// Whether a trace may be put at `path`: nothing is there, or an earlier trace that may go.
fn may_become(path: &Path, replace: bool) -> Result<(), Error> {
    let there = |what: &str| Err(Error::input(path.display().to_string(), what, "name a new file"));
    match path.symlink_metadata() {
        // Whether there is a folder to put it in is asked next.
        Err(e) if matches!(e.kind(), io::ErrorKind::NotFound | io::ErrorKind::NotADirectory) => Ok(()),
        Err(e) => Err(Error::io(path, e)),
        Ok(_) if !replace => there("is there already"),
        Ok(kind) if !kind.is_file() => there("is not a file"),
        Ok(_) if begins_as_ours(path) => Ok(()),
        Ok(_) => there("is no trace of this program and is not replaced"),
    }
}

/// Whether a file begins with our heading. No more of it is read: it may be anything.
fn begins_as_ours(path: &Path) -> bool {
    let mut start = vec![0; HEADING.len()];
    File::open(path).and_then(|mut file| file.read_exact(&mut start)).is_ok() && start == HEADING.as_bytes()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;
    use std::time::Duration;

    fn at(round: u64, length: f64) -> Progress {
        Progress { round, length, elapsed: Duration::from_millis(500 * round) }
    }

    #[test]
    fn only_improvements_and_the_end_are_kept() {
        let mut curve = Curve::default();
        for p in [at(0, 9.0), at(1, 9.0), at(2, 8.0), at(3, 8.0), at(4, 8.0)] {
            curve.tell(&p);
        }
        let kept: Vec<u64> = curve.points.iter().chain(&curve.last).map(|p| p.round).collect();
        assert_eq!(kept, [0, 2, 4]);
    }

    /// A file of a tebibyte, most of it a hole, fits no memory.
    #[test]
    fn no_more_than_the_heading_is_read() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("t.csv");
        fs::write(&path, HEADING).unwrap();
        File::options().write(true).open(&path).unwrap().set_len(1 << 40).unwrap();
        assert!(Trace::open(&path, true).is_ok());
        fs::write(&path, &HEADING[1..]).unwrap();
        assert!(Trace::open(&path, true).is_err());
    }

    #[test]
    fn files_of_others_are_spared() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("t.csv");
        fs::write(&path, "precious").unwrap();
        assert_eq!(Trace::open(&path, false).unwrap_err().exit_code(), 2);
        assert_eq!(Trace::open(&path, true).unwrap_err().exit_code(), 2);
        fs::write(&path, HEADING).unwrap();
        assert!(Trace::open(&path, true).is_ok());
        assert_eq!(Trace::open(&dir.path().join("none/t.csv"), false).unwrap_err().exit_code(), 2);
        assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1, "no draft is left behind");
    }
}

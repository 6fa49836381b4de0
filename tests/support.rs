//! Running the real command.

#![allow(dead_code, reason = "the tests that use these parts land one by one")]

use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use tempfile::TempDir;

/// What a run of the command left behind.
#[derive(Debug)]
pub struct Ran {
    pub code: Option<i32>,
    pub out: String,
    pub err: String,
}

impl Ran {
    pub fn of(output: &Output) -> Self {
        Self {
            code: output.status.code(),
            out: String::from_utf8_lossy(&output.stdout).into_owned(),
            err: String::from_utf8_lossy(&output.stderr).into_owned(),
        }
    }

    /// Asserts the exit code and that nothing panicked.
    #[track_caller]
    pub fn ends_with(self, code: i32) -> Self {
        assert_eq!(self.code, Some(code), "stdout: {}\nstderr: {}", self.out, self.err);
        assert!(!self.err.contains("panicked"), "{}", self.err);
        self
    }

    /// Asserts that standard error says all of this.
    #[track_caller]
    pub fn says(self, words: &[&str]) -> Self {
        for word in words {
            assert!(self.err.contains(word), "no {word:?} in: {}", self.err);
        }
        self
    }
}

/// The command, ready for arguments, with no terminal and nothing on standard input.
pub fn tuckroll() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tuckroll"));
    command.stdin(Stdio::null()).env_remove("RUST_BACKTRACE");
    command
}

/// Runs the command to its end, in an empty folder: what was made in the project's own, by the demo say, is not in
/// its way.
pub fn run<S: AsRef<OsStr>>(args: impl IntoIterator<Item = S>) -> Ran {
    Desk::new().run(args)
}

/// A folder of its own for one test.
pub struct Desk {
    dir: TempDir,
}

impl Desk {
    pub fn new() -> Self {
        Self { dir: TempDir::new().unwrap() }
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    /// Puts a file on the desk.
    pub fn put(&self, name: &str, content: impl AsRef<[u8]>) -> PathBuf {
        let path = self.path(name);
        std::fs::write(&path, content).unwrap();
        path
    }

    /// Runs the command in this folder.
    pub fn run<S: AsRef<OsStr>>(&self, args: impl IntoIterator<Item = S>) -> Ran {
        Ran::of(&self.command().args(args).output().unwrap())
    }

    pub fn command(&self) -> Command {
        let mut command = tuckroll();
        command.current_dir(self.dir.path());
        command
    }

    /// The names of everything on the desk, sorted.
    pub fn names(&self) -> Vec<String> {
        names(self.dir.path())
    }
}

/// The names in a folder, sorted.
pub fn names(dir: &Path) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(dir)
        .unwrap()
        .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

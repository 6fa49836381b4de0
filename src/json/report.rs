//! The problems and warnings of one file.

use super::node::Path;
use crate::{Error, Problem, Problems, Warning};

/// Most problems that are written out for one file; the rest are counted. Nobody reads more,
/// and a file of a million bad points must not fill the memory.
const MAX_WRITTEN: usize = 50;

/// Gathers what is wrong in one file.
#[derive(Debug)]
pub(crate) struct Report {
    file: String,
    problems: Vec<Problem>,
    unwritten: usize,
    warnings: Vec<Warning>,
}

impl Report {
    /// An empty report on the file `file`.
    pub fn new(file: &str) -> Self {
        Self { file: file.to_owned(), problems: Vec::new(), unwritten: 0, warnings: Vec::new() }
    }

    /// Adds a problem at `path`.
    pub fn problem(&mut self, path: &Path<'_>, what: impl Into<String>, remedy: impl Into<String>) {
        self.adopt(Problem::new(self.place(path), what, remedy));
    }

    /// Adds a problem that knows its place already.
    pub fn adopt(&mut self, problem: Problem) {
        if self.problems.len() < MAX_WRITTEN {
            self.problems.push(problem);
        } else {
            self.unwritten += 1;
        }
    }

    /// Adds a warning.
    pub fn warn(&mut self, warning: Warning) {
        self.warnings.push(warning);
    }

    /// File and place inside it.
    pub fn place(&self, path: &Path<'_>) -> String {
        let inside = path.to_string();
        if inside.is_empty() { self.file.clone() } else { format!("{}: {inside}", self.file) }
    }

    /// Whether no further problem is written out: what it would say need not be worked out.
    pub fn is_full(&self) -> bool {
        self.problems.len() >= MAX_WRITTEN
    }

    /// How many problems there are.
    pub fn problem_count(&self) -> usize {
        self.problems.len() + self.unwritten
    }

    /// `value` and the warnings when no problem was found, otherwise all problems.
    ///
    /// # Errors
    ///
    /// [`Error::Input`] with all problems; [`Error::Internal`] when there is neither a value
    /// nor a problem, which no decoder may do.
    pub fn or_ok<T>(mut self, value: Option<T>) -> Result<(T, Vec<Warning>), Error> {
        if self.unwritten > 0 {
            self.problems.push(Problem::new(
                self.file.as_str(),
                format!("{} more problems of this kind and others", self.unwritten),
                "mend the ones above first",
            ));
        }
        match value {
            _ if !self.problems.is_empty() => Err(Error::Input(Problems(self.problems))),
            Some(value) => Ok((value, self.warnings)),
            None => Err(Error::Internal(format!("{} was refused without a reason", self.file))),
        }
    }
}

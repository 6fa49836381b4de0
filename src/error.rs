//! What can go wrong, in four families that never mix: bad input, a job that cannot be met,
//! a file that cannot be read or written, and a fault of this program.

use std::fmt;
use std::path::PathBuf;

/// One thing wrong with the input: where it stands, what it is, and what to do about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// File and place inside it, such as `day.json: panels[3].outline[2]` or `fin.dxf: line 88`.
    pub place: String,
    /// What is wrong there.
    pub what: String,
    /// What the reader can do; empty where `what` says it already.
    pub remedy: String,
}

impl Problem {
    /// A problem at `place`, with its remedy.
    pub fn new(place: impl Into<String>, what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self { place: place.into(), what: what.into(), remedy: remedy.into() }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if !self.place.is_empty() {
            write!(f, "{}: ", self.place)?;
        }
        write!(f, "{}", self.what)?;
        if !self.remedy.is_empty() {
            write!(f, " ({})", self.remedy)?;
        }
        Ok(())
    }
}

/// A number in a message, as short as it can be told: an extreme one would take three hundred digits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shown(pub f64);

impl fmt::Display for Shown {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // Twelve digits: the last ones of a sum are rounding.
        let value = format!("{:.11e}", self.0).parse().unwrap_or(self.0);
        let size = value.abs();
        if size >= 1e9 || (size > 0.0 && size < 1e-6) { write!(f, "{value:e}") } else { write!(f, "{value}") }
    }
}

/// Something the user should know although the work went on. Same shape as a [`Problem`].
pub type Warning = Problem;

/// All problems found in one input, gathered before stopping. Never empty inside an [`Error`].
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Problems(pub Vec<Problem>);

impl Problems {
    /// Adds one problem.
    pub fn push(&mut self, place: impl Into<String>, what: impl Into<String>, remedy: impl Into<String>) {
        self.0.push(Problem::new(place, what, remedy));
    }

    /// `Ok(value)` when nothing was found, otherwise all of it as [`Error::Input`].
    pub fn or_ok<T>(self, value: T) -> Result<T, Error> {
        if self.0.is_empty() { Ok(value) } else { Err(Error::Input(self)) }
    }
}

impl fmt::Display for Problems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, p) in self.0.iter().enumerate() {
            if i > 0 {
                writeln!(f)?;
            }
            write!(f, "{p}")?;
        }
        Ok(())
    }
}

/// Why a call did not give a result. The family decides the exit code of the command.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// The input or the way it was asked for is wrong (exit code 2).
    #[error("{0}")]
    Input(Problems),
    /// The input is well-formed but cannot be met, or a check failed (exit code 1).
    #[error("{0}")]
    Unmet(Problems),
    /// A file could not be read or written (exit code 3).
    #[error("{}: {source}", path.display())]
    Io {
        /// The file or folder.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// A fault of this program (exit code 4).
    #[error("internal fault, please report it: {0}")]
    Internal(String),
}

impl Error {
    /// Bad input with a single problem.
    pub fn input(place: impl Into<String>, what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self::Input(Problems(vec![Problem::new(place, what, remedy)]))
    }

    /// A well-formed job that cannot be met, with a single problem.
    pub fn unmet(place: impl Into<String>, what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self::Unmet(Problems(vec![Problem::new(place, what, remedy)]))
    }

    /// A file that could not be read or written.
    pub fn io(path: impl Into<PathBuf>, source: std::io::Error) -> Self {
        Self::Io { path: path.into(), source }
    }

    /// The exit code of the command for this family.
    pub fn exit_code(&self) -> u8 {
        match self {
            Self::Unmet(_) => 1,
            Self::Input(_) => 2,
            Self::Io { .. } => 3,
            Self::Internal(_) => 4,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_in_messages_are_short_however_large_or_small() {
        for (value, shown) in [
            (0.0, "0"),
            (-12.5, "-12.5"),
            (4.0 * 0.1 + 3.0 * 0.1, "0.7"),
            (1.000_000_001, "1.000000001"),
            (1e-6, "0.000001"),
            (999_999_999.5, "999999999.5"),
            (1e9, "1e9"),
            (-1e300, "-1e300"),
            (2.5e-300, "2.5e-300"),
            (f64::MAX, "1.79769313486e308"),
            (f64::INFINITY, "inf"),
            (f64::NAN, "NaN"),
        ] {
            assert_eq!(Shown(value).to_string(), shown);
        }
    }
}

//! What a walk has to say: warnings and errors with their place in the file.

use crate::{Problem, Problems, Warning};
use std::collections::BTreeMap;

/// Of one kind of warning, the first so many are given in full and the rest counted: a file with
/// ten thousand labels should not bury the one warning that matters.
const FULL_WARNINGS: usize = 8;

/// After so many errors reading stops: the file is of another kind than it says.
const MAX_PROBLEMS: usize = 20;

/// The walk cannot go on; the reason is among the problems.
#[derive(Debug)]
pub(super) struct Stop;

/// The text of a file with its name, to tell places in it.
pub(super) struct Source<'a> {
    name: &'a str,
    text: &'a str,
    /// How many lines end before every [`PAGE`]th byte. A file may be made of line ends.
    lines_before: Vec<usize>,
}

/// Bytes from one count of lines to the next.
const PAGE: usize = 4096;

impl<'a> Source<'a> {
    pub fn new(name: &'a str, text: &'a str) -> Self {
        let mut lines = 0;
        let page = |page: &[u8]| {
            let before = lines;
            lines += line_ends(page);
            before
        };
        let lines_before = text.as_bytes().chunks(PAGE).map(page).collect();
        Self { name, text, lines_before }
    }

    pub fn name(&self) -> &'a str {
        self.name
    }

    pub fn text(&self) -> &'a str {
        self.text
    }

    /// Line of a byte offset, from 1.
    pub fn line(&self, offset: usize) -> usize {
        let offset = offset.min(self.text.len());
        let page = offset / PAGE;
        let before = self.lines_before.get(page).copied();
        // A text that ends with a page has no count behind it: all of it is counted.
        let (before, start) = before.map_or((0, 0), |before| (before, page * PAGE));
        before + line_ends(self.text.as_bytes().get(start..offset).unwrap_or_default()) + 1
    }

    /// Line and column of a byte offset, both from 1, as they stand in a message.
    pub fn line_and_column(&self, offset: usize) -> String {
        let before = self.text.get(..offset.min(self.text.len())).unwrap_or_default();
        let line = before.rsplit('\n').next().unwrap_or_default();
        format!("line {}, column {}", self.line(offset), line.chars().count() + 1)
    }
}

fn line_ends(text: &[u8]) -> usize {
    text.iter().filter(|b| **b == b'\n').count()
}

/// Gathers warnings and problems.
#[derive(Default)]
pub(super) struct Notes {
    warnings: Vec<Warning>,
    seen: BTreeMap<String, usize>,
    problems: Problems,
}

impl Notes {
    /// Adds a warning; those with the same `what` are counted together.
    pub fn warn(&mut self, source: &Source, offset: usize, what: &str, remedy: &str) {
        let count = self.seen.entry(what.to_owned()).or_default();
        *count += 1;
        if *count <= FULL_WARNINGS {
            let place = format!("{}: line {}", source.name(), source.line(offset));
            self.warnings.push(Problem::new(place, what, remedy));
        }
    }

    /// Adds a warning about the file as a whole.
    pub fn warn_all(&mut self, source: &Source, what: impl Into<String>, remedy: &str) {
        self.warnings.push(Problem::new(source.name(), what, remedy));
    }

    /// Adds a problem at a byte offset; [`Stop`] when there are too many.
    pub fn refuse(&mut self, source: &Source, offset: usize, what: &str, remedy: &str) -> Result<(), Stop> {
        let place = format!("{}: {}", source.name(), source.line_and_column(offset));
        self.problems.push(place, what, remedy);
        if self.problems.0.len() < MAX_PROBLEMS { Ok(()) } else { Err(Stop) }
    }

    /// Adds a problem after which the walk ends.
    pub fn stop(&mut self, source: &Source, offset: usize, what: &str, remedy: &str) -> Stop {
        let _ = self.refuse(source, offset, what, remedy);
        Stop
    }

    /// All warnings, with the number of those that were only counted, or all problems.
    pub fn finish(mut self, source: &Source) -> Result<Vec<Warning>, crate::Error> {
        for (what, count) in &self.seen {
            if *count > FULL_WARNINGS {
                let more = format!("{what}: {} more of these", count - FULL_WARNINGS);
                self.warnings.push(Problem::new(source.name(), more, ""));
            }
        }
        self.problems.or_ok(self.warnings)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_lines_and_columns_of_characters() {
        let source = Source::new("a.svg", "äb\ncd\n");
        assert_eq!(source.line_and_column(2), "line 1, column 2");
        assert_eq!(source.line_and_column(4), "line 2, column 1");
        assert_eq!(source.line_and_column(99), "line 3, column 1");
    }

    #[test]
    fn lines_are_counted_across_pages() {
        for length in [2 * PAGE - 1, 2 * PAGE, 2 * PAGE + 1] {
            let text = "\n".repeat(length);
            let source = Source::new("a.svg", &text);
            for at in [0, 1, PAGE - 1, PAGE, PAGE + 1, 2 * PAGE - 1, length] {
                assert_eq!(source.line(at), at + 1);
            }
            // No more than a count for each page is kept.
            assert!(source.lines_before.len() <= 3);
        }
    }

    #[test]
    fn like_warnings_are_counted() {
        let source = Source::new("a.svg", "");
        let mut notes = Notes::default();
        for _ in 0..20 {
            notes.warn(&source, 0, "text", "");
        }
        let warnings = notes.finish(&source).unwrap();
        assert_eq!(warnings.len(), FULL_WARNINGS + 1);
        assert_eq!(warnings[FULL_WARNINGS].what, "text: 12 more of these");
    }
}

//! What is printed: results to standard output, everything else to standard error.

use super::clean;
use serde::Serialize;
use std::collections::BTreeMap;
use std::io::{self, IsTerminal, Write};
use tuckroll::{Error, Problem, Warning};

/// Places named for one kind of warning; the rest is counted.
const PLACES_SHOWN: usize = 3;

/// Kinds of warning printed; a drawing gone wrong has hundreds, and the first ones tell why.
const KINDS_SHOWN: usize = 12;

/// Problems printed of one input; more do not help before the first are mended.
const PROBLEMS_SHOWN: usize = 40;

/// Writes bytes to standard output. A reader that has gone away is no error.
pub fn out(bytes: &[u8]) -> Result<(), Error> {
    let mut stdout = io::stdout().lock();
    match stdout.write_all(bytes).and_then(|()| stdout.flush()) {
        Err(e) if e.kind() != io::ErrorKind::BrokenPipe => Err(Error::io("standard output", e)),
        _ => Ok(()),
    }
}

/// Writes `value` as indented JSON to standard output.
pub fn json(value: &impl Serialize) -> Result<(), Error> {
    let text = serde_json::to_string_pretty(value).map_err(|e| Error::Internal(e.to_string()))?;
    out(format!("{}\n", clean::json(&text)).as_bytes())
}

/// Writes one line to standard error. When even that fails there is nobody left to tell.
pub fn note(line: &str) {
    let _ = writeln!(io::stderr().lock(), "{line}");
}

/// Writes one line to standard error where a person is watching; silent in a pipe.
pub fn progress(line: &str) {
    if io::stderr().is_terminal() {
        note(line);
    }
}

/// Prints warnings, equal kinds together.
pub fn warnings(list: &[Warning]) {
    for line in grouped(list) {
        note(&line);
    }
}

/// Prints why a command failed.
pub fn error(error: &Error) {
    match error {
        Error::Input(problems) | Error::Unmet(problems) => {
            errors(&problems.0.iter().map(ToString::to_string).collect::<Vec<_>>());
        }
        other => note(&format!("error: {}", clean::message(&other.to_string()))),
    }
}

/// Prints errors, the first ones of many.
pub fn errors(list: &[String]) {
    for what in list.iter().take(PROBLEMS_SHOWN) {
        note(&format!("error: {}", clean::message(what)));
    }
    if list.len() > PROBLEMS_SHOWN {
        note(&format!("error: and {} more like these", list.len() - PROBLEMS_SHOWN));
    }
}

/// An order, or copies of a panel that belongs to none, for which there is no film.
pub fn left_out(kit: Option<&str>, panels: &[(usize, &str)]) -> String {
    let list: Vec<String> = panels.iter().map(|(copies, panel)| format!("{copies} x {panel}")).collect();
    match kit {
        Some(kit) => format!("left out: kit {kit}, for want of film ({})", list.join(", ")),
        None => format!("left out, for want of film: {}", list.join(", ")),
    }
}

/// One line for each kind of warning, in the order of first appearance. Warnings are of one
/// kind when their texts differ in numbers only; the first one stands for all.
fn grouped(list: &[Warning]) -> Vec<String> {
    let mut groups: Vec<Vec<&Warning>> = Vec::new();
    let mut known: BTreeMap<String, usize> = BTreeMap::new();
    for warning in list {
        let group = *known.entry(kind(warning)).or_insert_with(|| {
            groups.push(Vec::new());
            groups.len() - 1
        });
        groups[group].push(warning);
    }
    let mut lines: Vec<String> = groups.iter().take(KINDS_SHOWN).map(|g| group_line(g)).collect();
    if groups.len() > KINDS_SHOWN {
        let more: usize = groups[KINDS_SHOWN..].iter().map(Vec::len).sum();
        lines.push(format!("warning: and {more} more of other kinds (--json lists them all)"));
    }
    lines
}

/// What a warning says, its numbers blanked.
fn kind(warning: &Warning) -> String {
    let mut text = String::with_capacity(warning.what.len());
    for c in warning.what.chars() {
        let c = if c.is_ascii_digit() || c == '.' { '#' } else { c };
        if !(c == '#' && text.ends_with('#')) {
            text.push(c);
        }
    }
    text
}

fn group_line(group: &[&Warning]) -> String {
    let Some(first) = group.first() else { return String::new() };
    let mut line = format!("warning: {}", clean::message(&first.to_string()));
    let others: Vec<&str> = group
        .iter()
        .skip(1)
        .take(PLACES_SHOWN - 1)
        .map(|w| w.place.as_str())
        .filter(|p| !p.is_empty())
        .collect();
    if group.len() > 1 {
        let places = others.iter().map(|p| clean::one_line(p)).collect::<Vec<_>>().join("; ");
        line += &match (places.is_empty(), group.len() - 1 - others.len()) {
            (true, n) => format!("\n    and {n} more like it"),
            (false, 0) => format!("\n    likewise {places}"),
            (false, n) => format!("\n    likewise {places}; and {n} more"),
        };
    }
    line
}

/// A problem or warning in JSON.
#[derive(Debug, Clone, Serialize)]
pub struct Finding {
    place: String,
    what: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    remedy: String,
}

/// Problems or warnings in JSON.
pub fn findings<'a>(list: impl IntoIterator<Item = &'a Problem>) -> Vec<Finding> {
    list.into_iter()
        .map(|p| Finding { place: p.place.clone(), what: p.what.clone(), remedy: p.remedy.clone() })
        .collect()
}

/// A command that failed, in JSON.
#[derive(Debug, Serialize)]
pub struct Failure {
    exit_code: u8,
    problems: Vec<Finding>,
}

impl Failure {
    /// What went wrong.
    pub fn of(error: &Error) -> Self {
        let problems = match error {
            Error::Input(problems) | Error::Unmet(problems) => findings(&problems.0),
            other => findings(&[Problem::new("", other.to_string(), "")]),
        };
        Self { exit_code: error.exit_code(), problems }
    }

    /// Words that were not understood, with what is said of them: the error, and a help for it after an empty line.
    pub fn of_words(text: &str) -> Self {
        let mut said = text.split("\n\n").map(|part| part.split_whitespace().collect::<Vec<_>>().join(" "));
        let what = said.next().unwrap_or_default();
        let remedy = said.find_map(|part| Some(part.strip_prefix("tip: ")?.to_owned()));
        let remedy = remedy.unwrap_or_else(|| "'--help' tells more".to_owned());
        let problem = Problem::new("", what.strip_prefix("error: ").unwrap_or(&what), remedy);
        Self { exit_code: 2, problems: findings(&[problem]) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn warnings_that_differ_in_numbers_only_share_a_line() {
        let list: Vec<Warning> = (1..=9)
            .map(|i| Warning::new(format!("a.dxf: line {i}"), format!("open end at {i}.5, 0"), "close it"))
            .chain([Warning::new("b", "something else", "")])
            .collect();
        assert_eq!(
            grouped(&list),
            [
                "warning: a.dxf: line 1: open end at 1.5, 0 (close it)\n    likewise a.dxf: line 2; a.dxf: line 3; and 6 more",
                "warning: b: something else"
            ]
        );
    }

    #[test]
    fn many_kinds_are_counted() {
        let list: Vec<Warning> = ('a'..='z').map(|c| Warning::new("", format!("kind {c}"), "")).collect();
        let lines = grouped(&list);
        assert_eq!(lines.len(), KINDS_SHOWN + 1);
        assert_eq!(lines[KINDS_SHOWN], "warning: and 14 more of other kinds (--json lists them all)");
    }

    #[test]
    fn a_hostile_place_stays_harmless() {
        let list = [Warning::new("\u{1b}[2J", "x", ""), Warning::new("\u{1b}]0;t\u{7}", "x", "")];
        assert!(!grouped(&list)[0].chars().any(|c| c.is_control() && c != '\n'));
    }
}

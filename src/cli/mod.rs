//! The command: what was typed, what it means, the call into the library, and what is printed.
//!
//! One file for each command; [`args`] declares every option once. Nothing here decides
//! anything about panels or film.

mod args;
mod check;
mod clean;
mod compare;
mod cut;
mod cut_result;
mod draft;
mod effort;
mod export;
mod films;
mod folder;
mod grouped;
mod guard;
mod input;
mod keep;
mod kind;
mod layouts;
mod listing;
mod manual;
mod names;
mod nest;
mod numbers;
mod outlines;
mod output;
mod panels;
mod pieces;
mod progress;
mod proof;
mod recut;
mod report;
mod request;
mod result;
mod say;
mod schema;
mod searcher;
mod signals;
mod stock;
mod table;
mod trace;

use args::{Command, Typed};
use clap::Parser;
use std::process::ExitCode;
use tuckroll::Error;

/// Runs the command and gives its exit code.
pub fn main() -> ExitCode {
    let mut json = false;
    let done = guard::guarded(|| match Typed::try_parse() {
        Ok(typed) => {
            json = typed.command.wants_json();
            run(typed.command)
        }
        Err(answer) => answered(&answer),
    });
    ExitCode::from(done.unwrap_or_else(|error| failed(&error, json)))
}

/// Says why, to people always and to scripts where they asked.
fn failed(error: &Error, json: bool) -> u8 {
    say::error(error);
    if json {
        // Should this fail too, the exit code still tells.
        let _ = say::json(&say::Failure::of(error));
    }
    error.exit_code()
}

/// Does what was asked; the exit code is 0, or tells of a check that failed or a signal.
fn run(command: Command) -> Result<u8, Error> {
    if command.writes() {
        signals::listen()?;
    }
    match command {
        Command::Nest(args) => nest::run(args),
        Command::Check(args) => check::run(args),
        Command::Outlines(args) => outlines::run(args),
        Command::Panels(args) => panels::run(args),
        Command::Export(args) => export::run(args),
        Command::Report(args) => report::run(args),
        Command::Compare(args) => compare::run(args),
        Command::Films => films::run(),
        Command::Cut(args) => cut::run(*args),
        Command::Stock(args) => stock::run(args),
        Command::Recut(args) => recut::run(args),
        Command::Schema(args) => schema::run(args),
        Command::Completions(args) => manual::completions(args),
        Command::Man(args) => manual::page(args),
    }
}

/// Help, version, or what is wrong with the words typed.
fn answered(answer: &clap::Error) -> Result<u8, Error> {
    if answer.use_stderr() {
        let text = answer.render().to_string();
        say::note(&clean::lines(&text));
        if std::env::args_os().any(|word| word == "--json") {
            say::json(&say::Failure::of_words(&text))?;
        }
        return Ok(2);
    }
    match answer.print() {
        Err(e) if e.kind() != std::io::ErrorKind::BrokenPipe => Err(Error::io("standard output", e)),
        _ => Ok(0),
    }
}

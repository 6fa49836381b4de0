//! A job with several pieces of film: a layout for each piece that is used.

mod nested;
mod summary;

use super::effort::after;
use super::output::{Place, Target, named, without};
use super::request::Request;
use super::result::repeat;
use super::searcher::Searcher;
use super::signals::Signals;
use super::{keep, say};
use nested::{Piece, Pieces, nest_all};
use std::time::Instant;
use summary::Summary;
pub use summary::told_left_out;
use tuckroll::day::{self, Plan};
use tuckroll::job::{Day, LoadedDay};
use tuckroll::nest::{Effort, Limit};
use tuckroll::{Error, cost};

/// Rounds of a search that only asks how much film some panels take. Some dozens of them are run;
/// more rounds would choose a better piece now and then and double the waiting.
const SOUNDING_ROUNDS: u64 = 1;

/// Chooses the film for every panel and nests every piece, in what choosing leaves of a time. Choosing is never cut
/// short, so that it does not depend on the time.
pub fn solve(day: &Day, searcher: &Searcher) -> Result<(Plan, Pieces), Error> {
    let started = Instant::now();
    let short = Effort { limit: Limit::Rounds(SOUNDING_ROUNDS), ..searcher.effort() };
    let plan = day::plan(day, &mut |job: &_| Ok(keep::length(job, &searcher.unstopped(job, short)?)))?;
    let left = after(searcher.effort(), started.elapsed()).limit;
    let nested = nest_all(day, &plan, searcher, short, left)?;
    Ok((plan, nested))
}

/// Chooses the film for every panel, nests every piece, proves and writes the layouts.
pub fn run(request: &Request, place: Place, loaded: LoadedDay, signals: Signals) -> Result<u8, Error> {
    if matches!(request.target, Target::Stdout) {
        return Err(Error::input(
            "-o",
            "the job has several pieces of film, which give a folder each",
            "name a folder",
        ));
    }
    if request.trace.is_some() {
        let what = "the job has several pieces of film, each with a search of its own";
        return Err(Error::input("--trace", what, "nest one piece, with a job of one `roll`"));
    }
    let LoadedDay { day, mut warnings, sheets } = loaded;
    let searcher = Searcher::new(request.threads, request.effort, signals)?;
    let (plan, nested) = solve(&day, &searcher)?;
    let layouts: Vec<_> = nested.pieces.iter().map(|piece| &piece.layout).collect();
    let bill = cost::bill(&layouts)?;
    warnings.extend(plan.warnings.iter().cloned());
    warnings.extend(nested.pieces.iter().flat_map(|piece| piece.warnings.iter().cloned()));
    let summary = Summary::of(&day, &plan, &nested, bill.as_ref(), &warnings);
    let folders: Vec<(String, &_)> =
        nested.pieces.iter().map(|piece| (Piece::folder(&day, piece.roll), &piece.layout)).collect();
    let sheets = without(sheets, plan.left_out.iter().filter_map(|left| left.kit.as_deref()));
    let written = place.write_pieces(&folders, summary.text()?, &sheets, &request.wanted, &warnings)?;
    warnings.extend(written.warnings.iter().cloned());
    say::warnings(&warnings);
    if signals.caught() {
        say::note("stopped: these are the best layouts found so far");
    }
    say::errors(&told_left_out(&day, &plan));
    let code = signals.exit_code().unwrap_or(u8::from(!plan.left_out.is_empty()));
    if request.json {
        say::json(&summary.json(code, &written, &warnings))?;
    } else {
        let mut text = nested.pieces.iter().map(|piece| piece.text(&day)).collect::<String>();
        text += &summary.totals();
        text += &format!("  written  {}\n", named(&written.files));
        // Of a day that was stopped, some pieces of film had their rounds and others had not.
        if !signals.caught() {
            text += &repeat(nested.rounds, &searcher.effort(), &request.options);
        }
        say::out(text.as_bytes())?;
    }
    Ok(code)
}

//! A film too short for the whole job: which panels stay when the user asks for what fits.
//!
//! Copies are left out, the least urgent first and then from the end of the job, until the rest fits. How many stay
//! is settled by short searches of fixed effort, so that it does not depend on the time the user gave;
//! one search with all the effort follows.

use super::effort::{after, halved};
use super::searcher::Searcher;
use std::time::Instant;
use tuckroll::Error;
use tuckroll::day::by_priority;
use tuckroll::job::{Job, Panel};
use tuckroll::layout::{self, MadeBy};
use tuckroll::nest::{Effort, Limit, Nested};
use tuckroll::report::LeftOut;

/// Rounds of a search that only asks whether so many copies fit. About log2(copies) of them
/// are run; more rounds would keep a panel more now and then and double the waiting.
const SOUNDING_ROUNDS: u64 = 1;

/// A search result, and the job it is of.
pub struct Kept {
    /// The job, without what was left out.
    pub job: Job,
    /// Where its panels lie.
    pub nested: Nested,
    /// What was left out.
    pub left_out: Vec<LeftOut>,
}

/// What was left out, in words.
pub fn told(left_out: &[LeftOut]) -> Vec<String> {
    let of_kit = |kit: &Option<String>| kit.as_ref().map_or_else(String::new, |kit| format!(" of kit {kit}"));
    let line = |left: &LeftOut| format!("left out: {} x {}{}", left.copies, left.panel, of_kit(&left.kit));
    left_out.iter().map(line).collect()
}

/// The whole job or nothing.
pub fn all(job: &Job, searcher: &Searcher) -> Result<Kept, Error> {
    let nested = searcher.search(job, searcher.effort())?;
    Ok(Kept { job: job.clone(), nested, left_out: Vec::new() })
}

/// The whole job if it fits, otherwise as many copies, by priority and from its start, as do. A time is for all the
/// searches together.
pub fn what_fits(job: &Job, searcher: &Searcher) -> Result<Kept, Error> {
    let Some(film) = job.roll.length else { return all(job, searcher) };
    let (started, endless) = (Instant::now(), with_film(job, None));
    let left = || after(searcher.effort(), started.elapsed());
    let sounded = short(&endless, film, searcher)?;
    // Where the whole job may not fit, half of a time is left for what does.
    let effort = if sounded.is_some() { left() } else { halved(left()) };
    let nested = searcher.search(&endless, effort)?;
    if let Some(nested) = fitting(&endless, film, nested).or(sounded) {
        return Ok(Kept { job: job.clone(), nested, left_out: Vec::new() });
    }
    let (copies, sounded) = most_that_fit(&endless, film, searcher)?;
    let rest = first_copies(job, copies);
    // With little effort the search may miss what the short one found.
    let nested = fitting(&rest, film, searcher.search(&rest, left())?).unwrap_or(sounded);
    Ok(Kept { left_out: missing(job, &rest), job: rest, nested })
}

/// What a short search finds, where it fits.
fn short(job: &Job, film: f64, searcher: &Searcher) -> Result<Option<Nested>, Error> {
    let sounding = Effort { limit: Limit::Rounds(SOUNDING_ROUNDS), ..searcher.effort() };
    Ok(fitting(job, film, searcher.with(job, sounding)?))
}

fn fitting(job: &Job, film: f64, nested: Nested) -> Option<Nested> {
    (length(job, &nested) <= film).then_some(nested)
}

/// The greatest number of copies, as [`first_copies`] counts them, that a short search fits, and what it found.
fn most_that_fit(endless: &Job, film: f64, searcher: &Searcher) -> Result<(u64, Nested), Error> {
    let (mut fits, mut too_many, mut found) = (0, required_copies(endless), None);
    while too_many - fits > 1 {
        let middle = fits + (too_many - fits) / 2;
        match short(&first_copies(endless, middle), film, searcher)? {
            Some(nested) => (fits, found) = (middle, Some(nested)),
            None => too_many = middle,
        }
    }
    let nothing = || {
        Error::unmet(
            "roll.length",
            "not even the first panel of the job fits the film that is left",
            "take a longer piece of film",
        )
    };
    Ok((fits, found.ok_or_else(nothing)?))
}

/// Length of the layout that a search found.
pub fn length(job: &Job, nested: &Nested) -> f64 {
    let made_by = MadeBy { version: String::new(), seed: 0, walks: 0, rounds: 0, stopped: String::new() };
    layout::assemble(job, nested.placements.clone(), made_by).measures.length
}

fn with_film(job: &Job, length: Option<f64>) -> Job {
    let mut job = job.clone();
    job.roll.length = length;
    job
}

fn required_copies(job: &Job) -> u64 {
    job.panels.iter().filter(|p| !p.optional).map(|p| u64::from(p.copies)).sum()
}

/// The job with only its first `keep` required copies, by priority and then as the job lists them. Fillers stay:
/// they cost no film.
fn first_copies(job: &Job, mut keep: u64) -> Job {
    let mut copies: Vec<u32> = job.panels.iter().map(|p| if p.optional { p.copies } else { 0 }).collect();
    for i in by_priority(&job.panels) {
        let of = job.panels[i].copies;
        copies[i] = u32::try_from(keep.min(u64::from(of))).unwrap_or(of);
        keep -= u64::from(copies[i]);
    }
    let kept = job.panels.iter().zip(copies).filter(|(_, copies)| *copies > 0);
    let panels = kept.map(|(panel, copies)| Panel { copies, ..panel.clone() }).collect();
    Job { panels, ..job.clone() }
}

/// What `rest` lacks of `job`.
fn missing(job: &Job, rest: &Job) -> Vec<LeftOut> {
    let kept = |id: &str| rest.panels.iter().find(|p| p.id == id).map_or(0, |p| p.copies);
    job.panels
        .iter()
        .map(|p| LeftOut {
            panel: p.id.clone(),
            kit: p.kit.clone(),
            copies: p.copies.saturating_sub(kept(&p.id)),
        })
        .filter(|left| left.copies > 0)
        .collect()
}

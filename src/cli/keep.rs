//! A film too short for the whole job: which panels stay when the user asks for what fits.
//!
//! Kits stay whole or are left out whole; a panel that belongs to none stays copy by copy. The most urgent stay, then
//! the first of the job, then those that still find room. Which do is settled by short searches of fixed effort, so
//! that it does not depend on the time the user gave; one search with all the effort follows.

use super::effort::{after, halved};
use super::say;
use super::searcher::Searcher;
use std::time::Instant;
use tuckroll::Error;
use tuckroll::day::{Answer, by_order, most};
use tuckroll::job::{Job, Panel};
use tuckroll::layout::{self, MadeBy};
use tuckroll::nest::{Effort, Limit, Nested};
use tuckroll::report::LeftOut;

/// Rounds of a search that only asks whether some panels fit. About log2 of their number of them are run, and
/// [`LATE`]; more rounds would keep a panel more now and then and double the waiting.
const SOUNDING_ROUNDS: u64 = 1;
/// Kits and copies that are tried in vain after the first one for which the film does not do.
const LATE: usize = 8;

/// A search result, and the job it is of.
pub struct Kept {
    /// The job, without what was left out.
    pub job: Job,
    /// Where its panels lie.
    pub nested: Nested,
    /// What was left out.
    pub left_out: Vec<LeftOut>,
}

/// What was left out, in words, order by order.
pub fn told(left_out: &[LeftOut]) -> Vec<String> {
    type Order<'a> = (Option<&'a str>, Vec<(usize, &'a str)>);
    let mut orders: Vec<Order<'_>> = Vec::new();
    for left in left_out {
        let (kit, panel) = (left.kit.as_deref(), (left.copies as usize, left.panel.as_str()));
        match orders.iter_mut().find(|(of, _)| *of == kit) {
            Some((_, panels)) => panels.push(panel),
            None => orders.push((kit, vec![panel])),
        }
    }
    orders.iter().map(|(kit, panels)| say::left_out(*kit, panels)).collect()
}

/// The whole job or nothing.
pub fn all(job: &Job, searcher: &Searcher) -> Result<Kept, Error> {
    let nested = searcher.search(job, searcher.effort())?;
    Ok(Kept { job: job.clone(), nested, left_out: Vec::new() })
}

/// The whole job if it fits, otherwise what of it does. A time is for all the searches together.
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
    let (rest, sounded) = most_that_fit(&endless, film, searcher)?;
    let rest = with_film(&rest, Some(film));
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

/// What of a job a short search fits, and how.
fn most_that_fit(endless: &Job, film: f64, searcher: &Searcher) -> Result<(Job, Nested), Error> {
    let units = units(&endless.panels);
    let all: Vec<usize> = (0..units.len()).collect();
    let mut found = None;
    let lacking = |searched| Answer::Lacking { what: (), searched };
    most(
        &all,
        LATE,
        |_, ()| true,
        |tried| {
            if tried.len() == all.len() {
                return Ok(lacking(false));
            }
            let some = only(endless, tried.iter().flat_map(|unit| &units[*unit]));
            let nested = short(&some, film, searcher)?;
            let answer = if nested.is_some() { Answer::Fit } else { lacking(true) };
            found = nested.map(|nested| (some, nested)).or(found.take());
            Ok(answer)
        },
    )?;
    found.ok_or_else(|| {
        Error::unmet(
            "roll.length",
            "not even one whole kit, nor a panel without one, fits the film that is left",
            "take a longer piece of film",
        )
    })
}

/// What stays or goes together, the most urgent first: panels and how many copies of each.
fn units(panels: &[Panel]) -> Vec<Vec<(usize, u32)>> {
    let of_order = |order: Vec<usize>| match order.as_slice() {
        [one] if panels[*one].kit.is_none() => {
            (0..panels[*one].copies).map(|_| vec![(*one, 1)]).collect::<Vec<_>>()
        }
        kit => vec![kit.iter().map(|i| (*i, panels[*i].copies)).collect()],
    };
    by_order(panels).into_iter().flat_map(of_order).collect()
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

/// The job with only these copies of its required panels. Fillers stay: they cost no film.
fn only<'a>(job: &Job, kept: impl Iterator<Item = &'a (usize, u32)>) -> Job {
    let mut copies: Vec<u32> = job.panels.iter().map(|p| if p.optional { p.copies } else { 0 }).collect();
    kept.for_each(|(panel, more)| copies[*panel] += more);
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

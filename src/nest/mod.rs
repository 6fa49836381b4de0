//! The search for a short layout. Knows no files, labels or money.

mod about;
mod anneal;
mod batches;
mod bound;
mod boxes;
mod chords;
mod contact;
pub mod dice;
pub mod field;
mod fill;
mod grouped;
mod halves;
mod held;
pub mod instance;
mod kick;
pub mod kind;
mod lanes;
pub mod lattice;
mod minkowski;
pub mod nfp;
mod offset;
mod pairs;
mod placed;
mod relocate;
mod repeat;
pub mod request;
pub mod search;
mod settle;
mod simplify;
mod slice;
pub mod start;
mod stretch;
mod sweep;
mod untangle;
pub mod walk;
pub mod weights;

use crate::job::Job;
use crate::layout::Placement;
use crate::{Error, Warning};
use std::time::{Duration, Instant};

/// How much work to put into a search, and from which seed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Effort {
    /// Seed of all random choices.
    pub seed: u64,
    /// When to stop at the latest.
    pub limit: Limit,
    /// Rounds without a shorter layout after which to stop before that.
    pub patience: Option<u64>,
    /// Whether the panels of each kit are to lie near each other along the roll.
    pub group_kits: bool,
    /// Evaluations of every walk in a round; with fewer, `watch` is asked more often, and a seed leads elsewhere.
    pub work: u64,
}

impl Effort {
    /// Evaluations of every walk in a round, unless it is told otherwise: some 50 ms on a core of its own.
    pub const WORK: u64 = 300_000;

    /// For a search that lays panels wherever they fit best.
    pub fn new(seed: u64, limit: Limit) -> Self {
        Self { seed, limit, patience: None, group_kits: false, work: Self::WORK }
    }
}

/// When a search ends at the latest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// After so many rounds; a round is a fixed amount of work ([`Effort::work`]), whatever the thread count.
    Rounds(u64),
    /// At the first end of a round after this time.
    Time(Duration),
}

/// What a search reports after its first layout and after every round.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Progress {
    /// Rounds done; 0 is the constructive start.
    pub round: u64,
    /// Length of the best layout so far, in the job's unit, margins included.
    pub length: f64,
    /// Time since the search began.
    pub elapsed: Duration,
}

/// Why a search ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stop {
    /// All rounds asked for are done.
    Rounds,
    /// The time asked for is over.
    Time,
    /// Nothing shorter can exist.
    Bound,
    /// Too many rounds have found nothing shorter.
    Patience,
    /// The caller asked for it.
    Interrupted,
}

/// What a search found.
#[derive(Debug, Clone, PartialEq)]
pub struct Nested {
    /// Where every required copy lies, and the fillers that found room.
    pub placements: Vec<Placement>,
    /// Number of walks.
    pub walks: u32,
    /// Rounds done.
    pub rounds: u64,
    /// Why it ended.
    pub stopped: Stop,
    /// No layout of this job is shorter than this (margins included).
    pub lower_bound: f64,
    /// What the user should know.
    pub warnings: Vec<Warning>,
}

/// No layout of `job` is shorter than this: in the job's unit, margins included.
///
/// # Errors
///
/// [`Error::Unmet`] when a panel fits the film at no permitted heading.
pub fn lower_bound(job: &Job) -> Result<f64, Error> {
    crate::job::check_fits(job)?;
    let request = request::request(job)?;
    let bound = bound::bound(&request.instance, &request.least);
    Ok(bound + job.roll.lead_margin + job.roll.tail_margin)
}

/// Places all panels of `job` on its roll. `watch` is called with the first layout and after
/// every round; it returns `false` to stop the search at once with the best layout so far.
///
/// # Errors
///
/// [`Error::Unmet`] when a panel fits the film at no permitted heading or the roll is too short,
/// [`Error::Input`] when there are more different shapes than the search can hold.
pub fn nest(job: &Job, effort: &Effort, watch: &mut dyn FnMut(&Progress) -> bool) -> Result<Nested, Error> {
    let began = Instant::now();
    crate::job::check_fits(job)?;
    let request = if effort.group_kits { grouped::request(job) } else { request::request(job) }?;
    let inst = &request.instance;
    let margins = job.roll.lead_margin + job.roll.tail_margin;
    let bound = bound::bound(inst, &request.least);
    let mut watch = |p: &Progress| watch(&Progress { length: p.length + margins, ..*p });
    let found = search::search(inst, effort, bound, began, &mut watch);
    let mut placements: Vec<Placement> =
        found.best.spots.iter().zip(&request.pieces).map(|(s, p)| request.placement(job, *p, *s)).collect();
    let fillers = fill::fill(inst, &found.best.spots);
    let fillers = fillers.iter().zip(&request.fillers);
    placements.extend(fillers.filter_map(|(s, p)| s.map(|s| request.placement(job, *p, s))));
    Ok(Nested {
        placements,
        walks: found.walks,
        rounds: found.rounds,
        stopped: found.stopped,
        lower_bound: bound + margins,
        warnings: request.coarsened(job).into_iter().collect(),
    })
}

//! The search as a command runs it, and how its layout says that it was made.

use super::progress::{ProgressLine, Scale};
use super::signals::Signals;
use super::trace::Curve;
use std::sync::{Mutex, PoisonError};
use tuckroll::Error;
use tuckroll::job::Job;
use tuckroll::layout::MadeBy;
use tuckroll::nest::{self, Effort, Nested, Stop};

/// Runs the search: on so many threads, with progress, until a signal ends it.
pub struct Searcher {
    pool: rayon::ThreadPool,
    effort: Effort,
    signals: Signals,
    /// That of the last search for the result.
    curve: Mutex<Curve>,
}

impl Searcher {
    /// A searcher on so many threads; 0 stands for all cores.
    pub fn new(threads: usize, effort: Effort, signals: Signals) -> Result<Self, Error> {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .map_err(|e| Error::input("--threads", e.to_string(), "ask for fewer"))?;
        Ok(Self { pool, effort, signals, curve: Mutex::default() })
    }

    /// The search for the result, with the effort that was asked for or what is left of it.
    pub fn search(&self, job: &Job, effort: Effort) -> Result<Nested, Error> {
        let mut curve = Curve::default();
        let nested = self.until(job, effort, &mut curve, || self.keep_or_stop());
        *self.curve.lock().unwrap_or_else(PoisonError::into_inner) = curve;
        nested
    }

    /// The search of one piece of film among others, with its share of the effort.
    pub fn share(&self, job: &Job, effort: Effort) -> Result<Nested, Error> {
        self.until(job, effort, &mut Curve::default(), || self.keep_or_stop())
    }

    /// Asked when the first layout is there, and after every round.
    fn keep_or_stop(&self) -> bool {
        self.signals.keep_result();
        self.signals.caught()
    }

    /// The search with another effort.
    pub fn with(&self, job: &Job, effort: Effort) -> Result<Nested, Error> {
        self.until(job, effort, &mut Curve::default(), || self.signals.caught())
    }

    /// A short search that no signal cuts shorter, for what must be known.
    pub fn unstopped(&self, job: &Job, effort: Effort) -> Result<Nested, Error> {
        self.until(job, effort, &mut Curve::default(), || false)
    }

    fn until(
        &self,
        job: &Job,
        effort: Effort,
        curve: &mut Curve,
        stop: impl Fn() -> bool + Sync + Send,
    ) -> Result<Nested, Error> {
        let progress = ProgressLine::start(Scale::of(job, effort.limit));
        self.pool.install(|| {
            nest::nest(job, &effort, &mut |news| {
                progress.tell(news);
                curve.tell(news);
                !stop()
            })
        })
    }

    /// How the last search for the result went.
    pub fn into_curve(self) -> Curve {
        self.curve.into_inner().unwrap_or_else(PoisonError::into_inner)
    }

    /// The effort that was asked for.
    pub fn effort(&self) -> Effort {
        self.effort
    }
}

/// How the layout was made. Time, rounds and patience are all called effort, so that a run that ended
/// by time has the same bytes when it is repeated by its rounds.
pub fn made_by(effort: &Effort, nested: &Nested) -> MadeBy {
    let stopped = match nested.stopped {
        Stop::Rounds | Stop::Time | Stop::Patience => "effort",
        Stop::Bound => "bound",
        Stop::Interrupted => "interrupted",
    };
    MadeBy {
        version: concat!("tuckroll ", env!("CARGO_PKG_VERSION")).to_owned(),
        seed: effort.seed,
        walks: nested.walks,
        rounds: nested.rounds,
        stopped: stopped.to_owned(),
    }
}

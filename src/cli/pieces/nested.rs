//! The search on every piece of film, with the effort shared out.

use super::super::result::{self, Film};
use super::super::searcher::{Searcher, made_by};
use super::super::{clean, proof};
use std::time::Duration;
use tuckroll::day::{Load, Plan};
use tuckroll::job::{Day, Job, Share};
use tuckroll::layout::{self, Layout};
use tuckroll::nest::{Effort, Limit, Nested, Stop};
use tuckroll::{Error, Warning};

/// The layouts of a day.
pub struct Pieces {
    /// In the order of the job's pieces of film.
    pub pieces: Vec<Piece>,
    /// The rounds that give all of them again.
    pub rounds: u64,
}

/// The layout of one piece of film.
pub struct Piece {
    /// Index of the piece in the day.
    pub roll: usize,
    /// Its proven layout.
    pub layout: Layout,
    /// No layout of these panels is shorter.
    pub lower_bound: f64,
    /// What film is left.
    pub film: Film,
    /// From the search.
    pub warnings: Vec<Warning>,
}

impl Piece {
    /// The name of its folder.
    pub fn folder(day: &Day, roll: usize) -> String {
        day.rolls[roll].piece.id.clone().unwrap_or_default()
    }

    /// What it came to, for people.
    pub fn text(&self, day: &Day) -> String {
        let id = Self::folder(day, self.roll);
        let film = day.rolls[self.roll].piece.film.as_ref().map_or_else(String::new, |f| format!(" ({f})"));
        let head = clean::one_line(&format!("{id}{film}")).into_owned();
        format!("{head}: {}{}", result::headline(&self.layout), self.film.text_of_piece(&self.layout))
    }
}

/// Nests every piece. Rounds are done by every piece in full; time is divided among them in a way that
/// one number of rounds repeats all.
pub fn nest_all(
    day: &Day,
    plan: &Plan,
    searcher: &Searcher,
    short: Effort,
    limit: Limit,
) -> Result<Pieces, Error> {
    let mut fillers = Fillers::of(day);
    let mut clock = Clock::new(limit, plan.pieces.len());
    let mut pieces = Vec::new();
    for load in &plan.pieces {
        let piece = nest_one(day, load, searcher, short, &mut clock, &mut fillers)?;
        pieces.push(piece);
    }
    Ok(Pieces { pieces, rounds: clock.repeat() })
}

fn nest_one(
    day: &Day,
    load: &Load,
    searcher: &Searcher,
    short: Effort,
    clock: &mut Clock,
    fillers: &mut Fillers,
) -> Result<Piece, Error> {
    let roll = &day.rolls[load.roll];
    let offered = fillers.offered(day, load.roll);
    let shares: Vec<Share> = load.shares.iter().chain(&offered).cloned().collect();
    let job = day.job(roll, &shares);
    let nested = clock.search(&job, searcher)?;
    let mut effort = searcher.effort();
    let mut layout = assemble(&job, &nested, &effort);
    let mut found = nested;
    if proof::fits(&layout).is_err() {
        // Stopped before the little work was done that had shown that it fits.
        found = searcher.unstopped(&job, short)?;
        effort = short;
        layout = assemble(&job, &found, &effort);
        proof::fits(&layout)?;
    }
    proof::own(&layout)?;
    fillers.take(&layout, &shares, load.shares.len());
    let film = Film::of(&layout)?;
    Ok(Piece { roll: load.roll, layout, lower_bound: found.lower_bound, film, warnings: found.warnings })
}

fn assemble(job: &Job, nested: &Nested, effort: &Effort) -> Layout {
    layout::assemble(job, nested.placements.clone(), made_by(effort, nested))
}

/// Copies of fillers that have found no place yet.
struct Fillers {
    left: Vec<Share>,
}

impl Fillers {
    fn of(day: &Day) -> Self {
        let optional = day.panels.iter().enumerate().filter(|(_, p)| p.optional);
        let all = |p: &tuckroll::job::Panel| (1..=p.copies).collect();
        Self { left: optional.map(|(panel, p)| Share { panel, copies: all(p) }).collect() }
    }

    /// Those that may lie on this piece.
    fn offered(&self, day: &Day, roll: usize) -> Vec<Share> {
        let here =
            |s: &&Share| !s.copies.is_empty() && day.rolls_for(&day.panels[s.panel]).any(|r| r == roll);
        self.left.iter().filter(here).cloned().collect()
    }

    /// Takes out those that the layout holds. Its panels are `shares` in their order, the first `required` of
    /// them no fillers.
    fn take(&mut self, layout: &Layout, shares: &[Share], required: usize) {
        for place in layout.placements.iter().filter(|p| p.panel >= required) {
            let Some(share) = shares.get(place.panel) else { continue };
            let old =
                usize::try_from(place.copy).ok().and_then(|copy| share.copies.get(copy.checked_sub(1)?));
            if let (Some(left), Some(old)) = (self.left.iter_mut().find(|s| s.panel == share.panel), old) {
                left.copies.retain(|copy| copy != old);
            }
        }
    }
}

/// Shares the effort among the pieces.
struct Clock {
    limit: Limit,
    /// Pieces to come.
    left: u32,
    /// The rounds of every piece, once they are known.
    rounds: Option<u64>,
    /// Most rounds of a piece that ended before its time.
    bound: u64,
}

impl Clock {
    fn new(limit: Limit, pieces: usize) -> Self {
        let rounds = match limit {
            Limit::Rounds(n) => Some(n),
            Limit::Time(_) => None,
        };
        Self { limit, left: u32::try_from(pieces).unwrap_or(u32::MAX), rounds, bound: 0 }
    }

    /// The first piece that uses up its share of the time settles the rounds of those after it. Those
    /// before it ended because nothing shorter exists or was found, and do so again when they get that many.
    fn search(&mut self, job: &Job, searcher: &Searcher) -> Result<Nested, Error> {
        let effort = searcher.effort();
        let share = |time: Duration| time / self.left.max(1);
        let nested = match (self.rounds, self.limit) {
            (Some(n), _) | (None, Limit::Rounds(n)) => {
                searcher.share(job, Effort { limit: Limit::Rounds(n), ..effort })?
            }
            (None, Limit::Time(time)) => {
                let timed = searcher.share(job, Effort { limit: Limit::Time(share(time)), ..effort })?;
                self.settle(job, searcher, timed)?
            }
        };
        self.left = self.left.saturating_sub(1);
        Ok(nested)
    }

    fn settle(&mut self, job: &Job, searcher: &Searcher, timed: Nested) -> Result<Nested, Error> {
        match timed.stopped {
            Stop::Bound | Stop::Patience => self.bound = self.bound.max(timed.rounds),
            Stop::Time if timed.rounds < self.bound => {
                let limit = Limit::Rounds(self.bound);
                self.rounds = Some(self.bound);
                return searcher.share(job, Effort { limit, ..searcher.effort() });
            }
            Stop::Time | Stop::Rounds | Stop::Interrupted => self.rounds = Some(timed.rounds),
        }
        Ok(timed)
    }

    fn repeat(&self) -> u64 {
        self.rounds.unwrap_or(self.bound)
    }
}

//! Nothing is written that the check refuses.

use tuckroll::job::limits::{MAX_LENGTH_MM, max_length};
use tuckroll::layout::{self, Layout};
use tuckroll::{Error, Problem, Problems};

/// Faults of one layout that are worth printing; the rest repeats them.
const SHOWN: usize = 5;

/// A layout that this program made itself: a broken rule is a fault of the program.
pub fn own(layout: &Layout) -> Result<(), Error> {
    let faults = layout::check(layout);
    if faults.is_empty() {
        return Ok(());
    }
    let told: Vec<String> = faults.iter().take(SHOWN).map(ToString::to_string).collect();
    Err(Error::Internal(format!(
        "the layout found breaks {} rules and is not written: {}",
        faults.len(),
        told.join("; ")
    )))
}

/// The best layout found is longer than the film that is left, or than any film: the job cannot be met.
pub fn fits(layout: &Layout) -> Result<(), Error> {
    let (length, unit) = (layout.measures.length, layout.unit.name());
    let most = max_length(layout.unit);
    let farthest = layout.placements.iter().map(|p| p.at.x.abs().max(p.at.y.abs())).fold(length, f64::max);
    if farthest > most {
        let what = format!(
            "the layout found reaches to {farthest:.0} {unit}, beyond {} km: no command could read it",
            MAX_LENGTH_MM / 1e6
        );
        return Err(Error::unmet("roll", what, "split the job; draw panels near their own origin"));
    }
    match layout.roll.length {
        Some(film) if length > film + layout.roll.tolerance() => Err(Error::unmet(
            "roll.length",
            format!(
                "the best layout found needs {length:.3} {unit} of film and {film} {unit} are left: {:.3} {unit} too little",
                length - film
            ),
            "search longer, take a longer piece, or write what fits with --keep-what-fits",
        )),
        _ => Ok(()),
    }
}

/// A layout from outside: a broken rule is a job that cannot be met.
pub fn foreign(layout: &Layout, name: &str) -> Result<(), Error> {
    let faults = layout::check(layout);
    if faults.is_empty() {
        return Ok(());
    }
    Err(Error::Unmet(Problems(faults.iter().map(|f| Problem::new(name, f.to_string(), "")).collect())))
}

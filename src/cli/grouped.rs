//! What it costs to keep kits together along the roll.

use super::keep::{self, Kept};
use super::numbers;
use super::searcher::Searcher;
use tuckroll::nest::{Effort, Limit, Stop};
use tuckroll::{Error, Warning};

/// What a search of as many rounds finds that lays panels anywhere, set against the length of the grouped layout.
/// Nothing when the grouped search was stopped from outside: then the user wants the result now.
pub fn cost(kept: &Kept, grouped: f64, searcher: &Searcher) -> Result<Option<Warning>, Error> {
    if kept.nested.stopped == Stop::Interrupted {
        return Ok(None);
    }
    let limit = Limit::Rounds(kept.nested.rounds);
    let free = searcher.with(&kept.job, Effort::new(searcher.effort().seed, limit))?;
    let free = keep::length(&kept.job, &free);
    let unit = kept.job.unit;
    let lengths = format!("{} against {}", numbers::length(grouped, unit), numbers::length(free, unit));
    let more = grouped - free;
    let what = if more > 0.0 {
        let percent = 100.0 * more / free;
        format!(
            "keeping kits together takes {} ({percent:.1} %) more film than laying panels anywhere: {lengths}",
            numbers::length(more, unit)
        )
    } else {
        format!("keeping kits together takes no more film than laying panels anywhere: {lengths}")
    };
    Ok(Some(Warning::new("--group kit", what, "leave it out where film matters more than sorting")))
}

//! Whether every panel fits at least one piece of its film.

use crate::job::{Day, Share, check_fits};
use crate::{Error, Problems};

/// Checks every required panel by itself.
///
/// # Errors
///
/// [`Error::Unmet`] with every panel that fits no piece of its film, and why not the most promising one.
pub fn check_pieces(day: &Day) -> Result<(), Error> {
    let mut problems = Problems::default();
    for (i, panel) in day.panels.iter().enumerate().filter(|(_, p)| !p.optional) {
        let one = Share { panel: i, copies: vec![1] };
        let rolls: Vec<usize> = day.rolls_for(panel).collect();
        let why = |roll: &usize| check_fits(&day.job(&day.rolls[*roll], std::slice::from_ref(&one))).err();
        // The widest piece tells best what is missing.
        let widest = |a: &&usize, b: &&usize| {
            day.rolls[**a].usable_width().total_cmp(&day.rolls[**b].usable_width()).then(b.cmp(a))
        };
        if rolls.iter().any(|r| why(r).is_none()) {
            continue;
        }
        let Some(Error::Unmet(list)) = rolls.iter().max_by(widest).and_then(why) else { continue };
        let of_film = panel.film.as_ref().map_or_else(String::new, |film| format!(" of film {film:?}"));
        for problem in list.0 {
            let what = match rolls.len() {
                1 => problem.what,
                n => format!("it fits none of the {n} pieces{of_film}; on the widest, {}", problem.what),
            };
            problems.push(problem.place, what, problem.remedy);
        }
    }
    if problems.0.is_empty() { Ok(()) } else { Err(Error::Unmet(problems)) }
}

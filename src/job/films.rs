//! Panels and the films they are cut from.

use super::{Panel, Roll};
use crate::json::{Path, Report, nearest};
use std::collections::BTreeSet;

/// Every panel names a film that is there; where the pieces are of several films, every panel names one.
/// Where no piece says which film it is, what panels say is not looked at.
pub(super) fn check(rolls: &[Roll], panels: &[Panel], report: &mut Report) {
    let films: BTreeSet<Option<&str>> = rolls.iter().map(|r| r.piece.film.as_deref()).collect();
    let named: Vec<&str> = films.iter().filter_map(|f| *f).collect();
    if named.is_empty() {
        return;
    }
    let list = named.join(", ");
    // Once for each film that is not there: a kit has many panels.
    let mut told: BTreeSet<Option<&str>> = BTreeSet::new();
    for panel in panels {
        let film = panel.film.as_deref();
        let place = || report_place(&panel.id);
        match film {
            Some(film) if !named.contains(&film) && told.insert(Some(film)) => {
                let like = if report.is_full() { None } else { nearest(film, named.iter().copied()) };
                let like = like.map(|l| format!("did you mean {l:?}? ")).unwrap_or_default();
                let what = format!("{}: there is no piece of film {film:?}", place());
                report.problem(&Path::ROOT, what, format!("{like}the pieces are of {list}"));
            }
            None if films.len() > 1 && told.insert(None) => {
                let what = format!("{} names no film, and the pieces of film differ", place());
                report.problem(&Path::ROOT, what, format!("give `film`, on the panel or in its kit: {list}"));
            }
            _ => {}
        }
    }
}

fn report_place(id: &str) -> String {
    format!("panel {id:?}")
}

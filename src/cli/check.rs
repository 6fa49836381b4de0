//! `tuckroll check`: prove a layout from its own numbers, and against its job.

use super::args::CheckArgs;
use super::input::{self, Source};
use super::{clean, numbers, result, say};
use serde::Serialize;
use tuckroll::Error;
use tuckroll::job::{Day, Job, Panel, Variation};
use tuckroll::layout::{self, Layout};

/// Checks the layout; a broken rule is exit code 1.
pub fn run(args: CheckArgs) -> Result<u8, Error> {
    Source::refuse_twice(&args.layout, args.job.as_deref())?;
    let source = Source::of(args.layout);
    let layout = input::layout(&source)?;
    let mut warnings = Vec::new();
    let mut broken = told(&layout::check(&layout));
    let vary = Variation::from(args.vary);
    if args.job.is_none() && vary != Variation::default() {
        let what = "--width, --gap, --grain, --gores and --price change the job, and none was named";
        return Err(Error::input("check", what, "name it with --job"));
    }
    if let Some(path) = args.job {
        let source = Source::of(path);
        let options = input::load_options(args.drawing, args.outside_files, vary);
        let loaded = input::day(&source, &options)?;
        warnings = loaded.warnings;
        let job = job_of(loaded.day, &layout, &source.name())?;
        broken.extend(told(&layout::check_against(&layout, &job)));
    }
    let code = u8::from(!broken.is_empty());
    if args.json {
        say::json(&Verdict::of(code, &layout, &broken, say::findings(&warnings)))?;
    } else if broken.is_empty() {
        say::out(format!("{}  check    every rule is kept\n", result::headline(&layout)).as_bytes())?;
    } else {
        let count = numbers::count(broken.len(), "broken rule");
        say::out(format!("{}: {count}\n", clean::one_line(&source.name())).as_bytes())?;
    }
    say::warnings(&warnings);
    say::errors(&broken);
    Ok(code)
}

/// The job of the layout: of one piece of film what the layout says lies on it.
fn job_of(day: Day, layout: &Layout, name: &str) -> Result<Job, Error> {
    if !day.several {
        return day.single().ok_or_else(|| Error::Internal("the job has no film".into()));
    }
    let id = &layout.roll.piece.id;
    let Some(roll) = day.rolls.iter().find(|roll| roll.piece.id == *id && id.is_some()) else {
        let ids: Vec<&str> = day.rolls.iter().filter_map(|roll| roll.piece.id.as_deref()).collect();
        let what = format!("the job has no piece of film {:?}", id.as_deref().unwrap_or_default());
        return Err(Error::input(name, what, format!("it has {}", ids.join(", "))));
    };
    let part = |own: &Panel| {
        let whole = day.panels.iter().find(|panel| panel.id == own.id)?;
        // A share of the copies is numbered anew, and so are the lines of single copies.
        let share = own.copies < whole.copies;
        Some(if share {
            Panel { copies: own.copies, lines: own.lines.clone(), ..whole.clone() }
        } else {
            whole.clone()
        })
    };
    let panels = layout.panels.iter().filter_map(part).collect();
    Ok(Job { panels, ..day.job(roll, &[]) })
}

fn told(faults: &[layout::Fault]) -> Vec<String> {
    faults.iter().map(ToString::to_string).collect()
}

/// What a check found, in JSON.
#[derive(Debug, Serialize)]
struct Verdict<'a> {
    exit_code: u8,
    name: &'a str,
    broken: &'a [String],
    stated: result::Measured,
    warnings: Vec<say::Finding>,
}

impl<'a> Verdict<'a> {
    fn of(exit_code: u8, layout: &'a Layout, broken: &'a [String], warnings: Vec<say::Finding>) -> Self {
        let stated = result::Measured::of(layout);
        Self { exit_code, name: &layout.name, broken, stated, warnings }
    }
}

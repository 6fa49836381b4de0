//! `tuckroll check`: prove layouts from their own numbers, and against their job.

use super::args::CheckArgs;
use super::input::{self, Source};
use super::layouts::{self, Laid};
use super::{clean, numbers, result, say};
use serde::Serialize;
use tuckroll::Error;
use tuckroll::job::{Day, Job, Panel, Share, Variation};
use tuckroll::layout::{self, Layout};

/// Checks a layout, or all that a nest wrote; a broken rule is exit code 1.
pub fn run(args: CheckArgs) -> Result<u8, Error> {
    Source::refuse_twice(&args.layout, args.job.as_deref())?;
    let name = Source::of(args.layout.clone()).name();
    // Whatever they are worth: what is wrong with them is told below.
    let layouts = layouts::typed_by(args.layout.clone(), input::layout)?;
    let mut warnings = Vec::new();
    let mut broken = of_each(&layouts, |layout| Ok(layout::check(layout)))?;
    let vary = Variation::from(args.vary);
    if args.job.is_none() && vary != Variation::default() {
        let what = "--width, --gap, --grain, --gores and --price change the job, and none was named";
        return Err(Error::input("check", what, "name it with --job"));
    }
    let mut whole = true;
    if let Some(path) = args.job {
        let source = Source::of(path);
        let options = input::load_options(args.drawing, args.outside_files, vary);
        let loaded = input::day(&source, &options)?;
        warnings = loaded.warnings;
        let (day, job) = (loaded.day, source.name());
        broken.extend(of_each(&layouts, |layout| {
            Ok(layout::check_against(layout, &job_of(&day, layout, &job)?))
        })?);
        whole = !day.several || args.layout.is_dir();
        if day.several && whole {
            let all: Vec<&Layout> = layouts.iter().map(|laid| &laid.layout).collect();
            broken.extend(told(&layout::check_day(&all, &day)));
        }
    }
    let code = u8::from(!broken.is_empty());
    if args.json {
        say::json(&Verdict::of(code, &layouts, &broken, say::findings(&warnings)))?;
    } else if broken.is_empty() {
        for laid in &layouts {
            let piece = laid.piece.as_ref().map_or_else(String::new, |id| format!("{id}, "));
            let line = format!("{piece}{}  check    every rule is kept\n", result::headline(&laid.layout));
            say::out(line.as_bytes())?;
        }
        if !whole {
            let what = "  day      the job has several pieces of film: name the folder, to see that none of its panels is lost\n";
            say::out(what.as_bytes())?;
        }
    } else {
        let count = numbers::count(broken.len(), "broken rule");
        say::out(format!("{}: {count}\n", clean::one_line(&name)).as_bytes())?;
    }
    say::warnings(&warnings);
    say::errors(&broken);
    Ok(code)
}

/// What is wrong with each, with the piece of film where there are several.
fn of_each(
    layouts: &[Laid],
    faults: impl Fn(&Layout) -> Result<Vec<layout::Fault>, Error>,
) -> Result<Vec<String>, Error> {
    let mut all = Vec::new();
    for Laid { piece, layout } in layouts {
        let placed = |fault: String| match piece {
            Some(id) => format!("{id}: {fault}"),
            None => fault,
        };
        all.extend(told(&faults(layout)?).into_iter().map(placed));
    }
    Ok(all)
}

/// The job of the layout: of one of several pieces of film, with the copies that the layout says lie on it.
fn job_of(day: &Day, layout: &Layout, name: &str) -> Result<Job, Error> {
    if !day.several {
        let roll = day.rolls.first().ok_or_else(|| Error::Internal("the job has no film".into()))?;
        return Ok(Job { panels: day.panels.clone(), ..day.job(roll, &[]) });
    }
    let id = &layout.roll.piece.id;
    let Some(roll) = day.rolls.iter().find(|roll| roll.piece.id == *id && id.is_some()) else {
        let ids: Vec<&str> = day.rolls.iter().filter_map(|roll| roll.piece.id.as_deref()).collect();
        let what = format!("the job has no piece of film {:?}", id.as_deref().unwrap_or_default());
        return Err(Error::input(name, what, format!("it has {}", ids.join(", "))));
    };
    let share = |own: &Panel| {
        let panel = day.panels.iter().position(|panel| panel.id == own.id)?;
        let all = || (1..=day.panels[panel].copies).collect();
        let copies = own.numbers.as_ref().map_or_else(all, |numbers| numbers.copies.clone());
        Some(Share { panel, copies })
    };
    let shares: Vec<Share> = layout.panels.iter().filter_map(share).collect();
    Ok(day.job(roll, &shares))
}

fn told(faults: &[layout::Fault]) -> Vec<String> {
    faults.iter().map(ToString::to_string).collect()
}

/// What a check found, in JSON.
#[derive(Debug, Serialize)]
struct Verdict<'a> {
    exit_code: u8,
    /// That of the day: every layout has it.
    name: &'a str,
    broken: &'a [String],
    #[serde(skip_serializing_if = "Option::is_none")]
    stated: Option<result::Measured>,
    /// Of a folder with several pieces of film.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pieces: Vec<PieceVerdict<'a>>,
    warnings: Vec<say::Finding>,
}

/// One of several pieces of film.
#[derive(Debug, Serialize)]
struct PieceVerdict<'a> {
    piece: &'a str,
    stated: result::Measured,
}

impl<'a> Verdict<'a> {
    fn of(exit_code: u8, layouts: &'a [Laid], broken: &'a [String], warnings: Vec<say::Finding>) -> Self {
        let measured = |laid: &Laid| result::Measured::of(&laid.layout);
        let piece =
            |laid: &'a Laid| Some(PieceVerdict { piece: laid.piece.as_deref()?, stated: measured(laid) });
        let pieces: Vec<_> = layouts.iter().filter_map(piece).collect();
        Self {
            exit_code,
            name: layouts.first().map_or("", |laid| laid.layout.name.as_str()),
            broken,
            stated: layouts.first().filter(|laid| laid.piece.is_none()).map(measured),
            pieces,
            warnings,
        }
    }
}

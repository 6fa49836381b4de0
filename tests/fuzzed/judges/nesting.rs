//! A small job is read, nested in 0 to 2 rounds, and its layout checked by the rules of the check. Most rounds are
//! short: small jobs are at rest after a fraction of a whole one, and more of them can be tried.

use super::choice::Choice;
use super::jobs;
use super::readers::no_files;
use super::refused;
use tuckroll::job::{self, Job};
use tuckroll::layout::{self, Fault, Layout, MadeBy};
use tuckroll::nest::{self, Effort, Limit};
use tuckroll::read::ReadOptions;
use tuckroll::shape::Point;

/// The job that the choices make, if it is sound.
pub fn job(choice: &mut Choice<'_>) -> Option<Job> {
    let text = jobs::text(choice);
    match job::parse(text.as_bytes(), "job.json", &no_files, &ReadOptions::default()) {
        Ok(loaded) => Some(loaded.job),
        Err(error) => {
            refused(&error);
            None
        }
    }
}

pub fn nest(data: &[u8]) {
    let mut choice = Choice::new(data);
    let rounds = u64::from(choice.whole(0, 2));
    let rare = choice.whole(0, 99);
    let (twice, whole) = (rare >= 95, rare >= 98);
    let Some(job) = job(&mut choice) else { return };
    let effort = Effort {
        work: if whole { Effort::WORK } else { Effort::WORK / 20 },
        ..Effort::new(1, Limit::Rounds(rounds))
    };
    let Some(layout) = nested(&job, &effort) else { return };
    judge(&job, &layout);
    if twice {
        assert_eq!(layout::write(&layout), layout::write(&nested(&job, &effort).expect("the same again")));
    }
}

/// Every rule but the length of the film, which the command sees to.
fn judge(job: &Job, layout: &Layout) {
    let faults: Vec<Fault> =
        layout::check(layout).into_iter().filter(|f| !matches!(f, Fault::PastEnd { .. })).collect();
    assert!(faults.is_empty(), "{faults:?}\n{}", job::write(job));
    let other = layout::check_against(layout, job);
    assert!(other.is_empty(), "{other:?}\n{}", job::write(job));
    let text = layout::write(layout);
    assert_eq!(&layout::read(text.as_bytes(), "layout.json").expect("a written layout is read"), layout);
}

/// The layout that the search finds; nothing where it says that the job cannot be met.
pub fn nested(job: &Job, effort: &Effort) -> Option<Layout> {
    let found = match nest::nest(job, effort, &mut |_| true) {
        Ok(found) => found,
        Err(error) => {
            refused(&error);
            return None;
        }
    };
    let layout = layout::assemble(job, found.placements, made_by(found.rounds));
    let most = layout.measures.length + job.roll.tolerance();
    assert!(found.lower_bound <= most, "bound {} over {most}\n{}", found.lower_bound, job::write(job));
    Some(layout)
}

fn made_by(rounds: u64) -> MadeBy {
    MadeBy { version: "any".into(), seed: 1, walks: 1, rounds, stopped: "rounds".into() }
}

/// All copies in one row, each beyond the one before: sound for whoever writes cut files.
pub fn in_a_row(job: &Job) -> Layout {
    let mut x = job.roll.lead_margin;
    let mut placements = Vec::new();
    for (panel, copy) in job.panels.iter().enumerate().flat_map(|(i, p)| (1..=p.copies).map(move |c| (i, c)))
    {
        let bounds = job.panels[panel].parts.iter().map(|r| r.bounds()).reduce(|a, b| a.with(b));
        let Some(bounds) = bounds else { continue };
        let at = Point { x: x - bounds.min.x, y: job.roll.edge_margin[0] - bounds.min.y };
        placements.push(layout::Placement { panel, copy, at, rotation: 0.0, mirrored: false });
        x += bounds.width() + 1.0 + job.gap;
    }
    layout::assemble(job, placements, made_by(0))
}

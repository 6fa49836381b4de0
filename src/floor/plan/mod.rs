//! The cut plan: all contours of a layout in the order in which they are cut, each with its
//! start point and direction, in sections that are finished one after the other.
//!
//! What the order keeps, first things first:
//!
//! 1. a section is finished before the next one begins, and no panel is in two sections;
//! 2. in a section, pens come first, then all kiss cuts, then all through cuts, which weaken
//!    the liner that carries the film;
//! 3. the film is worked in windows along the feed, one after the other, so that the head
//!    stays local: between two cuts the film is never pulled back by more than a window, or by as much as
//!    an open line leads out of its own;
//! 4. whatever lies inside a contour is cut before it, and so are the lines and holes of its
//!    panel: a piece that is freed can move. A small piece comes before a large one beside it;
//! 5. of all orders that keep these, one with little travel is searched for, in which the film
//!    seldom turns round.

pub(super) mod contour;
mod draft;
mod file;
mod measure;
mod model;
mod precedence;
mod problem;
mod sections;
mod windows;

pub use contour::{Contour, Kind, Tool, contours};
pub use file::{is_plan, schema, write};
pub use model::{Options, Plan, Section, Speeds, Step, Totals};

use super::Film;
use super::tour::{Tour, TourOptions, least_x_tour, tour};
use crate::error::Error;
use crate::layout::Layout;
use crate::shape::Point;
use problem::Task;

/// What a way along the feed costs beside its length, tried one after the other until the film
/// turns round seldom enough.
const FEED_WEIGHTS: [f64; 6] = [0.0, 0.3, 1.0, 3.0, 10.0, 30.0];

/// Plans how a layout is cut. The same layout and options give the same plan.
///
/// # Errors
///
/// [`Error::Unmet`] when a panel is longer than a section may be, or when marks or a test
/// cut find no room; [`Error::Input`] when the options are no usable numbers.
pub fn plan(layout: &Layout, options: &Options) -> Result<Plan, Error> {
    options.check()?;
    let film = Film::of(layout, options.whole);
    let (contours, draft) = draft::draft(layout, &film, options)?;
    let task = Task::new(&contours, draft, options);
    let head_to = Point { x: film.length, y: 0.0 };
    let ways = TourOptions {
        from: Point { x: 0.0, y: 0.0 },
        to: head_to,
        feed_weight: 0.0,
        kicks_per_stop: options.effort,
    };
    let sections = Chooser { task: &task, contours: &contours, options }.choose(&ways);
    let mut plan =
        Plan { options: options.clone(), film, contours, sections, head_to, totals: Totals::default() };
    plan.totals = measure::whole(&plan);
    Ok(plan)
}

/// Looks for a short order in which the film seldom turns round.
struct Chooser<'a> {
    task: &'a Task,
    contours: &'a [Contour],
    options: &'a Options,
}

impl Chooser<'_> {
    /// The first order in which the film turns seldom enough; if there is none, the one with
    /// the fewest turns. None is longer than the order by least x.
    fn choose(&self, ways: &TourOptions) -> Vec<Section> {
        let straight = least_x_tour(&self.task.stops, ways);
        let mut best: Option<Vec<Section>> = None;
        for feed_weight in FEED_WEIGHTS {
            let found = tour(&self.task.stops, &TourOptions { feed_weight, ..*ways });
            if found.length > straight.length {
                break;
            }
            let sections = self.built(&found);
            let enough = excess(&sections) == 0;
            if best.as_ref().is_none_or(|b| excess(&sections) < excess(b)) {
                best = Some(sections);
            }
            if enough {
                break;
            }
        }
        best.unwrap_or_else(|| self.built(&straight))
    }

    fn built(&self, tour: &Tour) -> Vec<Section> {
        self.task.sections(tour, self.contours, self.options)
    }
}

/// By how much the film turns round more often than the sections allow.
fn excess(sections: &[Section]) -> usize {
    sections.iter().map(|s| s.totals.feed_reversals.saturating_sub(s.most_reversals)).sum()
}

//! A plan as stops of a tour, and a tour as sections of a plan.

use super::precedence::{self, Before};
use super::sections::{self, Extent};
use super::windows::{Start, Windows};
use super::{Contour, Options, Section, Step, Tool, Totals, measure};
use crate::error::Error;
use crate::floor::tour::{Choice, Stop, Tour};
use crate::layout::Layout;
use crate::shape::{Bounds, Point};
use std::collections::BTreeMap;

/// What is to be put in order.
pub(super) struct Task {
    /// One stop for each contour, in the order of the contours.
    pub stops: Vec<Stop>,
    /// Where each closed contour may be begun; empty for open lines, which have two ends.
    starts: Vec<Vec<Start>>,
    sections: Vec<Draft>,
    /// The section of each contour.
    section_of: Vec<usize>,
}

/// A section before its order is known.
struct Draft {
    placements: Vec<usize>,
    from: f64,
    to: f64,
    /// Windows of all its tools together.
    windows: usize,
}

impl Task {
    pub fn new(layout: &Layout, contours: &[Contour], options: &Options) -> Result<Self, Error> {
        let extents = extents(contours);
        let mut task = Self {
            stops: vec![Stop { class: 0, choices: Vec::new(), after: Vec::new() }; contours.len()],
            starts: vec![Vec::new(); contours.len()],
            sections: Vec::new(),
            section_of: vec![0; contours.len()],
        };
        let mut class = 0;
        for placements in sections::assign(layout, &extents, options.section_length)? {
            let inside = |c: &Contour| placements.binary_search(&c.placement).is_ok();
            let members: Vec<usize> = (0..contours.len()).filter(|&i| inside(&contours[i])).collect();
            let Some(all) = members.iter().map(|&i| contours[i].bounds).reduce(Bounds::with) else {
                continue;
            };
            let windows = Windows::over(all.min.x, all.max.x, options.window);
            let first_class = class;
            for tool in [Tool::Pen, Tool::Kiss, Tool::Through] {
                let members: Vec<usize> =
                    members.iter().copied().filter(|&i| contours[i].tool == tool).collect();
                if !members.is_empty() {
                    task.add_tool(contours, &members, &windows, class);
                    class += windows.count;
                }
            }
            for &i in &members {
                task.section_of[i] = task.sections.len();
            }
            let (from, to) = (all.min.x, all.max.x);
            task.sections.push(Draft { placements, from, to, windows: class - first_class });
        }
        Ok(task)
    }

    fn add_tool(&mut self, contours: &[Contour], members: &[usize], windows: &Windows, class: usize) {
        let mut pairs = precedence::pairs(contours, members);
        let window = windows.assign(contours, members, &mut pairs);
        for (&i, &w) in members.iter().zip(&window) {
            let contour = &contours[i];
            if contour.closed {
                self.starts[i] = windows.starts(contour, w);
            }
            self.stops[i].class = u32::try_from(class + w).unwrap_or(u32::MAX);
            self.stops[i].choices = choices(contour, &self.starts[i]);
        }
        for Before { first, then, .. } in pairs {
            self.stops[then].after.push(first);
        }
    }

    /// The sections of a tour, measured.
    pub fn sections(&self, tour: &Tour, contours: &[Contour], options: &Options) -> Vec<Section> {
        let mut steps: Vec<Vec<Step>> = self.sections.iter().map(|_| Vec::new()).collect();
        for &(i, choice) in &tour.visits {
            steps[self.section_of[i]].push(self.step(i, choice, &contours[i]));
        }
        let mut head = Point { x: 0.0, y: 0.0 };
        let mut sections = Vec::new();
        for (draft, steps) in self.sections.iter().zip(steps) {
            let mut section = Section {
                number: sections.len() + 1,
                from_mm: draft.from,
                to_mm: draft.to,
                placements: draft.placements.clone(),
                steps,
                head_from: head,
                totals: Totals::default(),
                most_reversals: MOST_TURNS * draft.windows,
            };
            section.totals = measure::section(&section, &options.speeds);
            head = section.steps.last().map_or(head, Step::end);
            sections.push(section);
        }
        sections
    }

    fn step(&self, contour: usize, choice: usize, c: &Contour) -> Step {
        let reversed = !c.closed && choice == 1;
        let mut points = match self.starts[contour].get(choice) {
            Some(start) => start.points(c),
            None => c.points.clone(),
        };
        if reversed {
            points.reverse();
        }
        Step { contour, tool: c.tool, reversed, closed: c.closed, points }
    }
}

/// In one window the film may turn back twice and forth again.
const MOST_TURNS: usize = 4;

/// The ways to cut a contour: a closed one from any of its start points, an open one from either end.
fn choices(contour: &Contour, starts: &[Start]) -> Vec<Choice> {
    if contour.closed {
        return starts.iter().map(|s| Choice { enter: s.at, leave: s.at }).collect();
    }
    let (first, last) = (contour.points[0], contour.points[contour.points.len() - 1]);
    vec![Choice { enter: first, leave: last }, Choice { enter: last, leave: first }]
}

/// The extent of every placement that has contours.
fn extents(contours: &[Contour]) -> Vec<Extent> {
    let mut boxes: BTreeMap<usize, Bounds> = BTreeMap::new();
    for c in contours {
        boxes.entry(c.placement).and_modify(|b| *b = b.with(c.bounds)).or_insert(c.bounds);
    }
    boxes.into_iter().map(|(placement, bounds)| Extent { placement, bounds }).collect()
}

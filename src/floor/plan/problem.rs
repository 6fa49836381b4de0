//! A plan as stops of a tour, and a tour as sections of a plan.

use super::draft::Draft;
use super::precedence::{self, Before};
use super::windows::{Start, Windows};
use super::{Contour, Kind, Options, Section, Step, Tool, Totals, measure};
use crate::floor::stroke::strokes;
use crate::floor::tour::{Choice, Stop, Tour};
use crate::shape::{Bounds, Point};

/// What is to be put in order.
pub(super) struct Task {
    /// One stop for each contour, in the order of the contours.
    pub stops: Vec<Stop>,
    /// Where each closed contour may be begun; empty for open lines, which have two ends.
    starts: Vec<Vec<Start>>,
    sections: Vec<Draft>,
    /// The section of each contour.
    section_of: Vec<usize>,
    /// Windows of each section, all passes over it together.
    windows: Vec<usize>,
}

/// Passes over a section, one after the other; the kinds of a pass take turns window by window.
type Passes = Vec<Vec<fn(&Contour) -> bool>>;

fn passes(options: &Options) -> Passes {
    let test: fn(&Contour) -> bool = |c| c.kind == Kind::Test;
    let pen: fn(&Contour) -> bool = |c| c.tool == Tool::Pen;
    let kiss: fn(&Contour) -> bool = |c| c.tool == Tool::Kiss && !matches!(c.kind, Kind::Test | Kind::Waste);
    let waste: fn(&Contour) -> bool = |c| c.kind == Kind::Waste;
    let through: fn(&Contour) -> bool = |c| c.tool == Tool::Through;
    if options.pens_by_window {
        vec![vec![test], vec![pen, kiss], vec![waste], vec![through]]
    } else {
        vec![vec![test], vec![pen], vec![kiss], vec![waste], vec![through]]
    }
}

impl Task {
    pub fn new(contours: &[Contour], sections: Vec<Draft>, options: &Options) -> Self {
        let mut task = Self {
            stops: vec![Stop { class: 0, choices: Vec::new(), after: Vec::new() }; contours.len()],
            starts: vec![Vec::new(); contours.len()],
            sections: Vec::new(),
            section_of: vec![0; contours.len()],
            windows: Vec::new(),
        };
        let mut class = 0;
        for (number, section) in sections.iter().enumerate() {
            let first_class = class;
            for pass in passes(options) {
                class += task.add_pass(contours, &section.members, &pass, class, options.window);
            }
            for &i in &section.members {
                task.section_of[i] = number;
            }
            task.windows.push(class - first_class);
        }
        task.sections = sections;
        task
    }

    /// Adds one pass; gives the number of classes that it takes.
    fn add_pass(
        &mut self,
        contours: &[Contour],
        members: &[usize],
        kinds: &[fn(&Contour) -> bool],
        class: usize,
        window: f64,
    ) -> usize {
        let turn = |i: usize| kinds.iter().position(|is| is(&contours[i]));
        let (members, turns): (Vec<usize>, Vec<usize>) =
            members.iter().filter_map(|&i| Some((i, turn(i)?))).unzip();
        let all = members.iter().map(|&i| contours[i].bounds).reduce(Bounds::with);
        let Some(all) = all else { return 0 };
        let windows = Windows::over(all.min.x, all.max.x, window);
        // Of all kinds together: what waits for a kind whose turn comes first is never in an earlier window.
        let mut pairs = precedence::pairs(contours, &members);
        let assigned = windows.assign(contours, &members, &mut pairs);
        for ((&i, &turn), &w) in members.iter().zip(&turns).zip(&assigned) {
            let contour = &contours[i];
            if contour.closed {
                self.starts[i] = windows.starts(contour, w);
            }
            self.stops[i].class = u32::try_from(class + w * kinds.len() + turn).unwrap_or(u32::MAX);
            self.stops[i].choices = choices(contour, &self.starts[i]);
        }
        for Before { first, then, .. } in pairs {
            self.stops[then].after.push(first);
        }
        windows.count * kinds.len()
    }

    /// The sections of a tour, measured.
    pub fn sections(&self, tour: &Tour, contours: &[Contour], options: &Options) -> Vec<Section> {
        let mut steps: Vec<Vec<Step>> = self.sections.iter().map(|_| Vec::new()).collect();
        for &(i, choice) in &tour.visits {
            steps[self.section_of[i]].push(self.step(i, choice, &contours[i], options));
        }
        let mut head = Point { x: 0.0, y: 0.0 };
        let mut sections = Vec::new();
        for ((draft, steps), windows) in self.sections.iter().zip(steps).zip(&self.windows) {
            let mut section = Section {
                number: sections.len() + 1,
                from_mm: draft.panels.min.x,
                to_mm: draft.panels.max.x,
                zero_mm: zero(&steps, draft.panels.min.x),
                placements: draft.placements.clone(),
                steps,
                marks: draft.marks.clone(),
                head_from: head,
                totals: Totals::default(),
                most_reversals: MOST_TURNS * windows,
            };
            section.totals = measure::section(&section, &options.speeds);
            head = section.steps.last().map_or(head, Step::end);
            sections.push(section);
        }
        sections
    }

    fn step(&self, contour: usize, choice: usize, c: &Contour, options: &Options) -> Step {
        let reversed = !c.closed && choice == 1;
        let mut points = match self.starts[contour].get(choice) {
            Some(start) => start.points(c),
            None => c.points.clone(),
        };
        if reversed {
            points.reverse();
        }
        let strokes = strokes(&points, c.closed, c.tool, &options.cutting);
        Step { contour, tool: c.tool, kind: c.kind, reversed, closed: c.closed, points, strokes }
    }
}

/// A whole number of mm, at least one before everything that is drawn: more than any blade's offset.
fn zero(steps: &[Step], from: f64) -> f64 {
    let drawn = steps.iter().flat_map(|s| s.strokes.iter().flatten()).map(|p| p.x);
    (drawn.fold(from, f64::min) - 1.0).floor().max(0.0)
}

/// In one window the film may turn back four times and forth again.
const MOST_TURNS: usize = 8;

/// The ways to cut a contour: a closed one from any of its start points, an open one from either end.
fn choices(contour: &Contour, starts: &[Start]) -> Vec<Choice> {
    if contour.closed {
        return starts.iter().map(|s| Choice { enter: s.at, leave: s.at }).collect();
    }
    let ends = contour.points.first().zip(contour.points.last());
    let Some((&first, &last)) = ends else { return Vec::new() };
    vec![Choice { enter: first, leave: last }, Choice { enter: last, leave: first }]
}

//! What a plan measures.

use super::contour::path_length;
use super::{Kind, Options, Plan, Section, Speeds, Step, Totals};
use crate::error::{Error, Problems, Shown};
use crate::floor::Cutting;
use crate::shape::{Point, length};
use std::collections::BTreeSet;

impl Options {
    /// Refuses numbers that no machine and no search can use.
    pub(super) fn check(&self) -> Result<(), Error> {
        let mut problems = Problems::default();
        let mut above_zero = |name: &str, value: f64| {
            if !(value > 0.0 && value.is_finite()) {
                let what = format!("{} is not above 0", Shown(value));
                problems.push(name, what, "give a length or speed above 0");
            }
        };
        above_zero("cut speed", self.speeds.cut_mm_per_s);
        above_zero("travel speed", self.speeds.travel_mm_per_s);
        above_zero("feed window", self.window);
        if let Some(most) = self.section_length {
            above_zero("section length", most);
        }
        if !(self.speeds.lift_s >= 0.0 && self.speeds.lift_s.is_finite()) {
            problems.push("time to lift", format!("{} is below 0", Shown(self.speeds.lift_s)), "");
        }
        let Cutting { overcut, dashes } = self.cutting;
        if !(0.0..=20.0).contains(&overcut) {
            problems.push(
                "overcut",
                format!("{} mm is not within 0 to 20", Shown(overcut)),
                "about 1 mm closes a contour",
            );
        }
        problems.0.extend(dashes.problem());
        problems.or_ok(())?;
        self.weeding.check()
    }
}

/// What a section measures, from where the head is when it begins.
pub(super) fn section(section: &Section, speeds: &Speeds) -> Totals {
    let mut totals = Totals { contours: section.steps.len(), ..Totals::default() };
    let mut head = section.head_from;
    for step in &section.steps {
        for stroke in &step.strokes {
            let (Some(first), Some(last)) = (stroke.first(), stroke.last()) else { continue };
            totals.travel_mm += length(*first - head);
            totals.cut_mm += path_length(stroke, false);
            totals.lifts += 1;
            head = *last;
        }
    }
    totals.feed_reversals = turns(section.steps.iter().map(|s| s.start().x));
    // Passes with different tools, and the pass over the waste, each begin at the start again.
    let pass = |s: &Step| (s.tool, s.kind == Kind::Waste, s.kind == Kind::Test);
    let passes: BTreeSet<_> = section.steps.iter().map(pass).collect();
    totals.feed_back_mm =
        passes.iter().map(|p| back(section.steps.iter().filter(|s| pass(s) == *p))).fold(0.0, f64::max);
    totals.time_s = time(&totals, speeds);
    totals
}

/// What the whole plan measures.
pub(super) fn whole(plan: &Plan) -> Totals {
    let mut totals = Totals::default();
    for t in plan.sections.iter().map(|s| &s.totals) {
        totals.contours += t.contours;
        totals.lifts += t.lifts;
        totals.cut_mm += t.cut_mm;
        totals.travel_mm += t.travel_mm;
        totals.feed_reversals += t.feed_reversals;
        totals.feed_back_mm = totals.feed_back_mm.max(t.feed_back_mm);
    }
    let last = plan.steps().last().map_or(Point { x: 0.0, y: 0.0 }, Step::end);
    totals.travel_mm += length(plan.head_to - last);
    totals.time_s = time(&totals, &plan.options.speeds);
    totals
}

fn time(totals: &Totals, speeds: &Speeds) -> f64 {
    totals.cut_mm / speeds.cut_mm_per_s
        + totals.travel_mm / speeds.travel_mm_per_s
        + speeds.lift_s * totals.lifts as f64
}

/// How often a sequence of places along the feed turns round by at least [`Totals::TURN_MM`].
fn turns(places: impl Iterator<Item = f64>) -> usize {
    let (mut turns, mut forward) = (0, None);
    let mut farthest: Option<(f64, f64)> = None;
    for x in places {
        let (least, most) = farthest.unwrap_or((x, x));
        // The ends of the run that is going on: a turn is seen when it is left far enough.
        farthest = Some(match forward {
            Some(true) if x < most - Totals::TURN_MM => {
                turns += 1;
                forward = Some(false);
                (x, x)
            }
            Some(false) if x > least + Totals::TURN_MM => {
                turns += 1;
                forward = Some(true);
                (x, x)
            }
            _ => (least.min(x), most.max(x)),
        });
        if forward.is_none()
            && let Some((least, most)) = farthest
            && most - least >= Totals::TURN_MM
        {
            forward = Some(x >= most);
        }
    }
    turns
}

/// The farthest that a step begins behind a place where an earlier one began or ended.
fn back<'a>(steps: impl Iterator<Item = &'a Step>) -> f64 {
    let (mut most, mut back) = (f64::NEG_INFINITY, 0.0_f64);
    for step in steps {
        let x = step.start().x;
        back = back.max(most - x);
        most = most.max(x).max(step.end().x);
    }
    back
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turns_are_counted_from_twenty_millimetres_on() {
        let count = |list: &[f64]| turns(list.iter().copied());
        assert_eq!(count(&[]), 0);
        assert_eq!(count(&[0.0, 100.0, 85.0, 200.0]), 0);
        assert_eq!(count(&[0.0, 100.0, 70.0, 200.0]), 2);
        assert_eq!(count(&[0.0, 100.0, 95.0, 90.0, 79.0, 60.0]), 1);
        assert_eq!(count(&[100.0, 0.0, 100.0]), 1);
    }
}

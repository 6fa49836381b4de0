//! What cutting the layout takes.

use super::model::{Cut, CutSection};
use crate::Error;
use crate::floor::plan::{Options, Section, plan};
use crate::layout::Layout;

/// The totals of the cut plan, and of its sections.
pub(super) fn planned(layout: &Layout, options: Option<&Options>) -> Result<Cut, Error> {
    let options = options.cloned().unwrap_or_default();
    let plan = plan(layout, &options)?;
    let t = &plan.totals;
    Ok(Cut {
        contours: t.contours,
        cut_mm: t.cut_mm,
        travel_mm: t.travel_mm,
        feed_reversals: t.feed_reversals,
        feed_back_mm: t.feed_back_mm,
        time_s: t.time_s,
        cut_speed_mm_per_s: options.speeds.cut_mm_per_s,
        travel_speed_mm_per_s: options.speeds.travel_mm_per_s,
        sections: plan.sections.iter().map(section).collect(),
    })
}

fn section(s: &Section) -> CutSection {
    CutSection {
        number: s.number,
        from_mm: s.from_mm,
        to_mm: s.to_mm,
        pieces: s.placements.len(),
        cut_mm: s.totals.cut_mm,
        travel_mm: s.totals.travel_mm,
        feed_reversals: s.totals.feed_reversals,
        time_s: s.totals.time_s,
    }
}

//! What a layout measures, by the definitions of the layout format.

use super::{Layout, MadeBy, Measures, Placement};
use crate::job::{Job, Panel, Roll};
use crate::shape::Pose;

/// Puts a job and the places of its panels together into a layout that states its true measures.
pub fn assemble(job: &Job, placements: Vec<Placement>, made_by: MadeBy) -> Layout {
    let mut layout = Layout {
        name: job.name.clone(),
        unit: job.unit,
        roll: job.roll.clone(),
        gap: job.gap,
        notes: job.notes.clone(),
        shop: job.shop.clone(),
        panels: job.panels.clone(),
        placements,
        measures: Measures::default(),
        made_by: Some(made_by),
    };
    layout.measures = measure(&layout);
    layout
}

/// Measures a layout anew; what it states is not looked at.
pub fn measure(layout: &Layout) -> Measures {
    let (mut panel_area, mut filler_area) = (0.0, 0.0);
    for panel in placed(layout).map(|(panel, _)| panel) {
        let sum = if panel.optional { &mut filler_area } else { &mut panel_area };
        *sum += panel.area();
    }
    let reach = placed(layout)
        .filter(|(panel, _)| !panel.optional)
        .filter_map(|(panel, place)| greatest_x(panel, &place.pose()))
        .fold(None, |most: Option<f64>, x| Some(most.map_or(x, |m| m.max(x))));
    let length = reach.unwrap_or(layout.roll.lead_margin) + layout.roll.tail_margin;
    Measures::of(&layout.roll, length, panel_area, filler_area)
}

impl Measures {
    /// The measures of so much panel on so much of a roll, all in the roll's unit.
    pub fn of(roll: &Roll, length: f64, panel_area: f64, filler_area: f64) -> Self {
        Self {
            length,
            panel_area,
            filler_area,
            waste_percent: waste_percent(roll, length, panel_area),
            density_percent: density_percent(roll, length, panel_area),
        }
    }
}

/// The placed copies with their panels; a placement of a panel that the layout lacks is left out.
fn placed(layout: &Layout) -> impl Iterator<Item = (&Panel, &Placement)> {
    layout.placements.iter().filter_map(|place| Some((layout.panels.get(place.panel)?, place)))
}

/// The greatest x that the panel reaches in this pose. Holes lie inside and need no look.
fn greatest_x(panel: &Panel, pose: &Pose) -> Option<f64> {
    let points = panel.parts.iter().flat_map(|part| part.outline().points());
    points.map(|p| pose.apply(*p).x).reduce(f64::max)
}

/// 100 x (1 - area / (width x length)): the share of the film paid for that is no panel.
fn waste_percent(roll: &Roll, length: f64, area: f64) -> f64 {
    if length > 0.0 { 100.0 * (1.0 - area / (roll.width * length)) } else { 0.0 }
}

/// 100 x area / (usable width x length between the margins).
fn density_percent(roll: &Roll, length: f64, area: f64) -> f64 {
    let used = length - roll.lead_margin - roll.tail_margin;
    if used > 0.0 { 100.0 * area / (roll.usable_width() * used) } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::super::fixtures::{made_by, place};
    use super::*;
    use crate::job::fixtures::{job_of, rectangle};

    #[test]
    fn a_hand_worked_strip_measures_as_the_format_defines() {
        // One 30 x 40 panel turned a quarter at x = 50 on film 100 wide, margins 5 / 3 + 2 / 10:
        // it lies from x = 10 to x = 50; waste and density follow by hand.
        let mut job = job_of(100.0, vec![rectangle("a", 30.0, 40.0)]);
        job.roll.edge_margin = [3.0, 2.0];
        job.roll.lead_margin = 5.0;
        job.roll.tail_margin = 10.0;
        let layout = assemble(&job, vec![place(0, 1, 50.0, 3.0, 90.0)], made_by());
        let m = layout.measures;
        assert_eq!(m.length, 60.0);
        assert_eq!(m.panel_area, 1200.0);
        assert_eq!(m.waste_percent, 80.0);
        assert!((m.density_percent - 100.0 * 1200.0 / (95.0 * 45.0)).abs() < 1e-12);
    }

    #[test]
    fn fillers_count_apart_and_do_not_make_the_layout_longer() {
        let mut filler = rectangle("f", 10.0, 10.0);
        filler.optional = true;
        let job = job_of(100.0, vec![rectangle("a", 20.0, 50.0), filler]);
        let layout =
            assemble(&job, vec![place(0, 1, 0.0, 0.0, 0.0), place(1, 1, 90.0, 60.0, 0.0)], made_by());
        assert_eq!(layout.measures.length, 20.0);
        assert_eq!(layout.measures.panel_area, 1000.0);
        assert_eq!(layout.measures.filler_area, 100.0);
    }

    #[test]
    fn an_empty_layout_and_an_unknown_panel_measure_nothing() {
        let job = job_of(100.0, vec![rectangle("a", 20.0, 50.0)]);
        assert_eq!(assemble(&job, vec![], made_by()).measures, Measures::default());
        let stray = assemble(&job, vec![place(7, 1, 0.0, 0.0, 0.0)], made_by());
        assert_eq!(stray.measures, Measures::default());
    }
}

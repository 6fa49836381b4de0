//! On usable film, clear of flaws, before the end of the roll; fillers no farther than the rest.

use super::{Fault, Placed};
use crate::layout::Layout;
use crate::shape::{Contours, Eroded, Ring, common_point};

pub(super) fn check(layout: &Layout, placed: &[Placed], faults: &mut Vec<Fault>) {
    for p in placed {
        check_margins(layout, p, faults);
    }
    check_reach(layout, placed, faults);
    check_flaws(layout, placed, faults);
}

fn check_margins(layout: &Layout, p: &Placed, faults: &mut Vec<Fault>) {
    let (roll, t) = (&layout.roll, layout.roll.tolerance());
    let allowed = [roll.edge_margin[0], roll.width - roll.edge_margin[1]];
    let y = [p.bounds.min.y, p.bounds.max.y];
    if y[0] < allowed[0] - t || y[1] > allowed[1] + t {
        faults.push(Fault::OffWidth { copy: p.name.clone(), y, allowed });
    }
    let (x, margin) = (p.bounds.min.x, roll.lead_margin);
    if x < margin - t {
        faults.push(Fault::InLeadMargin { copy: p.name.clone(), x, margin });
    }
}

fn check_reach(layout: &Layout, placed: &[Placed], faults: &mut Vec<Fault>) {
    let (roll, t) = (&layout.roll, layout.roll.tolerance());
    let required = placed.iter().filter(|p| !p.panel.optional);
    let reach = required.map(|p| p.bounds.max.x).reduce(f64::max).unwrap_or(roll.lead_margin);
    for p in placed.iter().filter(|p| p.panel.optional && p.bounds.max.x > reach + t) {
        faults.push(Fault::FillerReaches { copy: p.name.clone(), x: p.bounds.max.x, reach });
    }
    let needed = reach + roll.tail_margin;
    if let Some(length) = roll.length.filter(|length| needed > length + t) {
        faults.push(Fault::PastEnd { needed, length });
    }
}

/// A panel lies on a flaw when a point of the flaw lies at least t inside the panel.
fn check_flaws(layout: &Layout, placed: &[Placed], faults: &mut Vec<Fault>) {
    let t = layout.roll.tolerance();
    let contours = |ring: &Ring| Contours::of_rings(vec![ring.counter_clockwise()]);
    let flaws: Vec<Contours> = layout.roll.flaws.iter().map(contours).collect();
    for p in placed {
        let near = |flaw: &Contours| flaw.bounds().is_some_and(|b| b.near(&p.bounds, 0.0));
        if !flaws.iter().any(near) {
            continue;
        }
        let solid = p.solid_for_flaws();
        for (i, flaw) in flaws.iter().enumerate().filter(|(_, flaw)| near(flaw)) {
            let corners: Vec<_> = flaw.ring_starts().collect();
            let flaw = Eroded { shape: flaw, depth: 0.0, cores: &corners };
            if let Some(near) = common_point(solid.eroded(t), flaw) {
                faults.push(Fault::OnFlaw { copy: p.name.clone(), flaw: i + 1, near });
            }
        }
    }
}

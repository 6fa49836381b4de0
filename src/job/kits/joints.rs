//! What may lie over the joints of a body: nothing where they come apart in flight.

use super::model::{Kind, Kit, NoseProfile};
use crate::json::{Path, Report};
use crate::panels::Fault;

/// A wrap that goes on over a joint that comes apart.
pub(super) fn bridging() -> Fault {
    Fault::new(
        "with_next",
        "the wrap would bridge a joint that comes apart in flight",
        "end the wrap at the joint: leave out `with_next`",
    )
}

/// No film reaches over a joint that comes apart in flight, be it the nearest one or one behind parts that are
/// shorter than the reach.
pub(super) fn check_joints(kit: &Kit, report: &mut Report) {
    let parts = Path::ROOT.key("parts");
    for (i, part) in kit.parts.iter().enumerate().filter(|(_, p)| p.separates && p.round().is_none()) {
        let what = "a joint that comes apart is said of a nose, tube or transition";
        let at = parts.index(i).named("part", &part.id);
        report.problem(&at.key("separates"), what, "write it at the part of the body before the joint");
    }
    let body: Vec<usize> = (0..kit.parts.len()).filter(|i| kit.parts[*i].round().is_some()).collect();
    for (k, &i) in body.iter().enumerate() {
        let part = &kit.parts[i];
        let Some(round) = part.round() else { continue };
        // Joints behind it, and joints before it, each with the part at its fore end and the parts between.
        let aft = (k..body.len()).map(|joint| (body[joint], &body[k + 1..=joint]));
        let fore = (0..k).rev().map(|joint| (body[joint], &body[joint + 1..k]));
        bridged(kit, i, "aft", round.aft.reach, aft, report);
        bridged(kit, i, "fore", round.fore.reach, fore, report);
        if part.separates && matches!(&part.kind, Kind::Tube(t) if t.with_next) {
            let Fault { what, remedy, .. } = bridging();
            report.problem(&parts.index(i).named("part", &part.id).key("with_next"), what, remedy);
        }
    }
}

/// Tells of the first joint that comes apart and that film reaching so far from part `i` would lie over.
fn bridged<'b>(
    kit: &Kit,
    i: usize,
    end: &'static str,
    reach: f64,
    mut joints: impl Iterator<Item = (usize, &'b [usize])>,
    report: &mut Report,
) {
    let Some((before, between)) = joints.find(|(before, _)| kit.parts[*before].separates) else { return };
    let way: f64 = between.iter().map(|j| surface_length(&kit.parts[*j].kind)).sum();
    if reach <= way {
        return;
    }
    let parts = Path::ROOT.key("parts");
    let at = parts.index(i).named("part", &kit.parts[i].id);
    let remedy = if between.is_empty() {
        "let the film end at the joint: leave out `reach`; `trim` is cut off when it is laid".to_owned()
    } else {
        format!("let the film end at the joint: {way:.1} mm of `reach` are the most here")
    };
    let behind = &kit.parts[before].id;
    let what =
        format!("{reach} mm of film would bridge the joint behind {behind:?}, which comes apart in flight");
    report.problem(&at.key(end).key("reach"), what, remedy);
}

/// Length of a part along its surface: of a curved one that of the straight line between its ends, which is shorter.
fn surface_length(kind: &Kind) -> f64 {
    match kind {
        Kind::Nose(nose) => match &nose.profile {
            NoseProfile::Shape { radius, length, .. } => libm::hypot(*radius, *length),
            NoseProfile::Measured(measured) => measured.body.arc_length(),
        },
        Kind::Tube(tube) => tube.length,
        Kind::Transition(t) => libm::hypot(t.aft_radius - t.fore_radius, t.length),
        Kind::Fin(_) | Kind::Plate(_) => 0.0,
    }
}

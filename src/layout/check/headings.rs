//! Grain rules, mirroring, and one heading for each match group.

use super::{Fault, Placed};
use crate::job::ANGLE_TOLERANCE;
use crate::shape::angle_between;
use std::collections::BTreeMap;

pub(super) fn check(placed: &[Placed], faults: &mut Vec<Fault>) {
    for p in placed {
        let (heading, grain) = (p.heading(), &p.panel.grain);
        if !grain.allows(heading) {
            let (rule, slack) = (grain.rule, grain.slack);
            faults.push(Fault::Heading { copy: p.name.clone(), heading, rule, slack });
        }
        if p.place.mirrored && !p.panel.mirror {
            faults.push(Fault::Mirrored { copy: p.name.clone() });
        }
    }
    check_groups(placed, faults);
}

/// A match group of one kit is compared with its first copy; one fault a group is enough to see it.
fn check_groups(placed: &[Placed], faults: &mut Vec<Fault>) {
    let mut groups: BTreeMap<(Option<&str>, &str), Vec<&Placed>> = BTreeMap::new();
    for p in placed {
        if let Some(group) = &p.panel.match_group {
            groups.entry((p.panel.kit.as_deref(), group)).or_default().push(p);
        }
    }
    for ((kit, group), members) in groups {
        let first = members[0];
        let agrees = |p: &Placed| angle_between(p.heading(), first.heading()) <= ANGLE_TOLERANCE;
        if let Some(other) = members.iter().find(|p| !agrees(p)) {
            faults.push(Fault::Unmatched {
                group: group.into(),
                kit: kit.map(String::from),
                first: (first.name.clone(), first.heading()),
                second: (other.name.clone(), other.heading()),
            });
        }
    }
}

//! Kits kept together along the roll.
//!
//! Each kit gets a part of the strip, in the order of the job: as long as its share of all area, and longer on both
//! sides by part of its longest panel, so that neighbouring kits share what lies between them. The search
//! moves a piece only within the part of its kit; as the strip becomes shorter, so do all parts.
//!
//! Our own. Nothing is said of the order within a part, and neighbouring parts overlap on purpose.

use super::instance::{Entry, Instance, Part};
use super::request::{self, Request};
use crate::Error;
use crate::job::Job;

/// By how much of its longest panel a kit's part is longer on either side. Less squeezes kits of few panels.
const SHARED: f64 = 0.75;
/// How densely the strip is thought to be filled; a guess only makes parts a little longer or shorter.
const DENSITY: f64 = 0.8;

/// The request of a job in which each kit keeps to a part of the strip. Panels of no kit lie anywhere.
///
/// # Errors
///
/// As [`request::request`].
pub fn request(job: &Job) -> Result<Request, Error> {
    let mut request = request::request(job)?;
    let kit_of = |piece: &(usize, u32)| job.panels.get(piece.0).and_then(|p| p.kit.as_deref());
    let kits: Vec<Option<&str>> = request.pieces.iter().map(kit_of).collect();
    let parts = parts(&request.instance, &kits);
    for (entry, part) in request.instance.entries.iter_mut().zip(parts) {
        entry.part = part;
    }
    Ok(request)
}

/// What a kit takes.
struct Share<'k> {
    kit: &'k str,
    area: f64,
    longest: f64,
}

/// The part of the strip for every piece.
fn parts(inst: &Instance, kits: &[Option<&str>]) -> Vec<Part> {
    let shares = shares(inst, kits);
    let all: f64 = shares.iter().map(|s| s.area).sum();
    let length = (inst.area() / (DENSITY * inst.width)).max(inst.longest());
    let mut before = 0.0;
    let mut parts = std::collections::BTreeMap::new();
    for s in &shares {
        let more = SHARED * s.longest / length;
        let from = (before / all - more).max(0.0);
        before += s.area;
        parts.insert(s.kit, Part { from, to: (before / all + more).min(1.0) });
    }
    let of = |kit: &Option<&str>| kit.and_then(|k| parts.get(k)).copied().unwrap_or(Part::WHOLE);
    kits.iter().map(of).collect()
}

/// The shares of all kits, in the order in which the job names them.
fn shares<'k>(inst: &Instance, kits: &[Option<&'k str>]) -> Vec<Share<'k>> {
    let mut shares: Vec<Share<'k>> = Vec::new();
    let mut index = std::collections::BTreeMap::new();
    for (entry, kit) in inst.entries.iter().zip(kits) {
        let Some(kit) = *kit else { continue };
        let at = *index.entry(kit).or_insert_with(|| {
            shares.push(Share { kit, area: 0.0, longest: 0.0 });
            shares.len() - 1
        });
        if let Some(share) = shares.get_mut(at) {
            add(share, inst, entry);
        }
    }
    shares
}

fn add(share: &mut Share<'_>, inst: &Instance, entry: &Entry) {
    share.area += inst.kinds[entry.kind as usize].area;
    share.longest = share.longest.max(inst.shortest_length(entry));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::fixtures::{job_of, rectangle};

    #[test]
    fn kits_get_their_share_of_the_strip_in_the_order_of_the_job() {
        let mut job = job_of(100.0, vec![]);
        for (kit, across) in [(Some("B"), 50.0), (Some("A"), 50.0), (None, 10.0), (Some("B"), 50.0)] {
            let mut panel = rectangle(&format!("{across}-{}", job.panels.len()), 40.0, across);
            (panel.kit, panel.copies) = (kit.map(str::to_owned), 10);
            job.panels.push(panel);
        }
        let request = request(&job).unwrap();
        let parts: Vec<Part> = request.instance.entries.iter().map(|e| e.part).collect();
        // 3 x 10 x 40 x 50 and 10 x 40 x 10 on film 100 wide: 64 000 / (0.8 x 100) = 800 long.
        let more = SHARED * 40.0 / 800.0;
        let near = |a: Part, from: f64, to: f64| (a.from - from).abs() < 1e-12 && (a.to - to).abs() < 1e-12;
        assert!(near(parts[0], 0.0, 2.0 / 3.0 + more), "{:?}", parts[0]);
        assert!(near(parts[10], 2.0 / 3.0 - more, 1.0), "{:?}", parts[10]);
        assert_eq!(parts[20], Part::WHOLE);
        assert_eq!(parts[30], parts[0]);
    }
}

//! The body with its seams: from the front, and from the tip.

use super::draw;
use crate::job::kits::{KitSheet, PartSheet};
use crate::shape::Point;
use maud::{Markup, html};

/// Width of the side view on paper, in mm.
const PAPER: f64 = 176.0;

/// Most radius of the side view on paper, in mm, for stubby bodies.
const MOST_RADIUS: f64 = 38.0;

/// The aft and the fore end in [`PartSheet::slants`].
const AFT: usize = 0;
const FORE: usize = 1;

/// A part where it stands on the body: distance of its fore end from the tip, in mm.
struct Placed<'s> {
    part: &'s PartSheet,
    from: f64,
    length: f64,
}

impl Placed<'_> {
    fn radius(&self, axial: f64) -> f64 {
        let line = &self.part.silhouette;
        let i = line.partition_point(|p| p.x <= axial);
        match (i.checked_sub(1).map(|j| line[j]), line.get(i)) {
            (Some(a), Some(b)) => a.y + (b.y - a.y) * (axial - a.x) / (b.x - a.x),
            (Some(a), None) => a.y,
            (None, Some(b)) => b.y,
            (None, None) => 0.0,
        }
    }

    /// How far forward of its middle the aft or fore end lies at an angle from the front centre: a plane
    /// at an angle cuts a cylinder of radius R at R tan(angle) cos(round - toward).
    fn forward(&self, end: usize, round: f64) -> f64 {
        let Some(Some(slant)) = self.part.slants.get(end) else { return 0.0 };
        let radius = self.radius(if end == AFT { self.length } else { 0.0 });
        radius * libm::tan(slant.angle.to_radians()) * libm::cos((round - slant.toward).to_radians())
    }

    /// The angle of a seam at a distance from the part's fore end.
    fn angle(&self, seam: f64, axial: f64) -> f64 {
        seam - self.part.seam_twist * (self.length - axial)
    }
}

/// Both views; nothing where a kit has no body.
pub(super) fn views(sheet: &KitSheet) -> Markup {
    let parts = placed(sheet);
    let Some(last) = parts.last() else { return html! {} };
    let total = last.from + last.length;
    let widest = parts.iter().flat_map(|p| &p.part.silhouette).map(|p| p.y).fold(0.0, f64::max);
    let scale = (PAPER / total).min(MOST_RADIUS / widest);
    html! {
        figure {
            (side_view(&parts, total, widest, scale))
            figcaption {
                "Seen from the front centre, tip to the right. Solid seams lie on this side, dashed ones behind; \
                 numbers are seam numbers. Whole length " (draw::length(total, sheet.unit)) "."
            }
        }
        figure {
            div class="pieces" {
                @for part in parts.iter().filter(|p| !p.part.seams.is_empty()) {
                    figure { (end_view(part.part)) figcaption class="under" { (part.part.id) } }
                }
            }
            figcaption { "Seen from the tip, front centre below: where each seam lies round the body." }
        }
    }
}

/// The parts of the body one behind the other. What a wrap covers on is part of that wrap.
fn placed(sheet: &KitSheet) -> Vec<Placed<'_>> {
    let mut from = 0.0;
    let mut list = Vec::new();
    for part in &sheet.parts {
        let Some(end) = part.silhouette.last() else { continue };
        list.push(Placed { part, from, length: end.x });
        from += end.x;
    }
    list
}

fn side_view(parts: &[Placed<'_>], total: f64, widest: f64, scale: f64) -> Markup {
    // On paper the tip lies to the right and what is right of the front lies below.
    let at = |axial: f64, right: f64| Point { x: (total - axial) * scale, y: -right * scale };
    let (w, h) = (total * scale + 8.0, 2.0 * widest * scale + 14.0);
    let view = format!("-4 {:.2} {w:.2} {h:.2}", -0.5 * h);
    html! {
        svg xmlns="http://www.w3.org/2000/svg" width=(format!("{w:.1}mm")) height=(format!("{h:.1}mm")) viewBox=(view) {
            @for placed in parts {
                (outline(placed, scale, &at))
                @for (k, seam) in placed.part.seams.iter().enumerate() {
                    (seam_line(placed, *seam, k + 1, &at))
                }
                (joint(placed, &at))
            }
            path d=(draw::line([at(-3.0 / scale, 0.0), at(total + 3.0 / scale, 0.0)], false)) fill="none" stroke="#111"
                stroke-width="0.12" stroke-dasharray="4 1 0.6 1" {}
        }
    }
}

/// Width of a letter of a part's name on paper, in mm, at most.
const TEXT: f64 = 1.9;

fn outline(placed: &Placed<'_>, scale: f64, at: &impl Fn(f64, f64) -> Point) -> Markup {
    let line = &placed.part.silhouette;
    // A slanted end of the outline lies where the cut meets the sides.
    let side = |right: f64| {
        let ends = [FORE, AFT].map(|end| placed.forward(end, 90.0 * right));
        line.iter().enumerate().map(move |(i, p)| {
            let forward = if i == 0 {
                ends[0]
            } else if i + 1 == line.len() {
                ends[1]
            } else {
                0.0
            };
            at(placed.from + p.x - forward, right * p.y)
        })
    };
    let other: Vec<Point> = side(-1.0).collect();
    let data = draw::line(side(1.0).chain(other.into_iter().rev()), true);
    let middle = at(placed.from + 0.5 * placed.length, 0.0);
    // Above all that lies under the letters.
    let reach = 0.5 * TEXT * placed.part.id.chars().count() as f64 / scale;
    let under = [-1.0, -0.5, 0.0, 0.5, 1.0].map(|k| placed.radius(0.5 * placed.length + k * reach));
    let top = at(0.0, -under.into_iter().fold(0.0, f64::max)).y;
    html! {
        path d=(data) fill="#eef1f4" stroke="#111" stroke-width="0.3" {}
        @for end in [FORE, AFT] { (slanted_end(placed, end, at)) }
        text x=(format!("{:.2}", middle.x)) y=(format!("{:.2}", -top - 1.2)) font-size="2.8" text-anchor="middle" { (placed.part.id) }
    }
}

/// The cut all round a slanted end, as an ellipse.
fn slanted_end(placed: &Placed<'_>, end: usize, at: &impl Fn(f64, f64) -> Point) -> Markup {
    if !placed.part.slants.get(end).is_some_and(Option::is_some) {
        return html! {};
    }
    let axial = if end == AFT { placed.length } else { 0.0 };
    let radius = placed.radius(axial);
    let round = (0..72).map(|i| f64::from(i) * 5.0);
    let on = |a: f64| at(placed.from + axial - placed.forward(end, a), radius * libm::sin(a.to_radians()));
    html! { path d=(draw::line(round.map(on), true)) fill="#eef1f4" stroke="#111" stroke-width="0.3" {} }
}

/// Steps along a seam line in the side view.
const STEPS: u32 = 48;

/// A seam in runs that are seen and runs that lie behind, with its number where it is seen best.
fn seam_line(placed: &Placed<'_>, seam: f64, number: usize, at: &impl Fn(f64, f64) -> Point) -> Markup {
    let mut runs: Vec<(bool, Vec<Point>)> = Vec::new();
    let mut best: Option<(f64, Point)> = None;
    let from = -placed.forward(FORE, placed.angle(seam, 0.0));
    let to = placed.length - placed.forward(AFT, placed.angle(seam, placed.length));
    for i in 0..=STEPS {
        let axial = from + (to - from) * f64::from(i) / f64::from(STEPS);
        let (sin, cos) = libm::sincos(placed.angle(seam, axial).to_radians());
        let radius = placed.radius(axial);
        let point = at(placed.from + axial, radius * sin);
        let seen = cos > -1e-9;
        match runs.last_mut() {
            Some((s, run)) if *s == seen => run.push(point),
            _ => runs.push((seen, vec![point])),
        }
        // Numbers stand clear of the ends, rather in the aft half, where there is room.
        // A seam that runs along the outline is numbered there.
        let score = (cos + 0.01) * radius * if i * 3 > STEPS { 1.0 } else { 0.2 };
        if i * 10 > STEPS && i * 10 < STEPS * 9 && best.is_none_or(|(b, _)| score > b + 1e-9) {
            best = Some((score, point));
        }
    }
    html! {
        @for (seen, run) in &runs {
            @if *seen {
                path d=(draw::line(run.iter().copied(), false)) fill="none" stroke="#b3261e" stroke-width="0.35" {}
            } @else {
                path d=(draw::line(run.iter().copied(), false)) fill="none" stroke="#777" stroke-width="0.2" stroke-dasharray="1 0.8" {}
            }
        }
        @if let Some((score, p)) = best {
            @if score > 0.0 {
                circle cx=(format!("{:.2}", p.x)) cy=(format!("{:.2}", -p.y)) r="1.7" fill="#fff" stroke="#b3261e" stroke-width="0.2" {}
                text x=(format!("{:.2}", p.x)) y=(format!("{:.2}", 0.85 - p.y)) font-size="2.4" text-anchor="middle" { (number) }
            }
        }
    }
}

fn joint(placed: &Placed<'_>, at: &impl Fn(f64, f64) -> Point) -> Markup {
    if !placed.part.separates {
        return html! {};
    }
    let (end, radius) = (placed.from + placed.length, placed.radius(placed.length));
    let (top, low) = (at(end, -1.15 * radius), at(end, 1.15 * radius));
    html! {
        path d=(draw::line([top, low], false)) fill="none" stroke="#111" stroke-width="0.9" stroke-dasharray="2 1" {}
        text x=(format!("{:.2}", low.x)) y=(format!("{:.2}", 3.2 - low.y)) font-size="2.6" text-anchor="middle" { "comes apart" }
    }
}

fn end_view(part: &PartSheet) -> Markup {
    const R: f64 = 9.0;
    // From the tip: the front centre below, what is right of it to the right.
    let on = |angle: f64, r: f64| {
        let (sin, cos) = libm::sincos(angle.to_radians());
        Point { x: r * sin, y: -r * cos }
    };
    html! {
        svg xmlns="http://www.w3.org/2000/svg" width="30mm" height="30mm" viewBox="-15 -15 30 30" {
            circle cx="0" cy="0" r=(R) fill="#eef1f4" stroke="#111" stroke-width="0.3" {}
            path d=(draw::line([on(0.0, R + 1.0), on(-7.0, R + 3.0), on(7.0, R + 3.0)], true)) fill="#111" {}
            @for (k, seam) in part.seams.iter().enumerate() {
                path d=(draw::line([on(*seam, R - 1.5), on(*seam, R + 1.0)], false)) fill="none" stroke="#b3261e" stroke-width="0.5" {}
                @let p = on(*seam, R - 3.6);
                text x=(format!("{:.2}", p.x)) y=(format!("{:.2}", 0.9 - p.y)) font-size="2.6" text-anchor="middle" { (k + 1) }
            }
        }
    }
}

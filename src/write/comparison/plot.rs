//! Every run as a dot, the mean as a line across its row.

use crate::compare::Comparison;
use crate::write::number::fixed;
use crate::write::page::plain;
use maud::{Markup, html};

/// Width of the plot, of the names in it, and height of a row, in CSS pixels.
const WIDTH: f64 = 800.0;
const NAMES: f64 = 250.0;
const ROW: f64 = 26.0;
/// Room at the right for half the last number of the axis.
const RIGHT: f64 = 26.0;
/// Most letters of a name.
const LONGEST: usize = 34;
/// Free film on both sides of the dots, as a part of what they lie apart.
const MARGIN: f64 = 0.08;

/// The axis of the plot, in square metres.
struct Axis {
    from: f64,
    to: f64,
}

impl Axis {
    fn of(comparison: &Comparison) -> Self {
        let areas = || comparison.variants.iter().map(|v| &v.film_area_mm2);
        let least = areas().map(|s| s.least).fold(f64::INFINITY, f64::min) / 1e6;
        let most = areas().map(|s| s.greatest).fold(0.0, f64::max) / 1e6;
        let room = (MARGIN * (most - least)).max(0.005 * most).max(1e-6);
        Self { from: (least - room).max(0.0), to: most + room }
    }

    fn x(&self, mm2: f64) -> f64 {
        NAMES + (WIDTH - NAMES - RIGHT) * (mm2 / 1e6 - self.from) / (self.to - self.from)
    }
}

/// The plot; the axis does not begin at zero, and says so.
pub(super) fn plot(comparison: &Comparison) -> Markup {
    let axis = Axis::of(comparison);
    let rows = comparison.variants.len() as f64;
    let (top, height) = (8.0, rows * ROW);
    let y = |i: usize| top + (i as f64 + 0.5) * ROW;
    let ticks = (0..=4).map(|i| axis.from + (axis.to - axis.from) * f64::from(i) / 4.0);
    let at = |v: f64| fixed(v, 2);
    html! {
        svg id="plot" width=(at(WIDTH)) height=(at(top + height + 42.0)) viewBox=(format!("0 0 {} {}", at(WIDTH), at(top + height + 42.0)))
            role="img" aria-label="film used by every run of every variant" font-size="13" {
            @for tick in ticks {
                @let x = axis.x(tick * 1e6);
                path d=(format!("M{} {}V{}", at(x), at(top), at(top + height + 5.0))) stroke="#d5d8da" {}
                text x=(at(x)) y=(at(top + height + 20.0)) text-anchor="middle" { (format!("{tick:.3}")) }
            }
            text x=(at(0.5 * (NAMES + WIDTH))) y=(at(top + height + 37.0)) text-anchor="middle" { "film used in m\u{b2} (the axis does not begin at 0); the line is the mean" }
            @for (i, v) in comparison.variants.iter().enumerate() {
                @let (s, colour) = (&v.film_area_mm2, if v.cheapest { "#b3261e" } else { "#1d1f21" });
                text x="0" y=(at(y(i) + 4.5)) fill=(colour) font-weight=[v.cheapest.then_some("bold")] { (short(&format!("{}. {}", v.number, v.label))) }
                path d=(format!("M{} {}H{}", at(axis.x(s.least)), at(y(i)), at(axis.x(s.greatest)))) stroke=(colour) {}
                path d=(format!("M{} {}V{}", at(axis.x(s.mean)), at(y(i) - 8.0), at(y(i) + 8.0))) stroke=(colour) stroke-width="2" {}
                @for r in &v.runs { circle cx=(at(axis.x(r.film_area_mm2))) cy=(at(y(i))) r="4" fill=(colour) fill-opacity="0.55" {} }
            }
        }
    }
}

fn short(text: &str) -> String {
    let text = plain(text);
    if text.chars().count() <= LONGEST {
        return text.into_owned();
    }
    text.chars().take(LONGEST - 1).chain(['\u{2026}']).collect()
}

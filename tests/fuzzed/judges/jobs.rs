//! Small jobs: near-degenerate outlines, exact fits, slivers, holes, every grain rule, gaps and flaws.

use super::choice::Choice;
use serde_json::{Value, json};
use std::f64::consts::TAU;

pub const WIDTH: f64 = 100.0;
const MOST_PANELS: u32 = 5;

type Outline = Vec<[f64; 2]>;

/// Sizes that fill the film, halves and thirds of it, and a hair more or less.
const ACROSS: [f64; 11] =
    [100.0, 95.0, 50.0, 48.5, 47.5, 100.0 / 3.0, 100.0 - 1e-5, 100.0 + 1e-5, 100.0 + 2e-4, 98.5, 25.0];

/// The text of a job on a roll of [`WIDTH`]. Not all of them are sound: the reader has the say.
pub fn text(choice: &mut Choice<'_>) -> String {
    let unit = choice.of(&["mm", "in"]);
    let roll = roll(choice);
    let gap = choice.number(&[0.0, 3.0, 0.01, 1e-5, 1e-9], 0.0, 40.0);
    let count = choice.whole(1, MOST_PANELS);
    let panels: Vec<Value> = (0..count).map(|k| panel(choice, k)).collect();
    json!({"format": "tuckroll-job-1", "name": "any", "unit": unit, "roll": roll, "gap": gap, "panels": panels})
        .to_string()
}

fn roll(choice: &mut Choice<'_>) -> Value {
    let edges = choice.of(&[[0.0, 0.0], [2.0, 3.0], [5.0, 0.0]]);
    let lead = choice.number(&[0.0, 7.5], 0.0, 30.0);
    let flaws: Vec<Value> = (0..choice.whole(0, 2)).map(|_| flaw(choice)).collect();
    let mut roll = json!({"width": WIDTH, "edge_margin": edges, "lead_margin": lead, "flaws": flaws});
    if choice.chance(20) {
        roll["tail_margin"] = choice.number(&[7.5], 0.0, 30.0).into();
    }
    if choice.chance(20) {
        roll["length"] = choice.number(&[100.0, 1000.0], 20.0, 400.0).into();
    }
    roll
}

fn flaw(choice: &mut Choice<'_>) -> Value {
    let (x, y) = (choice.between(0.0, 150.0), choice.between(0.0, 99.0));
    let size = choice.number(&[1e-3, 100.0], 0.1, 30.0);
    let far = (y + size).min(WIDTH);
    json!([[x, y], [x + size, y], [x + size, far], [x, far]])
}

fn panel(choice: &mut Choice<'_>, number: u32) -> Value {
    let mut panel = contours(choice);
    panel["id"] = format!("p{number}").into();
    panel["copies"] = choice.whole(1, 3).into();
    panel["grain"] = json!({
        "rule": choice.of(&["one-way", "two-way", "quarter", "free"]),
        "along": choice.number(&[0.0, 90.0, 1e-7, -45.0], -400.0, 400.0),
        "slack": choice.number(&[0.0, 0.0, 45.0, 180.0, 1e-6], 0.0, 10.0),
    });
    panel["kit"] = choice.of(&["K1", "K2"]).into();
    for (key, percent) in [("mirror", 30), ("optional", 20)] {
        if choice.chance(percent) {
            panel[key] = true.into();
        }
    }
    if choice.chance(20) {
        panel["keep_clear"] = "hull".into();
    }
    if choice.chance(20) {
        panel["match"] = choice.of(&["m", "n"]).into();
    }
    if choice.chance(20) {
        panel["lines"] = json!([{"role": choice.of(&["draw", "cut", "through", "print"]),
            "closed": choice.chance(50), "points": points(&outline(choice))}]);
    }
    panel
}

/// An outline, a frame with a hole, or a panel of two parts.
fn contours(choice: &mut Choice<'_>) -> Value {
    match choice.whole(0, 9) {
        0 | 1 => {
            let (side, bar) = (choice.number(&ACROSS, 30.0, 90.0), choice.number(&[1e-3], 0.5, 12.0));
            let hole = moved(plate(side - 2.0 * bar, side - 2.0 * bar), bar, bar);
            json!({"outline": plate(side, side), "holes": [hole], "fill_holes": choice.chance(70)})
        }
        2 => {
            let (a, b) = (outline(choice), outline(choice));
            let right =
                a.iter().map(|p| p[0]).fold(0.0, f64::max) - b.iter().map(|p| p[0]).fold(0.0, f64::min);
            let apart = choice.number(&[1e-3, 1.0], 1e-6, 20.0);
            json!({"parts": [{"outline": a}, {"outline": moved(b, right + apart, choice.between(-20.0, 20.0))}]})
        }
        _ => json!({"outline": points(&outline(choice))}),
    }
}

fn points(outline: &Outline) -> Value {
    json!(outline)
}

/// A contour, sometimes far from its origin and sometimes backwards.
fn outline(choice: &mut Choice<'_>) -> Outline {
    let mut points = match choice.whole(0, 7) {
        0 | 1 => plate(choice.number(&ACROSS, 4.0, 90.0), choice.number(&ACROSS, 4.0, 60.0)),
        2 => sliver(choice),
        3 => dented(choice),
        4 => comb(choice),
        5 => spiked(choice),
        _ => star(choice),
    };
    if choice.chance(5) {
        let far = choice.of(&[1e3, -1e5, 1e6]);
        points = moved(points, far, -far);
    }
    if choice.chance(10) {
        points.reverse();
    }
    points
}

fn moved(points: Outline, x: f64, y: f64) -> Outline {
    points.iter().map(|p| [p[0] + x, p[1] + y]).collect()
}

fn plate(length: f64, width: f64) -> Outline {
    vec![[0.0, 0.0], [length, 0.0], [length, width], [0.0, width]]
}

/// Down to what is refused as too thin, and below.
fn sliver(choice: &mut Choice<'_>) -> Outline {
    let (length, thin) = (choice.between(20.0, 200.0), choice.number(&[4e-3, 1e-3, 1e-7], 5e-3, 0.5));
    vec![[0.0, 0.0], [length, 0.0], [length, thin]]
}

/// Points that lie nearly on a side, or on one another.
fn dented(choice: &mut Choice<'_>) -> Outline {
    let (l, w) = (choice.number(&ACROSS, 10.0, 60.0), choice.number(&ACROSS, 5.0, 60.0));
    let (dent, step) =
        (choice.number(&[0.0, 1e-4, -1e-4, 1e-12], -1e-4, 1e-4), choice.number(&[1e-9, 0.0], 1e-9, 1e-3));
    vec![[0.0, 0.0], [l / 2.0, dent], [l / 2.0 + step, dent], [l, 0.0], [l, w], [0.0, w]]
}

/// A comb whose slots are as wide as its teeth, more or less.
fn comb(choice: &mut Choice<'_>) -> Outline {
    let (teeth, pitch) = (choice.whole(2, 5), choice.between(6.0, 12.0));
    let (slot, depth) = (choice.number(&[3.0, 1e-3], 0.3, 5.0), choice.between(5.0, 40.0));
    let mut points = vec![[0.0, 0.0]];
    for k in 0..teeth {
        let x = f64::from(k) * pitch;
        let tooth = x + pitch - slot;
        points.extend([[x, 0.0], [x, depth], [tooth, depth], [tooth, 0.0]]);
    }
    let end = f64::from(teeth) * pitch - slot;
    points.extend([[end, -5.0], [0.0, -5.0]]);
    points.remove(0);
    points
}

/// A plate with a needle on one side.
fn spiked(choice: &mut Choice<'_>) -> Outline {
    let (l, w) = (choice.between(10.0, 60.0), choice.between(5.0, 60.0));
    let (at, thin) = (choice.between(0.1, 0.8) * l, choice.number(&[1e-3, 1e-6], 1e-3, 2.0));
    let long = choice.number(&[0.0, 40.0], -0.9 * w, 60.0);
    vec![
        [0.0, 0.0],
        [at, 0.0],
        [at + 0.5 * thin, -long],
        [at + thin, 0.0],
        [l + thin, 0.0],
        [l + thin, w],
        [0.0, w],
    ]
}

/// A star-shaped polygon: any radius at every step of the angle.
fn star(choice: &mut Choice<'_>) -> Outline {
    let count = choice.whole(3, 14);
    let at = |k: u32| TAU * f64::from(k) / f64::from(count);
    (0..count)
        .map(|k| {
            let r = choice.number(&[20.0, 1.0], 3.0, 35.0);
            [r * libm::cos(at(k)), r * libm::sin(at(k))]
        })
        .collect()
}

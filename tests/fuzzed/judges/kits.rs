//! Panels from any dimensions that a kit can be given: what is made can be cut, and fits the film.

use super::beside::beside;
use super::choice::Choice;
use super::readers::no_files;
use super::refused;
use serde_json::{Map, Value, json};
use std::ops::{Deref, DerefMut};
use tuckroll::job::kits::{Films, KitOptions, KitPanels, parse_kit};
use tuckroll::job::{self, GrainRule, Job, Panel, Roll, Shop, Unit};
use tuckroll::read::ReadOptions;

/// Sizes round which something changes, and the ends of what is taken.
const SIZES: [f64; 12] = [66.0, 250.0, 10.0, 1.0, 1e-3, 9.9e-4, 5.0, 24.79, 594.0, 1000.0, 1e5, 1.01e5];

/// A film that lies down on everything.
const ANY_FILM: &str = r#"{"format": "tuckroll-films-1", "films": [{"id": "any", "thickness_mm": 0.08,
    "max_stretch": {"warn": 100, "stop": 100}, "max_shrink": {"warn": 100, "stop": 100}}]}"#;

/// Choices for a kit in millimetres or inches.
struct Lengths<'a> {
    choice: Choice<'a>,
    unit: Unit,
}

impl Lengths<'_> {
    /// A length in the kit's unit; its bounds are in millimetres.
    fn length(&mut self, special: &[f64], least: f64, most: f64) -> f64 {
        self.choice.number(special, least, most) / self.unit.in_mm()
    }
}

impl<'a> Deref for Lengths<'a> {
    type Target = Choice<'a>;

    fn deref(&self) -> &Self::Target {
        &self.choice
    }
}

impl DerefMut for Lengths<'_> {
    fn deref_mut(&mut self) -> &mut Self::Target {
        &mut self.choice
    }
}

pub fn panels(data: &[u8]) {
    let mut choice = Choice::new(data);
    let any = Films::parse(ANY_FILM.as_bytes(), "films.json").expect("a film");
    let films = if choice.chance(40) { None } else { Some(&any) };
    let kit_unit = choice.of(&[Unit::Millimetre, Unit::Millimetre, Unit::Inch]);
    let unit = choice.of(&[None, Some(Unit::Millimetre), Some(Unit::Inch)]);
    let width = choice.of(&[Some(594.0), None, Some(100.0), Some(20.0), Some(1000.0)]);
    let width = width.map(|mm| mm / unit.unwrap_or(kit_unit).in_mm());
    let read = ReadOptions { chord_tolerance_mm: choice.of(&[0.02, 0.5, 0.001]), ..ReadOptions::default() };
    let options = KitOptions { films, width, unit, read, order: Some("A-104"), ..KitOptions::default() };
    let kit = kit(&mut Lengths { choice, unit: kit_unit });
    match parse_kit(kit.to_string().as_bytes(), "kit.json", &beside, &options) {
        Ok(made) => judge(made, width, &kit),
        Err(error) => refused(&error),
    }
}

/// What was made is finite, has an area, and fits the film at a heading.
fn judge(made: KitPanels, width: Option<f64>, kit: &Value) {
    for panel in &made.panels {
        assert!(panel.area() > 0.0 && panel.area().is_finite(), "{kit}");
        let points = panel.lines.iter().flat_map(|l| &l.points);
        assert!(points.clone().all(|p| p.x.is_finite() && p.y.is_finite()), "{kit}");
    }
    // A hair more than asked for: what is split or developed is rounded.
    let Some(width) = width.map(|w| w * (1.0 + 1e-9)) else { return };
    let roll = Roll::plain(width);
    let mut job = Job {
        name: "any".into(),
        source: None,
        unit: made.unit,
        roll,
        gap: 0.0,
        panels: made.panels.iter().filter(|p| !is_kept_whole(p)).cloned().collect(),
        notes: None,
        shop: Shop::default(),
    };
    if let Err(error) = job::check_fits(&job) {
        panic!("{error}\n{kit}");
    }
    job.panels = made.panels;
    match job::parse(job::write(&job).as_bytes(), "job.json", &no_files, &ReadOptions::default()) {
        Ok(loaded) => assert_eq!(loaded.job.panels, job.panels),
        // Slices of a hundredth of a millimetre can be made, and are too thin to be nested.
        Err(error) => refused(&error),
    }
}

/// Plates are drawn by their owner. One of several pieces, or whose print may turn, is not split where it is too wide:
/// whoever nests it is told.
fn is_kept_whole(panel: &Panel) -> bool {
    let can_be_split =
        panel.parts.len() == 1 && panel.grain.rule == GrainRule::OneWay && panel.grain.along == 0.0;
    panel.id.contains("/plate") && !can_be_split
}

fn kit(choice: &mut Lengths<'_>) -> Value {
    let count = choice.whole(1, 3);
    let parts: Vec<Value> = (0..count).map(|k| part(choice, k)).collect();
    let mut kit =
        json!({"format": "tuckroll-kit-1", "name": "any", "unit": choice.unit.name(), "parts": parts});
    kit["count_thickness"] = choice.chance(20).into();
    kit["seams"] = seams(choice);
    kit
}

fn size(choice: &mut Lengths<'_>) -> f64 {
    choice.length(&SIZES, 1.0, 400.0)
}

/// Something added: often nothing.
fn extra(choice: &mut Lengths<'_>) -> f64 {
    choice.length(&[0.0, 0.0, 5.0, 6.0, 1e-3, 100.0], 0.0, 20.0)
}

fn seams(choice: &mut Lengths<'_>) -> Value {
    json!({"overlap": extra(choice), "lap": choice.of(&["one", "both"]), "under": choice.of(&["left", "right"]),
        "front": choice.number(&[0.0, 180.0], -360.0, 360.0)})
}

fn pieces(choice: &mut Lengths<'_>) -> Value {
    if choice.chance(50) { choice.whole(1, 48).into() } else { "auto".into() }
}

fn end(choice: &mut Lengths<'_>, cut: bool) -> Value {
    let mut end = match choice.whole(0, 3) {
        0 => json!({}),
        1 => json!({"fold": extra(choice)}),
        _ => json!({"reach": extra(choice), "trim": extra(choice)}),
    };
    if cut && choice.chance(30) {
        end["cut"] = json!({"angle": choice.number(&[75.0, -75.0, 45.0], -75.0, 75.0),
            "toward": choice.number(&[0.0, 90.0], -360.0, 360.0)});
    }
    end
}

fn part(choice: &mut Lengths<'_>, number: u32) -> Value {
    let kind = choice.of(&["nose", "tube", "transition", "fin", "fin", "plate"]);
    let mut part = Map::new();
    match kind {
        "nose" => nose(choice, &mut part),
        "tube" => tube(choice, &mut part),
        "transition" => transition(choice, &mut part),
        "plate" => plate(choice, &mut part),
        _ => fin(choice, &mut part),
    }
    part.insert("id".into(), format!("part{number}").into());
    part.insert("kind".into(), kind.into());
    part.insert("spares".into(), choice.whole(0, 2).into());
    if choice.chance(40) {
        part.insert("grain".into(), json!({"rule": choice.of(&["one-way", "two-way", "quarter", "free"])}));
    }
    part.into()
}

fn round(choice: &mut Lengths<'_>, part: &mut Map<String, Value>, cut: bool) {
    part.insert("aft".into(), end(choice, cut));
    part.insert("fore".into(), end(choice, cut));
    if choice.chance(30) {
        part.insert("seams".into(), seams(choice));
    }
    if choice.chance(20) {
        part.insert("separates".into(), true.into());
    }
}

fn width(choice: &mut Lengths<'_>) -> (&'static str, f64) {
    if choice.chance(20) { ("circumference", 3.0 * size(choice)) } else { ("diameter", size(choice)) }
}

fn nose(choice: &mut Lengths<'_>, part: &mut Map<String, Value>) {
    let profile = profile(choice);
    if profile["shape"] != "measured" {
        let (key, value) = width(choice);
        part.insert(key.into(), value.into());
        part.insert("length".into(), size(choice).into());
    }
    part.insert("profile".into(), profile);
    part.insert("gores".into(), pieces(choice));
    part.insert("balance".into(), choice.number(&[0.0, 1.0], 0.0, 1.0).into());
    if choice.chance(30) {
        let key = choice.of(&["radius", "diameter", "length"]);
        part.insert("tip".into(), json!({key: size(choice)}));
    }
    if choice.chance(20) {
        part.insert("tip_cap".into(), size(choice).into());
    }
    round(choice, part, false);
}

fn profile(choice: &mut Lengths<'_>) -> Value {
    match choice.whole(0, 6) {
        0 => {
            json!({"shape": choice.of(&["tangent-ogive", "conical", "elliptical", "von-karman", "lv-haack"])})
        }
        1 => json!({"shape": "secant-ogive", "radius": choice.length(&SIZES, 1.0, 3000.0)}),
        2 => json!({"shape": "parabolic", "k": choice.number(&[0.0, 1.0, 0.5], 0.0, 1.0)}),
        3 => json!({"shape": "power", "n": choice.number(&[0.1, 1.0, 0.5, 0.75], 0.1, 1.0)}),
        4 => json!({"shape": "haack", "c": choice.number(&[0.0, 1.0], 0.0, 1.0)}),
        _ => {
            let mut at = [choice.length(&[0.0], 0.0, 5.0), choice.length(&[0.0], 0.0, 20.0)];
            let mut points = vec![at];
            for _ in 0..choice.whole(1, 10) {
                at = [
                    at[0] + choice.length(&[1.0], 0.01, 60.0),
                    at[1] + choice.length(&[0.0, 10.0], -10.0, 60.0),
                ];
                points.push(at);
            }
            json!({"shape": "measured", "stations": choice.of(&["axis", "surface"]),
                "widths": choice.of(&["diameter", "circumference"]), "points": points})
        }
    }
}

fn tube(choice: &mut Lengths<'_>, part: &mut Map<String, Value>) {
    let (key, value) = width(choice);
    part.insert(key.into(), value.into());
    part.insert("length".into(), size(choice).into());
    part.insert("pieces".into(), pieces(choice));
    if choice.chance(30) {
        part.insert("seam_angle".into(), choice.number(&[75.0, -75.0, 45.0], -75.0, 75.0).into());
    }
    if choice.chance(15) {
        part.insert("with_next".into(), true.into());
    }
    round(choice, part, true);
}

fn transition(choice: &mut Lengths<'_>, part: &mut Map<String, Value>) {
    let (fore, aft) = (size(choice), size(choice));
    part.insert("fore_diameter".into(), fore.into());
    part.insert("aft_diameter".into(), choice.of(&[aft, aft, fore, fore + 1e-9, fore * 1.001]).into());
    part.insert("length".into(), size(choice).into());
    part.insert("pieces".into(), pieces(choice));
    part.insert("balance".into(), choice.number(&[0.0, 1.0], 0.0, 1.0).into());
    if choice.chance(50) {
        part.insert("profile".into(), profile(choice));
    }
    round(choice, part, false);
}

fn fin(choice: &mut Lengths<'_>, part: &mut Map<String, Value>) {
    part.insert("planform".into(), planform(choice));
    part.insert("count".into(), choice.whole(1, 6).into());
    part.insert("root_allowance".into(), extra(choice).into());
    match choice.whole(0, 2) {
        0 => {}
        1 => {
            part.insert("wrap".into(), extra(choice).into());
            part.insert("wrap_first".into(), choice.of(&["left", "right", "both"]).into());
        }
        _ => {
            part.insert("set_back".into(), extra(choice).into());
        }
    }
}

fn planform(choice: &mut Lengths<'_>) -> Value {
    match choice.whole(0, 3) {
        0 => {
            json!({"shape": "trapezoid", "root": size(choice), "tip": choice.length(&[0.0, 1e-3, 60.0], 0.0, 300.0),
            "span": size(choice), "sweep": choice.length(&[0.0, 80.0, -80.0], -300.0, 300.0)})
        }
        1 => json!({"shape": "elliptical", "root": size(choice), "span": size(choice)}),
        _ => {
            let root = size(choice);
            let mut points = vec![[0.0, 0.0], [root, 0.0]];
            for _ in 0..choice.whole(1, 8) {
                points.push([choice.length(&[], -60.0, 200.0), choice.length(&[0.0, 50.0], -5.0, 200.0)]);
            }
            json!({"shape": "polygon", "points": points})
        }
    }
}

/// An outline with a hole, several pieces, or a drawing.
fn plate(choice: &mut Lengths<'_>, part: &mut Map<String, Value>) {
    part.insert("copies".into(), choice.whole(1, 3).into());
    match choice.whole(0, 3) {
        0 => {
            let drawn = choice.of(&[
                ("badge.svg", json!({})),
                ("fins.dxf", json!({"file_unit": "mm", "all": true})),
                ("curves.dxf", json!({"pick": [1, 2]})),
                ("lines.dxf", json!({"file_unit": "in", "layer": "ring"})),
                ("shapes.svg", json!({})),
            ]);
            part.insert("file".into(), drawn.0.into());
            part.extend(drawn.1.as_object().into_iter().flatten().map(|(k, v)| (k.clone(), v.clone())));
        }
        1 => {
            let (a, b) = (corners(choice, 0.0), corners(choice, 500.0));
            part.insert("parts".into(), json!([{"outline": a}, {"outline": b}]));
        }
        2 => {
            let (l, w) = (size(choice), size(choice));
            let hole = [[0.3 * l, 0.3 * w], [0.6 * l, 0.3 * w], [0.5 * l, 0.7 * w]];
            part.insert("outline".into(), json!([[0.0, 0.0], [l, 0.0], [l, w], [0.0, w]]));
            part.insert("holes".into(), json!([hole]));
        }
        _ => {
            part.insert("outline".into(), corners(choice, 0.0));
        }
    }
}

/// A contour that may cross itself, all of it beyond `x` mm.
fn corners(choice: &mut Lengths<'_>, x: f64) -> Value {
    let count = choice.whole(3, 8);
    let corner = |_| [choice.length(&[x], x, x + 400.0), choice.length(&[0.0, 100.0], 0.0, 700.0)];
    json!((0..count).map(corner).collect::<Vec<_>>())
}

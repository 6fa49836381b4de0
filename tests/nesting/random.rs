//! Random small jobs with every rule: the search may be unlucky, its layouts may not be wrong.
//!
//! `PROPTEST_CASES=2000` tries more of them, from another seed every time; a job that fails is left as a file.

use super::{job_text, lay, parse};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use serde_json::{Value, json};
use std::f64::consts::TAU;
use tuckroll::Error;

const WIDTH: f64 = 100.0;
/// Cases in an ordinary run: some seconds.
const CASES: u32 = 24;

type Outline = Vec<[f64; 2]>;

fn plate(length: f64, width: f64) -> Outline {
    vec![[0.0, 0.0], [length, 0.0], [length, width], [0.0, width]]
}

/// Sizes that fit the film exactly, or a hair less, or halves of it, beside ordinary ones.
fn across() -> impl Strategy<Value = f64> {
    prop_oneof![
        3 => 4.0..60.0f64,
        1 => Just(WIDTH),
        1 => Just(95.0),
        1 => Just(WIDTH - 1e-5),
        1 => Just(50.0),
        1 => Just(48.5),
    ]
}

/// A star-shaped polygon: any radius at every step of the angle.
fn star(radii: &[f64]) -> Outline {
    let at = |k: usize| TAU * k as f64 / radii.len() as f64;
    radii.iter().enumerate().map(|(k, r)| [r * libm::cos(at(k)), r * libm::sin(at(k))]).collect()
}

/// A comb whose slots are as wide as its teeth, more or less.
fn comb(teeth: usize, pitch: f64, slot: f64, depth: f64) -> Outline {
    let mut points = vec![[0.0, 0.0]];
    for k in 0..teeth {
        let x = k as f64 * pitch;
        let tooth = x + pitch - slot;
        points.extend([[x, 0.0], [x, depth], [tooth, depth], [tooth, 0.0]]);
    }
    let end = teeth as f64 * pitch - slot;
    points.extend([[end, -5.0], [0.0, -5.0]]);
    points.dedup();
    points.remove(0);
    points
}

fn outline() -> impl Strategy<Value = Outline> {
    prop_oneof![
        3 => (4.0..90.0f64, across()).prop_map(|(l, w)| plate(l, w)),
        // Slivers, down to what the check takes for too thin: 40 tolerances.
        1 => (20.0..200.0f64, 5e-3..0.5f64).prop_map(|(l, w)| vec![[0.0, 0.0], [l, 0.0], [l, w]]),
        // Points that lie nearly on a side.
        1 => (10.0..60.0f64, 5.0..60.0f64, -1e-4..1e-4f64, 1e-9..1e-3f64).prop_map(|(l, w, dent, step)| {
            vec![[0.0, 0.0], [l / 2.0, dent], [l / 2.0 + step, dent], [l, 0.0], [l, w], [0.0, w]]
        }),
        3 => prop::collection::vec(3.0..35.0f64, 3..14).prop_map(|r| star(&r)),
        1 => (2..6usize, 6.0..12.0f64, 0.3..5.0f64, 5.0..40.0f64).prop_map(|(n, p, s, d)| comb(n, p, s, d)),
        1 => (20.0..60.0f64, 2.0..18.0f64).prop_map(|(side, bar)| {
            vec![[0.0, 0.0], [side, 0.0], [side, bar], [bar, bar], [bar, side], [0.0, side]]
        }),
    ]
}

/// An outline, a frame with a hole, or a panel of two parts.
fn contours() -> impl Strategy<Value = Value> {
    prop_oneof![
        6 => outline().prop_map(|o| json!({"outline": o})),
        2 => (30.0..90.0f64, 0.5..12.0f64, any::<bool>()).prop_map(|(side, bar, fill)| {
            let hole: Outline = plate(side - 2.0 * bar, side - 2.0 * bar).iter().map(|p| [p[0] + bar, p[1] + bar]).collect();
            json!({"outline": plate(side, side), "holes": [hole], "fill_holes": fill})
        }),
        1 => (outline(), outline(), -20.0..20.0f64).prop_map(|(a, b, apart)| {
            let right = a.iter().map(|p| p[0]).fold(0.0, f64::max) - b.iter().map(|p| p[0]).fold(0.0, f64::min);
            let b: Outline = b.iter().map(|p| [p[0] + right + 1.0, p[1] + apart]).collect();
            json!({"parts": [{"outline": a}, {"outline": b}]})
        }),
    ]
}

fn grain() -> impl Strategy<Value = Value> {
    let rule = prop::sample::select(vec!["one-way", "two-way", "quarter", "free"]);
    let along = prop_oneof![4 => Just(0.0), 1 => Just(90.0), 1 => -400.0..400.0f64];
    let slack = prop_oneof![4 => Just(0.0), 1 => 0.0..10.0f64, 1 => Just(45.0)];
    (rule, along, slack)
        .prop_map(|(rule, along, slack)| json!({"rule": rule, "along": along, "slack": slack}))
}

fn panel() -> impl Strategy<Value = Value> {
    let flags = (prop::bool::weighted(0.3), prop::bool::weighted(0.2), prop::bool::weighted(0.2));
    let group = prop_oneof![3 => Just(None), 1 => prop::sample::select(vec!["p", "q"]).prop_map(Some)];
    let kit = prop::sample::select(vec!["K1", "K2"]);
    (contours(), grain(), 1..4u32, flags, group, kit).prop_map(
        |(mut panel, grain, copies, flags, group, kit)| {
            panel["grain"] = grain;
            panel["copies"] = copies.into();
            panel["mirror"] = flags.0.into();
            panel["optional"] = flags.1.into();
            panel["kit"] = kit.into();
            if flags.2 {
                panel["keep_clear"] = "hull".into();
            }
            if let Some(group) = group {
                panel["match"] = group.into();
            }
            panel
        },
    )
}

fn roll() -> impl Strategy<Value = Value> {
    let flaw = (0.0..150.0f64, 0.0..80.0f64, 0.1..30.0f64).prop_map(|(x, y, s)| {
        let far = (y + s).min(WIDTH);
        json!([[x, y], [x + s, y], [x + s, far], [x, far]])
    });
    let margins = prop_oneof![2 => Just([0.0, 0.0]), 1 => Just([2.0, 3.0])];
    (margins, prop_oneof![Just(0.0), Just(7.5)], prop::collection::vec(flaw, 0..3)).prop_map(
        |(edges, lead, flaws)| {
            json!({"width": WIDTH, "edge_margin": edges, "lead_margin": lead, "tail_margin": 2.0 * lead, "flaws": flaws})
        },
    )
}

/// The text of a job. Not all of them are sound: the reader has the say.
fn any_job() -> impl Strategy<Value = String> {
    let gap = prop_oneof![2 => Just(0.0), 1 => Just(0.01), 2 => Just(3.0), 1 => 0.0..40.0f64];
    (roll(), gap, prop::collection::vec(panel(), 1..7)).prop_map(|(roll, gap, mut panels)| {
        panels[0]["optional"] = false.into();
        for (k, panel) in panels.iter_mut().enumerate() {
            panel["id"] = format!("p{k}").into();
        }
        job_text(roll, gap, panels)
    })
}

fn config() -> ProptestConfig {
    let few = ProptestConfig { cases: CASES, rng_seed: RngSeed::Fixed(1), ..ProptestConfig::default() };
    let config = if std::env::var_os("PROPTEST_CASES").is_some() { ProptestConfig::default() } else { few };
    ProptestConfig { failure_persistence: None, max_shrink_iters: 200, ..config }
}

/// What is wrong with the layout of a job; nothing when the job itself cannot be met.
fn trouble(text: &str) -> Option<String> {
    let Ok(job) = parse(text) else { return None };
    let (layout, nested, faults) = match lay(&job, 1) {
        Ok(found) => found,
        Err(Error::Unmet(_)) => return None,
        Err(other) => return Some(format!("{other}")),
    };
    if !faults.is_empty() {
        return Some(format!("{faults:?}"));
    }
    let length = layout.measures.length;
    let bound = nested.lower_bound;
    (bound > length + layout.roll.tolerance()).then(|| format!("bound {bound} above the length {length}"))
}

/// Leaves the job where it can be nested again.
fn keep(text: &str) -> std::path::PathBuf {
    let path = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("random-job.json");
    std::fs::write(&path, text).unwrap();
    path
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn every_layout_of_a_random_job_passes_the_check(text in any_job()) {
        if let Some(what) = trouble(&text) {
            prop_assert!(false, "{what}\nthe job is in {}", keep(&text).display());
        }
    }
}

/// The test above is worth nothing if the reader refuses what it makes.
#[test]
fn most_random_jobs_are_sound() {
    use proptest::strategy::ValueTree;
    use proptest::test_runner::TestRunner;
    let mut runner =
        TestRunner::new(ProptestConfig { rng_seed: RngSeed::Fixed(2), ..ProptestConfig::default() });
    let sound =
        (0..200).filter(|_| parse(&any_job().new_tree(&mut runner).unwrap().current()).is_ok()).count();
    assert!(sound > 100, "{sound} of 200");
}

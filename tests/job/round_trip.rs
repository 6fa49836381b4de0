//! Files that are read, written and read again.

use std::path::{Path, PathBuf};
use tuckroll::job::{self, Job, LoadOptions};
use tuckroll::layout::{self, Layout, MadeBy, Measures, Placement};
use tuckroll::shape::Point;

/// The folder of reference instances, if it is there.
fn shared() -> Option<PathBuf> {
    let root = std::env::var_os("TUCKROLL_SHARED").map_or_else(|| PathBuf::from("../shared"), PathBuf::from);
    let folder = root.join("benchmarks");
    if !folder.is_dir() {
        eprintln!("skipped: no reference instances in {} (TUCKROLL_SHARED)", folder.display());
        return None;
    }
    Some(folder)
}

fn reread(job: &Job) -> Job {
    super::parse_text(&job::write(job)).unwrap()
}

/// Half a second for each piece, of a hundred pieces, is not nothing.
#[test]
fn working_time_is_kept_to_the_millisecond() {
    let mut file = super::sample();
    file["rates"]["labour"]["minutes_per_panel"] = serde_json::json!(0.008);
    let job = super::parse(&file).unwrap();
    let labour = |job: &Job| job.shop.rates.as_ref().and_then(|r| r.labour).unwrap();
    assert_eq!(labour(&job).panel.milliseconds, 480);
    assert_eq!(labour(&reread(&job)), labour(&job));
}

#[test]
fn every_reference_instance_parses_and_survives_writing() {
    let Some(folder) = shared() else { return };
    let mut read = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let is_job = path.extension().is_some_and(|e| e == "json") && !path.ends_with("published.json");
        if is_job {
            let job = job::load(&path, &LoadOptions::default()).unwrap_or_else(|e| panic!("{e}")).job;
            assert_eq!(reread(&job), job, "{}", path.display());
            read += 1;
        }
    }
    assert!(read > 20, "only {read} instances found");
}

#[test]
fn every_key_of_a_job_survives_writing() {
    let job = super::parse(&super::sample()).unwrap();
    assert_eq!(reread(&job), job);
    assert_eq!(job::write(&reread(&job)), job::write(&job));
}

#[test]
fn a_layout_survives_writing_to_the_last_digit() {
    let job = super::parse(&super::sample()).unwrap();
    let place = |i: usize, copy: u32| Placement {
        panel: i,
        copy,
        at: Point { x: 0.1 + 0.2 * copy as f64, y: f64::from(copy) / 3.0 - 1e-17 },
        rotation: 360.0 - 4e-14,
        mirrored: copy.is_multiple_of(2),
    };
    let layout = Layout {
        name: job.name.clone(),
        unit: job.unit,
        roll: job.roll.clone(),
        gap: job.gap,
        notes: job.notes.clone(),
        shop: job.shop.clone(),
        placements: (0..job.panels.len()).map(|i| place(i, i as u32 + 1)).collect(),
        panels: job.panels,
        measures: Measures {
            length: 1.0 / 3.0,
            panel_area: 1e-300,
            filler_area: 2.5e17,
            waste_percent: -0.0,
            density_percent: 99.9,
        },
        made_by: Some(MadeBy {
            version: "0.1.0".into(),
            seed: u64::MAX,
            walks: 8,
            rounds: u64::MAX - 1,
            stopped: "rounds".into(),
        }),
    };
    let text = layout::write(&layout);
    let back = layout::read(text.as_bytes(), "layout.json").unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(back, layout);
    assert_eq!(layout::write(&back), text);
}

#[test]
fn the_demo_day_loads_with_its_drawings_and_survives_writing() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/demo/day.json");
    let job = job::load(&path, &LoadOptions::default()).unwrap_or_else(|e| panic!("{e}")).job;
    assert!(job.panels.iter().map(|p| p.copies).sum::<u32>() >= 100);
    assert_eq!(reread(&job), job);
}

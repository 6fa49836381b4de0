//! `tuckroll panels`: from tape measure to cut file.

use crate::support::{names, run, tuckroll};
use serde_json::Value;
use std::path::{Path, PathBuf};

fn fixture(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/kits").join(name)
}

fn folder() -> tempfile::TempDir {
    tempfile::tempdir().unwrap()
}

#[test]
fn a_kit_becomes_patterns_a_job_and_a_sheet_and_the_job_a_cut_file() {
    let dir = folder();
    let patterns = dir.path().join("patterns");
    let args = |rest: &[&str]| -> Vec<std::ffi::OsString> {
        let mut list: Vec<std::ffi::OsString> =
            vec!["panels".into(), fixture("rocket.json").into(), "-o".into(), patterns.clone().into()];
        list.extend(rest.iter().map(Into::into));
        list
    };
    let ran = run(args(&["--width", "594"])).ends_with(0);
    assert!(ran.out.contains("nose/gore") && ran.out.contains("fits"), "{}", ran.out);
    assert_eq!(names(&patterns), ["job.json", "panels.dxf", "panels.json", "panels.svg", "sheet.html"]);
    run(args(&[])).ends_with(2).says(&["is there already", "--replace"]);
    run(args(&["--replace"])).ends_with(0).says(&["--width"]);
    assert!(!patterns.join("job.json").exists());
    run(args(&["--replace", "--width", "594"])).ends_with(0);
    let out = dir.path().join("out");
    let job = patterns.join("job.json");
    run([Path::new("nest"), &job, Path::new("-o"), &out, Path::new("--rounds"), Path::new("1")]).ends_with(0);
    run([Path::new("check"), &out.join("layout.json"), Path::new("--job"), &job]).ends_with(0);
}

/// The commands of the README's section, on the kit that it prints.
#[test]
fn the_path_of_the_readme_from_tape_measure_to_cut_file() {
    let readme = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")).unwrap();
    let section = readme.split("\n## ").find(|s| s.starts_with("From a tape measure")).unwrap();
    let kit = section.split("```json\n").nth(1).unwrap().split("```").next().unwrap();
    let dir = folder();
    std::fs::write(dir.path().join("nose.json"), kit).unwrap();
    let commands: Vec<&str> = section.lines().filter_map(|l| l.strip_prefix("    tuckroll ")).collect();
    assert_eq!(commands.len(), 2, "{commands:?}");
    for command in commands {
        let done = tuckroll().args(command.split_whitespace()).current_dir(dir.path()).output().unwrap();
        let said = String::from_utf8_lossy(&done.stdout);
        assert!(done.status.success(), "{command}: {}", String::from_utf8_lossy(&done.stderr));
        // What the README shows of the answer.
        if command.starts_with("panels") {
            let row = section.lines().find(|l| l.contains("nose/gore  ")).unwrap();
            assert!(said.contains(row.trim()), "{said}");
            assert!(said.contains("around by tape: nose 262.0 mm"), "{said}");
        }
    }
    let patterns = ["job.json", "panels.dxf", "panels.json", "panels.svg", "sheet.html"];
    assert_eq!(names(&dir.path().join("patterns")), patterns);
    let out = names(&dir.path().join("out"));
    assert!(out.iter().any(|name| name == "cut.dxf"), "{out:?}");
}

#[test]
fn names_of_kits_are_harmless_wherever_they_are_written() {
    let dir = folder();
    let kit = r#"{"format": "tuckroll-kit-1", "name": "<script>&\"'\u0007", "unit": "mm", "parts": [
        {"id": "<i>&", "kind": "tube", "diameter": 60, "length": 100}]}"#;
    let path = dir.path().join("k.json");
    std::fs::write(&path, kit).unwrap();
    let out = dir.path().join("p");
    run([Path::new("panels"), &path, Path::new("-o"), &out]).ends_with(2).says(&["name"]);
    std::fs::write(&path, kit.replace("\\u0007", "")).unwrap();
    let order = Path::new("--order");
    run([Path::new("panels"), &path, Path::new("-o"), &out, order, Path::new("../A<7>&")]).ends_with(0);
    for name in names(&out) {
        assert!(!name.contains(['<', '/', '&', '>']), "{name}");
        let text = std::fs::read_to_string(out.join(&name)).unwrap();
        if name.ends_with(".html") || name.ends_with(".svg") {
            assert!(!text.contains("<script>") && !text.contains("<i>&") && !text.contains("A<7>"), "{name}");
        }
    }
}

#[test]
fn a_script_gets_numbers() {
    let dir = folder();
    let out = dir.path().join("p");
    let ran = run([
        Path::new("panels"),
        &fixture("nose-ogive.json"),
        Path::new("-o"),
        &out,
        Path::new("--json"),
        Path::new("--order"),
        Path::new("A-7"),
    ])
    .ends_with(0);
    let said: Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(said["parts"][0]["panels"][0]["id"], "A-7/nose/gore");
    assert_eq!(said["parts"][0]["strain"]["verdict"], "fits");
    assert!(out.join("sheet-A-7.html").exists());
}

#[test]
fn film_and_width_may_be_told() {
    let dir = folder();
    let library = dir.path().join("films.json");
    let text = r#"{"format": "tuckroll-films-1", "films": [
        {"id": "stiff", "max_stretch": {"warn": 0.1, "stop": 0.2}, "max_shrink": {"warn": 0.1, "stop": 0.2}}]}"#;
    std::fs::write(&library, text).unwrap();
    let kit = fixture("nose-ogive.json");
    let with = |rest: &[&Path]| {
        let out = dir.path().join("p");
        let mut args: Vec<&Path> =
            vec![Path::new("panels"), &kit, Path::new("--replace"), Path::new("-o"), &out];
        args.extend(rest);
        run(args)
    };
    with(&[Path::new("--film"), &library]).ends_with(0);
    with(&[Path::new("--film"), &kit]).ends_with(2).says(&["expected \"tuckroll-films-1\""]);
    with(&[Path::new("--width"), Path::new("9")]).ends_with(1).says(&["gores", "9.0 mm"]);
    with(&[Path::new("--width"), Path::new("-9")]).ends_with(2);
    assert_eq!(names(dir.path()), ["films.json", "p"], "nothing else is left behind");
}

/// The library that a shop starts its own from is one that the program takes.
#[test]
fn the_shipped_films_can_be_printed_changed_and_used() {
    let dir = folder();
    let library = dir.path().join("films.json");
    let printed = run(["films"]).ends_with(0).out;
    std::fs::write(&library, printed.replacen("\"warn\": 10", "\"warn\": 1", 1)).unwrap();
    let kit = fixture("nose-ogive.json");
    let copies = |more: &[&Path]| {
        let out = dir.path().join("p");
        let mut args = vec![
            Path::new("panels"),
            &kit,
            Path::new("--json"),
            Path::new("--replace"),
            Path::new("-o"),
            &out,
        ];
        args.extend(more);
        let said: Value = serde_json::from_str(&run(args).ends_with(0).out).unwrap();
        said["parts"][0]["panels"][0]["copies"].as_u64().unwrap()
    };
    // A film that takes less takes more gores.
    assert!(copies(&[Path::new("--film"), &library]) > copies(&[]));
}

#[test]
fn what_is_no_kit_is_said_so() {
    let dir = folder();
    let job = dir.path().join("day.json");
    std::fs::write(&job, r#"{"format": "tuckroll-job-1"}"#).unwrap();
    let out = dir.path().join("p");
    run([Path::new("panels"), &job, Path::new("-o"), &out])
        .ends_with(2)
        .says(&["expected \"tuckroll-kit-1\""]);
    run([Path::new("nest"), &fixture("tube.json"), Path::new("-o"), &out])
        .ends_with(2)
        .says(&["this is a kit"]);
    run([Path::new("panels"), Path::new("none.json"), Path::new("-o"), &out])
        .ends_with(2)
        .says(&["no such file"]);
    assert!(!out.exists());
}

#[test]
fn the_schemas_of_kits_and_films_are_printed() {
    for (name, format) in [("kit", "tuckroll-kit-1"), ("films", "tuckroll-films-1")] {
        let ran = run(["schema", name]).ends_with(0);
        let schema: Value = serde_json::from_str(&ran.out).unwrap();
        assert_eq!(schema["properties"]["format"]["const"], format);
    }
    assert_eq!(tuckroll().args(["panels", "-h"]).output().unwrap().status.code(), Some(0));
}

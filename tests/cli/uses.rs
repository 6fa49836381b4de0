//! The commands that README and help show for the three uses run as they stand there.

use super::jobs::rectangles;
use crate::support::{Desk, Ran, run};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Runs the lines as one script that stops at the first failure.
fn script(desk: &Desk, lines: &[String]) -> Ran {
    let program = PathBuf::from(env!("CARGO_BIN_EXE_tuckroll"));
    let path = format!("{}:{}", program.parent().unwrap().display(), std::env::var("PATH").unwrap());
    let output = Command::new("bash")
        .args(["-c", &format!("set -euo pipefail\n{}", lines.join("\n"))])
        .env("PATH", path)
        .current_dir(desk.path("."))
        .stdin(Stdio::null())
        .output()
        .unwrap();
    Ran::of(&output)
}

#[test]
fn the_three_uses_of_the_readme_run() {
    let readme = fs::read_to_string(root().join("README.md")).unwrap();
    let section = readme.split("\n## Three uses\n").nth(1).unwrap().split("\n## ").next().unwrap();
    let lines: Vec<String> =
        section.lines().filter_map(|l| l.strip_prefix("    ")).map(str::to_owned).collect();
    assert!(lines.len() >= 5, "{lines:?}");
    let desk = Desk::new();
    std::os::unix::fs::symlink(root().join("fixtures"), desk.path("fixtures")).unwrap();
    script(&desk, &lines).ends_with(0);
    for made in [
        "out/report.html",
        "out/cut.dxf",
        "plotter/plan.json",
        "plotter/cut.plt",
        "again.json",
        "layout.json",
        "cut/cut.dxf",
        "which/compare.html",
    ] {
        assert!(desk.path(made).is_file(), "{made}");
    }
}

#[test]
fn the_examples_of_the_help_run() {
    let help = run(["--help"]).ends_with(0).out;
    let command = |l: &str| {
        let line = l.strip_prefix("  tuckroll ")?;
        Some(format!("tuckroll {}", line.split("   ").next().unwrap_or(line)))
    };
    let lines: Vec<String> = help.lines().filter_map(command).collect();
    assert!(lines.len() >= 5, "{lines:?}");
    let desk = Desk::new();
    desk.put("day.json", rectangles(30.0, 45.0, 4).to_string());
    desk.put("kit.json", fs::read(root().join("fixtures/kits/tube.json")).unwrap());
    desk.put("fin.dxf", fs::read(root().join("fixtures/demo/moon-fins.dxf")).unwrap());
    script(&desk, &lines).ends_with(0);
}

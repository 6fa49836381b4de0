//! Folders that hold something else under the names of our files: nothing waits, nothing fills the memory.

#![cfg(unix)]

use super::jobs::rectangles;
use crate::support::{Desk, Ran, names};
use std::fs;
use std::os::unix::fs::symlink;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// Runs with little memory, and ends the program when it takes long: it would wait for ever.
fn run_briefly(desk: &Desk, line: &str) -> Ran {
    let limited = "ulimit -v 4000000; exec \"$0\" \"$@\"";
    let mut child = Command::new("sh")
        .args(["-c", limited, env!("CARGO_BIN_EXE_tuckroll")])
        .args(line.split(' '))
        .current_dir(desk.path(""))
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let begun = Instant::now();
    while child.try_wait().unwrap().is_none() {
        if begun.elapsed() > Duration::from_secs(60) {
            child.kill().unwrap();
            child.wait().unwrap();
            panic!("{line}: waits");
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    Ran::of(&child.wait_with_output().unwrap())
}

/// A pipe that nobody fills, or a link to what never ends.
fn put_trap(at: &Path, pipe: bool) {
    let _ = fs::remove_file(at);
    if pipe {
        assert!(Command::new("mkfifo").arg(at).status().unwrap().success());
    } else {
        symlink("/dev/zero", at).unwrap();
    }
}

fn nested() -> Desk {
    let desk = Desk::new();
    desk.put("job.json", rectangles(30.0, 45.0, 4).to_string());
    desk.run(["nest", "job.json", "-o", "in", "--rounds", "0"]).ends_with(0);
    desk
}

#[test]
fn a_folder_that_is_to_be_replaced_is_looked_at_before_it_is_read() {
    for pipe in [true, false] {
        for name in ["summary.json", "plan.json", "layout.json", "report.json", "panels.json", "compare.json"]
        {
            let desk = nested();
            for place in ["out", "out/piece"] {
                fs::create_dir(desk.path(place)).unwrap();
                put_trap(&desk.path(place).join(name), pipe);
                for line in ["nest job.json -o out --rounds 0 --replace", "cut in -o out --replace"] {
                    run_briefly(&desk, line).ends_with(2).says(&["out", "no earlier result of this command"]);
                }
                fs::remove_file(desk.path(place).join(name)).unwrap();
            }
            assert_eq!(names(&desk.path("out")), ["piece"]);
        }
    }
}

#[test]
fn a_folder_that_is_read_is_looked_at_first() {
    for pipe in [true, false] {
        let desk = nested();
        fs::create_dir(desk.path("cells")).unwrap();
        fs::rename(desk.path("in"), desk.path("cells/01_job_seed-1")).unwrap();
        for name in ["layout.json", "summary.json"] {
            put_trap(&desk.path("cells/01_job_seed-1").join(name), pipe);
            for line in ["cut cells/01_job_seed-1 -o out", "compare --gather cells -o out"] {
                run_briefly(&desk, line).ends_with(2).says(&[name, "is not a file"]);
            }
        }
        assert_eq!(desk.names(), ["cells", "job.json"]);
    }
}

/// What a folder is asked for is a file, be it by a link: results may lie on another disk.
#[test]
fn a_layout_may_be_a_link_to_a_file() {
    let desk = nested();
    fs::create_dir(desk.path("linked")).unwrap();
    symlink("../in/layout.json", desk.path("linked/layout.json")).unwrap();
    run_briefly(&desk, "cut linked -o out").ends_with(0);
}

/// A list of millions of things would take gigabytes.
#[test]
fn a_summary_holds_no_more_than_any_json() {
    let desk = nested();
    let many = format!(
        r#"{{"format": "tuckroll-summary-1", "rolls": [], "left_out": [{}0]}}"#,
        "0,".repeat(tuckroll::json::MAX_VALUES)
    );
    desk.put("in/summary.json", many);
    run_briefly(&desk, "cut in -o out")
        .ends_with(2)
        .says(&["summary.json", &format!("more than {} values", tuckroll::json::MAX_VALUES)]);
    run_briefly(&desk, "nest job.json -o in --rounds 0 --replace")
        .ends_with(2)
        .says(&["it holds summary.json"]);
    desk.put("in/summary.json", r#"{"format": "tuckroll-summary-1", "rolls": 1, "left_out": []}"#);
    run_briefly(&desk, "cut in -o out").ends_with(2).says(&["summary.json", "no summary"]);
}

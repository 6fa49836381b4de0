//! The command as a stage of a pipeline.

use super::jobs::busy;
use crate::support::{Desk, Ran, names, run};
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

#[test]
fn the_how_to_for_pipelines_runs() {
    let desk = Desk::new();
    let kit = root().join("fixtures/kits/rocket.json");
    let output = Command::new(root().join("scripts/pipeline.sh"))
        .args([kit.as_os_str(), "594".as_ref(), desk.path("day").as_os_str()])
        .env("TUCKROLL", env!("CARGO_BIN_EXE_tuckroll"))
        .env("ROUNDS", "1")
        .stdin(Stdio::null())
        .output()
        .unwrap();
    let ran = Ran::of(&output).ends_with(0);
    let waste: f64 =
        ran.out.trim().strip_prefix("waste ").unwrap().strip_suffix(" %").unwrap().parse().unwrap();
    assert!(waste > 0.0 && waste < 100.0, "{}", ran.out);
    assert!(names(&desk.path("day/cut")).contains(&"cut.dxf".to_owned()));
}

#[test]
fn a_stage_that_fails_ends_the_pipeline() {
    let desk = Desk::new();
    let kit = desk.put("kit.json", "{}");
    let output = Command::new(root().join("scripts/pipeline.sh"))
        .args([kit.as_os_str(), "594".as_ref(), desk.path("day").as_os_str()])
        .env("TUCKROLL", env!("CARGO_BIN_EXE_tuckroll"))
        .stdin(Stdio::null())
        .output()
        .unwrap();
    Ran::of(&output).ends_with(2).says(&["kit.json"]);
    assert!(!desk.path("day/cut").exists());
}

#[test]
fn panels_go_into_a_pipe_as_a_job() {
    let kit = root().join("fixtures/kits/tube.json");
    let desk = Desk::new();
    let job = desk.run([
        "panels".as_ref(),
        kit.as_os_str(),
        "-o".as_ref(),
        "-".as_ref(),
        "--width".as_ref(),
        "594".as_ref(),
    ]);
    let job: serde_json::Value = serde_json::from_str(&job.ends_with(0).out).unwrap();
    assert_eq!((&job["format"], &job["roll"]["width"]), (&"tuckroll-job-1".into(), &594.0.into()));
    let kit = kit.to_str().unwrap();
    run(["panels", kit, "-o", "-"]).ends_with(2).says(&["--width"]);
    run(["panels", kit, "-o", "-", "--width", "594", "--json"]).ends_with(2).says(&["--json"]);
    assert!(desk.names().is_empty());
}

#[test]
fn a_trace_tells_how_the_layout_grew_shorter() {
    let desk = Desk::new();
    desk.put("job.json", busy().to_string());
    let nest = ["nest", "job.json", "-o", "out", "--rounds", "4", "--trace", "t.csv"];
    desk.run(nest).ends_with(0);
    let text = fs::read_to_string(desk.path("t.csv")).unwrap();
    let mut lines = text.lines();
    assert_eq!(lines.next(), Some("seconds,length,density"));
    let rows: Vec<Vec<f64>> = lines.map(|l| l.split(',').map(|n| n.parse().unwrap()).collect()).collect();
    assert!(!rows.is_empty());
    for pair in rows.windows(2) {
        assert!(pair[0][0] <= pair[1][0] && pair[0][1] >= pair[1][1] && pair[0][2] <= pair[1][2], "{text}");
    }
    let layout: serde_json::Value =
        serde_json::from_slice(&fs::read(desk.path("out/layout.json")).unwrap()).unwrap();
    let last = rows.last().unwrap();
    assert!((last[1] - layout["length"].as_f64().unwrap()).abs() < 1e-4, "{text}");
    assert!((last[2] - layout["density_percent"].as_f64().unwrap()).abs() < 1e-4, "{text}");
    desk.run(nest).ends_with(2).says(&["there already"]);
    desk.run(nest.iter().chain(&["--replace"])).ends_with(0);
    desk.run(["nest", "job.json", "-o", "o2", "--rounds", "1", "--trace", "job.json", "--replace"])
        .ends_with(2)
        .says(&["job.json", "no trace"]);
}

/// Files are for the others in the shop, too, as far as the user's mask lets them (POSIX.1-2017, `umask`).
#[cfg(unix)]
#[test]
fn a_trace_and_a_job_made_anew_are_files_like_any_other() {
    use std::os::unix::fs::PermissionsExt;
    let desk = Desk::new();
    desk.put("job.json", busy().to_string());
    desk.run(["nest", "job.json", "-o", "out", "--rounds", "0", "--trace", "t.csv"]).ends_with(0);
    desk.run(["recut", "out/layout.json", "--panel", "wedge 0#1", "-o", "again.json"]).ends_with(0);
    let mode = |name: &str| fs::metadata(desk.path(name)).unwrap().permissions().mode();
    assert_eq!([mode("t.csv"), mode("again.json")], [mode("job.json"); 2]);
}

#[test]
fn a_trace_in_the_place_of_the_result_is_refused_before_the_search() {
    let desk = Desk::new();
    desk.put("job.json", busy().to_string());
    let nest = |trace: &str| {
        desk.run(["nest", "job.json", "-o", "out", "--rounds", "0", "--replace", "--trace", trace])
    };
    for trace in ["out", "./out", "out/."] {
        nest(trace).ends_with(2).says(&["--trace", "folder of the result"]);
    }
    nest("-").ends_with(2).says(&["--trace", "standard output"]);
    assert_eq!(desk.names(), ["job.json"]);
    desk.run(["nest", "job.json", "-o", "out", "--rounds", "0"]).ends_with(0);
    nest("out/t.csv").ends_with(2).says(&["out/t.csv", "outside"]);
    nest("out.csv").ends_with(0);
}

#[test]
fn completions_name_every_command_and_option() {
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let script = run(["completions", shell]).ends_with(0).out;
        for word in ["nest", "outlines", "keep-what-fits", "chord-tolerance"] {
            assert!(script.contains(word), "{shell}: {word}");
        }
    }
}

#[test]
fn the_shell_takes_the_completions() {
    let script = run(["completions", "bash"]).ends_with(0).out;
    let ask = "\nCOMP_WORDS=(tuckroll nest --keep) COMP_CWORD=2\n_tuckroll tuckroll --keep nest\nprintf '%s\\n' \"${COMPREPLY[@]}\"";
    let output = Command::new("bash").args(["-c", &(script + ask)]).output().unwrap();
    assert_eq!(Ran::of(&output).ends_with(0).out, "--keep-what-fits\n");
}

#[test]
fn the_manual_has_a_page_for_the_program_and_for_each_command() {
    let page = run(["man"]).ends_with(0).out;
    for said in [".TH tuckroll 1", "Exit codes", "tuckroll\\-nest(1)"] {
        assert!(page.contains(said), "{said}: {page}");
    }
    let page = run(["man", "nest"]).ends_with(0).out;
    for said in [".TH tuckroll-nest 1", "\\-\\-keep\\-what\\-fits", "same number gives the same result"] {
        assert!(page.contains(said), "{said}: {page}");
    }
    run(["man", "sing"]).ends_with(2).says(&["no command", "nest"]);
}

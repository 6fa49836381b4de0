//! What is typed: help, version, slips of the finger.

use crate::support::{run, tuckroll};
use std::process::Stdio;

const COMMANDS: [&str; 14] = [
    "nest",
    "check",
    "outlines",
    "panels",
    "export",
    "cut",
    "films",
    "stock",
    "recut",
    "report",
    "compare",
    "schema",
    "completions",
    "man",
];

#[test]
fn without_arguments_it_shows_help_and_fails() {
    let ran = run::<&str>([]).ends_with(2).says(&["Usage:"]).says(&COMMANDS);
    assert_eq!(ran.out, "");
}

#[test]
fn help_goes_to_standard_output() {
    for args in [&["--help"][..], &["-h"], &["nest", "--help"], &["check", "-h"], &["outlines", "--help"]] {
        let ran = run(args).ends_with(0);
        assert!(ran.out.contains("Usage:") && ran.err.is_empty(), "{args:?}");
    }
}

#[test]
fn every_option_is_explained() {
    for command in COMMANDS {
        let ran = run([command, "--help"]).ends_with(0);
        let lines: Vec<&str> = ran.out.lines().collect();
        for (i, line) in lines.iter().enumerate().filter(|(_, l)| is_option(l)) {
            let told =
                line.trim_start().contains("  ") || lines.get(i + 1).is_some_and(|l| l.starts_with("      "));
            assert!(told, "{command}: nothing said about {line}");
        }
    }
}

fn is_option(line: &str) -> bool {
    let line = line.trim_start();
    line.starts_with('-') && !line.starts_with("- ")
}

#[test]
fn the_version_is_the_package_version() {
    assert_eq!(run(["--version"]).ends_with(0).out, concat!("tuckroll ", env!("CARGO_PKG_VERSION"), "\n"));
}

#[test]
fn slips_of_the_finger_are_usage_errors() {
    for args in [
        &["nset"][..],
        &["nest"],
        &["nest", "a.json"],
        &["nest", "a.json", "-o", "out", "--time", "soon"],
        &["nest", "a.json", "-o", "out", "--time", "1s", "--rounds", "1"],
        &["nest", "a.json", "-o", "out", "--threads", "0"],
        &["nest", "a.json", "-o", "out", "--seed", "-1"],
        &["nest", "a.json", "-o", "out", "--cut-unit", "cm"],
        &["nest", "a.json", "-o", "out", "--dxf", "r9"],
        &["outlines", "a.dxf", "--unit", "m"],
        &["outlines", "a.dxf", "--chord-tolerance", "0"],
        &["schema", "all"],
        &["check"],
    ] {
        let ran = run(args).ends_with(2).says(&["error:"]);
        assert_eq!(ran.out, "", "{args:?}");
    }
}

#[test]
fn scripts_are_told_of_wrong_words_in_json() {
    for (words, what, remedy) in [
        ("nest a.json --json", "--out <DIR>", "--help"),
        ("nest a.json -o x --json --sed 1", "unexpected argument '--sed' found", "'--seed'"),
        ("check --json", "<LAYOUT.json>", "--help"),
        ("nest a.json -o x --json --gap much", "write a number", "--help"),
    ] {
        let ran = run(words.split(' ')).ends_with(2).says(&["error:"]);
        let told: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
        assert_eq!(told["exit_code"], 2);
        let problem = &told["problems"][0];
        assert!(problem["what"].as_str().unwrap().contains(what), "{words}: {told}");
        assert!(problem["remedy"].as_str().unwrap().contains(remedy), "{words}: {told}");
        assert!(!problem["what"].as_str().unwrap().contains("Usage"), "{told}");
    }
}

#[test]
fn standard_input_is_read_once() {
    for args in ["check - --job -", "recut - --into - --kit a", "panels - --film - -o out"] {
        run(args.split(' ')).ends_with(2).says(&["standard input: '-' is given for two inputs"]);
    }
}

#[test]
fn help_into_a_closed_pipe_is_quiet() {
    let mut child = tuckroll().arg("--help").stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert!(output.stderr.is_empty());
}

#[test]
fn a_hostile_word_does_not_reach_the_terminal_raw() {
    let ran = run(["\u{1b}[2Jnest\u{9b}"]).ends_with(2);
    assert!(!ran.err.contains('\u{1b}') && !ran.err.contains('\u{9b}'), "{:?}", ran.err);
}

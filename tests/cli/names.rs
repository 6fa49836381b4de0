//! Hostile names, carried through everything that is written and said: each file stays well-formed, and a name
//! stays a name.

use super::jobs::busy;
use crate::support::{Desk, Ran};
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};
use tuckroll::read::{ReadOptions, read};

/// Markup, spreadsheet formulas, plotter commands, DXF groups, format strings, paths, long words.
const PRINTABLE: [&str; 11] = [
    "<script>alert(1)</script>",
    "\"><img src=x onerror=alert(1)>",
    "</title></style></script><svg onload=alert(1)>",
    "=cmd|' /C calc'!A0",
    "@SUM(A1)",
    "]]>&lt;&#0;<!ENTITY x SYSTEM \"file:///etc/passwd\">",
    "x;PU0,0;PD9,9;IN;LBx",
    "  0 EOF",
    "%n%s{}{0}$(id)`id`",
    "../../etc/passwd",
    "Größe 日本 🚀",
];

/// What steers a terminal, breaks a line, or turns the order of what is read.
const UNPRINTABLE: [&str; 6] =
    ["a\u{1b}[2Jb", "a\u{9b}31mb", "a\u{202e}gpj", "a\n  0\nEOF\n", "a\u{3}LBb", "a\u{2066}b\u{2069}"];

/// A job that carries `name` wherever a name may stand. One panel comes from a drawing, on a layer of that name.
fn job(name: &str) -> Value {
    let outline = json!([[0, 0], [90, 0], [90, 40], [0, 40]]);
    json!({
        "format": "tuckroll-job-1", "name": name, "source": name, "unit": "mm", "notes": { name: [name] },
        "roll": { "width": 610, "edge_margin": 12, "lead_margin": 40, "tail_margin": 40,
                  "price": { "amount": "4", "per": "m" } },
        "rates": { "currency": "EUR" },
        "gap": 2,
        "panels": [
            { "id": name.trim(), "kit": name.trim(), "match": name.trim(), "copies": 2, "outline": outline },
            { "id": format!("drawn {name}"), "kit": format!("k {name}"), "file": "art.svg" },
        ],
        "kits": [{ "id": format!("order {name}"), "file": "plate.json" }],
    })
}

fn desk(name: &str) -> Desk {
    let desk = Desk::new();
    let text: String = name.chars().map(|c| format!("&#{};", u32::from(c))).collect();
    let shown = if name.chars().any(|c| c < ' ') { "x" } else { text.as_str() };
    desk.put(
        "art.svg",
        format!(
            "<svg xmlns='http://www.w3.org/2000/svg' width='90mm' height='60mm' viewBox='0 0 90 60'>\
             <title>{shown}</title><g id='{shown}'><rect id='{shown}' width='80' height='50'/></g></svg>"
        ),
    );
    let kit = json!({ "format": "tuckroll-kit-1", "name": name, "unit": "mm", "parts": [
        { "id": "lid", "kind": "plate", "outline": [[0, 0], [70, 0], [70, 30], [0, 30]] } ] });
    desk.put("plate.json", kit.to_string());
    desk.put("job.json", job(name).to_string());
    desk
}

/// Everything the program makes of the job.
fn all_commands(desk: &Desk) -> Vec<Ran> {
    let lines = [
        "outlines art.svg",
        "nest job.json -o out --rounds 0 --png",
        "nest job.json -o out --rounds 0 --json --replace",
        "check out/layout.json --job job.json",
        "export out/layout.json -o again --dxf r2010",
        "report out/layout.json -o report",
        "cut out/layout.json -o plot --marks",
        "compare job.json -o which --gap 1,2 --seeds 1-2 --rounds 0",
        "panels plate.json --width 500 -o patterns",
    ];
    lines.iter().map(|line| desk.run(line.split(' '))).collect()
}

fn files(dir: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(dir).unwrap().map(|e| e.unwrap().path());
    entries.flat_map(|p| if p.is_dir() { files(&p) } else { vec![p] }).collect()
}

/// Characters that a terminal or an editor obeys instead of showing them.
fn steers(c: char) -> bool {
    c.is_control() && !"\n\r".contains(c)
        || ('\u{202a}'..='\u{202e}').contains(&c)
        || ('\u{2066}'..='\u{2069}').contains(&c)
}

#[track_caller]
fn check_said(ran: &Ran, name: &str) {
    let said = format!("{}{}", ran.out, ran.err);
    assert!(!said.chars().any(steers), "{name:?}: {said:?}");
    assert!(!said.contains("\n  0\n") && !said.contains("panicked"), "{name:?}: {said}");
}

#[track_caller]
fn check_file(path: &Path, name: &str) {
    let bytes = fs::read(path).unwrap();
    let at = format!("{} with {name:?}", path.display());
    let kind = path.extension().unwrap().to_str().unwrap();
    if kind == "png" {
        return;
    }
    let text = String::from_utf8(bytes.clone()).unwrap_or_else(|_| panic!("{at}: not UTF-8"));
    assert!(kind == "json" || !text.chars().any(steers), "{at}");
    match kind {
        "json" => {
            serde_json::from_str::<Value>(&text).unwrap_or_else(|e| panic!("{at}: {e}"));
        }
        "svg" => {
            let tree = roxmltree::Document::parse(&text).unwrap_or_else(|e| panic!("{at}: {e}"));
            assert!(tree.descendants().all(|n| n.tag_name().name() != "script"), "{at}");
            assert!(
                tree.descendants().flat_map(|n| n.attributes()).all(|a| !a.name().starts_with("on")),
                "{at}"
            );
        }
        "html" => {
            let scripts = text.matches("<script").count();
            assert!(scripts <= 1 && scripts == text.matches("</script").count(), "{at}");
            assert!(!text.contains("<img") && !text.contains("<svg onload") && !text.contains("<!E"), "{at}");
            assert_eq!(text.matches("<title").count(), text.matches("</title").count(), "{at}");
        }
        "csv" => check_csv(&text, &at),
        "dxf" => check_dxf(&bytes, &text, &at),
        "plt" => {
            let plain = |c: char| c.is_ascii_uppercase() || c.is_ascii_digit() || ";,.-\n".contains(c);
            assert!(text.chars().all(plain), "{at}: {text:?}");
        }
        other => panic!("{at}: what is a file of kind {other}?"),
    }
}

/// No cell that is no number begins as a formula does.
#[track_caller]
fn check_csv(text: &str, at: &str) {
    let mut table = csv::Reader::from_reader(text.as_bytes());
    let rows: Vec<csv::StringRecord> =
        table.records().map(|r| r.unwrap_or_else(|e| panic!("{at}: {e}"))).collect();
    assert!(!rows.is_empty(), "{at}");
    for cell in rows.iter().flatten() {
        let formula = cell.trim_start().starts_with(['=', '+', '-', '@']) && cell.parse::<f64>().is_err();
        assert!(!formula, "{at}: {cell:?}");
    }
}

/// Pairs of a group code and a value, one end of file, and outlines that are read again.
#[track_caller]
fn check_dxf(bytes: &[u8], text: &str, at: &str) {
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines.len() % 2, 0, "{at}");
    for pair in lines.chunks(2) {
        assert!(pair[0].trim().parse::<u16>().is_ok(), "{at}: {pair:?}");
    }
    assert_eq!(lines.chunks(2).filter(|p| p[0].trim() == "0" && p[1] == "EOF").count(), 1, "{at}");
    let drawing = read(bytes, "cut.dxf", &ReadOptions::default()).unwrap_or_else(|e| panic!("{at}: {e}"));
    assert!(!drawing.found.is_empty(), "{at}");
}

/// Loops of drawn letters are smaller than this, panels larger.
const LETTERS: f64 = 1000.0;

/// The plotter file without the hash of the layout, and the areas in the cut file.
fn cuts(desk: &Desk) -> (String, Vec<f64>) {
    let plot = fs::read_to_string(desk.path("plot/cut.plt")).unwrap();
    let drawing =
        read(&fs::read(desk.path("out/cut.dxf")).unwrap(), "cut.dxf", &ReadOptions::default()).unwrap();
    (plot, drawing.found.iter().map(|f| f.region.area()).filter(|a| *a > LETTERS).collect())
}

#[test]
fn printable_names_stay_names_in_every_file() {
    let plain = desk("plain");
    all_commands(&plain).into_iter().for_each(|ran| drop(ran.ends_with(0)));
    let long = "W".repeat(180);
    for name in PRINTABLE.into_iter().chain([long.as_str()]) {
        let desk = desk(name);
        for ran in all_commands(&desk) {
            check_said(&ran, name);
            ran.ends_with(0);
        }
        for file in files(&desk.path("")).iter().filter(|f| f.parent() != Some(&desk.path(""))) {
            check_file(file, name);
        }
        let (plot, areas) = cuts(&desk);
        let (plain_plot, plain_areas) = cuts(&plain);
        assert_eq!(plot, plain_plot, "{name:?} changes what the plotter is told");
        assert_eq!(areas, plain_areas, "{name:?}");
    }
}

#[test]
fn names_that_steer_are_refused_or_tamed() {
    for name in UNPRINTABLE {
        let desk = desk(name);
        for ran in all_commands(&desk) {
            check_said(&ran, name);
            assert_ne!(ran.code, Some(4), "{name:?}: {}", ran.err);
        }
        // As names of panels they are refused; as the title of the job some are not.
        let mut titled = busy();
        titled["name"] = json!(name);
        titled["panels"].as_array_mut().unwrap().truncate(1);
        desk.put("job.json", titled.to_string());
        for ran in all_commands(&desk) {
            check_said(&ran, name);
        }
        for file in files(&desk.path("")).iter().filter(|f| f.parent() != Some(&desk.path(""))) {
            check_file(file, name);
        }
    }
}

#[test]
fn file_names_that_steer_are_tamed() {
    for name in ["a\u{1b}[2J.json", "a\nb.json", "a\u{202e}gpj.json", "<b>.json"] {
        let desk = Desk::new();
        for content in ["{", "{}", &busy().to_string()] {
            desk.put(name, content);
            for command in ["nest", "check", "outlines", "report", "cut"] {
                let ran = desk.run([command, name, "-o", "out", "--rounds", "0"]);
                check_said(&ran, name);
            }
            let ran = desk.run(["nest", name, "-o", &format!("{name}.out"), "--rounds", "0"]);
            check_said(&ran, name);
        }
    }
}

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
const UNPRINTABLE: [&str; 9] = [
    "a\u{1b}[2Jb",
    "a\u{9b}31mb",
    "a\u{202e}gpj",
    "a\n  0\nEOF\n",
    "a\u{3}LBb",
    "a\u{2066}b\u{2069}",
    "a\u{2028}b",
    "a\u{7f}b\u{85}",
    "a\u{200f}b\u{61c}",
];

/// Names of currencies are short.
fn currency(name: &str) -> String {
    name.trim().chars().take(12).collect()
}

/// A part's id has no slash: panels are called KIT/PART/PANEL, which must not be too long in all.
fn part(name: &str) -> String {
    let plain = name.trim().replace('/', "|");
    if plain.len() > 100 { "part".to_owned() } else { plain }
}

/// A job that carries `name` wherever a name may stand. One panel comes from an SVG, one from the layer of that name
/// of a DXF.
fn job(name: &str) -> Value {
    let outline = json!([[0, 0], [90, 0], [90, 40], [0, 40]]);
    json!({
        "format": "tuckroll-job-1", "name": name, "source": name, "unit": "mm", "notes": { name: [name] },
        "roll": { "width": 610, "edge_margin": 12, "lead_margin": 40, "tail_margin": 40,
                  "price": { "amount": "4", "per": "m" } },
        "rates": { "currency": currency(name), "ink": { "amount": "2", "per": "m2" } },
        "gap": 2,
        "films": "films.json",
        "panels": [
            { "id": name.trim(), "kit": name.trim(), "match": name.trim(), "copies": 2, "outline": outline },
            { "id": format!("drawn {name}"), "kit": format!("k {name}"), "file": "art.svg" },
            { "id": format!("on a layer {name}"), "file": "layers.dxf", "layer": name.trim() },
        ],
        "kits": [{ "id": format!("order {name}"), "file": "kit.json" }],
    })
}

/// A job whose film comes from a stock, both full of the name.
fn day(name: &str) -> [(&'static str, Value); 2] {
    let price = json!({ "amount": "4", "per": "m" });
    let outline = json!([[0, 0], [90, 0], [90, 40], [0, 40]]);
    let stock = json!({
        "format": "tuckroll-stock-1", "unit": "mm", "notes": { name: [name] }, "keep": { "length": 30, "width": 20 },
        "rolls": [{ "id": "r-1", "width": 200, "length": 900, "film": name.trim(), "price": price }],
    });
    let job = json!({
        "format": "tuckroll-job-1", "name": name, "source": name, "unit": "mm", "notes": { name: [name] },
        "stock": "stock.json", "gap": 2, "rates": { "currency": currency(name) },
        "panels": [{ "id": name.trim(), "kit": name.trim(), "film": name.trim(), "copies": 3, "outline": outline }],
    });
    [("day.json", job), ("stock.json", stock)]
}

/// A rectangle on the layer of that name.
fn drawing(layer: &str) -> String {
    let corners = [(0, 0), (70, 0), (70, 25), (0, 25)];
    let points: String = corners.iter().map(|(x, y)| format!("10\n{x}.0\n20\n{y}.0\n")).collect();
    format!(
        "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1024\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n\
         0\nLWPOLYLINE\n8\n{layer}\n90\n4\n70\n1\n{points}0\nENDSEC\n0\nEOF\n"
    )
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
    desk.put("layers.dxf", drawing(if name.contains('\n') { "x" } else { name.trim() }));
    let kit = json!({ "format": "tuckroll-kit-1", "name": name, "unit": "mm", "films": "films.json", "parts": [
        { "id": part(name), "kind": "plate", "outline": [[0, 0], [70, 0], [70, 30], [0, 30]] },
        { "id": format!("t {}", part(name)), "kind": "tube", "diameter": 20, "length": 60, "film": name.trim() } ] });
    desk.put("kit.json", kit.to_string());
    let limit = json!({ "warn": 5, "stop": 10 });
    let film =
        json!({ "id": name.trim(), "name": name, "source": name, "max_stretch": limit, "max_shrink": limit });
    let films = json!({ "format": "tuckroll-films-1", "films": [film], "notes": { name: [name] } });
    desk.put("films.json", films.to_string());
    let device = json!({ "format": "tuckroll-device-1", "name": name, "unit_mm": 0.025, "largest": 999_999 });
    desk.put("device.json", device.to_string());
    desk.put("job.json", job(name).to_string());
    for (file, value) in day(name) {
        desk.put(file, value.to_string());
    }
    for folder in ["cells", "made"] {
        fs::create_dir(desk.path(folder)).unwrap();
    }
    desk
}

/// Everything the program makes of the jobs.
fn all_commands(desk: &Desk, name: &str) -> Vec<Ran> {
    let lines = [
        "outlines art.svg",
        "outlines layers.dxf",
        "outlines layers.dxf --json",
        "nest job.json -o out --rounds 0 --png",
        "nest job.json -o out --rounds 0 --json --replace",
        "nest job.json -o - --rounds 0",
        "check out/layout.json --job job.json",
        "export out/layout.json -o again --dxf r2010",
        "report out/layout.json -o report --device device.json",
        "report out/layout.json -o -",
        "cut out/layout.json -o plot --marks",
        "cut out/layout.json -o plot/device --device device.json --json",
        "compare job.json -o which --gap 1,2 --seeds 1-2 --rounds 0",
        "compare job.json -o cells --seeds 1 --rounds 0 --list",
        "nest job.json -o cells/01_job_seed-1 --rounds 0",
        "compare --gather cells -o gathered --json",
        "panels kit.json --width 500 -o patterns",
        "panels kit.json --width 500 -o - --film films.json",
        "recut out/layout.json -o made/again.json --kit NAME",
        "recut out/layout.json --panel NAME#2",
        "nest made/again.json -o recut --rounds 0",
        "nest day.json -o day --rounds 0",
        "cut day -o cuts",
        "stock confirm day/r-1/layout.json",
        "stock confirm day/r-1/layout.json --json",
    ];
    let word = |w: &str| w.replace("NAME", name.trim());
    lines.iter().map(|line| desk.run(line.split(' ').map(word))).collect()
}

fn files(dir: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(dir).unwrap().map(|e| e.unwrap().path());
    entries.flat_map(|p| if p.is_dir() { files(&p) } else { vec![p] }).collect()
}

/// Characters that a terminal or an editor obeys instead of showing them.
fn steers(c: char) -> bool {
    c.is_control() && !"\n\r".contains(c)
        || "\u{61c}\u{200e}\u{200f}\u{2028}\u{2029}".contains(c)
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
    assert!(!text.chars().any(steers), "{at}");
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

fn value(desk: &Desk, file: &str) -> Value {
    serde_json::from_slice(&fs::read(desk.path(file)).unwrap()).unwrap()
}

/// Everything that was written, into folders all of it.
#[track_caller]
fn check_written(desk: &Desk, name: &str) {
    for file in files(&desk.path("")).iter().filter(|f| f.parent() != Some(&desk.path(""))) {
        check_file(file, name);
    }
}

/// To be harmless is not to be lost: what others read holds the very names.
#[track_caller]
fn names_are_still_there(desk: &Desk, name: &str) {
    assert_eq!(value(desk, "out/layout.json")["panels"][0]["id"], name.trim());
    assert_eq!(value(desk, "out/layout.json")["rates"]["currency"], currency(name));
    assert_eq!(value(desk, "day/summary.json")["name"], name);
    assert_eq!(value(desk, "day/summary.json")["rolls"][0]["film"], name.trim());
    assert_eq!(value(desk, "stock.json")["rolls"][0]["film"], name.trim());
    assert_eq!(value(desk, "made/again.json")["panels"][0]["kit"], name.trim());
    assert_eq!(value(desk, "which/compare.json")["name"], name);
}

/// The name in all that is only carried along, and in titles where it may stand there.
fn carried_along(desk: &Desk, name: &str) {
    let title = if name.contains(char::is_control) { "plain" } else { name };
    let mut values = vec![("job.json", job("plain"))];
    values.extend(day("plain"));
    for (file, value) in &mut values {
        value["notes"] = json!({ name: [name] });
        if *file != "stock.json" {
            value["name"] = json!(title);
            value["source"] = json!(title);
            value["rates"]["currency"] = json!(currency(title));
        }
        desk.put(file, value.to_string());
    }
    let plain = self::desk("plain");
    for (file, place) in [("kit.json", ""), ("films.json", "/films/0"), ("device.json", "")] {
        let mut value = value(&plain, file);
        value.pointer_mut(place).unwrap()["name"] = json!(title);
        if file == "films.json" {
            value["films"][0]["source"] = json!(title);
        }
        desk.put(file, value.to_string());
    }
    desk.put("layers.dxf", drawing("plain"));
}

#[test]
fn printable_names_stay_names_in_every_file() {
    let plain = desk("plain");
    all_commands(&plain, "plain").into_iter().for_each(|ran| drop(ran.ends_with(0)));
    let long = "W".repeat(180);
    for name in PRINTABLE.into_iter().chain([long.as_str()]) {
        let desk = desk(name);
        for ran in all_commands(&desk, name) {
            check_said(&ran, name);
            ran.ends_with(0);
        }
        check_written(&desk, name);
        check_file(&desk.path("stock.json"), name);
        names_are_still_there(&desk, name);
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
        for ran in all_commands(&desk, name) {
            check_said(&ran, name);
            assert_ne!(ran.code, Some(4), "{name:?}: {}", ran.err);
        }
        check_written(&desk, name);
        // As names of panels they are refused; in notes all are carried along, and as titles those that are no controls.
        carried_along(&desk, name);
        for ran in all_commands(&desk, "plain") {
            check_said(&ran, name);
            ran.ends_with(0);
        }
        check_written(&desk, name);
        check_file(&desk.path("stock.json"), name);
        for file in
            ["out/layout.json", "again/layout.json", "made/again.json", "day/r-1/layout.json", "stock.json"]
        {
            assert_eq!(value(&desk, file)["notes"], json!({ name: [name] }), "{name:?} in {file}");
        }
    }
}

/// What is written is read again: ids that are put together are no longer than others.
#[test]
fn names_that_become_too_long_are_refused() {
    let desk = desk("plain");
    for length in [90, 120] {
        let mut job = job("plain");
        job["kits"][0]["id"] = json!("K".repeat(100));
        desk.put("job.json", job.to_string());
        let kit = fs::read_to_string(desk.path("kit.json")).unwrap();
        let mut kit: Value = serde_json::from_str(&kit).unwrap();
        kit["parts"][0]["id"] = json!("p".repeat(length));
        desk.put("kit.json", kit.to_string());
        let ran = desk.run(["nest", "job.json", "-o", "out", "--rounds", "0"]);
        if length == 90 {
            ran.ends_with(0);
            desk.run(["check", "out/layout.json", "--job", "job.json"]).ends_with(0);
            fs::remove_dir_all(desk.path("out")).unwrap();
        } else {
            ran.ends_with(2).says(&["characters; 200", "shorten"]);
        }
    }
}

/// Folders that a comparison gathers from are named by whoever made them.
#[test]
fn folders_that_compare_did_not_name_are_passed_over() {
    let desk = desk("plain");
    desk.run(["nest", "job.json", "-o", "cells/01_job_seed-1", "--rounds", "0"]).ends_with(0);
    for cell in
        ["02_a\u{1b}[2J-1_seed-1", "02_gap-\u{202e}1_seed-2", "02_<img src=x>-1_seed-3", "02_=1+1-1_seed-4"]
    {
        fs::create_dir(desk.path("cells").join(cell)).unwrap();
        fs::copy(
            desk.path("cells/01_job_seed-1/layout.json"),
            desk.path("cells").join(cell).join("layout.json"),
        )
        .unwrap();
    }
    let ran = desk.run(["compare", "--gather", "cells", "-o", "gathered"]).ends_with(0);
    check_said(&ran, "cells");
    ran.says(&["passed over 4 other files"]);
    files(&desk.path("gathered")).iter().for_each(|file| check_file(file, "cells"));
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
            let ran = desk.run(["compare", name, "-o", name, "--list"]);
            check_said(&ran, name);
        }
    }
}

//! The page holds what it should, and nothing of a layout's text gets loose in it.

use super::report_html;
use crate::layout::{self, Layout};
use crate::report::{Circumstances, report};
use crate::{Warning, write};

const HOSTILE: &str = "</script><img src=x onerror=alert(1)>\"'=1+1";

fn layout() -> Layout {
    named(HOSTILE)
}

fn named(name: &str) -> Layout {
    let text = format!(
        r#"{{"format": "tuckroll-layout-1", "name": "{name}", "unit": "mm", "roll": {{"width": 100}}, "gap": 1,
            "panels": [{{"id": "a{name}", "kit": "={name}", "copies": 2, "outline": [[0, 0], [10, 0], [10, 30], [0, 30]]}},
                       {{"id": "f", "optional": true, "outline": [[0, 0], [5, 0], [5, 5]]}}],
            "placements": [{{"panel": "a{name}", "copy": 1, "x": 20, "y": 0, "rotation": 0, "mirrored": false}},
                           {{"panel": "a{name}", "copy": 2, "x": 0, "y": 0, "rotation": 0, "mirrored": false}},
                           {{"panel": "f", "copy": 1, "x": 0, "y": 40, "rotation": 0, "mirrored": false}}],
            "length": 30, "panel_area": 600, "filler_area": 12.5, "waste_percent": 80, "density_percent": 20,
            "made_by": {{"version": "tuckroll 9", "seed": 7, "walks": 8, "rounds": 11, "stopped": "effort"}}}}"#,
        name = name.replace('"', "\\\"")
    );
    layout::read(text.as_bytes(), "layout").unwrap()
}

#[test]
fn the_numbers_are_those_of_the_layout() {
    let report = report(&layout(), &Circumstances::default()).unwrap();
    let m = &report.measured;
    assert_eq!((m.length_mm, m.film_area_mm2, m.waste_percent, m.pieces), (30.0, 3000.0, 80.0, 3));
    // Two panels of 300 mm2 on film 100 wide are 6 mm at least; one is 10 long and may not be turned.
    assert_eq!(m.lower_bound_mm, 10.0);
    let order: Vec<(u32, f64, bool)> = report.pieces.iter().map(|p| (p.copy, p.x_mm, p.filler)).collect();
    assert_eq!(order, [(2, 0.0, false), (1, 0.0, true), (1, 20.0, false)]);
    let kits: Vec<(usize, usize, f64, f64)> =
        report.kits.iter().map(|k| (k.pieces, k.fillers, k.panel_area_mm2, k.to_x_mm)).collect();
    assert_eq!(kits, [(2, 0, 600.0, 30.0), (0, 1, 0.0, 5.0)]);
}

#[test]
fn text_from_files_stays_text() {
    let layout = layout();
    // No name in a layout has control characters; what is quoted of other files may.
    let odd = format!("{HOSTILE}\0\u{202e}");
    let warnings = [Warning::new(odd.as_str(), odd.as_str(), odd.as_str())];
    let known = Circumstances { warnings: &warnings, layout_sha256: "ab", ..Circumstances::default() };
    let report = report(&layout, &known).unwrap();
    let page = report_html(&report, &layout).unwrap();
    assert_eq!((page.matches("<script").count(), page.matches("</script").count()), (1, 1));
    assert!(!page.contains("<img") && !page.contains('\0') && !page.contains('\u{202e}'));
    assert!(page.contains("--rounds 11 --seed 7") && page.contains("tuckroll 9"));
    let csv = String::from_utf8(write::kits_csv(&report).unwrap()).unwrap();
    assert!(
        csv.lines().skip(1).all(|l| !l.trim_start_matches('"').starts_with(['=', '+', '-', '@'])),
        "{csv}"
    );
}

#[test]
fn nothing_is_asked_of_a_network() {
    let layout = named("day");
    let page = report_html(&report(&layout, &Circumstances::default()).unwrap(), &layout).unwrap();
    for foreign in ["src=\"", "http:", "https:", "url(http", "@import", "onclick=", "onload=", "onerror="] {
        assert!(!page.contains(foreign), "{foreign}");
    }
    assert!(page.contains("default-src 'none'"));
}

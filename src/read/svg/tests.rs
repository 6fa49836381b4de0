//! The reader as a whole, on small drawings.

use super::super::{Drawing, ReadOptions, read};
use crate::Error;
use std::f64::consts::PI;

const HEAD: &str = "<svg xmlns='http://www.w3.org/2000/svg' xmlns:v='http://example.org/vendor' \
                    xmlns:xlink='http://www.w3.org/1999/xlink' width='200mm' height='100mm' viewBox='0 0 200 100'>";

fn try_read(body: &str) -> Result<Drawing, Error> {
    read(format!("{HEAD}\n{body}\n</svg>").as_bytes(), "a.svg", &ReadOptions::default())
}

fn drawing(body: &str) -> Drawing {
    try_read(body).unwrap_or_else(|e| panic!("{e}"))
}

fn areas(body: &str) -> Vec<f64> {
    drawing(body).found.iter().map(|f| f.region.area()).collect()
}

fn bounds(body: &str) -> [f64; 4] {
    let b = drawing(body).found[0].region.bounds();
    [b.min.x, b.min.y, b.max.x, b.max.y]
}

fn warned(body: &str, words: &str) {
    let warnings = drawing(body).warnings;
    assert!(warnings.iter().any(|w| w.what.contains(words)), "{words}: {warnings:?}");
}

fn refused(body: &str, words: &str) {
    let error = try_read(body).unwrap_err();
    assert_eq!(error.exit_code(), 2);
    assert!(error.to_string().contains(words), "{words}: {error}");
}

fn close(a: f64, b: f64, tolerance: f64) -> bool {
    (a - b).abs() <= tolerance
}

#[test]
fn y_is_negated_and_coordinates_are_those_of_the_view_box() {
    let d = drawing("<rect x='10' y='20' width='30' height='40'/>");
    assert!(d.warnings.is_empty(), "{:?}", d.warnings);
    assert!(close(d.mm_per_unit.unwrap(), 1.0, 1e-15));
    assert_eq!(bounds("<rect x='10' y='20' width='30' height='40'/>"), [10., -60., 40., -20.]);
}

#[test]
fn every_basic_shape_has_its_area() {
    let (ellipse, corners) = (PI * 20.0 * 10.0, (4.0 - PI) * 3.0 * 2.0);
    for (shape, area) in [
        ("<rect width='30' height='40'/>", 1200.0),
        ("<rect width='30' height='40' rx='3' ry='2'/>", 1200.0 - corners),
        ("<rect width='30' height='40' rx='3'/>", 1200.0 - (4.0 - PI) * 9.0),
        ("<rect width='30' height='40' rx='99' ry='99'/>", PI * 15.0 * 20.0),
        ("<circle cx='5' cy='5' r='20'/>", PI * 400.0),
        ("<ellipse rx='20' ry='10'/>", ellipse),
        ("<polygon points='0,0 10,0 10,10'/>", 50.0),
        ("<polyline points='0,0 10,0 10,10 0,0'/>", 50.0),
        ("<path d='M0 0h10v10z'/>", 50.0),
        ("<circle r='10%'/>", PI * 100.0 * (200.0 * 200.0 + 100.0 * 100.0) / 20000.0),
        ("<rect width='10mm' height='50%'/>", 10.0 * 96.0 / 25.4 * 50.0),
        ("<rect style='width:10px;height:10px'/>", 100.0),
    ] {
        let found = areas(shape);
        // Inscribed polygons at 0.02: short by at most 2/3 x 0.02 x the perimeter.
        assert!(found.len() == 1 && close(found[0], area, 3.0), "{shape}: {found:?} {area}");
    }
}

#[test]
fn lines_of_several_elements_are_joined() {
    let body = "<line x1='0' y1='0' x2='10' y2='0'/><polyline points='10,0 10,10 0,10'/><path d='M0 10V0'/>";
    assert_eq!(areas(body), [100.0]);
    assert!(!drawing("<path d='M0 0h10v10'/>").warnings.is_empty());
    assert!(areas("<path d='M0 0h10v10'/>").is_empty());
}

#[test]
fn transforms_nest() {
    let body = "<g transform='translate(10 0)'><g style='transform: scale(2)'>\
                <rect width='5' height='5' transform='rotate(90)'/></g></g>";
    assert_eq!(bounds(body), [0., -10., 10., 0.]);
    let origin = "<rect width='4' height='2' transform='rotate(90)' transform-origin='2 1'/>";
    assert_eq!(bounds(origin), [1., -3., 3., 1.]);
    refused(
        "<rect width='5' height='5' transform='spin(3)'/>",
        "a.svg: line 2, column 1: the transform spin(3)",
    );
    refused("<rect width='5' height='5' style='rotate: 45deg'/>", "'rotate' is not understood");
}

#[test]
fn fill_rules_decide_about_holes() {
    let path = |rule: &str| format!("<path {rule} d='M0 0h10v10h-10zM2 2h4v4h-4z'/>");
    assert_eq!(areas(&path("fill-rule='evenodd'")), [84.0]);
    assert_eq!(areas(&path("")), [100.0]);
    assert_eq!(areas(&path("fill='none'")), [84.0]);
    warned(&path(""), "bound nothing under the fill rule");
    let class = format!("<style>.h {{ fill-rule: evenodd }}</style>{}", path("class='h'"));
    assert_eq!(areas(&class), [84.0]);
    let against = "<path d='M0 0h10v10h-10zM2 2v4h4v-4z'/>";
    assert_eq!(areas(against), [84.0]);
}

#[test]
fn hidden_things_are_left_out_with_a_warning() {
    let square = "width='5' height='5'";
    for body in [
        format!("<rect {square} display='none'/>"),
        format!("<g style='display:none'><rect {square}/></g>"),
        format!("<g style='/* a;b */DISPLAY /**/: None /**/! Important'><rect {square}/></g>"),
        format!("<style>.off{{Display:NONE}}</style><rect {square} class='off'/>"),
        format!("<style>.off{{display:none}}</style><rect {square} class='off'/>"),
        format!("<g visibility='hidden'><rect {square}/></g>"),
    ] {
        assert!(areas(&body).is_empty());
        warned(&body, "is left out");
    }
    assert_eq!(areas(&format!("<g visibility='hidden'><rect {square} visibility='visible'/></g>")), [25.0]);
}

#[test]
fn layers_are_labels_before_ids_of_the_nearest_group() {
    let layer = |body: &str| drawing(body).found[0].layer.clone();
    let square = "<rect width='5' height='5'/>";
    assert_eq!(layer(square), "");
    assert_eq!(layer(&format!("<g id='a'>{square}</g>")), "a");
    assert_eq!(layer(&format!("<g id='a' v:label='Cut'><g id='b'>{square}</g></g>")), "Cut");
    assert_eq!(layer(&format!("<g v:label='Cut'><g v:label='Inner'>{square}</g></g>")), "Inner");
}

#[test]
fn use_and_symbol_are_instances_in_place() {
    let body = "<defs><rect id='r' width='5' height='5'/></defs>\
                <use href='#r' x='10'/><use xlink:href='#r' transform='scale(2)' y='5'/>";
    assert_eq!(areas(body), [25.0, 100.0]);
    assert_eq!(bounds(body), [10., -5., 15., 0.]);
    let symbol = "<symbol id='s' viewBox='0 0 10 10'><rect width='10' height='10'/></symbol>\
                  <use href='#s' x='20' y='10' width='40' height='20'/>";
    // Fitted to the lesser scale and centred: 20 square in the middle of 40.
    assert_eq!(bounds(symbol), [30., -30., 50., -10.]);
    warned("<use href='#gone'/>", "not in the file");
    warned("<use href='other.svg#a'/>", "another file is not followed");
}

#[test]
fn inner_viewports_map_their_view_box() {
    let inner = |more: &str| {
        format!(
            "<svg x='10' y='10' width='40' height='20' viewBox='0 0 10 10' {more}><rect width='10' height='10'/></svg>"
        )
    };
    assert_eq!(bounds(&inner("")), [20., -30., 40., -10.]);
    assert_eq!(bounds(&inner("preserveAspectRatio='none'")), [10., -30., 50., -10.]);
    assert_eq!(bounds(&inner("preserveAspectRatio='xMinYMin slice'")), [10., -50., 50., -10.]);
    warned(&inner("preserveAspectRatio='xMinYMin slice'"), "reach out of an inner viewport");
    assert_eq!(bounds("<svg x='50%'><rect width='50%' height='10'/></svg>"), [100., -10., 200., 0.]);
}

#[test]
fn what_has_no_outline_is_named_with_its_line() {
    for (body, words) in [
        ("<text x='1' y='1'>Fin</text>", "text is left out"),
        ("<image href='/etc/hostname' width='5' height='5'/>", "picture is left out"),
        ("<foreignObject/>", "foreign object"),
        ("<rect width='5' height='5' clip-path='url(#c)'/>", "clip path"),
        ("<rect width='5' height='5' style='mask:url(#c)'/>", "mask"),
        ("<rect width='5' height='5' filter='url(#c)'/>", "filter"),
        ("<path d='M0 0h5v5z' marker-start='url(#c)'/>", "markers"),
        ("<pattern id='p'/><rect width='5' height='5' fill='url(#p)'/>", "pattern"),
        ("<script>alert(1)</script>", "script"),
        ("<sprocket/>", "not known"),
        ("<rect width='0' height='5'/>", "without extent"),
        ("<style>@import 'x.css'; g > path {fill:none}</style>", "@import, g > path"),
    ] {
        warned(body, words);
    }
    let warnings = drawing("\n<text>Fin</text>").warnings;
    assert_eq!(warnings[0].place, "a.svg: line 3");
}

#[test]
fn errors_have_line_and_column_and_are_gathered() {
    let error =
        try_read("<path d='M0 0L10\n X'/>\n<rect width='-1' height='1'/><circle r='5em'/>").unwrap_err();
    let Error::Input(problems) = error else { panic!() };
    let places: Vec<_> = problems.0.iter().map(|p| p.place.as_str()).collect();
    // An attribute's line breaks are blanks to the parser, but keep their place.
    assert_eq!(places, ["a.svg: line 3, column 2", "a.svg: line 4, column 7", "a.svg: line 4, column 38"]);
    refused("<polygon points='0 0 5'/>", "x without a y");
    refused("<polygon points='0 0 5 q'/>", "not made of numbers");
    refused("<rect width='1", "not well-formed");
}

#[test]
fn scale_comes_from_the_head_or_is_warned_of() {
    let read = |head: &str, options: &ReadOptions| {
        let text =
            format!("<svg xmlns='http://www.w3.org/2000/svg' {head}><rect width='96' height='48'/></svg>");
        read(text.as_bytes(), "a.svg", options)
    };
    let d = read("", &ReadOptions::default()).unwrap();
    assert_eq!(d.mm_per_unit, Some(25.4 / 96.0));
    assert!(d.warnings[0].what.contains("no unit of measurement"));
    let d = read("width='96mm' height='96mm' viewBox='0 0 96 48'", &ReadOptions::default()).unwrap();
    assert!(d.warnings[0].what.contains("differ by 50.0 %"));
    let d = read(
        "width='96mm' height='96mm' viewBox='0 0 96 48' preserveAspectRatio='none'",
        &ReadOptions::default(),
    );
    let b = d.unwrap().found[0].region.bounds();
    assert!(close(b.width(), 96.0, 1e-12) && close(b.height(), 96.0, 1e-12));
    let d = read("", &ReadOptions { mm_per_unit: Some(10.0), ..ReadOptions::default() }).unwrap();
    assert!(d.mm_per_unit == Some(10.0) && d.warnings.is_empty());
    let d = read(
        "width='96mm' height='48mm' viewBox='0 0 96 48' style='width:100%;height:auto'",
        &ReadOptions::default(),
    );
    assert!(d.unwrap().warnings.is_empty());
    for head in ["width='1furlong'", "viewBox='0 0 0 1'", "width='1e300mm' viewBox='0 0 1 1'"] {
        assert!(read(head, &ReadOptions::default()).is_err(), "{head}");
    }
}

#[test]
fn tolerance_is_in_millimetres_whatever_the_unit() {
    let points = |head: &str, r: &str| {
        let text = format!("<svg {head}><circle r='{r}'/></svg>");
        read(text.as_bytes(), "a.svg", &ReadOptions::default()).unwrap().found[0]
            .region
            .outline()
            .points()
            .len()
    };
    let mm = points("width='200mm' height='100mm' viewBox='0 0 200 100'", "50");
    assert_eq!(mm, points("width='200mm' height='100mm' viewBox='0 0 20 10'", "5"));
    assert_eq!(mm, points("width='8in' height='4in' viewBox='0 0 203.2 101.6'", "50"));
}

/// Names of properties and words are the same in capitals, and comments stand anywhere (CSS 2.1, sections 4.1.3 and 4.1.9).
#[test]
fn styles_in_capitals_and_with_comments() {
    let hole = "M0 0h10v10h-10zM2 2h5v5h-5z";
    for style in ["style='FILL:none'", "style='/* x */fill/**/:/**/none'", "fill='NONE'"] {
        assert_eq!(areas(&format!("<path d='{hole}' {style}/>")), [75.0], "{style}");
    }
    assert_eq!(areas(&format!("<g fill-rule='evenodd'><path d='{hole}' fill-rule='Initial'/></g>")), [100.0]);
    assert_eq!(areas(&format!("<g fill='none'><path d='{hole}' fill='unset'/></g>")), [75.0]);
}

/// Subpaths are compared with those near by only: 50,000 took the square of their number.
#[test]
fn many_small_subpaths_take_no_time() {
    let path: String = (0..49_000).map(|k| format!("M{} {}h.1v.1z", k % 200, k / 200)).collect();
    let start = std::time::Instant::now();
    assert_eq!(drawing(&format!("<path d='{path}'/>")).found.len(), 49_000);
    assert!(start.elapsed() < std::time::Duration::from_secs(20), "{:?}", start.elapsed());
}

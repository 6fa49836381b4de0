//! Previews, painted by a renderer that knows nothing of this program (resvg).

use super::sample::{self, p, panel, rectangle};
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree};
use std::collections::BTreeMap;
use tuckroll::job::Unit;
use tuckroll::layout::Layout;
use tuckroll::shape::Region;
use tuckroll::write::{SvgOptions, svg};

const PLAIN: SvgOptions = SvgOptions { labels: false, fold: true };

/// The preview with every stroke left out, so that areas of one colour are areas of panels.
fn without_strokes(text: &str) -> String {
    text.split('<')
        .map(|element| match element.split_once(" stroke=\"") {
            Some((before, after)) => {
                format!("{before} stroke=\"none\"{}", after.split_once('"').map_or("", |(_, rest)| rest))
            }
            None => element.to_owned(),
        })
        .collect::<Vec<_>>()
        .join("<")
}

fn parse(text: &str) -> Tree {
    Tree::from_str(text, &Options::default()).unwrap()
}

/// Painted area of every colour in square millimetres, and the side of a pixel.
fn painted(text: &str, pixels_per_mm: f32) -> (BTreeMap<[u8; 3], f64>, f64) {
    let tree = parse(text);
    // usvg measures in pixels of 1/96 inch.
    let scale = pixels_per_mm * 25.4 / 96.0;
    let size = tree.size().to_int_size().scale_by(scale).unwrap();
    let mut pixmap = Pixmap::new(size.width(), size.height()).unwrap();
    resvg::render(&tree, Transform::from_scale(scale, scale), &mut pixmap.as_mut());
    let mut areas = BTreeMap::new();
    let pixel = 1.0 / f64::from(pixels_per_mm * pixels_per_mm);
    for q in pixmap.pixels() {
        *areas.entry([q.red(), q.green(), q.blue()]).or_insert(0.0) += pixel;
    }
    (areas, pixel.sqrt())
}

/// The fills of the kits, in the order of the panels.
fn fills(text: &str) -> Vec<[u8; 3]> {
    let mut fills: Vec<[u8; 3]> = Vec::new();
    for part in text.split("<g fill=\"#").skip(1).filter(|part| part.contains("<use")) {
        let hex = |i: usize| u8::from_str_radix(&part[i..i + 2], 16).unwrap();
        let fill = [hex(0), hex(2), hex(4)];
        if !fills.contains(&fill) && part.find("<use").unwrap() < 20 {
            fills.push(fill);
        }
    }
    fills
}

/// Area and edge length of every kit's panels, in millimetres.
fn by_kit(layout: &Layout) -> BTreeMap<&str, (f64, f64)> {
    let mm = layout.unit.in_mm();
    let mut kits = BTreeMap::new();
    for placement in &layout.placements {
        let panel = &layout.panels[placement.panel];
        let (area, edge) = kits.entry(panel.kit.as_deref().unwrap()).or_insert((0.0, 0.0));
        *area += panel.area() * mm * mm;
        let rings = panel.parts.iter().flat_map(|r| r.rings());
        *edge += rings.map(|r| r.perimeter()).sum::<f64>() * mm;
    }
    kits
}

/// Every kit covers as many pixels as its panels have area, holes left free. A pixel that an
/// edge crosses is a mixture and counts for nobody: at most 1.5 pixels across the edge are lost.
#[test]
fn painted_areas_are_those_of_the_panels() {
    let layout = sample::day();
    let whole = svg(&layout, &PLAIN).unwrap();
    let fills = fills(&whole);
    let kits = by_kit(&layout);
    assert_eq!(fills.len(), kits.len());
    let (areas, pixel) = painted(&without_strokes(&whole), 2.0);
    let mut order: Vec<&str> = Vec::new();
    for q in &layout.panels {
        let kit = q.kit.as_deref().unwrap();
        if !order.contains(&kit) {
            order.push(kit);
        }
    }
    let rows = whole.matches("<clipPath").count();
    assert_eq!(rows, 2, "the sample is long enough to be folded");
    for (kit, fill) in order.iter().zip(fills) {
        let (area, edge) = kits[kit];
        let legend = swatch_area(&whole, fill);
        let seen = areas[&fill] - legend;
        let slack = 1.5 * pixel * edge;
        assert!(seen <= area + 0.1 * slack && seen >= area - slack, "{kit}: {seen} for {area} less {slack}");
    }
}

/// Area of the rectangles outside the roll with that fill.
fn swatch_area(text: &str, fill: [u8; 3]) -> f64 {
    let fill = format!("fill=\"#{:02x}{:02x}{:02x}\"", fill[0], fill[1], fill[2]);
    let value = |e: &str, name: &str| -> f64 {
        let (_, rest) = e.split_once(&format!(" {name}=\"")).unwrap();
        rest.split_once('"').unwrap().0.parse().unwrap()
    };
    let rectangles = text.split('<').filter(|e| e.starts_with("rect ") && e.contains(&fill));
    rectangles.map(|e| value(e, "width") * value(e, "height")).sum()
}

/// Pixel by pixel: what is painted at a place is what the layout has there.
#[test]
fn the_roll_is_shown_the_right_way_up() {
    let mut layout = sample::empty("one plate");
    layout.panels.push(panel("a", Some("k"), 1, vec![Region::solid(rectangle(100.0, 40.0))]));
    sample::set_in_columns(&mut layout, &[0.0]);
    let text = without_strokes(&svg(&layout, &PLAIN).unwrap());
    let tree = parse(&text);
    let mut pixmap = Pixmap::new(1000, 1400).unwrap();
    let scale = 25.4 / 96.0;
    resvg::render(&tree, Transform::from_scale(scale, scale), &mut pixmap.as_mut());
    let fill = fills(&text)[0];
    let mut box_ = [u32::MAX, u32::MAX, 0, 0];
    for y in 0..660 {
        for x in 0..1000 {
            let q = pixmap.pixel(x, y).unwrap();
            if [q.red(), q.green(), q.blue()] == fill {
                box_ = [box_[0].min(x), box_[1].min(y), box_[2].max(x), box_[3].max(y)];
            }
        }
    }
    // The film's lower edge is the last row of the first rectangle drawn after the page.
    let film: Vec<&str> = text.split("<rect").skip(2).take(1).collect();
    let number = |name: &str| -> f64 {
        let (_, rest) = film[0].split_once(&format!(" {name}=\"")).unwrap();
        rest.split_once('"').unwrap().0.parse().unwrap()
    };
    assert_eq!(number("height"), 610.0);
    let (left, bottom) = (number("x"), number("y") + 610.0);
    let [x0, y0, x1, y1] = box_.map(f64::from);
    // Lead margin 15, lower margin 8: the plate lies at the lower left.
    for (seen, expected) in
        [(x0, left + 15.0), (x1 + 1.0, left + 115.0), (y1 + 1.0, bottom - 8.0), (y0, bottom - 48.0)]
    {
        assert!((seen - expected).abs() <= 1.0, "{seen} {expected}");
    }
}

#[test]
fn the_document_has_the_size_of_the_film() {
    let mut layout = sample::empty("inches");
    layout.unit = Unit::Inch;
    layout.roll.width = 24.0;
    layout.panels.push(panel("a", None, 1, vec![Region::solid(rectangle(4.0, 2.0))]));
    layout.roll.edge_margin = [0.0, 0.0];
    sample::set_in_columns(&mut layout, &[0.0]);
    let text = svg(&layout, &PLAIN).unwrap();
    assert!(text.contains(" height=\"609.6\""), "24 in of film are 609.6 mm");
    let size = parse(&text).size();
    let (_, view) = text.split_once("viewBox=\"0 0 ").unwrap();
    let view: Vec<f32> = view.split_once('"').unwrap().0.split(' ').map(|n| n.parse().unwrap()).collect();
    assert!((size.width() - view[0] * 96.0 / 25.4).abs() < 0.1);
    assert!((size.height() - view[1] * 96.0 / 25.4).abs() < 0.1);
}

/// Names are shown as they are and are never markup.
#[test]
fn hostile_names_stay_text() {
    let name = "<script>alert(1)</script>&x;]]>\"'\0\u{1b}\u{202e}\u{ffff}--><!ENTITY";
    let mut layout = sample::empty(name);
    for (i, id) in [name, "\" onload=\"x", &"long ".repeat(4000)].iter().enumerate() {
        let mut q = panel(id, Some(id), 2, vec![Region::solid(rectangle(200.0, 100.0 + i as f64))]);
        q.match_group = Some((*id).to_owned());
        layout.panels.push(q);
    }
    sample::set_in_columns(&mut layout, &[0.0]);
    let text = svg(&layout, &SvgOptions::default()).unwrap();
    parse(&text);
    assert!(!text.contains("<script") && !text.contains("onload") && !text.contains("<!"));
    assert!(text.chars().all(|c| c == '\n' || c >= ' '));
    let (_, title) = text.split_once("<title>").unwrap();
    assert!(
        title.starts_with("&lt;script&gt;alert(1)&lt;/script&gt;&amp;x;]]&gt;&quot;&#39;\u{fffd}\u{fffd}")
    );
    assert!(text.len() < 100_000, "{}", text.len());
    assert!(tuckroll::write::png(&text, 300).unwrap().len() > 500);
}

/// A symbol is drawn once for all copies, and no number has an exponent or needless digits.
#[test]
fn ten_thousand_panels_stay_small() {
    let mut layout = sample::empty("many");
    layout.panels.push(panel("gore", Some("k"), 10_000, vec![Region::solid(sample::gore(40.0, 12.0))]));
    sample::set_in_columns(&mut layout, &[17.0]);
    let text = svg(&layout, &SvgOptions::default()).unwrap();
    assert!(text.matches("<use").count() >= 10_000);
    assert!(text.len() < 1_600_000, "{}", text.len());
    // Colours and references are no numbers.
    let plain: String = text.split('#').map(|part| part.get(6..).unwrap_or("")).collect();
    let numbers = plain.split(|c: char| !c.is_ascii_digit() && !"eE.-+".contains(c));
    let numbers = numbers.filter(|n| n.trim_start_matches('-').starts_with(|c: char| c.is_ascii_digit()));
    assert!(numbers.clone().count() > 50_000);
    for n in numbers {
        assert!(!n.contains(['e', 'E']) && n.split('.').nth(1).is_none_or(|d| d.len() <= 7), "{n}");
    }
}

#[test]
fn numbers_that_are_none_are_refused() {
    for bad in [f64::NAN, f64::INFINITY, 1e12] {
        let mut layout = sample::empty("bad");
        layout.panels.push(panel("a", None, 1, vec![Region::solid(rectangle(5.0, 5.0))]));
        sample::set_in_columns(&mut layout, &[0.0]);
        layout.placements[0].at = p(bad, 0.0);
        assert!(matches!(svg(&layout, &PLAIN), Err(tuckroll::Error::Input(_))), "{bad}");
    }
}

/// The roll and panel of the smallest preview, to the letter.
#[test]
fn the_smallest_preview_is_this() {
    let mut layout = sample::empty("tiny");
    layout.roll.edge_margin = [0.0, 0.0];
    (layout.roll.lead_margin, layout.roll.tail_margin) = (0.0, 0.0);
    let tri = sample::ring(&[(0.0, 0.0), (30.0, 0.0), (0.0, 20.5)]);
    layout.panels.push(panel("t", None, 1, vec![Region::solid(tri)]));
    sample::set_in_columns(&mut layout, &[0.0]);
    let text = svg(&layout, &PLAIN).unwrap();
    let symbol = "<g id=\"p0\"><path fill-rule=\"evenodd\" d=\"M-15 -10.25L15 -10.25 -15 10.25z\"/></g>\n";
    assert!(text.contains(symbol), "{text}");
    // 610 / 90 is the letter; two of them the border, eight the head.
    let placed = "<use xlink:href=\"#p0\" transform=\"matrix(1 0 0 -1 28.5556 653.9722)\"/>\n";
    assert!(text.contains(placed), "{text}");
    assert!(
        text.contains("<rect x=\"13.5556\" y=\"54.2222\" width=\"30\" height=\"610\" fill=\"#f6f4ee\"/>")
    );
}

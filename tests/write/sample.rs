//! Layouts for the writers' tests: shapes of the trade set in columns, nothing nested.

use tuckroll::job::{Grain, GrainRule, KeepClear, Line, LineRole, Panel, Piece, Roll, Shop, Unit};
use tuckroll::layout::{Layout, Measures, Placement};
use tuckroll::shape::{Bounds, Point, Region, Ring};

pub fn p(x: f64, y: f64) -> Point {
    Point { x, y }
}

pub fn ring(points: &[(f64, f64)]) -> Ring {
    Ring::new(points.iter().map(|&(x, y)| p(x, y)).collect()).unwrap()
}

pub fn rectangle(w: f64, h: f64) -> Ring {
    ring(&[(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)])
}

pub fn circle(x: f64, y: f64, r: f64, n: usize) -> Ring {
    let at = |i: usize| libm::sincos(i as f64 / n as f64 * std::f64::consts::TAU);
    Ring::new((0..n).map(|i| p(x + r * at(i).1, y + r * at(i).0)).collect()).unwrap()
}

/// A pointed gore along x with an ogive's bulge.
pub fn gore(length: f64, base: f64) -> Ring {
    let n = 40;
    let half = |t: f64| 0.5 * base * (1.0 - t * t);
    let up = (0..=n).map(|i| f64::from(i) / f64::from(n)).map(|t| p(length * t, half(t)));
    let down = (0..n).rev().map(|i| f64::from(i) / f64::from(n)).map(|t| p(length * t, -half(t)));
    Ring::new(up.chain(down).collect()).unwrap()
}

pub fn fin(root: f64, tip: f64, sweep: f64, span: f64) -> Ring {
    ring(&[(0.0, 0.0), (root, 0.0), (sweep + tip, span), (sweep, span)])
}

pub fn panel(id: &str, kit: Option<&str>, copies: u32, parts: Vec<Region>) -> Panel {
    Panel {
        id: id.into(),
        kit: kit.map(Into::into),
        film: None,
        copies,
        numbers: None,
        parts,
        lines: vec![],
        keep_clear: KeepClear::Outline,
        fill_holes: false,
        grain: Grain { along: 0.0, rule: GrainRule::OneWay, slack: 0.0 },
        match_group: None,
        mirror: false,
        optional: false,
        priority: None,
    }
}

pub fn name_plate(w: f64, h: f64) -> Region {
    let slot = |x: f64| {
        ring(&[
            (x, 0.3 * h),
            (x + 0.1 * w, 0.3 * h),
            (x + 0.1 * w, 0.7 * h),
            (x + 0.05 * w, 0.6 * h),
            (x, 0.7 * h),
        ])
    };
    let holes = (1..6).map(|i| slot(w * (0.15 * f64::from(i) - 0.03))).collect();
    Region::new(rectangle(w, h), holes).unwrap()
}

/// An empty layout on a roll of 610 mm.
pub fn empty(name: &str) -> Layout {
    Layout {
        name: name.into(),
        unit: Unit::Millimetre,
        roll: Roll {
            width: 610.0,
            edge_margin: [8.0, 8.0],
            lead_margin: 15.0,
            tail_margin: 20.0,
            length: None,
            flaws: vec![],
            piece: Piece::default(),
        },
        gap: 3.0,
        notes: None,
        shop: Shop::default(),
        panels: vec![],
        placements: vec![],
        measures: Measures::default(),
        made_by: None,
    }
}

/// Sets every copy of every panel in columns across the film, at the given turn.
pub fn set_in_columns(layout: &mut Layout, turns: &[f64]) {
    let (low, high) = (layout.roll.edge_margin[0], layout.roll.width - layout.roll.edge_margin[1]);
    let mut at = p(layout.roll.lead_margin, low);
    let mut end = at.x;
    for i in 0..layout.panels.len() {
        for copy in 1..=layout.panels[i].copies {
            let rotation = turns[i % turns.len()] + if copy % 2 == 0 { 180.0 } else { 0.0 };
            let mut placement = Placement {
                panel: i,
                copy,
                at: p(0.0, 0.0),
                rotation: rotation % 360.0,
                mirrored: layout.panels[i].mirror && copy % 3 == 0,
            };
            let pose = placement.pose();
            let points: Vec<_> = layout.panels[i]
                .parts
                .iter()
                .flat_map(|r| r.outline().points())
                .map(|q| pose.apply(*q))
                .collect();
            let b = Bounds::of(&points).unwrap();
            if at.y + b.height() > high {
                at = p(end + layout.gap, low);
            }
            placement.at = at - b.min;
            at.y += b.height() + layout.gap;
            end = end.max(at.x + b.width());
            layout.placements.push(placement);
        }
    }
    let area = layout.placements.iter().map(|q| layout.panels[q.panel].area()).sum::<f64>();
    let length = end + layout.roll.tail_margin;
    layout.measures = Measures {
        length,
        panel_area: area,
        filler_area: 0.0,
        waste_percent: 100.0 * (1.0 - area / (layout.roll.width * length)),
        density_percent: 100.0 * area
            / (layout.roll.usable_width() * (length - layout.roll.lead_margin - layout.roll.tail_margin)),
    };
}

/// A shop's day: eight orders, something over a hundred pieces.
pub fn day() -> Layout {
    let mut layout = empty("A day's orders");
    for (k, kit) in ["A17", "A18", "B02", "C44", "C45", "Owl & Moon", "D-9", "Ærø"].iter().enumerate() {
        let size = 1.0 + 0.22 * k as f64;
        let id = format!("{kit}/nose/gore");
        let kit = Some(*kit);
        let mut gore = panel(&id, kit, 6, vec![Region::solid(gore(150.0 * size, 26.0 * size))]);
        gore.lines.push(Line {
            role: LineRole::Draw,
            points: vec![p(5.0, -4.0), p(5.0, 4.0)],
            closed: false,
            copy: None,
        });
        let mut fin =
            panel("fin", kit, 4, vec![Region::solid(fin(90.0 * size, 40.0 * size, 55.0, 60.0 * size))]);
        fin.id = format!("fin {k}");
        fin.mirror = true;
        fin.grain = Grain { along: 30.0, rule: GrainRule::Free, slack: 0.0 };
        let mut plate = panel("plate", kit, 2, vec![name_plate(120.0, 30.0 * size)]);
        plate.id = format!("plate {k}");
        let mut ringed = panel("ring", kit, 1, vec![]);
        ringed.id = format!("ring {k}");
        ringed.parts.push(
            Region::new(circle(0.0, 0.0, 40.0 * size, 96), vec![circle(0.0, 0.0, 32.0 * size, 72)]).unwrap(),
        );
        ringed.lines.push(Line {
            role: LineRole::Through,
            points: vec![p(33.0 * size, 0.0), p(39.0 * size, 0.0)],
            closed: false,
            copy: None,
        });
        let mut wrap =
            panel("wrap", kit, 1, vec![Region::solid(rectangle(210.0 * size, 80.0 + 12.0 * size))]);
        wrap.id = format!("wrap {k}");
        wrap.lines.push(Line {
            role: LineRole::Print,
            points: vec![p(4.0, 4.0), p(200.0, 4.0), p(200.0, 40.0)],
            closed: true,
            copy: None,
        });
        layout.panels.extend([gore, fin, plate, ringed, wrap]);
    }
    layout.roll.flaws.push(ring(&[(700.0, 590.0), (740.0, 585.0), (760.0, 610.0), (700.0, 610.0)]));
    set_in_columns(&mut layout, &[0.0, 330.0, 0.0, 0.0, 0.0]);
    layout
}

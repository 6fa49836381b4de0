//! Small panels and jobs for unit tests.

use super::{Grain, GrainRule, Job, KeepClear, Panel, Roll, Shop, Unit};
use crate::shape::{Point, Region, Ring};

pub fn ring(points: &[(f64, f64)]) -> Ring {
    Ring::new(points.iter().map(|&(x, y)| Point { x, y }).collect()).unwrap()
}

pub fn frame(w: f64, h: f64) -> Ring {
    ring(&[(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)])
}

pub fn panel(id: &str, parts: Vec<Region>) -> Panel {
    Panel {
        id: id.into(),
        kit: None,
        film: None,
        copies: 1,
        numbers: None,
        parts,
        lines: vec![],
        keep_clear: KeepClear::Outline,
        fill_holes: false,
        grain: Grain { along: 0.0, rule: GrainRule::Free, slack: 0.0 },
        match_group: None,
        mirror: false,
        optional: false,
        priority: None,
    }
}

pub fn rectangle(id: &str, w: f64, h: f64) -> Panel {
    panel(id, vec![Region::solid(frame(w, h))])
}

pub fn job_of(width: f64, panels: Vec<Panel>) -> Job {
    let roll = Roll::plain(width);
    Job {
        name: "test".into(),
        source: None,
        unit: Unit::Millimetre,
        roll,
        gap: 0.0,
        panels,
        notes: None,
        shop: Shop::default(),
    }
}

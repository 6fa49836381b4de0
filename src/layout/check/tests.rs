//! Tests of the check against dissections and rules that nobody here made up.

use super::*;
use crate::job::fixtures::{frame, job_of, panel, rectangle, ring};
use crate::job::{GrainRule, Job, KeepClear};
use crate::layout::fixtures::{made_by, place};
use crate::layout::{Placement, assemble};
use crate::shape::{Point, Region};

/// Reads a Bouwkamp code: from the left of the lowest level up, each row of squares fills the
/// lowest, leftmost gap of the skyline from the left. Gives side, x and y of each square.
fn bouwkamp(width: u32, rows: &[&[u32]]) -> Vec<(u32, u32, u32)> {
    let mut skyline = vec![0; width as usize];
    let mut squares = Vec::new();
    for row in rows {
        let level = *skyline.iter().min().unwrap();
        let mut x = skyline.iter().position(|h| *h == level).unwrap();
        for side in *row {
            squares.push((*side, x as u32, level));
            let span = x..x + *side as usize;
            assert!(skyline[span.clone()].iter().all(|h| *h == level), "a square would overhang");
            skyline[span].fill(level + side);
            x += *side as usize;
        }
    }
    assert!(skyline.iter().all(|h| *h == skyline[0]), "the code does not close");
    squares
}

/// A. J. W. Duijvestijn, Simple perfect squared square of lowest order, J. Combin. Theory B 25
/// (1978) 240-243: order 21, side 112. Code from memory, verified by construction.
const DUIJVESTIJN: &[&[u32]] = &[
    &[50, 35, 27],
    &[8, 19],
    &[15, 17, 11],
    &[6, 24],
    &[29, 25, 9, 2],
    &[7, 18],
    &[16],
    &[42],
    &[4, 37],
    &[33],
];

/// Z. Moron, O rozkladach prostokatow na kwadraty (1925): 33 x 32 from nine squares. Code from
/// memory, verified by construction.
const MORON: &[&[u32]] = &[&[18, 15], &[7, 8], &[14, 4], &[10, 1], &[9]];

fn dissection(length: u32, rows: &[&[u32]], width: f64) -> Layout {
    let squares = bouwkamp(length, rows);
    let panels = squares
        .iter()
        .map(|&(side, ..)| rectangle(&side.to_string(), f64::from(side), f64::from(side)))
        .collect();
    let places = squares.iter().enumerate();
    let places = places.map(|(i, &(_, x, y))| place(i, 1, f64::from(x), f64::from(y), 0.0)).collect();
    assemble(&job_of(width, panels), places, made_by())
}

/// The same layout with its measures stated anew, so that only the placement is at fault.
fn restated(mut layout: Layout) -> Layout {
    layout.measures = crate::layout::measure(&layout);
    layout
}

#[test]
fn the_least_perfect_squared_square_is_accepted() {
    let layout = dissection(112, DUIJVESTIJN, 112.0);
    assert_eq!(layout.placements.len(), 21);
    assert_eq!(layout.measures.length, 112.0);
    assert_eq!(layout.measures.waste_percent, 0.0);
    assert_eq!(layout.measures.density_percent, 100.0);
    assert_eq!(check(&layout), vec![]);
}

#[test]
fn the_squared_square_is_refused_with_any_square_moved_by_a_hundredth() {
    let layout = dissection(112, DUIJVESTIJN, 112.0);
    for i in 0..layout.placements.len() {
        for (dx, dy) in [(0.01, 0.0), (-0.01, 0.0), (0.0, 0.01), (0.0, -0.01)] {
            let mut moved = layout.clone();
            moved.placements[i].at = moved.placements[i].at + Point { x: dx, y: dy };
            let at = moved.placements[i].at;
            let faults = check(&restated(moved));
            let at_the_end = dx > 0.0 && at.x + layout.panels[i].parts[0].bounds().width() > 112.0;
            if at_the_end {
                // Only here the way is free: the layout grows longer and stays good.
                assert_eq!(faults, vec![]);
            } else {
                assert!(!faults.is_empty(), "square {i} moved by {dx}, {dy}");
            }
        }
    }
}

#[test]
fn morons_rectangle_is_accepted_and_refused_on_film_too_narrow() {
    assert_eq!(check(&dissection(33, MORON, 32.0)), vec![]);
    let faults = check(&dissection(33, MORON, 31.9));
    assert!(faults.iter().any(|f| matches!(f, Fault::OffWidth { .. })), "{faults:?}");
}

#[test]
fn overlap_is_judged_by_t_and_the_film_too() {
    let job = job_of(100.0, vec![rectangle("a", 10.0, 10.0), rectangle("b", 10.0, 10.0)]);
    let t = job.roll.tolerance();
    for (overlap, bad) in [(0.0, false), (0.9 * t, false), (1.1 * t, true), (3.0, true), (10.0, true)] {
        for turn in [0.0, 90.0, 37.0] {
            let about = crate::shape::Turn::degrees(turn);
            let first = Point { x: 40.0, y: 40.0 };
            let second = first + about.apply(Point { x: 10.0 - overlap, y: 0.0 });
            let places = vec![place(0, 1, first.x, first.y, turn), place(1, 1, second.x, second.y, turn)];
            let faults = check(&assemble(&job, places, made_by()));
            assert_eq!(!faults.is_empty(), bad, "{overlap} at {turn}: {faults:?}");
        }
    }
    for (y, bad) in [(-0.9 * t, false), (-1.1 * t, true), (90.0 + 0.9 * t, false), (90.0 + 1.1 * t, true)] {
        let places = vec![place(0, 1, 0.0, y, 0.0), place(1, 1, 30.0, 0.0, 0.0)];
        assert_eq!(!check(&assemble(&job, places, made_by())).is_empty(), bad, "{y}");
    }
}

#[test]
fn the_gap_is_a_true_distance_and_judged_by_t() {
    let mut job = job_of(100.0, vec![rectangle("a", 10.0, 10.0), rectangle("b", 10.0, 10.0)]);
    job.gap = 5.0;
    let t = job.roll.tolerance();
    // Corner to corner along a 3-4-5 triangle: 5 apart, though only 3 and 4 along the axes.
    for (short, bad) in [(0.0, false), (0.9 * t, false), (1.1 * t, true), (4.0, true), (15.0, true)] {
        let places =
            vec![place(0, 1, 0.0, 0.0, 0.0), place(1, 1, 13.0 - 0.6 * short, 14.0 - 0.8 * short, 0.0)];
        let faults = check(&assemble(&job, places, made_by()));
        assert_eq!(!faults.is_empty(), bad, "{short}: {faults:?}");
        if bad {
            let Fault::TooNear { distance, .. } = &faults[0] else { panic!("{faults:?}") };
            assert!((distance - (5.0 - short).max(0.0)).abs() < 1e-9, "{distance}");
        }
    }
}

#[test]
fn holes_take_panels_only_where_they_may_and_hulls_keep_clear() {
    let hole = ring(&[(10.0, 10.0), (30.0, 10.0), (30.0, 30.0), (10.0, 30.0)]);
    let holed = panel("holed", vec![Region::new(frame(40.0, 40.0), vec![hole]).unwrap()]);
    let mut job = job_of(100.0, vec![holed, rectangle("small", 16.0, 16.0)]);
    let inside = vec![place(0, 1, 0.0, 0.0, 0.0), place(1, 1, 12.0, 12.0, 0.0)];
    for gap in [0.0, 2.0] {
        job.gap = gap;
        assert!(!check(&assemble(&job, inside.clone(), made_by())).is_empty(), "filled hole, gap {gap}");
        job.panels[0].fill_holes = true;
        assert_eq!(check(&assemble(&job, inside.clone(), made_by())), vec![]);
        job.panels[0].keep_clear = KeepClear::Hull;
        assert!(!check(&assemble(&job, inside.clone(), made_by())).is_empty(), "hull, gap {gap}");
        job.panels[0].keep_clear = KeepClear::Outline;
        job.gap = 2.01;
        assert!(!check(&assemble(&job, inside.clone(), made_by())).is_empty(), "gap to the hole");
        job.panels[0].fill_holes = false;
    }
    let hook = ring(&[(0.0, 0.0), (40.0, 0.0), (40.0, 10.0), (10.0, 10.0), (10.0, 40.0), (0.0, 40.0)]);
    let mut job = job_of(100.0, vec![panel("hook", vec![Region::solid(hook)]), rectangle("b", 5.0, 5.0)]);
    let nested = vec![place(0, 1, 0.0, 0.0, 0.0), place(1, 1, 11.0, 11.0, 0.0)];
    assert_eq!(check(&assemble(&job, nested.clone(), made_by())), vec![]);
    job.panels[0].keep_clear = KeepClear::Hull;
    assert!(matches!(check(&assemble(&job, nested, made_by()))[..], [Fault::Overlap { .. }]));
}

#[test]
fn the_parts_of_a_panel_move_as_one_and_let_others_between() {
    let left = Region::solid(frame(10.0, 10.0));
    let right = Region::solid(ring(&[(30.0, 0.0), (40.0, 0.0), (40.0, 10.0), (30.0, 10.0)]));
    let job = job_of(100.0, vec![panel("parts", vec![left, right]), rectangle("b", 20.0, 10.0)]);
    let between = vec![place(0, 1, 0.0, 0.0, 0.0), place(1, 1, 10.0, 0.0, 0.0)];
    assert_eq!(check(&assemble(&job, between, made_by())), vec![]);
    let over = vec![place(0, 1, 0.0, 0.0, 0.0), place(1, 1, 10.1, 0.0, 0.0)];
    assert!(matches!(check(&assemble(&job, over, made_by()))[..], [Fault::Overlap { .. }]));
}

fn with_flaw(flaw: &[(f64, f64)], x: f64) -> Vec<Fault> {
    let mut job = job_of(100.0, vec![rectangle("a", 10.0, 10.0)]);
    job.roll.flaws = vec![ring(flaw)];
    check(&assemble(&job, vec![place(0, 1, x, 0.0, 0.0)], made_by()))
}

#[test]
fn flaws_are_kept_free_even_when_thinner_than_the_tolerance() {
    let t = 1e-4;
    let block = [(20.0, -5.0), (30.0, -5.0), (30.0, 50.0), (20.0, 50.0)];
    assert_eq!(with_flaw(&block, 10.0 + 0.9 * t), vec![]);
    assert!(matches!(with_flaw(&block, 10.0 + 1.1 * t)[..], [Fault::OnFlaw { flaw: 1, .. }]));
    let scratch = [(5.0, 5.0), (6.0, 5.0), (6.0, 5.0 + 1e-7)];
    assert!(matches!(with_flaw(&scratch, 0.0)[..], [Fault::OnFlaw { .. }]));
    let long_scratch = [(-5.0, 5.0), (60.0, 5.0), (60.0, 5.0 + 1e-7)];
    assert!(matches!(with_flaw(&long_scratch, 0.0)[..], [Fault::OnFlaw { .. }]));
    let round_it = [(-1.0, -1.0), (11.0, -1.0), (11.0, 11.0), (-1.0, 11.0)];
    assert!(matches!(with_flaw(&round_it, 0.0)[..], [Fault::OnFlaw { .. }]));
}

/// Two gores and a filler on a roll with all margins: a good layout to spoil.
fn good() -> (Job, Vec<Placement>) {
    let mut gore = panel("gore", vec![Region::solid(ring(&[(0.0, 0.0), (30.0, 5.0), (0.0, 10.0)]))]);
    gore.copies = 2;
    gore.grain.rule = GrainRule::TwoWay;
    gore.grain.slack = 1.0;
    gore.match_group = Some("nose".into());
    let mut filler = rectangle("dot", 2.0, 2.0);
    filler.optional = true;
    let mut job = job_of(50.0, vec![gore, filler]);
    job.roll.edge_margin = [2.0, 3.0];
    job.roll.lead_margin = 4.0;
    job.roll.tail_margin = 5.0;
    job.roll.length = Some(39.1);
    let places =
        vec![place(0, 1, 34.0, 12.0, 180.0), place(0, 2, 34.0, 22.0, 180.0), place(1, 1, 4.0, 45.0, 0.0)];
    (job, places)
}

fn only_fault(job: &Job, places: Vec<Placement>) -> Fault {
    let mut faults = check(&assemble(job, places, made_by()));
    assert_eq!(faults.len(), 1, "{faults:?}");
    faults.remove(0)
}

#[test]
fn every_spoiled_layout_is_named_for_what_is_wrong() {
    let (job, places) = good();
    assert_eq!(check(&assemble(&job, places.clone(), made_by())), vec![]);

    let spoil = |change: &dyn Fn(&mut Vec<Placement>)| {
        let mut spoiled = places.clone();
        change(&mut spoiled);
        only_fault(&job, spoiled)
    };
    assert_eq!(
        spoil(&|p| {
            p.remove(1);
        })
        .to_string(),
        "gore#2: not placed"
    );
    assert!(matches!(spoil(&|p| p[2].mirrored = true), Fault::Mirrored { .. }));
    assert!(matches!(spoil(&|p| p[2].at.x = 33.0), Fault::FillerReaches { .. }));
    assert!(matches!(spoil(&|p| p[2].at.x = 3.9), Fault::InLeadMargin { .. }));
    assert!(matches!(spoil(&|p| p[2].at.y = 45.1), Fault::OffWidth { .. }));
    assert!(matches!(spoil(&|p| p[1].rotation = 180.01), Fault::Unmatched { .. }));
    assert!(matches!(spoil(&|p| p[0].at.y += 10.0 * job.roll.tolerance()), Fault::Overlap { .. }));
}

#[test]
fn copies_that_are_doubled_unknown_or_cannot_be_judged_are_named() {
    let (job, places) = good();
    let faults = |change: &dyn Fn(&mut Vec<Placement>)| {
        let mut spoiled = places.clone();
        change(&mut spoiled);
        check(&assemble(&job, spoiled, made_by())).iter().map(Fault::to_string).collect::<Vec<_>>()
    };
    let doubled = faults(&|p| p.push(p[0]));
    assert!(doubled.contains(&"gore#1: placed twice".into()), "{doubled:?}");
    assert!(doubled.iter().any(|f| f.starts_with("gore#1 and gore#1: overlap by at least")), "{doubled:?}");
    let unknown = faults(&|p| p[1].copy = 3);
    assert_eq!(unknown, ["gore#3: no such panel or copy", "gore#2: not placed"]);
    assert_eq!(faults(&|p| p[2].panel = 9), ["panels[9]#1: no such panel or copy"]);
    for bad in [f64::NAN, f64::INFINITY, 1e300] {
        assert_eq!(faults(&|p| p[2].at.x = bad), ["dot#1: its place cannot be judged"]);
        assert!(faults(&|p| p[2].rotation = bad).len() <= 2);
    }
    assert_eq!(faults(&|p| p.clear()), ["gore#1 and 1 more copies of it: not placed"]);
}

#[test]
fn headings_are_judged_with_slack_by_the_degree() {
    let mut arrow = rectangle("arrow", 10.0, 4.0);
    arrow.mirror = true;
    arrow.grain = crate::job::Grain { along: 30.0, rule: GrainRule::OneWay, slack: 0.0 };
    let mut job = job_of(100.0, vec![arrow]);
    let heads = |job: &Job, rotation: f64, mirrored: bool| {
        let mut p = place(0, 1, 40.0, 40.0, rotation);
        p.mirrored = mirrored;
        check(&assemble(job, vec![p], made_by()))
    };
    assert_eq!(heads(&job, 330.0, false), vec![]);
    assert_eq!(heads(&job, 30.0, true), vec![]);
    for (rotation, mirrored) in [(330.01, false), (30.01, true), (30.0, false), (330.0, true), (150.0, false)]
    {
        assert!(matches!(heads(&job, rotation, mirrored)[..], [Fault::Heading { .. }]), "{rotation}");
    }
    job.panels[0].grain.rule = GrainRule::Quarter;
    job.panels[0].grain.slack = 2.0;
    assert_eq!(heads(&job, 58.0, false), vec![]);
    assert!(matches!(heads(&job, 57.99, false)[..], [Fault::Heading { .. }]));
}

#[test]
fn stated_measures_must_be_true() {
    let (job, places) = good();
    let layout = assemble(&job, places, made_by());
    let stated = |change: &dyn Fn(&mut crate::layout::Measures)| {
        let mut l = layout.clone();
        change(&mut l.measures);
        check(&l).iter().map(|f| f.to_string().split(':').next().unwrap().to_string()).collect::<Vec<_>>()
    };
    assert_eq!(stated(&|m| m.length += 1e-3), ["length"]);
    assert_eq!(stated(&|m| m.panel_area += 1.0), ["panel_area"]);
    assert_eq!(stated(&|m| m.filler_area = 0.0), ["filler_area"]);
    assert_eq!(stated(&|m| m.waste_percent -= 0.01), ["waste_percent"]);
    assert_eq!(stated(&|m| m.density_percent = f64::NAN), ["density_percent"]);
}

#[test]
fn a_roll_that_cannot_be_used_is_all_that_is_reported() {
    let (mut job, places) = good();
    job.roll.width = 0.0;
    job.gap = f64::NAN;
    let faults = check(&assemble(&job, places, made_by()));
    assert!(faults.iter().all(|f| matches!(f, Fault::UnusableNumber { .. })) && faults.len() == 2);
}

#[test]
fn thin_panels_doubled_ids_and_a_short_roll_are_refused() {
    let (mut job, places) = good();
    job.roll.length = Some(38.9);
    assert!(matches!(only_fault(&job, places), Fault::PastEnd { .. }));
    let t = 1e-4;
    for (width, bad) in [(39.0 * t, true), (41.0 * t, false)] {
        let faults = check(&assemble(
            &job_of(100.0, vec![rectangle("strip", 10.0, width)]),
            vec![place(0, 1, 0.0, 0.0, 0.0)],
            made_by(),
        ));
        assert_eq!(matches!(faults[..], [Fault::TooThin { .. }]), bad, "{faults:?}");
    }
    let twins = job_of(100.0, vec![rectangle("a", 1.0, 1.0), rectangle("a", 1.0, 1.0)]);
    let places = vec![place(0, 1, 0.0, 0.0, 0.0), place(1, 1, 5.0, 0.0, 0.0)];
    assert!(matches!(only_fault(&twins, places), Fault::DuplicateId { .. }));
}

#[test]
fn a_layout_is_compared_with_its_job_value_by_value() {
    let (job, places) = good();
    let layout = assemble(&job, places, made_by());
    assert_eq!(check_against(&layout, &job), vec![]);
    let differs = |change: &dyn Fn(&mut Job)| {
        let mut other = job.clone();
        change(&mut other);
        check_against(&layout, &other).iter().map(Fault::to_string).collect::<Vec<_>>()
    };
    assert_eq!(differs(&|j| j.gap = 1.0), ["gap: differs from the job's"]);
    assert_eq!(differs(&|j| j.roll.width = 51.0), ["roll.width: differs from the job's"]);
    assert_eq!(differs(&|j| j.panels[0].copies = 3), ["panel gore: copies: differs from the job's"]);
    assert_eq!(differs(&|j| j.panels[0].grain.slack = 2.0), ["panel gore: grain: differs from the job's"]);
    assert_eq!(differs(&|j| j.panels[0].parts[0] = Region::solid(frame(1.0, 1.0))).len(), 1);
    let renamed = differs(&|j| j.panels[1].id = "spot".into());
    assert_eq!(
        renamed,
        ["panel spot: the job has it, the layout does not", "panel dot: the layout has it, the job does not"]
    );
}

#[test]
fn ten_thousand_copies_in_one_place_end_with_a_bounded_list() {
    let mut square = rectangle("a", 10.0, 10.0);
    square.copies = 10_000;
    let places = (1..=10_000).map(|copy| place(0, copy, 0.0, 0.0, 0.0)).collect();
    let faults = check(&assemble(&job_of(100.0, vec![square]), places, made_by()));
    assert!(faults.iter().any(|f| matches!(f, Fault::MorePairs { .. })));
    assert!(faults.len() < 1100);
}

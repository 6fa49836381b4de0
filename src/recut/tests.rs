//! Pieces cut again lie as they lay.

use super::*;
use crate::job::fixtures::{job_of, panel, ring};
use crate::job::{LineRole, Piece, check_fits};
use crate::layout::{MadeBy, assemble, check};
use crate::money::{Decimal, Per, Price};
use crate::nest::{Effort, Limit, nest};
use crate::shape::angle_between;

fn made_by() -> MadeBy {
    MadeBy { version: String::new(), seed: 0, walks: 0, rounds: 0, stopped: String::new() }
}

/// Six wedges of kit K at odd headings, the last two mirrored, and a plate of kit L.
fn cut() -> Layout {
    let wedge = ring(&[(0., 0.), (80., 10.), (60., 40.), (20., 30.)]);
    let line = |copy| Line {
        role: LineRole::Draw,
        points: vec![Point { x: 20., y: 15. }, Point { x: 40., y: 15. }],
        closed: false,
        copy,
    };
    let mut wedges = panel("wedge", vec![Region::solid(wedge)]);
    wedges.copies = 6;
    wedges.kit = Some("K".into());
    wedges.mirror = true;
    wedges.grain = Grain { along: 30.0, rule: GrainRule::Free, slack: 0.0 };
    wedges.lines = vec![line(None), line(Some(2)), line(Some(6))];
    let plate = Panel {
        kit: Some("L".into()),
        ..panel("plate", vec![Region::solid(ring(&[(0., 0.), (90., 0.), (90., 60.), (0., 60.)]))])
    };
    let mut job = job_of(300.0, vec![wedges, plate]);
    job.gap = 3.0;
    job.roll.length = Some(2000.0);
    let place = |i: u32| Placement {
        panel: 0,
        copy: i + 1,
        at: Point { x: 100.0 + 110.0 * f64::from(i), y: 150.0 },
        rotation: f64::from(i) * 57.0 % 360.0,
        mirrored: i > 3,
    };
    let mut places: Vec<Placement> = (0..6).map(place).collect();
    places.push(Placement {
        panel: 1,
        copy: 1,
        at: Point { x: 0.0, y: 230.0 },
        rotation: 0.0,
        mirrored: false,
    });
    let layout = assemble(&job, places, made_by());
    assert_eq!(check(&layout), []);
    layout
}

/// The outline as it lies on the film, moved so that its first point is at the origin.
fn lies(panel: &Panel, place: &Placement) -> Vec<Point> {
    let points: Vec<Point> =
        panel.parts[0].outline().points().iter().map(|p| place.pose().apply(*p)).collect();
    points.iter().map(|p| *p - points[0]).collect()
}

fn all_of(kit: &str) -> Choice {
    Choice { kits: vec![kit.into()], ..Choice::default() }
}

fn short() -> Effort {
    Effort::new(1, Limit::Rounds(1))
}

#[test]
fn every_piece_lies_as_it_lay() {
    let old = cut();
    let job = recut(&old, &all_of("K"), None).unwrap();
    assert_eq!(job.panels.len(), 6);
    assert_eq!(job.roll.length, Some(2000.0 - old.measures.length));
    assert!(super::check(&job).is_ok() && check_fits(&job).is_ok());
    let found = nest(&job, &short(), &mut |_| true).unwrap();
    let new = assemble(&job, found.placements, made_by());
    assert_eq!(super::super::layout::check(&new), []);
    for place in &new.placements {
        let panel = &new.panels[place.panel];
        let copy: u32 = panel.id.strip_prefix("wedge#").unwrap().parse().unwrap();
        let before = &old.placements[copy as usize - 1];
        for (a, b) in lies(panel, place).iter().zip(lies(&old.panels[0], before)) {
            assert!(crate::shape::length(*a - b) < 1e-9, "{}: {a:?} {b:?}", panel.id);
        }
        assert_eq!(panel.lines.len(), if copy == 2 || copy == 6 { 2 } else { 1 });
        assert!(panel.lines.iter().all(|l| l.copy.is_none()));
    }
}

#[test]
fn the_heading_of_a_turned_piece_is_the_only_one_allowed() {
    let job = recut(&cut(), &Choice { copies: vec![("wedge".into(), 3)], kits: vec![] }, None).unwrap();
    let [only] = job.panels.as_slice() else { panic!() };
    assert_eq!((only.id.as_str(), only.kit.as_deref(), only.copies), ("wedge#3", Some("K"), 1));
    assert!(angle_between(only.grain.rotation(0.0, false), 114.0) < 1e-9);
    assert!(only.grain.allows(0.0) && !only.grain.allows(180.0));
}

#[test]
fn free_film_of_a_cut_layout_is_used_and_the_gap_kept() {
    let old = cut();
    let job = recut(&old, &all_of("L"), Some(&old)).unwrap();
    assert_eq!(job.roll.flaws.len(), 7);
    let found = nest(&job, &short(), &mut |_| true).unwrap();
    let new = assemble(&job, found.placements, made_by());
    assert_eq!(super::super::layout::check(&new), []);
    assert!(new.measures.length < old.measures.length, "it lies among what was cut");
    // Both together, as if they had been nested at once, keep every rule.
    let mut both = old.clone();
    let mut again = new.panels[0].clone();
    again.id = "again".into();
    both.panels.push(again);
    both.placements.push(Placement { panel: 2, ..new.placements[0] });
    both.measures = crate::layout::measure(&both);
    assert_eq!(super::super::layout::check(&both), []);
}

#[test]
fn the_larger_gap_is_kept_at_a_sharp_tip() {
    let one = |panel: Panel, gap: f64, at: Point| {
        let job = Job { gap, ..job_of(60.0, vec![panel]) };
        let place = Placement { panel: 0, copy: 1, at, rotation: 0.0, mirrored: false };
        assemble(&job, vec![place], made_by())
    };
    let tip = panel("tip", vec![Region::solid(ring(&[(0., 25.), (100., 30.), (0., 35.)]))]);
    let bar = panel("bar", vec![Region::solid(ring(&[(0., 0.), (9., 0.), (9., 60.), (0., 60.)]))]);
    let mut into = one(tip, 2.0, Point { x: 0.0, y: 0.0 });
    into.measures.length = 150.0;
    let old = one(bar, 10.0, Point { x: 0.0, y: 0.0 });
    let all = Choice { copies: vec![("bar".into(), 1)], kits: vec![] };
    let job = recut(&old, &all, Some(&into)).unwrap();
    let found = nest(&job, &short(), &mut |_| true).unwrap();
    let x = found.placements[0].at.x;
    assert!((109.999..110.2).contains(&x), "{x}");
}

#[test]
fn film_that_was_cut_is_off_the_stock_and_paid() {
    let mut old = cut();
    old.roll.piece = Piece {
        id: Some("w".into()),
        price: Some(Price { amount: Decimal::parse("4").unwrap(), per: Per::M }),
        ..Piece::default()
    };
    let roll = recut(&old, &all_of("L"), Some(&old)).unwrap().roll;
    assert_eq!(roll.length, Some(old.measures.length));
    assert_eq!((roll.piece.id, roll.piece.offcut), (None, true));
    assert_eq!(roll.piece.price.unwrap().amount, Decimal::ZERO);
}

#[test]
fn where_the_roll_is_used_up_a_new_one_is_asked_for() {
    let mut old = cut();
    old.roll.length = Some(old.measures.length);
    old.roll.piece.id = Some("w".into());
    let job = on_new_roll(&old, &all_of("K")).unwrap();
    assert_eq!((job.roll.length, job.roll.piece.id, job.panels.len()), (None, None, 6));
    assert_eq!(job.roll.width, old.roll.width);
}

#[test]
fn what_is_not_in_the_layout_is_named() {
    let old = cut();
    let said = |choice: Choice| recut(&old, &choice, None).unwrap_err();
    let e = said(Choice { copies: vec![("wedge".into(), 9), ("wedg".into(), 1)], kits: vec!["M".into()] });
    assert_eq!(e.exit_code(), 2);
    for words in ["wedge#9", "copies 1, 2, 3, 4, 5, 6", "did you mean \"wedge\"?", "--kit M", "it has K, L"] {
        assert!(e.to_string().contains(words), "no {words} in {e}");
    }
    assert!(said(Choice::default()).to_string().contains("nothing is chosen"));
    let inches = Layout { unit: crate::job::Unit::Inch, ..old.clone() };
    assert_eq!(recut(&old, &all_of("K"), Some(&inches)).unwrap_err().exit_code(), 2);
    let mut used_up = old.clone();
    used_up.roll.length = Some(used_up.measures.length);
    assert_eq!(recut(&used_up, &all_of("K"), None).unwrap_err().exit_code(), 1);
}

/// A layout of so many small plates in rows.
fn many(plates: u32) -> Layout {
    let small = panel("s", vec![Region::solid(ring(&[(0., 0.), (2., 0.), (2., 2.), (0., 2.)]))]);
    let job = job_of(300.0, vec![Panel { copies: plates, ..small }]);
    let place = |i: u32| Placement {
        panel: 0,
        copy: i + 1,
        at: Point { x: 3.0 * f64::from(i / 100), y: 3.0 * f64::from(i % 100) },
        rotation: 0.0,
        mirrored: false,
    };
    assemble(&job, (0..plates).map(place).collect(), made_by())
}

#[test]
fn a_job_that_could_not_be_read_is_not_made() {
    let old = cut();
    let written = |job: &Job| crate::job::write(job).into_bytes();
    let none = |_: &str| Ok(Vec::new());
    let read = |job: &Job| {
        crate::job::parse(&written(job), "again.json", &none, &crate::read::ReadOptions::default())
    };
    let job = recut(&old, &all_of("L"), Some(&many(5000))).unwrap();
    assert_eq!(read(&job).unwrap().job.roll.flaws.len(), 5000);
    let e = recut(&old, &all_of("L"), Some(&many(5001))).unwrap_err();
    assert!(e.exit_code() == 2 && e.to_string().contains("5001 flaws on the roll; 5000"), "{e}");
    // Pieces get the number of their copy.
    let named = |letters: usize| {
        let mut layout = old.clone();
        layout.panels[1].id = "p".repeat(letters);
        recut(&layout, &all_of("L"), None)
    };
    assert!(read(&named(198).unwrap()).is_ok());
    let e = named(199).unwrap_err();
    assert!(e.exit_code() == 2 && e.to_string().contains("has 201 characters; 200"), "{e}");
}

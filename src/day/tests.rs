//! Plans of days whose best choice is known. The search is replaced by a shelf: rectangles in columns.

use super::*;
use crate::job::fixtures::{job_of, rectangle};
use crate::job::{Panel, Piece, Roll};
use crate::money::{Decimal, Per, Price};
use proptest::prelude::*;

/// Length of columns that are filled from below in the order of the panels.
fn shelf(job: &Job) -> Result<f64, Error> {
    let (mut x, mut y, mut column) = (job.roll.lead_margin, 0.0, 0.0f64);
    for panel in &job.panels {
        let b = panel.parts[0].bounds();
        for _ in 0..panel.copies {
            if y + b.height() > job.roll.usable_width() {
                (x, y, column) = (x + column, 0.0, 0.0);
            }
            y += b.height();
            column = column.max(b.width());
        }
    }
    Ok(x + column + job.roll.tail_margin)
}

fn roll(id: &str, width: f64, length: Option<f64>) -> Roll {
    Roll { length, piece: Piece { id: Some(id.into()), ..Piece::default() }, ..job_of(width, vec![]).roll }
}

fn priced(roll: Roll, amount: &str) -> Roll {
    let price = Some(Price { amount: Decimal::parse(amount).unwrap(), per: Per::M2 });
    Roll { piece: Piece { price, ..roll.piece }, ..roll }
}

fn of_film(roll: Roll, film: &str) -> Roll {
    Roll { piece: Piece { film: Some(film.into()), ..roll.piece }, ..roll }
}

fn offcut(roll: Roll) -> Roll {
    Roll { piece: Piece { offcut: true, ..roll.piece }, ..roll }
}

fn in_kit(kit: &str, panel: Panel) -> Panel {
    Panel { kit: Some(kit.into()), id: format!("{kit}/{}", panel.id), ..panel }
}

fn day(rolls: Vec<Roll>, panels: Vec<Panel>) -> Day {
    Day { rolls, several: true, ..Day::from(job_of(100.0, panels)) }
}

fn planned(day: &Day) -> Plan {
    plan(day, &mut shelf).unwrap()
}

/// (id of the piece, [(panel, copies)]).
fn told(day: &Day, plan: &Plan) -> Vec<(String, Vec<(String, usize)>)> {
    let share = |s: &Share| (day.panels[s.panel].id.clone(), s.copies.len());
    let load = |l: &Load| (day.rolls[l.roll].piece.id.clone().unwrap(), l.shares.iter().map(share).collect());
    plan.pieces.iter().map(load).collect()
}

fn pieces_used(day: &Day, plan: &Plan) -> Vec<String> {
    told(day, plan).into_iter().map(|(id, _)| id).collect()
}

#[test]
fn each_film_goes_on_its_own_pieces() {
    let film = |film: &str, panel: Panel| Panel { film: Some(film.into()), ..panel };
    let day = day(
        vec![of_film(roll("w", 100., None), "white"), of_film(roll("b", 100., None), "black")],
        vec![film("black", rectangle("p", 50., 50.)), film("white", rectangle("q", 50., 50.))],
    );
    let plan = planned(&day);
    assert_eq!(told(&day, &plan), [("w".into(), vec![("q".into(), 1)]), ("b".into(), vec![("p".into(), 1)])]);
    assert!(plan.left_out.is_empty() && plan.warnings.is_empty());
}

#[test]
fn an_offcut_is_used_first_where_it_saves_money() {
    let panels = || vec![Panel { copies: 3, ..rectangle("p", 50., 50.) }];
    let free = priced(offcut(roll("rest", 100., Some(110.))), "0");
    let full = priced(roll("full", 100., None), "8");
    let day = day(vec![full.clone(), free], panels());
    let plan = planned(&day);
    assert_eq!(told(&day, &plan), [("rest".into(), vec![("p".into(), 3)])]);
    // At the price of the roll, but so narrow that half of it is lost.
    let narrow = priced(offcut(roll("rest", 60., Some(500.))), "8");
    let day = Day { rolls: vec![narrow, priced(roll("full", 150., None), "8")], ..day };
    assert_eq!(pieces_used(&day, &planned(&day)), ["full"]);
}

#[test]
fn without_prices_offcuts_come_first() {
    let day = day(
        vec![roll("full", 100., None), offcut(roll("rest", 100., Some(60.)))],
        vec![Panel { copies: 4, ..rectangle("p", 50., 50.) }],
    );
    let plan = planned(&day);
    assert_eq!(
        told(&day, &plan),
        [("full".into(), vec![("p".into(), 2)]), ("rest".into(), vec![("p".into(), 2)])]
    );
}

#[test]
fn a_match_group_lies_on_one_piece_where_one_takes_it() {
    let gores = Panel { copies: 4, match_group: Some("nose".into()), ..rectangle("gore", 50., 50.) };
    let loose = Panel { copies: 2, ..rectangle("plate", 50., 50.) };
    let rolls = vec![offcut(roll("rest", 100., Some(60.))), roll("full", 100., None)];
    let day = day(rolls, vec![in_kit("K", gores.clone()), in_kit("K", loose)]);
    let plan = planned(&day);
    assert_eq!(
        told(&day, &plan),
        [("rest".into(), vec![("K/plate".into(), 2)]), ("full".into(), vec![("K/gore".into(), 4)])]
    );
    assert!(plan.warnings.is_empty());
    // Two pieces that take two gores each.
    let day = Day {
        rolls: vec![roll("a", 100., Some(60.)), roll("b", 100., Some(60.))],
        panels: vec![in_kit("K", gores)],
        ..day
    };
    let plan = planned(&day);
    assert_eq!(plan.pieces.len(), 2);
    let [warning] = plan.warnings.as_slice() else { panic!("{:?}", plan.warnings) };
    let text = warning.to_string();
    assert!(text.contains("match group \"nose\" of kit \"K\"") && text.contains("a, b"), "{text}");
}

#[test]
fn where_film_is_short_whole_kits_go_by_priority() {
    let kit = |kit: &str, priority: Option<u32>, n: u32| {
        [("front", n), ("back", n)].map(|(id, copies)| Panel {
            copies,
            priority,
            ..in_kit(kit, rectangle(id, 50., 50.))
        })
    };
    // Room for eight squares; A asks for four, B for six, C for two.
    let panels = [kit("A", None, 2), kit("B", Some(2), 3), kit("C", Some(1), 1)].concat();
    let day = day(vec![roll("r", 100., Some(200.))], panels);
    let plan = planned(&day);
    let kits: Vec<_> = plan.left_out.iter().map(|l| l.kit.as_deref().unwrap()).collect();
    assert_eq!(kits, ["A"], "C and B come before A");
    assert_eq!(told(&day, &plan)[0].1.len(), 4);
    // With room for six, B does not fit after C, and A does.
    let day = Day { rolls: vec![roll("r", 100., Some(150.))], ..day };
    let kits: Vec<_> = planned(&day).left_out.iter().map(|l| l.kit.clone().unwrap()).collect();
    assert_eq!(kits, ["B"]);
    let day = Day { rolls: vec![roll("r", 100., Some(50.))], panels: kit("B", None, 3).to_vec(), ..day };
    assert_eq!(super::plan(&day, &mut shelf).unwrap_err().exit_code(), 1);
}

/// A square of this kit on this film.
fn square(kit: &str, film: &str, copies: u32) -> Panel {
    Panel { copies, film: Some(film.into()), ..in_kit(kit, rectangle(film, 50., 50.)) }
}

#[test]
fn a_kit_short_of_one_film_leaves_the_other_film_alone() {
    let rolls = vec![of_film(roll("w", 100., None), "white"), of_film(roll("b", 100., Some(50.)), "black")];
    let day = day(
        rolls,
        vec![
            square("A", "white", 2),
            square("A", "black", 5),
            square("B", "white", 2),
            square("B", "black", 2),
        ],
    );
    let plan = planned(&day);
    assert_eq!(plan.left_out.len(), 1);
    assert_eq!(
        told(&day, &plan),
        [("w".into(), vec![("B/white".into(), 2)]), ("b".into(), vec![("B/black".into(), 2)])]
    );
}

/// One kit too many of black film, then kits of white film that is endless or takes both.
#[test]
fn a_shortage_of_one_film_costs_no_kit_of_another() {
    let rolls = vec![of_film(roll("b", 100., Some(50.)), "black"), of_film(roll("w", 100., None), "white")];
    let mut panels =
        vec![square("both", "black", 1), square("both", "white", 1), square("urgent", "black", 3)];
    panels.extend((0..30).map(|i| square(&format!("K{i}"), "white", 2)));
    // The rest of the black film is still used after so many that are too large for it.
    panels.extend((0..20).map(|i| square(&format!("L{i}"), "black", 2)));
    panels.push(square("small", "black", 1));
    let plan = planned(&day(rolls, panels));
    let left: Vec<_> = plan.left_out.iter().map(|l| l.kit.clone().unwrap()).collect();
    let expected: Vec<String> =
        std::iter::once("urgent".into()).chain((0..20).map(|i| format!("L{i}"))).collect();
    assert_eq!(left, expected);
}

#[test]
fn after_a_block_that_is_too_large_all_smaller_ones_still_find_room() {
    let plates = |id: &str, copies, length| Panel { copies, ..rectangle(id, length, 50.) };
    // A column of 50, and room for two of 20 beside it; eight small ones behind one that is too long.
    let rolls = vec![roll("r", 400., Some(100.)), roll("s", 400., Some(90.))];
    let panels = vec![plates("p", 8, 50.), plates("long", 2, 85.), plates("q", 14, 40.)];
    let panels = panels.into_iter().map(|p| in_kit("K", p)).collect();
    let plan = planned(&day(rolls, panels));
    assert_eq!(plan.left_out, []);
}

#[test]
fn a_panel_larger_than_every_piece_is_named() {
    let day = day(
        vec![roll("a", 100., None), offcut(roll("b", 80., Some(60.)))],
        vec![rectangle("big", 130., 120.)],
    );
    let mut big = day.clone();
    big.panels[0].grain.rule = crate::job::GrainRule::OneWay;
    let e = plan(&big, &mut shelf).unwrap_err();
    assert_eq!(e.exit_code(), 1);
    for words in ["panel \"big\"", "none of the 2 pieces", "too wide", "120.000"] {
        assert!(e.to_string().contains(words), "no {words} in {e}");
    }
}

proptest! {
    #[test]
    fn every_copy_is_cut_once_or_named_and_every_piece_holds_its_load(
        sizes in prop::collection::vec((0usize..4, 10.0..60.0f64, 10.0..60.0f64, 1u32..5, any::<bool>(), 0u32..4), 1..8),
        films in prop::collection::vec((60.0..140.0f64, prop::option::of(50.0..400.0f64), any::<bool>(), 0u32..900), 1..5),
        money: bool,
    ) {
        let kits = ["", "A", "B", "C"];
        let panels = sizes.iter().enumerate().map(|(i, (k, l, w, copies, group, due))| {
            let panel = Panel {
                copies: *copies,
                match_group: group.then(|| "m".into()),
                priority: (*due > 0).then_some(*due),
                ..rectangle(&i.to_string(), *l, *w)
            };
            if *k == 0 { panel } else { in_kit(kits[*k], panel) }
        }).collect();
        let rolls = films.iter().enumerate().map(|(i, (width, length, rest, cents))| {
            let r = roll(&format!("r{i}"), *width, *length);
            let r = if *rest { offcut(r) } else { r };
            if money { priced(r, &format!("{}.{:02}", cents / 100, cents % 100)) } else { r }
        }).collect();
        let day = day(rolls, panels);
        let Ok(plan) = plan(&day, &mut shelf) else { return Ok(()) };
        let mut seen: Vec<(usize, u32)> = plan.pieces.iter().flat_map(|l| &l.shares)
            .chain(plan.left_out.iter().flat_map(|l| &l.shares))
            .flat_map(|s| s.copies.iter().map(|c| (s.panel, *c)))
            .collect();
        seen.sort_unstable();
        let all: Vec<(usize, u32)> = day.panels.iter().enumerate().flat_map(|(i, p)| (1..=p.copies).map(move |c| (i, c))).collect();
        prop_assert_eq!(seen, all);
        for load in &plan.pieces {
            let roll = &day.rolls[load.roll];
            let length = shelf(&day.job(roll, &load.shares)).unwrap();
            prop_assert!(roll.length.is_none_or(|l| length <= l), "{} on {:?}", length, roll);
        }
        for left in &plan.left_out {
            let kit_is_cut = plan.pieces.iter().flat_map(|l| &l.shares).any(|s| left.kit.is_some() && day.panels[s.panel].kit == left.kit);
            prop_assert!(!kit_is_cut, "half of kit {:?}", left.kit);
        }
    }
}

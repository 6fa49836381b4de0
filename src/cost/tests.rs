//! Bills worked out by hand, and sums that must hold for every bill.

use super::*;
use crate::job::fixtures::{job_of, rectangle};
use crate::job::{Panel, Piece, Roll, Shop, Unit};
use crate::layout::{MadeBy, Placement, assemble};
use crate::money::{Decimal, Labour, Minutes, Per, Price};
use crate::shape::Point;
use proptest::prelude::*;

fn price(amount: &str, per: Per) -> Price {
    Price { amount: Decimal::parse(amount).unwrap(), per }
}

/// Rectangles one behind the other on a roll, each of its kit: (kit, length, width, filler).
fn row(
    roll_width: f64,
    price: Option<Price>,
    rates: Option<Rates>,
    panels: &[(&str, f64, f64, bool)],
) -> Layout {
    let made = |(i, (kit, l, w, optional)): (usize, &(&str, f64, f64, bool))| Panel {
        kit: (!kit.is_empty()).then(|| (*kit).into()),
        optional: *optional,
        ..rectangle(&i.to_string(), *l, *w)
    };
    let mut job = job_of(roll_width, panels.iter().enumerate().map(made).collect());
    job.roll.piece = Piece { id: Some("r".into()), price, ..Piece::default() };
    job.shop = Shop { rates, keep: None };
    let mut x = 0.0;
    let mut places = Vec::new();
    for (i, (_, l, ..)) in panels.iter().enumerate() {
        places.push(Placement { panel: i, copy: 1, at: Point { x, y: 0.0 }, rotation: 0.0, mirrored: false });
        x += l;
    }
    let made_by = MadeBy { version: String::new(), seed: 0, walks: 0, rounds: 0, stopped: String::new() };
    assemble(&job, places, made_by)
}

fn film_costs(bill: &Bill) -> Vec<Minor> {
    bill.kits.iter().map(|k| k.costs.film).collect()
}

#[test]
fn three_equal_kits_share_ten_euros_to_the_cent() {
    let panels = [("b", 100., 50., false), ("a", 100., 50., false), ("c", 100., 50., false)];
    // 0.3 m at 33.34 for a metre: 10.002, that is 10.00.
    let layout = row(100.0, Some(price("33.34", Per::M)), None, &panels);
    let bill = bill(&[&layout]).unwrap().unwrap();
    assert_eq!(film_costs(&bill), [334, 333, 333]);
    assert_eq!(bill.kits[0].kit.as_deref(), Some("a"), "the cent left over goes to the first id");
    assert_eq!(bill.total.total(), 1000);
    assert_eq!(bill.films[0].cost, 1000);
}

#[test]
fn the_two_rules_for_waste_differ_where_shapes_are_awkward() {
    let mut layout = row(
        100.0,
        Some(price("10", Per::M)),
        None,
        &[("flat", 100., 100., false), ("bow", 100., 100., false)],
    );
    // Half of its box.
    let wedge = crate::job::fixtures::ring(&[(0., 0.), (100., 0.), (0., 100.)]);
    layout.panels[1].parts = vec![crate::shape::Region::solid(wedge)];
    layout.measures = crate::layout::measure(&layout);
    // 2.00 in all. By area 2 : 1. By boxes: flat 10000 + 2500, bow 5000 + 2500 mm2, that is 5 : 3.
    assert_eq!(film_costs(&bill(&[&layout]).unwrap().unwrap()), [67, 133]);
    layout.shop.rates = Some(Rates { waste: WasteRule::Box, ..Rates::plain() });
    assert_eq!(film_costs(&bill(&[&layout]).unwrap().unwrap()), [75, 125]);
}

#[test]
fn ink_tape_laminate_and_labour_go_by_their_own_measure() {
    let labour = Labour {
        per_hour: Decimal::parse("36").unwrap(),
        job: Minutes { milliseconds: 600_000 },
        kit: Minutes { milliseconds: 300_000 },
        panel: Minutes { milliseconds: 60_000 },
    };
    let rates = Rates {
        ink: Some(price("3", Per::M2)),
        laminate: Some(price("2", Per::M2)),
        transfer_tape: Some(price("1", Per::M2)),
        labour: Some(labour),
        ..Rates::plain()
    };
    let panels = [("a", 1000., 500., false), ("b", 1000., 500., false), ("b", 100., 100., true)];
    let layout = row(1000.0, Some(price("0", Per::M)), Some(rates), &panels);
    let bill = bill(&[&layout]).unwrap().unwrap();
    let [a, b] = bill.kits.as_slice() else { panic!("{bill:?}") };
    // Ink on 0.5 and 0.51 m2; laminate on 2 m2 of film in equal halves, since a filler pays for no
    // film; half of ten minutes, five for the kit and one for each piece at 0.60 a minute.
    assert_eq!([a.costs.ink, b.costs.ink], [150, 153]);
    assert_eq!([a.costs.laminate, b.costs.laminate], [200, 200]);
    assert_eq!([a.costs.transfer_tape, b.costs.transfer_tape], [50, 51]);
    assert_eq!([a.costs.labour, b.costs.labour], [660, 720]);
    assert_eq!([a.film_area_mm2, b.film_area_mm2], [1e6, 1e6]);
    assert_eq!(b.filler_area_mm2, 1e4);
    assert_eq!(bill.total.total(), a.costs.total() + b.costs.total());
}

#[test]
fn inches_and_yards_are_exact() {
    // 36 in of a roll 24 in wide: one yard, or 6 square feet.
    let mut layout = row(24.0, Some(price("7.77", Per::Yd)), None, &[("", 36.0, 20.0, false)]);
    layout.unit = Unit::Inch;
    assert_eq!(bill(&[&layout]).unwrap().unwrap().total.total(), 777);
    layout.roll.piece.price = Some(price("1.11", Per::Ft2));
    assert_eq!(bill(&[&layout]).unwrap().unwrap().total.total(), 666);
}

#[test]
fn a_missing_price_is_named_and_no_price_is_no_bill() {
    let panels = [("a", 10., 10., false)];
    let free = row(100.0, None, None, &panels);
    assert_eq!(bill(&[&free]).unwrap(), None);
    assert_eq!(bill(&[]).unwrap(), None);
    let paid = row(100.0, Some(price("1", Per::M)), None, &panels);
    for list in [vec![&paid, &free], vec![&free, &paid]] {
        let e = bill(&list).unwrap_err();
        assert!(e.exit_code() == 2 && e.to_string().contains("roll \"r\": price"), "{e}");
    }
    let rates = row(100.0, None, Some(Rates::plain()), &panels);
    assert_eq!(bill(&[&rates]).unwrap_err().exit_code(), 2);
}

#[test]
fn amounts_beyond_counting_are_refused() {
    let layout = row(
        1e7,
        Some(price("999999999", Per::Ft2)),
        Some(Rates { decimals: 4, ..Rates::plain() }),
        &[("a", 1e7, 1e7, false)],
    );
    assert_eq!(bill(&[&layout]).unwrap_err().exit_code(), 2);
}

#[test]
fn what_is_left_on_the_roll() {
    let layout = row(100.0, None, None, &[("a", 300., 10., false)]);
    assert_eq!(film_left(&layout), None);
    let with = |length| Layout { roll: Roll { length, ..layout.roll.clone() }, ..layout.clone() };
    assert_eq!(film_left(&with(Some(1000.0))), Some(700.0));
    assert_eq!(film_left(&with(Some(300.0))), Some(0.0));
}

fn any_rates() -> impl Strategy<Value = Rates> {
    let price = (0u32..1_000_000, prop_oneof![Just(Per::M2), Just(Per::Ft2), Just(Per::Yd2)])
        .prop_map(|(n, per)| price(&format!("{}.{:03}", n / 1000, n % 1000), per));
    let prices = [price.clone(), price.clone(), price];
    (prices, 0u8..=4, any::<bool>(), 0u32..9999, 0u32..9999).prop_map(
        |([ink, laminate, tape], decimals, boxes, a, b)| Rates {
            currency: "X".into(),
            decimals,
            waste: if boxes { WasteRule::Box } else { WasteRule::Area },
            ink: Some(ink),
            laminate: Some(laminate),
            transfer_tape: Some(tape),
            labour: Some(Labour {
                per_hour: Decimal::parse("41.37").unwrap(),
                job: Minutes { milliseconds: a },
                kit: Minutes { milliseconds: b },
                panel: Minutes { milliseconds: a % 61_000 },
            }),
        },
    )
}

proptest! {
    #[test]
    fn the_kits_pay_for_everything_and_nothing_twice(
        rates in any_rates(),
        sizes in prop::collection::vec((0usize..5, 1.0..400.0f64, 1.0..500.0f64, any::<bool>()), 1..12),
        amount in 0u32..100_000,
    ) {
        let kits = ["", "A", "B", "C.1", "C.2"];
        let panels: Vec<_> = sizes.iter().enumerate().map(|(i, (k, l, w, o))| (kits[*k], *l, *w, *o && i > 0)).collect();
        let paid = price(&format!("{}.{:02}", amount / 100, amount % 100), Per::M2);
        let layouts = [row(500.0, Some(paid), Some(rates.clone()), &panels), row(700.0, Some(paid), Some(rates), &panels[..1])];
        let bill = bill(&[&layouts[0], &layouts[1]]).unwrap().unwrap();
        prop_assert_eq!(bill.total.film, bill.films.iter().map(|f| f.cost).sum::<Minor>());
        prop_assert_eq!(bill.total.total(), bill.kits.iter().map(|k| k.costs.total()).sum::<Minor>());
        prop_assert!(bill.kits.windows(2).all(|k| key(k[0].kit.as_ref()) < key(k[1].kit.as_ref())));
        let area: f64 = bill.kits.iter().map(|k| k.film_area_mm2).sum();
        let used: f64 = bill.films.iter().map(|f| f.area_mm2).sum();
        prop_assert!((area - used).abs() < 1e-3 * used);
        let pieces: u64 = bill.kits.iter().map(|k| k.pieces).sum();
        prop_assert_eq!(pieces, panels.len() as u64 + 1);
    }
}

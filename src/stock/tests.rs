//! What a cut leaves of the stock.

use super::*;
use crate::job::fixtures::{job_of, rectangle, ring};
use crate::job::stock;
use crate::job::{Job, Keep, Unit};
use crate::layout::{MadeBy, Placement, assemble};
use crate::money::{Decimal, Per, Price};

fn roll(id: &str, width: f64, length: Option<f64>) -> Roll {
    let piece = Piece { id: Some(id.into()), film: Some("white".into()), ..Piece::default() };
    Roll { length, piece, lead_margin: 10.0, tail_margin: 5.0, ..job_of(width, vec![]).roll }
}

fn stock_of(rolls: Vec<Roll>, keep: Option<Keep>) -> Stock {
    Stock { unit: Unit::Millimetre, keep, rolls, cut: vec![], notes: None }
}

/// A plate of 200 x 100 behind the lead margin.
fn layout_on(roll: &Roll) -> Layout {
    let job = Job { roll: roll.clone(), ..job_of(roll.width, vec![rectangle("plate", 200., 100.)]) };
    let place =
        Placement { panel: 0, copy: 1, at: Point { x: 10.0, y: 0.0 }, rotation: 0.0, mirrored: false };
    let made_by = MadeBy { version: String::new(), seed: 0, walks: 0, rounds: 0, stopped: String::new() };
    assemble(&job, vec![place], made_by)
}

fn now(stock: &Stock, layout: &Layout, hash: &str) -> Update {
    match confirm(stock, layout, hash).unwrap() {
        Confirmed::Now(update) => update,
        Confirmed::Already => panic!("already"),
    }
}

#[test]
fn the_film_used_is_gone_and_flaws_move_up() {
    let mut film = roll("r", 400.0, Some(1000.0));
    film.flaws =
        vec![ring(&[(5., 200.), (50., 200.), (50., 300.)]), ring(&[(600., 0.), (700., 0.), (700., 50.)])];
    let stock = stock_of(vec![film.clone(), roll("other", 300.0, None)], None);
    let update = now(&stock, &layout_on(&film), "h1");
    assert_eq!((update.left, update.used_up), (Some(785.0), false));
    assert_eq!(update.stock.rolls[0].flaws, [ring(&[(385., 0.), (485., 0.), (485., 50.)])]);
    assert_eq!(update.stock.rolls[1], stock.rolls[1]);
    assert_eq!(update.stock.cut, [Cut { layout: "h1".into(), roll: "r".into(), length: 215.0 }]);
}

#[test]
fn a_second_confirmation_does_nothing() {
    let film = roll("r", 400.0, Some(1000.0));
    let layout = layout_on(&film);
    let once = now(&stock_of(vec![film], None), &layout, "h1").stock;
    assert_eq!(confirm(&once, &layout, "h1").unwrap(), Confirmed::Already);
}

#[test]
fn a_layout_for_film_that_was_cut_meanwhile_is_refused() {
    let film = roll("r", 400.0, Some(1000.0));
    let layout = layout_on(&film);
    let once = now(&stock_of(vec![film], None), &layout, "h1").stock;
    let e = confirm(&once, &layout, "h2").unwrap_err();
    assert!(e.exit_code() == 1 && e.to_string().contains("length then 1000.0 mm, now 785.0 mm"), "{e}");
}

#[test]
fn strange_layouts_are_told_what_is_missing() {
    let film = roll("r", 400.0, None);
    let stock = stock_of(vec![roll("s", 400.0, None)], None);
    let e = confirm(&stock, &layout_on(&film), "h").unwrap_err().to_string();
    assert!(e.contains("no piece \"r\"") && e.contains("it has s"), "{e}");
    let mut nameless = layout_on(&film);
    nameless.roll.piece.id = None;
    let e = confirm(&stock, &nameless, "h").unwrap_err();
    assert!(e.exit_code() == 2 && e.to_string().contains("there is nothing to confirm"), "{e}");
    let inch = Layout { unit: Unit::Inch, ..layout_on(&roll("s", 400.0, None)) };
    assert!(confirm(&stock, &inch, "h").unwrap_err().to_string().contains("in one unit"));
}

#[test]
fn a_piece_too_short_for_anything_is_dropped_and_its_offcuts_are_kept() {
    let film = roll("r", 400.0, Some(230.0));
    let stock = stock_of(vec![film.clone()], Some(Keep { length: 150.0, width: 150.0 }));
    let update = now(&stock, &layout_on(&film), "h");
    assert!(update.used_up && update.offcuts == ["r-1"], "{update:?}");
    let [offcut] = update.stock.rolls.as_slice() else { panic!("{update:?}") };
    assert!(offcut.piece.offcut && offcut.piece.film.as_deref() == Some("white"));
    // Beside a plate 100 wide on film 400 wide.
    assert!(offcut.width > 280.0 && offcut.width <= 300.0 && offcut.length > Some(190.0), "{offcut:?}");
    // The ids stay unique, also after the piece of that name is gone.
    let again = stock_of(vec![film.clone()], stock.keep);
    let again = Stock { cut: vec![Cut { layout: "x".into(), roll: "R-1".into(), length: 1.0 }], ..again };
    assert_eq!(now(&again, &layout_on(&film), "h").offcuts, ["r-2"]);
}

#[test]
fn an_offcut_costs_its_share_of_a_price_for_a_length() {
    let priced = |per| {
        let mut film = roll("r", 400.0, Some(230.0));
        film.piece.price = Some(Price { amount: Decimal::parse("10").unwrap(), per });
        let stock = stock_of(vec![film.clone()], Some(Keep { length: 150.0, width: 150.0 }));
        let rolls = now(&stock, &layout_on(&film), "h").stock.rolls;
        let price = rolls[0].piece.price.unwrap();
        assert_eq!(price.per, per);
        (rolls[0].width, price.amount.units() as f64 / Decimal::UNITS_PER_ONE as f64)
    };
    let (width, amount) = priced(Per::M);
    assert!((amount - 10.0 * width / 400.0).abs() < 2e-6, "{width} at {amount}");
    assert_eq!(priced(Per::M2).1, 10.0);
}

#[test]
fn a_stock_survives_writing() {
    let film = roll("r", 400.0, Some(1000.0));
    let stock =
        stock_of(vec![film.clone(), roll("s", 300.0, None)], Some(Keep { length: 150.0, width: 150.0 }));
    let update = now(&stock, &layout_on(&film), "h").stock;
    for stock in [stock, update, stock_of(vec![], None)] {
        let text = stock::write(&stock);
        assert_eq!(stock::parse(text.as_bytes(), "stock.json").unwrap(), stock, "{text}");
    }
}

#[test]
fn a_stock_that_could_not_be_read_is_not_made() {
    let film = roll("r", 400.0, Some(1000.0));
    let with = |others: usize| {
        let mut rolls = vec![film.clone()];
        rolls.extend((0..others).map(|i| roll(&format!("o{i}"), 300.0, None)));
        let keep = Some(Keep { length: 150.0, width: 150.0 });
        confirm(&stock_of(rolls, keep), &layout_on(&film), "h")
    };
    let Confirmed::Now(update) = with(4998).unwrap() else { panic!() };
    assert_eq!((update.offcuts.len(), update.stock.rolls.len()), (1, 5000));
    assert_eq!(stock::parse(stock::write(&update.stock).as_bytes(), "s").unwrap(), update.stock);
    let e = with(4999).unwrap_err();
    assert!(
        e.exit_code() == 2 && e.to_string().contains("5001 pieces with the 1 kept of this cut; 5000"),
        "{e}"
    );
}

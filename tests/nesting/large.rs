//! Many corners, many pieces: what a search makes of them passes the check as small jobs do.

use super::{lay, on_100, rectangle, with};
use serde_json::{Value, json};
use tuckroll::nest::Stop;

/// A closed line about the origin, every other corner of it nearer by `depth`.
fn star(id: &str, corners: u32, radius: f64, depth: f64) -> Value {
    let at = |k: u32| std::f64::consts::TAU * f64::from(k) / f64::from(corners);
    let from_middle = |k: u32| if k.is_multiple_of(2) { radius } else { radius - depth };
    let outline: Vec<[f64; 2]> = (0..corners)
        .map(|k| [from_middle(k) * libm::cos(at(k)), from_middle(k) * libm::sin(at(k))])
        .collect();
    json!({"id": id, "copies": 2, "outline": outline})
}

/// By hand: two discs of 40 lie side by side on 100, and so do two of 44: with the gap between these columns 85. The
/// room that outlines of very many corners get besides is far less than 1.
#[test]
fn outlines_of_5_000_points_are_searched_and_keep_clear_of_each_other() {
    let job = on_100(1.0, vec![star("round", 5000, 20.0, 0.0), star("jagged", 5000, 22.0, 2.0)]);
    let (layout, nested, faults) = lay(&job, 1).unwrap();
    assert!(faults.is_empty(), "{faults:?}");
    assert_eq!((layout.placements.len(), nested.rounds), (4, 1));
    assert!(layout.measures.length <= 40.0 + 1.0 + 44.0 + 1.0, "{}", layout.measures.length);
    assert!(layout.measures.length >= nested.lower_bound);
}

/// By hand: with a gap of 1 nine squares of 10 lie across 100 (9 x 10 + 8), so that 10,000 take 1,112 columns:
/// 1,112 x 11 less the last gap.
#[test]
fn ten_thousand_rectangles_lie_in_full_columns_at_once_and_after_a_round() {
    let squares = with(rectangle("square", 10.0, 10.0), json!({"copies": 10_000}));
    let job = on_100(1.0, vec![squares]);
    let columns = 1112.0 * 11.0 - 1.0;
    for rounds in [0, 1] {
        let (layout, nested, faults) = lay(&job, rounds).unwrap();
        assert!(faults.is_empty(), "{} faults, first {:?}", faults.len(), faults.first());
        assert_eq!((layout.placements.len(), nested.rounds), (10_000, rounds));
        let length = layout.measures.length;
        assert!(length <= columns + 0.1, "{rounds} rounds: {length} instead of {columns}");
        assert!(length >= nested.lower_bound - layout.roll.tolerance(), "{length}");
    }
}

/// Without a gap they fill the film, and the search knows that nothing is left to be won. What the program makes keeps
/// within a quarter of the tolerance, which may add up over a thousand columns.
#[test]
fn ten_thousand_rectangles_that_fill_the_film_end_the_search() {
    let squares = with(rectangle("square", 10.0, 10.0), json!({"copies": 10_000}));
    let (layout, nested, faults) = lay(&on_100(0.0, vec![squares]), 1).unwrap();
    assert!(faults.is_empty(), "{} faults, first {:?}", faults.len(), faults.first());
    assert_eq!((nested.stopped, nested.rounds), (Stop::Bound, 0));
    let off = (layout.measures.length - 10_000.0).abs();
    assert!(off <= 1000.0 * 0.25 * layout.roll.tolerance(), "{}", layout.measures.length);
}

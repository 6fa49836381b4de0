//! One panel: nothing is to be searched, the length is exact, and the search knows that it is done.

use super::{job_text, lay, on_100, parse, rectangle, with};
use serde_json::{Value, json};
use tuckroll::job::Job;
use tuckroll::nest::Stop;

fn plate(length: f64, width: f64, rule: &str) -> Value {
    with(rectangle("plate", length, width), json!({"grain": {"rule": rule}}))
}

/// Asserts the length, to the last digits, of a layout with which nothing more was done: it is the bound.
#[track_caller]
fn ends_at(job: &Job, length: f64) {
    let (layout, nested, faults) = lay(job, 5).unwrap();
    assert!(faults.is_empty(), "{faults:?}");
    let near = |found: f64| (found - length).abs() <= 1e-9 * length;
    assert!(near(layout.measures.length), "{} instead of {length}", layout.measures.length);
    assert!(near(nested.lower_bound), "bound {} instead of {length}", nested.lower_bound);
    assert_eq!((nested.stopped, nested.rounds), (Stop::Bound, 0));
}

/// By hand: 80 x 30 on film 100 wide lies lengthwise where it may not be turned, or by half only; by a quarter it is
/// 30 long and 80 across. 120 x 30 does not fit across.
#[test]
fn a_rectangle_is_as_long_as_its_grain_lets_it_be() {
    for (length, rule, least) in [
        (80.0, "one-way", 80.0),
        (80.0, "two-way", 80.0),
        (80.0, "quarter", 30.0),
        (100.0, "quarter", 30.0),
        (120.0, "quarter", 120.0),
    ] {
        ends_at(&on_100(3.0, vec![plate(length, 30.0, rule)]), least);
    }
}

/// By hand: the margins at both ends are film too, and 100 less 4 and 6 is 90 across, so that only 80 can be turned.
#[test]
fn margins_belong_to_the_length_and_narrow_the_film() {
    let roll = || json!({"width": 100, "edge_margin": [4, 6], "lead_margin": 7, "tail_margin": 11});
    for (length, least) in [(80.0, 7.0 + 30.0 + 11.0), (95.0, 7.0 + 95.0 + 11.0)] {
        let text = job_text(roll(), 3.0, vec![plate(length, 30.0, "quarter")]);
        ends_at(&parse(&text).unwrap(), least);
    }
}

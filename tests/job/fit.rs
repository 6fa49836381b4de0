//! Panels that cannot lie on the film are refused before the search begins.

use super::{change, parse, sample};
use serde_json::json;
use tuckroll::nest::{Effort, Limit, nest};

#[test]
fn the_search_names_every_panel_that_does_not_fit() {
    let mut file = sample();
    change(&mut file, "/roll/width", Some(json!(1.5)));
    let job = parse(&file).unwrap();
    let effort = Effort::new(1, Limit::Rounds(0));
    let e = nest(&job, &effort, &mut |_| true).unwrap_err();
    assert_eq!(e.exit_code(), 1);
    let said = e.to_string();
    assert!(said.contains("panel \"fin\": it is too wide") && said.contains("panel \"plate/1\""), "{said}");
    assert!(!said.contains("lid") && !said.contains("Größe"), "{said}");
}

//! `tuckroll outlines`.

use crate::support::Desk;

#[test]
fn a_missing_file_is_named() {
    let desk = Desk::new();
    let ran = desk.run(["outlines", "fin.dxf"]).ends_with(2).says(&["error: fin.dxf", "no such file"]);
    assert_eq!(ran.out, "");
}

#[test]
fn a_folder_is_not_a_drawing() {
    Desk::new().run(["outlines", "."]).ends_with(2).says(&["folder"]);
}

#[test]
fn failures_are_told_to_scripts_too() {
    let ran = Desk::new().run(["outlines", "fin.dxf", "--json"]).ends_with(2);
    let told: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(told["exit_code"], 2);
    assert_eq!(told["problems"][0]["place"], "fin.dxf");
}

#[test]
fn garbage_is_no_drawing() {
    let desk = Desk::new();
    desk.put("fin.dxf", [0u8, 159, 146, 150, 7, 0, 255]);
    desk.run(["outlines", "fin.dxf"]).ends_with(2).says(&["fin.dxf"]);
}

/// A plate with a hole on layer `plate`, an open line, and a name that tries to steer the terminal.
const PLATE: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="50mm" viewBox="0 0 100 50">
<g id="plate"><path fill-rule="evenodd" d="M 10 10 h 40 v 20 h -40 z M 20 15 h 10 v 10 h -10 z"/></g>
<g id="&#x202e;&#x9b;"><rect x="60" y="30" width="30" height="15"/></g>
<path d="M 60 10 L 90 10 L 90 30"/>
</svg>"##;

#[test]
fn sizes_are_listed_with_layers_and_holes() {
    let desk = Desk::new();
    desk.put("plate.svg", PLATE);
    let ran =
        desk.run(["outlines", "plate.svg"]).ends_with(0).says(&["warning: plate.svg: line 4", "not closed"]);
    assert!(ran.out.contains("2 closed outlines; 1 unit = 1 mm, as the file says"), "{}", ran.out);
    assert!(ran.out.contains("40.0 x 20.0") && ran.out.contains("7.00"), "{}", ran.out);
    assert!(!(ran.out + &ran.err).contains(['\u{9b}', '\u{202e}']));
}

#[test]
fn a_unit_can_be_forced() {
    let desk = Desk::new();
    desk.put("plate.svg", PLATE);
    let ran = desk.run(["outlines", "plate.svg", "--unit", "in", "--json"]).ends_with(0);
    let told: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(told["mm_per_unit"], 25.4);
    assert_eq!(told["outlines"][0]["width"], 40.0);
    assert_eq!(told["outlines"][0]["width_mm"], 40.0 * 25.4);
    assert_eq!(told["outlines"][0]["holes"], 1);
    assert!(told["warnings"].as_array().is_some_and(|w| !w.is_empty()));
}

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

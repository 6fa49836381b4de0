//! Names of pieces of film, which become names of folders.

use super::Decoder;
use crate::json::Node;

/// Longest name in characters; a folder's name may have 255 bytes, and a letter takes four at most.
const MAX_CHARS: usize = 60;

/// Names that a widespread system keeps for devices, whatever follows a point in them
/// (from memory).
const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];
const NUMBERED_DEVICES: [&str; 2] = ["com", "lpt"];

/// Files beside the folders of the pieces.
const FILES: [&str; 6] =
    ["summary.json", "report.json", "report.html", "kits.csv", "layout.json", "panels.json"];

impl Decoder<'_> {
    /// A name that every file system takes for a folder, inside the one it is asked for.
    pub(crate) fn folder_name(&mut self, node: &Node<'_>) -> Option<String> {
        let name = self.id(node)?;
        let Some(fault) = folder_fault(&name) else { return Some(name) };
        let remedy =
            "it is the name of a folder: use letters, digits, blanks and . _ - with a letter or digit first";
        node.problem(self.report, format!("{name:?} cannot name a folder: {fault}"), remedy);
        None
    }
}

/// Why `name` is not taken for a folder.
fn folder_fault(name: &str) -> Option<String> {
    let lower = name.to_lowercase();
    let stem = lower.split('.').next().unwrap_or_default().trim_end();
    let numbered = |d: &str| stem.strip_prefix(d).is_some_and(|n| n.len() == 1 && n != "0");
    if let Some(c) = name.chars().find(|c| !(c.is_alphanumeric() || " ._-".contains(*c))) {
        Some(format!("it has the character {c:?}"))
    } else if !name.chars().next().is_some_and(char::is_alphanumeric) {
        Some("it does not start with a letter or digit".into())
    } else if name.ends_with('.') {
        Some("it ends with a point".into())
    } else if name.chars().count() > MAX_CHARS {
        Some(format!("it has more than {MAX_CHARS} characters"))
    } else if DEVICES.contains(&stem) || NUMBERED_DEVICES.iter().any(|d| numbered(d)) {
        Some("some systems keep this name for a device".into())
    } else if FILES.contains(&lower.as_str()) || (lower.starts_with("sheet") && lower.ends_with(".html")) {
        Some("a file of the result has this name".into())
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::folder_fault;

    #[test]
    fn names_that_lead_elsewhere_are_refused() {
        for name in [
            "..",
            ".",
            "../x",
            "a/b",
            "a\\b",
            "/etc",
            "C:",
            "a:b",
            ".hidden",
            "-rf",
            " a",
            "x.",
            "nul",
            "CON.txt",
            "Com1",
            "lpt9.a",
            "summary.json",
            "Summary.JSON",
            "sheet-1.html",
            "a*",
            "a?",
            "a\"b",
            "e\u{301}",
            "",
        ] {
            assert!(folder_fault(name).is_some(), "{name:?}");
        }
        assert!(folder_fault(&"x".repeat(61)).is_some());
    }

    #[test]
    fn names_of_a_shop_are_taken() {
        for name in ["white-610", "Weiß 610.2", "com10", "com0", "console", "3", "A_1", "summary"] {
            assert_eq!(folder_fault(name), None, "{name:?}");
        }
    }
}

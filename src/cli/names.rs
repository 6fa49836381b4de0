//! The names of the files in a result.

/// The result of a nest.
pub const LAYOUT: &str = "layout.json";
/// The file for the plotter.
pub const CUT: &str = "cut.dxf";
/// The drawing to look at.
pub const PREVIEW: &str = "preview.svg";
/// The picture to look at.
pub const PICTURE: &str = "preview.png";

/// The report to read.
pub const REPORT: &str = "report.html";
/// The report for scripts.
pub const REPORT_JSON: &str = "report.json";
/// The orders for a spreadsheet.
pub const KITS: &str = "kits.csv";

/// The comparison to read.
pub const COMPARISON: &str = "compare.html";
/// The comparison for scripts.
pub const COMPARISON_JSON: &str = "compare.json";
/// The comparison for a spreadsheet.
pub const COMPARISON_CSV: &str = "compare.csv";
/// What a day on several pieces of film came to.
pub const SUMMARY: &str = "summary.json";

/// The order of the cuts.
pub const PLAN: &str = "plan.json";
/// The file for a plotter.
pub const PLOT: &str = "cut.plt";

/// The names of a section's files for plotter and host.
pub fn section_names(number: usize) -> (String, String) {
    (format!("cut-{number}.plt"), format!("cut-{number}.dxf"))
}

/// Panels for a job.
pub const PANELS: &str = "panels.json";
/// A job of panels alone.
pub const JOB: &str = "job.json";
/// Patterns for CAD.
pub const PATTERNS_DXF: &str = "panels.dxf";
/// Patterns for a drawing program.
pub const PATTERNS_SVG: &str = "panels.svg";

/// The name of an order's fit sheet; what could not be in a file name becomes a line.
pub fn sheet_name(order: &str) -> String {
    let plain = |c: char| if c.is_alphanumeric() || "._-".contains(c) { c } else { '_' };
    // A name of a file may be 255 bytes long; a letter takes four at most.
    let order: String = order.chars().take(50).map(plain).collect();
    if order.is_empty() { "sheet.html".into() } else { format!("sheet-{order}.html") }
}

/// Whether it is a name that [`sheet_name`] gives.
pub fn is_sheet(name: &str) -> bool {
    let order = name.strip_prefix("sheet-").and_then(|n| n.strip_suffix(".html")).unwrap_or_default();
    sheet_name(order) == name
}

/// Whether it is a name that [`section_names`] gives.
pub fn is_section(name: &str) -> bool {
    let inner = name.strip_prefix("cut-").and_then(|n| n.strip_suffix(".plt").or(n.strip_suffix(".dxf")));
    inner.is_some_and(|n| !n.is_empty() && n.bytes().all(|b| b.is_ascii_digit()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_sheets_have_the_names_of_sheets() {
        for order in ["", "A-101", "Größe 2/b", "sheet", &"x".repeat(90)] {
            assert!(is_sheet(&sheet_name(order)), "{order}");
        }
        for name in
            ["sheetmusic.html", "sheets.html", "sheet-.html", "sheet-a b.html", "sheet-a.htm", "a.html"]
        {
            assert!(!is_sheet(name), "{name}");
        }
    }
}

//! How large a job may be. Beyond any of these a file is refused with what to do about it.

use super::Unit;

/// Greatest length or coordinate, in millimetres (10 km): far beyond any roll, and small enough
/// that a coordinate still resolves a few nanometres.
pub const MAX_LENGTH_MM: f64 = 1e7;

/// Greatest number of copies in a job, over all panels. Films are cut by the thousand pieces
/// a day at most; the search and the files grow with the number.
pub const MAX_COPIES: u64 = 100_000;

/// Greatest number of points in one contour or line. A decal traced from a photograph has a few
/// thousand; the test for crossings takes the square of the number at worst.
pub const MAX_POINTS: usize = 20_000;

/// Greatest number of points in a file, over all contours and lines. Ten thousand panels of a real day have a million,
/// half of them in the marks and names that kits write on them.
pub const MAX_TOTAL_POINTS: usize = 1_100_000;

/// Greatest number of points on the film: those of each panel and [`POINTS_OF_COPY`] more, times its copies, and
/// [`POINTS_OF_PANEL`] for each panel. The cut file, the preview and the report hold every one of them; ten thousand
/// panels of a real day have two and a half million.
pub const MAX_PLACED_POINTS: u64 = 3_000_000;

/// A copy takes as much memory as so many points besides its own: its place, its names, its turn in the cut.
pub const POINTS_OF_COPY: u64 = 25;

/// What a panel takes besides, in points: its own name, lists and rows.
pub const POINTS_OF_PANEL: u64 = 100;

/// Greatest number of parts in all orders of a job's kits: each stands on a fit sheet, also where it makes no panel.
pub const MAX_KIT_PARTS: u64 = 100_000;

/// Greatest number of holes in one region, of parts in one panel, of lines in one panel and
/// of flaws on a roll: they are compared pair by pair.
pub const MAX_CONTOURS: usize = 5_000;

/// Longest id, kit, film or match group in characters: it must still be drawn as a label.
pub const MAX_ID_CHARS: usize = 200;

/// [`MAX_LENGTH_MM`] in `unit`.
pub fn max_length(unit: Unit) -> f64 {
    MAX_LENGTH_MM / unit.in_mm()
}

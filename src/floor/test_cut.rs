//! A test cut in the lead margin: a square inside a triangle, whose corners show whether depth
//! and blade offset are right before the first panel is cut.

use super::film::Film;
use crate::error::Error;
use crate::shape::Point;

/// Free film round the test cut, in mm.
const CLEAR: f64 = 2.0;

/// The square and the triangle round it, whose base is `size` mm long; the square is first.
pub(super) fn shapes(film: &Film, size: f64) -> Result<[(&'static str, Vec<Point>); 2], Error> {
    if !(size >= 3.0 && size.is_finite()) {
        return Err(Error::input(
            "test cut",
            format!("{size} mm is no size of a test cut"),
            "give 3 mm or more",
        ));
    }
    let needed = size + 2.0 * CLEAR;
    let usable = film.width - film.edge_margin[0] - film.edge_margin[1];
    if film.lead_margin < needed || usable < needed {
        let what = format!(
            "a test cut of {size} mm with {CLEAR} mm free on either side needs a lead margin of {needed} mm, and it is {} mm",
            film.lead_margin
        );
        return Err(Error::unmet(
            "test cut",
            what,
            "nest with a longer lead margin, or make the test cut smaller",
        ));
    }
    let at = |x: f64, y: f64| Point { x: CLEAR + x * size, y: film.edge_margin[0] + CLEAR + y * size };
    let triangle = vec![at(0.0, 0.0), at(1.0, 0.0), at(0.5, 0.866)];
    let square = vec![at(0.33, 0.1), at(0.67, 0.1), at(0.67, 0.44), at(0.33, 0.44)];
    Ok([("test cut/square", square), ("test cut/triangle", triangle)])
}

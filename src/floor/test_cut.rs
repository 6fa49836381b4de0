//! A test cut in the lead margin: a square inside a triangle, whose corners show whether depth
//! and blade offset are right before the first panel is cut.

use super::film::Film;
use crate::error::{Error, Problems, Shown};
use crate::shape::Point;

/// Free film round the test cut, in mm.
const CLEAR: f64 = 2.0;

/// The square and the triangle round it, whose base is `size` mm long; the square is first.
pub(super) fn shapes(film: &Film, size: f64) -> Result<[(&'static str, Vec<Point>); 2], Error> {
    if !(size >= 3.0 && size.is_finite()) {
        return Err(Error::input(
            "test cut",
            format!("{} mm is no size of a test cut", Shown(size)),
            "give 3 mm or more",
        ));
    }
    check_room(film, size)?;
    let at = |x: f64, y: f64| Point { x: CLEAR + x * size, y: film.edge_margin[0] + CLEAR + y * size };
    let triangle = vec![at(0.0, 0.0), at(1.0, 0.0), at(0.5, 0.866)];
    let square = vec![at(0.33, 0.1), at(0.67, 0.1), at(0.67, 0.44), at(0.33, 0.44)];
    Ok([("test cut/square", square), ("test cut/triangle", triangle)])
}

/// It must fit into the margin along the film, and between the edge margins across it.
fn check_room(film: &Film, size: f64) -> Result<(), Error> {
    let mut problems = Problems::default();
    let needed = size + 2.0 * CLEAR;
    let cut = format!("a test cut of {} mm with {CLEAR} mm free on either side needs", Shown(size));
    if film.lead_margin < needed {
        let (margin, there) = (film.first_margin(), Shown(film.lead_margin));
        problems.push(
            "test cut",
            format!("{cut} a {margin} of {} mm, and it is {there} mm", Shown(needed)),
            format!("nest with a longer {margin}, or make the test cut smaller"),
        );
    }
    let usable = film.width - film.edge_margin[0] - film.edge_margin[1];
    if usable < needed {
        problems.push(
            "test cut",
            format!(
                "{cut} {} mm between the edge margins, and there are {} mm",
                Shown(needed),
                Shown(usable)
            ),
            "make the test cut smaller",
        );
    }
    if problems.0.is_empty() { Ok(()) } else { Err(Error::Unmet(problems)) }
}

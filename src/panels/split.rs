//! Panels wider than the roll, cut into strips along the print that lie over each other.

use super::marks::{Mark, Wording, mark_band};
use super::{Fault, FlatPanel};
use crate::shape::{Bounds, Point, Region, Ring};
use geo::{BooleanOps, Polygon, Rect};

/// Pieces smaller than this, in mm^2, are cutting dust of rounded corners: the smallest piece that
/// can be cut is 2 mm square.
const SPECK: f64 = 4.0;

/// Intersections are rounded to some millionths of a panel's size; cuts are told by this, in mm.
const SNAP: f64 = 0.01;

/// The panel in strips that are at most `width` wide across the print and overlap by `overlap`;
/// the panel itself when it is no wider. Strips are called `NAME-1`, `NAME-2`, … from the right; each
/// lies over the one before, so `label` and the number are written into the lap of that one.
///
/// # Errors
///
/// A [`Fault`] when the strips would be nothing but overlap.
pub fn split(panel: FlatPanel, width: f64, overlap: f64, label: &str) -> Result<Vec<FlatPanel>, Fault> {
    let bounds = panel.region.bounds();
    if bounds.height() <= width {
        return Ok(vec![panel]);
    }
    if width <= 2.0 * overlap {
        return Err(Fault::new(
            "overlap",
            format!("strips of a film {width:.1} mm wide are hardly more than their overlap"),
            "use less overlap or wider film",
        ));
    }
    // Rounded up a little less eagerly, so that an exact fit is not split once more.
    let count = ((bounds.height() - overlap) / (width - overlap) - 1e-9).ceil().max(1.0);
    let step = (bounds.height() - overlap) / count;
    let whole = polygon(&panel.region);
    let mut parts = Vec::new();
    let mut i = 0.0;
    while i < count {
        let low = bounds.min.y + i * step;
        let high = low + step + overlap;
        let lap = (i + 1.0 < count).then_some(high);
        parts.extend(band(&whole, &bounds, low, high)?.into_iter().map(|region| (lap, region)));
        i += 1.0;
    }
    let named = |(i, (lap, region)): (usize, (Option<f64>, Region))| FlatPanel {
        name: format!("{}-{}", panel.name, i + 1),
        marks: lap.map_or_else(Vec::new, |high| {
            lap_marks(&region, high, overlap, panel.copies, &format!("{label} {}-{}", panel.name, i + 1))
        }),
        region,
        seams: [Vec::new(), Vec::new()],
        ..panel.clone()
    };
    Ok(parts.into_iter().enumerate().map(named).collect())
}

/// Marks in the lap below the cut at height `high`, along its longest stretch.
fn lap_marks(region: &Region, high: f64, overlap: f64, copies: u32, label: &str) -> Vec<Mark> {
    let is_cut = |p: Point| (p.y - high).abs() < SNAP;
    let cuts = region.outline().sides().filter(|(a, b)| is_cut(*a) && is_cut(*b));
    let Some((a, b)) = cuts.max_by(|(a, b), (c, d)| (b.x - a.x).abs().total_cmp(&(d.x - c.x).abs())) else {
        return Vec::new();
    };
    let down = |p: Point| Point { x: p.x, y: high - overlap };
    let wording = Wording { label, pieces: copies, first: 1, count: copies, front: 0.0 };
    mark_band([down(a), down(b)], Point { x: 0.0, y: 1.0 }, overlap, region.outline(), &wording)
}

/// What of `whole` lies between two heights.
fn band(whole: &Polygon<f64>, bounds: &Bounds, low: f64, high: f64) -> Result<Vec<Region>, Fault> {
    let beyond = 1.0;
    let rect =
        Rect::new(Point { x: bounds.min.x - beyond, y: low }, Point { x: bounds.max.x + beyond, y: high });
    let cut = whole.intersection(&rect.to_polygon());
    let mut regions = Vec::new();
    for part in &cut {
        let region = region(part)?;
        if region.area() >= SPECK {
            regions.push(region);
        }
    }
    regions.sort_by(|a, b| a.bounds().min.x.total_cmp(&b.bounds().min.x));
    Ok(regions)
}

fn polygon(region: &Region) -> Polygon<f64> {
    let line = |r: &Ring| geo_types::LineString::from(r.points().to_vec());
    Polygon::new(line(region.outline()), region.holes().iter().map(line).collect())
}

fn region(part: &Polygon<f64>) -> Result<Region, Fault> {
    let fault = |what: &str| {
        Fault::new("", format!("a strip of the panel {what}"), "cut the outline into parts yourself")
    };
    let ring = |line: &geo_types::LineString<f64>| {
        Ring::new(line.0.clone()).map_err(|_| fault("is no simple outline"))
    };
    let holes = part.interiors().iter().map(ring).collect::<Result<Vec<_>, _>>()?;
    Region::new(ring(part.exterior())?, holes).map_err(|_| fault("has holes that meet its edge"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn panel(points: &[(f64, f64)]) -> FlatPanel {
        let ring = Ring::new(points.iter().map(|&(x, y)| Point { x, y }).collect()).unwrap();
        FlatPanel {
            name: "left".into(),
            copies: 2,
            region: Region::solid(ring),
            marks: Vec::new(),
            seams: [Vec::new(), Vec::new()],
            first_piece: 1,
            unmarked_edge: false,
        }
    }

    /// Common practice of the trade (*Wraps*, 2015, p. 104): of 52.5 in printed width about 51 in
    /// are left with 0.75 in overlap at each side, so a length takes ceil(length / 51) panels.
    #[test]
    fn strips_overlap_and_cover_the_whole() {
        let square = panel(&[(0.0, 0.0), (400.0, 0.0), (400.0, 1000.0), (0.0, 1000.0)]);
        assert_eq!(split(square.clone(), 1000.0, 10.0, "A-1 fin").unwrap(), vec![square.clone()]);
        let strips = split(square.clone(), 510.0, 10.0, "A-1 fin").unwrap();
        assert_eq!(strips.len(), 2);
        assert_eq!(strips[0].name, "left-1");
        let sum: f64 = strips.iter().map(|s| s.region.area()).sum();
        assert!((sum - 400.0 * 1010.0).abs() < 1e-3, "{sum}");
        assert!(strips.iter().all(|s| s.region.bounds().height() <= 505.0 + 1e-6));
        assert_eq!(split(square.clone(), 505.0, 10.0, "A-1 fin").unwrap().len(), 2);
        assert_eq!(split(square.clone(), 504.0, 10.0, "A-1 fin").unwrap().len(), 3);
        assert!(split(square, 15.0, 10.0, "A-1 fin").is_err());
    }

    #[test]
    fn marks_of_strips_lie_in_the_lap_that_the_next_one_covers() {
        let square = panel(&[(0.0, 0.0), (400.0, 0.0), (400.0, 1000.0), (0.0, 1000.0)]);
        let strips = split(square, 360.0, 10.0, "A-1 fin").unwrap();
        assert_eq!(strips.len(), 3);
        for (i, strip) in strips.iter().enumerate() {
            assert_eq!(strip.marks.is_empty(), i == 2, "{}", strip.name);
            let high = strip.region.bounds().max.y;
            for p in strip.marks.iter().flat_map(|m| &m.points) {
                assert!(p.y > high - 10.0 && p.y < high && p.x > 0.0 && p.x < 400.0, "{p:?}");
            }
        }
    }

    #[test]
    fn a_forked_panel_falls_into_separate_pieces() {
        let u = panel(&[
            (0., 0.),
            (90., 0.),
            (90., 100.),
            (60., 100.),
            (60., 30.),
            (30., 30.),
            (30., 100.),
            (0., 100.),
        ]);
        let strips = split(u, 60.0, 5.0, "A-1 fin").unwrap();
        assert_eq!(strips.len(), 3);
    }
}

//! Open and closed lines.

use super::Point;

/// A line without points that fall together, and whether it is closed then: a closed line that keeps two points runs
/// there and back, which is one open line. What lies in one place keeps one point.
pub(crate) fn plain_line(mut points: Vec<Point>, closed: bool) -> (Vec<Point>, bool) {
    points.dedup();
    while closed && points.len() > 1 && points.first() == points.last() {
        points.pop();
    }
    let closed = closed && points.len() > 2;
    (points, closed)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_there_and_back_are_open() {
        let plain = |at: &[f64], closed| {
            let (points, closed) = plain_line(at.iter().map(|&x| Point { x, y: x * x }).collect(), closed);
            (points.iter().map(|p| p.x).collect::<Vec<_>>(), closed)
        };
        assert_eq!(plain(&[1.0, 1.0, 2.0, 3.0, 3.0, 1.0, 1.0], true), (vec![1.0, 2.0, 3.0], true));
        assert_eq!(plain(&[1.0, 2.0, 3.0, 1.0], false), (vec![1.0, 2.0, 3.0, 1.0], false));
        for there_and_back in [&[1.0, 2.0][..], &[1.0, 2.0, 2.0], &[1.0, 1.0, 2.0, 1.0]] {
            assert_eq!(plain(there_and_back, true), (vec![1.0, 2.0], false));
        }
        assert_eq!(plain(&[1.0, 1.0, 1.0], true), (vec![1.0], false));
    }
}

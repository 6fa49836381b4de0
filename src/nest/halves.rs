//! An outline in two, cut along a diagonal: of all diagonals that with the most even halves.
//!
//! Every simple polygon of four corners or more has one (G. H. Meisters, American Mathematical Monthly 82, 1975; from
//! memory).

use crate::shape::{Point, Side, on_segment, segments_cross, side};

/// The halves of a counter-clockwise simple contour; `None` where it has fewer than four corners.
pub fn halves(c: &[Point]) -> Option<[Vec<Point>; 2]> {
    let n = c.len();
    let spans = (2..=n / 2).rev();
    let mut ends = spans.flat_map(|span| (0..n).map(move |i| (i, (i + span) % n)));
    let (i, j) = ends.find(|&(i, j)| is_diagonal(c, i, j))?;
    let (low, high) = (i.min(j), i.max(j));
    Some([c[low..=high].to_vec(), [&c[high..], &c[..=low]].concat()])
}

/// Whether the segment between two corners runs inside, clear of all others.
fn is_diagonal(c: &[Point], i: usize, j: usize) -> bool {
    let n = c.len();
    let (p, q) = (c[i], c[j]);
    opens_to(c, i, q)
        && (0..n).all(|k| {
            !segments_cross(p, q, c[k], c[(k + 1) % n]) && (k == i || k == j || !on_segment((p, q), c[k]))
        })
}

/// Whether a point lies strictly within the angle at corner `i`, which is open to the left.
fn opens_to(c: &[Point], i: usize, to: Point) -> bool {
    let n = c.len();
    let (before, p, after) = (c[(i + n - 1) % n], c[i], c[(i + 1) % n]);
    let clear_of = [side(p, after, to) == Side::Left, side(p, before, to) == Side::Right];
    if side(before, p, after) == Side::Left { clear_of == [true; 2] } else { clear_of != [false; 2] }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shape::Ring;

    fn ring(list: &[(f64, f64)]) -> Vec<Point> {
        list.iter().map(|&(x, y)| Point { x, y }).collect()
    }

    /// Both are simple, and together they have the area.
    fn fit(c: &[Point]) -> [usize; 2] {
        let two = halves(c).unwrap();
        let area = |c: &[Point]| Ring::new(c.to_vec()).unwrap().signed_area();
        let (whole, parts) = (area(c), [area(&two[0]), area(&two[1])]);
        assert!(
            parts.iter().all(|a| *a > 0.0) && (parts[0] + parts[1] - whole).abs() < 1e-9 * whole,
            "{two:?}"
        );
        two.map(|h| h.len())
    }

    #[test]
    fn halves_are_even_where_they_can_be() {
        assert_eq!(halves(&ring(&[(0., 0.), (1., 0.), (0., 1.)])), None);
        assert_eq!(fit(&ring(&[(0., 0.), (1., 0.), (1., 1.), (0., 1.)])), [3, 3]);
        // A comb: cut through its back.
        let comb: Vec<(f64, f64)> = (0..5)
            .rev()
            .flat_map(|k| [(2., 0.), (2., 9.), (0., 9.), (0., 0.)].map(|(x, y)| (x + 3. * f64::from(k), y)))
            .chain([(0., -5.), (14., -5.)])
            .collect();
        let sizes = fit(&ring(&comb));
        assert_eq!(sizes.iter().sum::<usize>(), comb.len() + 2);
        assert!(sizes.iter().all(|n| *n >= comb.len() / 3), "{sizes:?}");
    }

    /// Corners in line with the ends of a diagonal, and one on it.
    #[test]
    fn a_diagonal_passes_no_corner() {
        let bow = ring(&[(0., 0.), (2., 1.), (4., 0.), (4., 2.), (2., 1.5), (0., 2.)]);
        fit(&bow);
        let notched = ring(&[(0., 0.), (4., 0.), (4., 4.), (2., 2.), (0., 4.)]);
        assert!(!is_diagonal(&notched, 0, 2), "the notch's corner lies on it");
        fit(&notched);
    }

    #[test]
    fn a_spiral_is_halved_down_to_triangles() {
        let arm = |r: f64, k: i32| {
            let (y, x) = libm::sincos(0.3 * f64::from(k));
            Point { x: x * (r + f64::from(k)), y: y * (r + f64::from(k)) }
        };
        // Outwards on the far side, and back on the near one.
        let mut spiral: Vec<Point> = (0..60).map(|k| arm(20., k)).collect();
        spiral.extend((0..60).rev().map(|k| arm(12., k)));
        let mut pieces = vec![spiral];
        let mut triangles = 0;
        while let Some(piece) = pieces.pop() {
            if let Some(two) = halves(&piece) {
                fit(&piece);
                pieces.extend(two);
            } else {
                triangles += 1;
            }
        }
        assert_eq!(triangles, 118);
    }
}

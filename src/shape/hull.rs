//! Convex hull.

use super::{Point, Side, side};

/// The convex hull of some points, counter-clockwise, without points inside its sides.
/// Fewer than three points come back when all lie on one line (its two ends) or in one place.
///
/// Andrew's monotone chain (Information Processing Letters 9, 1979) with the exact predicate.
pub fn convex_hull(points: &[Point]) -> Vec<Point> {
    let mut sorted = points.to_vec();
    sorted.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    sorted.dedup();
    if sorted.len() < 3 {
        return sorted;
    }
    let mut hull = half_hull(sorted.iter().copied());
    hull.pop();
    let mut upper = half_hull(sorted.iter().rev().copied());
    upper.pop();
    hull.append(&mut upper);
    hull
}

/// One chain of the hull, to the left of which all points lie, both ends included.
fn half_hull(points: impl Iterator<Item = Point>) -> Vec<Point> {
    let mut chain: Vec<Point> = Vec::new();
    for p in points {
        while let [.., a, b] = chain[..] {
            if side(a, b, p) == Side::Left {
                break;
            }
            chain.pop();
        }
        chain.push(p);
    }
    chain
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::convex_hull::graham_hull;
    use rand::{RngExt, SeedableRng, rngs::Xoshiro256PlusPlus};

    /// Second opinion: `geo`'s Graham scan (georust/geo 0.33).
    #[test]
    fn random_and_grid_points_have_the_hull_that_geo_finds() {
        let mut rng = Xoshiro256PlusPlus::seed_from_u64(1);
        for round in 0..500 {
            let count = rng.random_range(3..60);
            let coordinate = |rng: &mut Xoshiro256PlusPlus| {
                if round % 2 == 0 { rng.random_range(-9.0..9.0) } else { f64::from(rng.random_range(0..5)) }
            };
            let points: Vec<Point> =
                (0..count).map(|_| Point { x: coordinate(&mut rng), y: coordinate(&mut rng) }).collect();
            let ours = convex_hull(&points);
            let theirs = graham_hull(&mut points.clone(), false);
            if ours.len() < 3 {
                continue;
            }
            let mut a = ours.clone();
            let mut b: Vec<Point> = theirs.0[1..].to_vec();
            let key = |p: &Point, q: &Point| p.x.total_cmp(&q.x).then(p.y.total_cmp(&q.y));
            a.sort_by(key);
            b.sort_by(key);
            assert_eq!(a, b);
            let n = ours.len();
            assert!((0..n).all(|i| side(ours[i], ours[(i + 1) % n], ours[(i + 2) % n]) == Side::Left));
        }
    }

    #[test]
    fn points_on_one_line_give_its_ends() {
        let line: Vec<Point> = (0..5).map(|i| Point { x: f64::from(i), y: 2.0 * f64::from(i) }).collect();
        assert_eq!(convex_hull(&line), vec![line[0], line[4]]);
        assert_eq!(convex_hull(&[line[1], line[1]]), vec![line[1]]);
        assert!(convex_hull(&[]).is_empty());
    }
}

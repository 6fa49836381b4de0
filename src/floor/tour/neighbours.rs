//! Which stops lie near which.

use super::state::State;
use crate::shape::{Point, length};

/// Neighbours of each stop that a move may link it with (Bentley found little to win beyond eight).
const COUNT: usize = 8;

/// For each stop, the nearest stops of its own class, the nearest first.
pub(super) fn neighbours(state: &State<'_>) -> Vec<Vec<usize>> {
    let mut found = vec![Vec::new(); state.stops.len()];
    let mut place = 0;
    while place < state.order.len() {
        let class = state.stops[state.order[place]].class;
        let rest = &state.order[place..];
        let len = rest.iter().take_while(|&&s| state.stops[s].class == class).count();
        of_class(state, &rest[..len], &mut found);
        place += len;
    }
    found
}

fn of_class(state: &State<'_>, members: &[usize], found: &mut [Vec<usize>]) {
    let mut line: Vec<(Point, usize)> = members.iter().map(|&s| (state.way(s).enter, s)).collect();
    // Looked through outwards along the axis on which they are spread most.
    let spread = |f: fn(&Point) -> f64| {
        let values = line.iter().map(|(p, _)| f(p));
        values.clone().fold(f64::NEG_INFINITY, f64::max) - values.fold(f64::INFINITY, f64::min)
    };
    let axis: fn(&Point) -> f64 = if spread(|p| p.x) > spread(|p| p.y) { |p| p.x } else { |p| p.y };
    line.sort_by(|a, b| axis(&a.0).total_cmp(&axis(&b.0)).then(a.1.cmp(&b.1)));
    for (k, (here, stop)) in line.iter().enumerate() {
        let mut near: Vec<(f64, usize)> = Vec::with_capacity(COUNT + 1);
        for side in [&mut line[..k].iter().rev() as &mut dyn Iterator<Item = _>, &mut line[k + 1..].iter()] {
            for (there, other) in side {
                let worst = if near.len() < COUNT { f64::INFINITY } else { near[COUNT - 1].0 };
                if (axis(there) - axis(here)).abs() > worst {
                    break;
                }
                let far = length(*there - *here);
                if far < worst {
                    let at = near.partition_point(|n| (n.0, n.1) < (far, *other));
                    near.insert(at, (far, *other));
                    near.truncate(COUNT);
                }
            }
        }
        found[*stop] = near.into_iter().map(|n| n.1).collect();
    }
}

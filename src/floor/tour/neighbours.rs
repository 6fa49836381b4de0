//! Which stops lie near which.

use super::state::State;
use crate::shape::{Point, dot};

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
        let mut near = Nearest { here: *here, along: axis(here), found: Vec::with_capacity(COUNT + 1) };
        near.look(line[..k].iter().rev(), axis);
        near.look(line[k + 1..].iter(), axis);
        found[*stop] = near.found.into_iter().map(|n| n.1).collect();
    }
}

/// The nearest stops of one, by squares of distances.
struct Nearest {
    here: Point,
    along: f64,
    found: Vec<(f64, usize)>,
}

impl Nearest {
    /// Looks at stops until they lie too far off along the axis.
    fn look<'a>(&mut self, side: impl Iterator<Item = &'a (Point, usize)>, axis: fn(&Point) -> f64) {
        for (there, other) in side {
            let worst = if self.found.len() < COUNT { f64::INFINITY } else { self.found[COUNT - 1].0 };
            let off = axis(there) - self.along;
            if off * off > worst {
                break;
            }
            let way = *there - self.here;
            let far = dot(way, way);
            if far < worst {
                let at = self.found.partition_point(|n| (n.0, n.1) < (far, *other));
                self.found.insert(at, (far, *other));
                self.found.truncate(COUNT);
            }
        }
    }
}

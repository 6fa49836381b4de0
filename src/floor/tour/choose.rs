//! The best start points for an order that stands.

use super::state::State;

/// Takes, of all choices at all stops, those with the shortest way in this order: the shortest
/// path through a layered graph, one layer for each stop.
pub(super) fn choose(state: &mut State<'_>) {
    let n = state.order.len();
    // For each layer: what the way to each choice costs, and from which choice it came.
    let mut cost: Vec<f64> = vec![0.0];
    let mut came: Vec<Vec<usize>> = Vec::with_capacity(n);
    let mut leave = vec![state.options.from];
    for &stop in &state.order {
        let choices = &state.stops[stop].choices;
        let best = choices.iter().map(|c| {
            let ways = leave.iter().zip(&cost).map(|(p, d)| d + state.cost_of(*p, c.enter));
            ways.enumerate().fold((0, f64::INFINITY), |m, w| if w.1 < m.1 { w } else { m })
        });
        let (from, costs): (Vec<usize>, Vec<f64>) = best.unzip();
        came.push(from);
        cost = costs;
        leave = choices.iter().map(|c| c.leave).collect();
    }
    let last = leave.iter().zip(&cost).map(|(p, d)| d + state.cost_of(*p, state.options.to));
    let mut taken = last.enumerate().fold((0, f64::INFINITY), |m, w| if w.1 < m.1 { w } else { m }).0;
    for (place, from) in came.iter().enumerate().rev() {
        state.choose(state.order[place], taken);
        taken = from[taken];
    }
    state.cost = state.whole_cost();
    state.journal.clear();
}

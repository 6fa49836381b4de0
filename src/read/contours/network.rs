//! Edges between nodes: which areas they bound, and what is left over.
//!
//! Every edge is two half-edges, one each way. Round every node they are sorted by direction;
//! a walk that always takes the next one clockwise runs round one area, to its left (the
//! half-edge structure of de Berg et al., Computational Geometry, 3rd ed. 2008, ch. 2). An
//! edge with the same area on both sides bounds nothing.

use super::Loop;
use super::duplicate::same_run;
use super::ends::{Edge, Joined};
use super::report::{Kind, Report, position, rounded};
use crate::shape::{Point, Side, cross, length, side};
use std::cmp::Ordering;
use std::collections::BTreeMap;

/// Edges compared between the same two nodes; more are never met, and the rest is kept.
const MOST_COMPARED: usize = 64;

/// The contours that the edges of one layer bound; what bounds nothing is warned of.
pub(super) fn trace(joined: Joined, tolerance: f64, report: &mut Report) -> Vec<Loop> {
    let Joined { edges, nodes } = joined;
    let edges = merge_parallel(edges, tolerance, report);
    let all = Network::new(&edges, &nodes, |_| true);
    let area_of = all.areas();
    let bounds = |e: usize| area_of[2 * e] != area_of[2 * e + 1];
    warn_left_over(&all, &bounds, report);
    let network = Network::new(&edges, &nodes, bounds);
    network.warn_branches(report);
    network.loops()
}

/// Keeps the first of edges between the same nodes that lie within the tolerance of each other.
fn merge_parallel(edges: Vec<Edge>, tolerance: f64, report: &mut Report) -> Vec<Edge> {
    let mut between: BTreeMap<(usize, usize), Vec<usize>> = BTreeMap::new();
    let mut kept: Vec<Edge> = Vec::with_capacity(edges.len());
    for edge in edges {
        let [a, b] = edge.nodes;
        let others = between.entry((a.min(b), a.max(b))).or_default();
        let same = |i: &usize| same_run(&kept[*i].stroke.points, &edge.stroke.points, tolerance);
        if others.iter().take(MOST_COMPARED).any(same) {
            let (at, what) = (edge.stroke.points[0], "a stroke that is drawn twice is taken once");
            report.warn(Kind::Twice, &edge.stroke.layer, &edge.stroke.place, at, what, "");
        } else {
            others.push(kept.len());
            kept.push(edge);
        }
    }
    kept
}

/// Half-edge 2e runs along edge e, 2e + 1 against it.
struct Network<'a> {
    edges: &'a [Edge],
    nodes: &'a [Point],
    /// The half-edges that leave a node, counter-clockwise.
    around: Vec<Vec<usize>>,
    /// Where a half-edge stands in `around` of its node; `None` where the edge is left out.
    slot: Vec<Option<usize>>,
}

impl<'a> Network<'a> {
    fn new(edges: &'a [Edge], nodes: &'a [Point], takes: impl Fn(usize) -> bool) -> Self {
        let (around, slot) = (vec![Vec::new(); nodes.len()], vec![None; 2 * edges.len()]);
        let mut network = Self { edges, nodes, around, slot };
        for h in (0..2 * edges.len()).filter(|h| takes(h / 2)) {
            let from = network.origin(h);
            network.around[from].push(h);
        }
        for v in 0..nodes.len() {
            let mut leaving = std::mem::take(&mut network.around[v]);
            leaving.sort_by(|g, h| network.by_direction(v, *g, *h));
            leaving.iter().enumerate().for_each(|(i, h)| network.slot[*h] = Some(i));
            network.around[v] = leaving;
        }
        network
    }

    fn origin(&self, h: usize) -> usize {
        self.edges[h / 2].nodes[h % 2]
    }

    /// The point to which a half-edge sets out.
    fn towards(&self, h: usize) -> Point {
        let points = &self.edges[h / 2].stroke.points;
        if h.is_multiple_of(2) { points[1] } else { points[points.len() - 2] }
    }

    /// Counter-clockwise order round a node, decided exactly.
    fn by_direction(&self, v: usize, g: usize, h: usize) -> Ordering {
        let o = self.nodes[v];
        let (p, q) = (self.towards(g), self.towards(h));
        let lower = |p: Point| p.y.total_cmp(&o.y).then(p.x.total_cmp(&o.x)).is_lt();
        let turn = match side(o, p, q) {
            Side::Left => Ordering::Less,
            Side::On => Ordering::Equal,
            Side::Right => Ordering::Greater,
        };
        lower(p).cmp(&lower(q)).then(turn).then(g.cmp(&h))
    }

    /// The half-edge after `h` on the way round the area to its left.
    fn next(&self, h: usize) -> Option<usize> {
        let back = h ^ 1;
        let leaving = &self.around[self.origin(back)];
        let slot = self.slot[back]?;
        Some(leaving[(slot + leaving.len() - 1) % leaving.len()])
    }

    /// The half-edges round the area to the left of `start`.
    fn walk(&self, start: usize) -> impl Iterator<Item = usize> + '_ {
        std::iter::successors(Some(start), move |h| self.next(*h).filter(|n| *n != start))
    }

    /// The half-edges that are taken and each begin an area, lowest first, by `visit`.
    fn each_area(&self, mut visit: impl FnMut(&[usize])) {
        let mut seen = vec![false; self.slot.len()];
        for start in 0..self.slot.len() {
            if self.slot[start].is_some() && !seen[start] {
                let walk: Vec<usize> = self.walk(start).collect();
                walk.iter().for_each(|h| seen[*h] = true);
                visit(&walk);
            }
        }
    }

    /// The number of the area to the left of every half-edge.
    fn areas(&self) -> Vec<usize> {
        let mut area = vec![0; self.slot.len()];
        let mut number = 0;
        self.each_area(|walk| {
            number += 1;
            walk.iter().for_each(|h| area[*h] = number);
        });
        area
    }

    /// The contours: every walk, cut where it comes back to a node, run counter-clockwise.
    fn loops(&self) -> Vec<Loop> {
        let mut loops = Vec::new();
        let mut place_on_path = vec![usize::MAX; self.nodes.len()];
        self.each_area(|walk| {
            let mut path: Vec<usize> = Vec::new();
            for h in walk.iter().copied().chain(walk.first().copied()) {
                let node = self.origin(h);
                if place_on_path[node] != usize::MAX {
                    let cycle = path.split_off(place_on_path[node]);
                    cycle.iter().for_each(|g| place_on_path[self.origin(*g)] = usize::MAX);
                    loops.extend(self.contour(cycle));
                }
                place_on_path[node] = path.len();
                path.push(h);
            }
            path.iter().for_each(|g| place_on_path[self.origin(*g)] = usize::MAX);
        });
        loops
    }

    /// The contour of a cycle that runs counter-clockwise; `None` for the same cycle backwards.
    fn contour(&self, mut cycle: Vec<usize>) -> Option<Loop> {
        let first = (0..cycle.len()).min_by_key(|i| cycle[*i])?;
        cycle.rotate_left(first);
        let area = self.area(&cycle);
        // A figure of eight may have no area at all: one of its two directions has to stand for it.
        if area < 0.0 || (area == 0.0 && !cycle[0].is_multiple_of(2)) {
            return None;
        }
        let start = &self.edges[cycle[0] / 2];
        let points = cycle.iter().flat_map(|h| self.points(*h)).collect();
        Some(Loop {
            rank: start.rank,
            layer: start.stroke.layer.clone(),
            place: start.stroke.place.clone(),
            points,
        })
    }

    /// Twice the signed area, summed edge by edge in file order about one point, so that a
    /// cycle and its reverse differ in the sign and in nothing else.
    fn area(&self, cycle: &[usize]) -> f64 {
        let mut sorted = cycle.to_vec();
        sorted.sort_unstable();
        let o = self.edges[sorted[0] / 2].stroke.points[0];
        let along = |h: usize| -> f64 {
            let points = &self.edges[h / 2].stroke.points;
            let sum: f64 = points.windows(2).map(|w| cross(o, w[0], w[1])).sum();
            if h.is_multiple_of(2) { sum } else { -sum }
        };
        sorted.into_iter().map(along).sum()
    }

    /// The points along a half-edge, the last one left out.
    fn points(&self, h: usize) -> Vec<Point> {
        let mut points = self.edges[h / 2].stroke.points.clone();
        if !h.is_multiple_of(2) {
            points.reverse();
        }
        points.pop();
        points
    }

    fn warn_branches(&self, report: &mut Report) {
        for (v, leaving) in self.around.iter().enumerate().filter(|(_, leaving)| leaving.len() > 2) {
            let stroke = &self.edges[leaving[0] / 2].stroke;
            let what = format!("{} lines meet; the areas between them are contours", leaving.len());
            report.warn(Kind::Branch, &stroke.layer, &stroke.place, self.nodes[v], &what, "");
        }
    }
}

/// Warns of every connected run of edges that bound nothing.
fn warn_left_over(network: &Network, bounds: &impl Fn(usize) -> bool, report: &mut Report) {
    let tips: Vec<usize> = (0..network.nodes.len()).filter(|v| network.around[*v].len() == 1).collect();
    let mut seen = Seen { edges: vec![false; network.edges.len()], nodes: vec![false; network.nodes.len()] };
    for start in (0..network.edges.len()).filter(|e| !bounds(*e)) {
        if seen.edges[start] {
            continue;
        }
        let run = connected(network, start, bounds, &mut seen);
        let ends: Vec<usize> = run
            .iter()
            .flat_map(|e| network.edges[*e].nodes)
            .filter(|v| network.around[*v].len() == 1)
            .collect();
        let stroke = &network.edges[start].stroke;
        let at = ends.first().map_or(stroke.points[0], |v| network.nodes[*v]);
        let lists = report.lists(Kind::Open);
        let what = if lists { describe(network, run.len(), &ends, &tips) } else { String::new() };
        let remedy = format!(
            "close it in the drawing, or raise the join tolerance, now {} drawing units",
            rounded(report.tolerance)
        );
        report.warn(Kind::Open, &stroke.layer, &stroke.place, at, &what, &remedy);
    }
}

/// What belongs to a run already. All edges that bound nothing at a node that was seen were seen with it.
struct Seen {
    edges: Vec<bool>,
    nodes: Vec<bool>,
}

/// The edges that bound nothing and hang together with `start`.
fn connected(
    network: &Network,
    start: usize,
    bounds: &impl Fn(usize) -> bool,
    seen: &mut Seen,
) -> Vec<usize> {
    let mut run = vec![start];
    let mut next = 0;
    seen.edges[start] = true;
    while let Some(&e) = run.get(next) {
        next += 1;
        for v in network.edges[e].nodes {
            if std::mem::replace(&mut seen.nodes[v], true) {
                continue;
            }
            for other in network.around[v].iter().map(|h| h / 2) {
                if !seen.edges[other] && !bounds(other) {
                    seen.edges[other] = true;
                    run.push(other);
                }
            }
        }
    }
    run.sort_unstable();
    run
}

fn describe(network: &Network, strokes: usize, ends: &[usize], tips: &[usize]) -> String {
    let run = if strokes == 1 { "a stroke".to_string() } else { format!("a run of {strokes} strokes") };
    let Some(&first) = ends.first() else {
        return format!("{run} bounds no area and is left out");
    };
    let at = |v: usize| network.nodes[v];
    let far = ends.get(1).map(|v| format!(" and ends at {}", position(at(*v)))).unwrap_or_default();
    let gap = tips.iter().filter(|v| **v != first).map(|v| length(at(*v) - at(first))).min_by(f64::total_cmp);
    let gap = gap.map(|d| format!("; the nearest other end is {} away", rounded(d))).unwrap_or_default();
    format!("{run} is not closed: it is open here{far}{gap}")
}

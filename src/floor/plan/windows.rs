//! Windows along the feed, and where a contour may be begun in its window.

use super::Contour;
use super::precedence::Before;
use crate::shape::Point;

/// Windows of equal length that follow each other from `from` on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Windows {
    from: f64,
    step: f64,
    pub count: usize,
}

/// A section has no more windows than this; more would only be a slip in the options.
const MOST: f64 = 100_000.0;

impl Windows {
    /// As few windows as cover `from`..`to` with at most `longest` each.
    pub fn over(from: f64, to: f64, longest: f64) -> Self {
        let span = (to - from).max(0.0);
        let count = (span / longest).ceil().clamp(1.0, MOST);
        Self { from, step: (span / count).max(f64::MIN_POSITIVE), count: count as usize }
    }

    fn of(&self, x: f64) -> usize {
        // The cast takes what lies before the first window to it.
        (((x - self.from) / self.step).floor() as usize).min(self.count - 1)
    }

    fn start(&self, window: usize) -> f64 {
        self.from + self.step * window as f64
    }

    fn end(&self, window: usize) -> f64 {
        self.start(window + 1)
    }

    /// The window of each member: the one in which the contour begins, or a later one where
    /// something that must be cut before it lies there. Soft pairs that the larger contour
    /// cannot wait for are dropped.
    pub fn assign(&self, contours: &[Contour], members: &[usize], pairs: &mut Vec<Before>) -> Vec<usize> {
        let place = |contour: usize| members.binary_search(&contour).ok();
        let mut window: Vec<usize> = members.iter().map(|&i| self.of(contours[i].bounds.min.x)).collect();
        let mut waits = vec![0_usize; members.len()];
        for pair in pairs.iter() {
            if let Some(then) = place(pair.then) {
                waits[then] += 1;
            }
        }
        let mut ready: Vec<usize> = (0..members.len()).filter(|&m| waits[m] == 0).collect();
        let mut dropped = Vec::new();
        while let Some(m) = ready.pop() {
            let first = pairs.partition_point(|p| p.first < members[m]);
            for pair in pairs[first..].iter().take_while(|p| p.first == members[m]) {
                let Some(then) = place(pair.then) else { continue };
                waits[then] -= 1;
                if waits[then] == 0 {
                    ready.push(then);
                }
                if pair.soft && contours[pair.then].bounds.max.x < self.start(window[m]) {
                    dropped.push(*pair);
                } else {
                    window[then] = window[then].max(window[m]);
                }
            }
        }
        dropped.sort_unstable();
        pairs.retain(|p| dropped.binary_search(p).is_err());
        window
    }

    /// Where the contour may be begun in this window.
    pub fn starts(&self, contour: &Contour, window: usize) -> Vec<Start> {
        let (from, to) = (self.start(window), self.end(window));
        let all: Vec<Start> =
            contour.points.iter().enumerate().map(|(i, p)| Start { at: *p, index: i }).collect();
        let inside: Vec<Start> = all.iter().filter(|s| s.at.x >= from && s.at.x <= to).copied().collect();
        if !inside.is_empty() {
            return thinned(inside);
        }
        let crossing = crossings(contour, from);
        if crossing.is_empty() { thinned(all) } else { thinned(crossing) }
    }
}

/// A place on a contour: point `index`, or a place on the side that starts there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Start {
    pub at: Point,
    pub index: usize,
}

impl Start {
    /// The points of a closed contour from here on, in the direction of its points.
    pub fn points(&self, contour: &Contour) -> Vec<Point> {
        let (before, after) = contour.points.split_at(self.index.min(contour.points.len()));
        let mut points = Vec::with_capacity(contour.points.len() + 1);
        if after.first() == Some(&self.at) {
            points.extend(after.iter().chain(before));
        } else {
            points.push(self.at);
            points.extend(after.iter().skip(1).chain(before));
            points.extend(after.first());
        }
        points
    }
}

/// Most places at which the search may begin one contour. The way between two contours changes
/// little from one vertex of a fine curve to the next.
const MOST_STARTS: usize = 24;

/// Of many places, some at equal distances in number, and the outermost ones.
fn thinned(starts: Vec<Start>) -> Vec<Start> {
    let n = starts.len();
    if n <= MOST_STARTS {
        return starts;
    }
    let mut kept: Vec<usize> = (0..MOST_STARTS - 4).map(|i| i * n / (MOST_STARTS - 4)).collect();
    let keys: [fn(&Start) -> f64; 4] = [|s| s.at.x, |s| -s.at.x, |s| s.at.y, |s| -s.at.y];
    kept.extend(
        keys.iter().filter_map(|key| (0..n).min_by(|&a, &b| key(&starts[a]).total_cmp(&key(&starts[b])))),
    );
    kept.sort_unstable();
    kept.dedup();
    kept.into_iter().map(|i| starts[i]).collect()
}

/// Where the sides of a closed contour cross the line at `x`.
fn crossings(contour: &Contour, x: f64) -> Vec<Start> {
    let n = contour.points.len();
    let cross = |i: usize| {
        let (a, b) = (contour.points[i], contour.points[(i + 1) % n]);
        let t = (x - a.x) / (b.x - a.x);
        ((a.x < x) != (b.x < x)).then_some(Start { at: Point { x, y: a.y + t * (b.y - a.y) }, index: i })
    };
    (0..n).filter_map(cross).collect()
}

//! Lengths, points and contours.

use super::Decoder;
use crate::error::Shown;
use crate::job::limits::{MAX_CONTOURS, MAX_LENGTH_MM, MAX_POINTS, MAX_TOTAL_POINTS, max_length};
use crate::json::{Fields, Node};
use crate::shape::{Point, Region, RegionFault, Ring, RingFault};

impl Decoder<'_> {
    /// A length or coordinate of either sign, within the limit.
    pub(crate) fn length(&mut self, node: &Node<'_>) -> Option<f64> {
        let value = node.number(self.report)?;
        let limit = max_length(self.unit);
        if value.abs() > limit {
            let what = format!("{} {} is beyond {} km", Shown(value), self.unit.name(), MAX_LENGTH_MM / 1e6);
            node.problem(self.report, what, "check the unit of the file");
            return None;
        }
        Some(value)
    }

    /// A length from 0.
    pub(crate) fn size(&mut self, node: &Node<'_>) -> Option<f64> {
        let value = self.length(node)?;
        if value < 0.0 {
            node.problem(self.report, format!("{} is below 0", Shown(value)), "");
            return None;
        }
        Some(value)
    }

    /// A length from 0; 0 where the key is absent.
    pub(crate) fn size_or_zero(&mut self, node: Option<Node<'_>>) -> f64 {
        node.and_then(|n| self.size(&n)).unwrap_or_default()
    }

    /// A length above 0.
    pub(crate) fn positive(&mut self, node: &Node<'_>) -> Option<f64> {
        let value = self.length(node)?;
        if value <= 0.0 {
            node.problem(self.report, format!("{} is not above 0", Shown(value)), "");
            return None;
        }
        Some(value)
    }

    /// `[x, y]`.
    fn point(&mut self, node: &Node<'_>) -> Option<Point> {
        let mut items = node.items(self.report)?;
        if items.len() != 2 {
            let what = format!("a point is [x, y], found {} values", items.len());
            node.problem(self.report, what, "");
            return None;
        }
        let mut next = || items.next().and_then(|n| self.length(&n));
        let (x, y) = (next(), next());
        Some(Point { x: x?, y: y? })
    }

    /// A list of points, complete or not at all.
    pub(crate) fn points(&mut self, node: &Node<'_>) -> Option<Vec<Point>> {
        let items = node.items(self.report)?;
        let count = items.len();
        self.points += count;
        if count > MAX_POINTS || self.points > MAX_TOTAL_POINTS {
            let what = if count > MAX_POINTS {
                format!("{count} points in one contour; {MAX_POINTS} are the most")
            } else {
                format!("more than {MAX_TOTAL_POINTS} points in one file")
            };
            node.problem(
                self.report,
                what,
                "draw curves with fewer points: 0.02 mm beside the curve is enough",
            );
            return None;
        }
        let points: Vec<Point> = items.filter_map(|n| self.point(&n)).collect();
        (points.len() == count).then_some(points)
    }

    /// A simple contour with area.
    pub(crate) fn ring(&mut self, node: &Node<'_>) -> Option<Ring> {
        let points = self.points(node)?;
        Ring::new(points)
            .map_err(|fault| {
                let (what, remedy) = ring_fault(&fault, self.unit.name());
                node.problem(self.report, what, remedy);
            })
            .ok()
    }

    /// A list of contours; empty where the key is absent.
    pub(crate) fn rings(&mut self, node: Option<Node<'_>>) -> Option<Vec<Ring>> {
        let Some(node) = node else { return Some(Vec::new()) };
        let items = self.few(&node)?;
        let count = items.len();
        let rings: Vec<Ring> = items.filter_map(|n| self.ring(&n)).collect();
        (rings.len() == count).then_some(rings)
    }

    /// The items of a list that may not be long.
    pub(crate) fn few<'a, 'b>(
        &mut self,
        node: &'b Node<'a>,
    ) -> Option<impl ExactSizeIterator<Item = Node<'b>> + use<'a, 'b>> {
        let items = node.items(self.report)?;
        if items.len() > MAX_CONTOURS {
            let what = format!("{} items; {MAX_CONTOURS} are the most", items.len());
            node.problem(self.report, what, "make several panels of it");
            return None;
        }
        Some(items)
    }

    /// `outline` and `holes` of an object.
    pub(crate) fn region(&mut self, fields: &mut Fields<'_>) -> Option<Region> {
        let outline = fields.need("outline", self.report);
        let holes_node = fields.get("holes");
        let outline = outline.and_then(|n| self.ring(&n));
        let holes = self.rings(holes_node);
        Region::new(outline?, holes?)
            .map_err(|fault| {
                let Some(node) = holes_node else { return };
                node.problem(
                    self.report,
                    region_fault(fault),
                    "holes lie inside the outline and apart from each other",
                );
            })
            .ok()
    }
}

/// What is wrong with a contour and what to do about it.
pub(crate) fn ring_fault(fault: &RingFault, unit: &str) -> (String, &'static str) {
    match *fault {
        RingFault::NotFinite { point } => (format!("point {point} is not finite"), ""),
        RingFault::Crowded => ("it has too many sides beside each other".into(), "draw it with fewer points"),
        RingFault::TooFewPoints => {
            ("fewer than three different points".into(), "a contour needs at least three corners")
        }
        RingFault::NoArea => {
            ("all points lie on one line: there is no area to cut".into(), "a contour goes round an area")
        }
        RingFault::Crossing { first, second, near } => (
            format!(
                "the contour crosses or touches itself: the sides that start at points [{first}] and [{second}] meet \
                 near ({}, {}) {unit}",
                near.x, near.y
            ),
            "draw it as one simple closed line; pieces apart from each other go into `parts`, inner ones into `holes`",
        ),
    }
}

fn region_fault(fault: RegionFault) -> String {
    match fault {
        RegionFault::HoleOutside { hole } => format!("hole [{hole}] is not inside the outline"),
        RegionFault::HolesMeet { first, second } => format!("holes [{first}] and [{second}] overlap"),
    }
}

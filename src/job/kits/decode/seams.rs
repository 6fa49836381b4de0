//! Seams, ends and what a kit says once for all its parts.

use crate::error::Shown;
use crate::job::decode::Decoder;
use crate::job::{Grain, GrainRule};
use crate::json::{Fields, Node};
use crate::panels::{End, Hand, Lap, Seam, Slant};
use serde::Deserialize;

/// What a kit says once for all its parts.
#[derive(Debug, Clone, Copy)]
pub(in crate::job::kits) struct Common {
    pub seam: Seam,
    pub front: f64,
    pub grain: Grain,
    pub count_thickness: bool,
}

/// Overlap of seams in mm unless told otherwise: at the lower end of the 1/4 to 1/2 in that
/// wrap layers use (MN Designs, *Wrap tips*, 2010), as bodies here are small.
const OVERLAP: f64 = 6.0;

impl Default for Common {
    fn default() -> Self {
        Self {
            seam: Seam { overlap: OVERLAP, lap: Lap::One, under: Hand::Left },
            front: 0.0,
            grain: Grain { along: 0.0, rule: GrainRule::OneWay, slack: 0.0 },
            count_thickness: false,
        }
    }
}

#[derive(Deserialize)]
#[serde(rename_all = "lowercase")]
enum LapWord {
    One,
    Both,
}

#[derive(Deserialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum HandWord {
    Left,
    Right,
}

impl HandWord {
    pub fn hand(&self) -> Hand {
        match self {
            Self::Left => Hand::Left,
            Self::Right => Hand::Right,
        }
    }
}

impl Decoder<'_> {
    /// `seams`: what it does not say stays as in `common`.
    pub(super) fn seams(&mut self, node: Option<Node<'_>>, common: Common) -> Common {
        let Some(node) = node else { return common };
        let Some(mut fields) = Fields::open(&node, self.report) else { return common };
        let overlap = fields.get("overlap").and_then(|n| self.size_mm(&n));
        let lap = fields.get("lap").and_then(|n| self.word(&n)).map(|w| match w {
            LapWord::One => Lap::One,
            LapWord::Both => Lap::Both,
        });
        let under = fields.get("under").and_then(|n| self.word::<HandWord>(&n));
        let front = fields.get("front").and_then(|n| self.angle(&n, 360.0));
        fields.finish(self.report);
        Common {
            seam: Seam {
                overlap: overlap.unwrap_or(common.seam.overlap),
                lap: lap.unwrap_or(common.seam.lap),
                under: under.map_or(common.seam.under, |w| w.hand()),
            },
            front: front.unwrap_or(common.front),
            ..common
        }
    }

    /// `aft` or `fore`: what is added at an end and, where `cuts` says so, how it is cut.
    pub(super) fn end(&mut self, node: Option<Node<'_>>, cuts: bool) -> (End, Option<Slant>) {
        let nothing = (End::default(), None);
        let Some(node) = node else { return nothing };
        let Some(mut fields) = Fields::open(&node, self.report) else { return nothing };
        let end = End {
            reach: self.size_mm_or_zero(fields.get("reach")),
            trim: self.size_mm_or_zero(fields.get("trim")),
            fold: self.size_mm_or_zero(fields.get("fold")),
        };
        let cut = if cuts { fields.get("cut").and_then(|n| self.slant(&n)) } else { None };
        fields.finish(self.report);
        (end, cut)
    }

    fn slant(&mut self, node: &Node<'_>) -> Option<Slant> {
        let mut fields = Fields::open(node, self.report)?;
        let angle = fields.need("angle", self.report).and_then(|n| self.angle(&n, 90.0));
        let toward = fields.get("toward").and_then(|n| self.angle(&n, 360.0)).unwrap_or_default();
        fields.finish(self.report);
        Some(Slant { angle: angle?, toward })
    }

    /// Degrees within `most` to either side.
    pub(super) fn angle(&mut self, node: &Node<'_>, most: f64) -> Option<f64> {
        let value = node.number(self.report)?;
        if value.abs() > most {
            node.problem(
                self.report,
                format!("{} is not within -{most} to {most} degrees", Shown(value)),
                "",
            );
            return None;
        }
        Some(value)
    }
}

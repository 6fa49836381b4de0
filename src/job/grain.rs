//! Grain: which way a panel may point on the roll.

use crate::shape::angle_between;
use serde::{Deserialize, Serialize};

/// The headings that a panel's grain arrow may take on the roll.
#[derive(
    Debug,
    Clone,
    Copy,
    Default,
    PartialEq,
    Eq,
    Hash,
    PartialOrd,
    Ord,
    Serialize,
    Deserialize,
    schemars::JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum GrainRule {
    /// Along the feed only: 0 degrees.
    #[default]
    OneWay,
    /// 0 or 180 degrees.
    TwoWay,
    /// 0, 90, 180 or 270 degrees.
    Quarter,
    /// Any heading.
    Free,
}

impl GrainRule {
    /// The permitted headings in degrees; `None` when any will do.
    pub fn headings(self) -> Option<&'static [f64]> {
        match self {
            Self::OneWay => Some(&[0.0]),
            Self::TwoWay => Some(&[0.0, 180.0]),
            Self::Quarter => Some(&[0.0, 90.0, 180.0, 270.0]),
            Self::Free => None,
        }
    }
}

/// Direction of print or film on a panel, and how strictly it is to follow the roll.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grain {
    /// Direction of the print in the outline's own frame, in degrees.
    pub along: f64,
    /// The permitted headings.
    pub rule: GrainRule,
    /// Permitted deviation from them, 0 to 45 degrees.
    pub slack: f64,
}

/// How exactly a written angle must follow its rule, in degrees: a matter of printed digits,
/// far below anything that can be cut (0.02 um over 10 m).
pub const ANGLE_TOLERANCE: f64 = 1e-7;

impl Grain {
    /// The heading on the roll of a panel turned by `rotation`: where its grain arrow points.
    pub fn heading(&self, rotation: f64, mirrored: bool) -> f64 {
        crate::shape::wrap_degrees(if mirrored { rotation - self.along } else { rotation + self.along })
    }

    /// The rotation that gives a panel the heading `heading`.
    pub fn rotation(&self, heading: f64, mirrored: bool) -> f64 {
        crate::shape::wrap_degrees(if mirrored { heading + self.along } else { heading - self.along })
    }

    /// Whether the rule allows `heading`.
    pub fn allows(&self, heading: f64) -> bool {
        match self.rule.headings() {
            None => true,
            Some(list) => list.iter().any(|h| angle_between(heading, *h) <= self.slack + ANGLE_TOLERANCE),
        }
    }
}

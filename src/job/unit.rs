//! The units a file may be written in.

use serde::{Deserialize, Serialize};

/// The unit of every length in a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, schemars::JsonSchema)]
pub enum Unit {
    /// Millimetres.
    #[serde(rename = "mm")]
    Millimetre,
    /// Inches of exactly 25.4 mm.
    #[serde(rename = "in")]
    Inch,
}

impl Unit {
    /// How many millimetres one of this unit is. Exact.
    pub fn in_mm(self) -> f64 {
        match self {
            Self::Millimetre => 1.0,
            Self::Inch => 25.4,
        }
    }

    /// The name used in files and reports.
    pub fn name(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::Inch => "in",
        }
    }
}

//! The keys of the comparison format.

use crate::job::Unit;
use schemars::JsonSchema;
use serde::Serialize;

/// The value of `format` in a comparison.
pub(super) const FORMAT: &str = "tuckroll-comparison-1";

/// Variants of one job side by side.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct Comparison {
    /// The format and its version.
    #[schemars(extend("const" = "tuckroll-comparison-1"))]
    pub format: &'static str,
    /// Name of the job.
    pub name: String,
    /// Unit that the job is written in; lengths here are in millimetres all the same.
    pub unit: Unit,
    /// Name of the currency, where the job says prices; may be empty.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String", default)]
    pub currency: Option<String>,
    /// By what the cheapest variant is chosen.
    pub cheapest_by: &'static str,
    /// The variants, in the order in which they were asked for.
    pub variants: Vec<Variant>,
}

/// One way to ask for the same job, over all seeds.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct Variant {
    /// Its number, from 1.
    pub number: u32,
    /// What is different about it.
    pub label: String,
    /// Full width of its film; absent where there are several pieces.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64", default)]
    pub width_mm: Option<f64>,
    /// Its gap.
    pub gap_mm: f64,
    /// Panels placed.
    pub pieces: usize,
    /// Film used along the roll; of several pieces together.
    pub length_mm: Spread,
    /// Share of the film used that is no panel.
    pub waste_percent: Spread,
    /// Film used, over its whole width.
    pub film_area_mm2: Spread,
    /// Estimated time of the cut in one section, at the speeds of a small roll cutter.
    pub cut_time_s: Spread,
    /// What it costs, where the job says prices.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "VariantCost", default)]
    pub cost: Option<VariantCost>,
    /// Whether it is the cheapest of all.
    pub cheapest: bool,
    /// One for each seed.
    pub runs: Vec<Run>,
}

/// What a variant costs: amounts as decimal text, means rounded to the minor unit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct VariantCost {
    /// Mean of what the film costs.
    pub film_cost_mean: String,
    /// Mean of all costs.
    pub total_cost_mean: String,
    /// The least of all costs.
    pub total_cost_least: String,
    /// The greatest.
    pub total_cost_greatest: String,
}

/// What the seeds give.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct Spread {
    /// The least.
    pub least: f64,
    /// The mean.
    pub mean: f64,
    /// The greatest.
    pub greatest: f64,
}

impl Spread {
    /// That of some numbers; `None` when there are none.
    pub fn of(values: impl Iterator<Item = f64>) -> Option<Self> {
        let values: Vec<f64> = values.collect();
        let least = values.iter().copied().reduce(f64::min)?;
        let greatest = values.iter().copied().reduce(f64::max)?;
        // About the least, so that equal numbers have exactly that number as their mean.
        let mean = least + values.iter().map(|v| v - least).sum::<f64>() / values.len() as f64;
        Some(Self { least, mean, greatest })
    }

    /// How far the seeds lie apart, in per cent of the mean.
    pub fn percent(&self) -> f64 {
        if self.mean > 0.0 { 100.0 * (self.greatest - self.least) / self.mean } else { 0.0 }
    }
}

/// One nest.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct Run {
    /// Its seed.
    pub seed: u64,
    /// Rounds done.
    pub rounds: u64,
    /// Film used along the roll.
    pub length_mm: f64,
    /// Share of the film used that is no panel.
    pub waste_percent: f64,
    /// Film used, over its whole width.
    pub film_area_mm2: f64,
    /// Estimated time of the cut.
    pub cut_time_s: f64,
    /// What the film costs.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String", default)]
    pub film_cost: Option<String>,
    /// What all of it costs.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String", default)]
    pub total_cost: Option<String>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_spread_is_what_it_says() {
        let s = Spread::of([3.0, 1.0, 2.0].into_iter()).unwrap();
        assert_eq!((s.least, s.mean, s.greatest, s.percent()), (1.0, 2.0, 3.0, 100.0));
        assert_eq!(Spread::of(std::iter::empty()), None);
        assert_eq!(Spread::of([0.1, 0.1, 0.1].into_iter()).unwrap().mean, 0.1);
    }
}

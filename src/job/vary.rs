//! What is asked differently from a job file: for comparing rolls and rules without editing it.

use super::decode::Draft;
use super::limits::{MAX_LENGTH_MM, max_length};
use super::{GrainRule, Panel, Unit};
use crate::Problem;
use crate::error::Shown;
use crate::json::{Path, Report};
use crate::money::Decimal;

/// Changes to a job. What is `None` stays as the file says.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Variation {
    /// Full width of the film, in the job's unit; above zero. The margins stay.
    pub width: Option<f64>,
    /// Least distance between cut lines, in the job's unit; 0 or more.
    pub gap: Option<f64>,
    /// Grain rule of every panel.
    pub grain: Option<GrainRule>,
    /// Gores of every nose in the job's kits.
    pub gores: Option<u32>,
    /// Amount in the price of the film; what it buys stays.
    pub price: Option<Decimal>,
}

impl Variation {
    /// Changes roll and gap.
    pub(super) fn change_head(&self, head: &mut Draft, report: &mut Report) {
        let asked = self.within_limits(head.unit, report);
        asked.change_price(head, report);
        if let (Some(width), Some(roll)) = (asked.width, &mut head.roll) {
            roll.width = width;
            if roll.usable_width() <= 0.0 {
                let what = format!("the edge margins leave nothing of film {} wide", Shown(width));
                report.problem(&Path::ROOT.key("roll"), what, "take a wider film or narrower margins");
            }
        }
        if asked.width.is_some() && head.roll.is_none() {
            let what = "another width was asked for, and the job has no `roll` of its own";
            report.problem(
                &Path::ROOT.key("roll"),
                what,
                "give the film as `roll`, not as `rolls` or `stock`",
            );
        }
        head.gap = asked.gap.unwrap_or(head.gap);
    }

    /// Without lengths that no file may have: no command would read the layout.
    fn within_limits(&self, unit: Unit, report: &mut Report) -> Self {
        let mut asked = *self;
        for (option, length) in [("--width", &mut asked.width), ("--gap", &mut asked.gap)] {
            if let Some(much) = length.take_if(|length| *length > max_length(unit)) {
                let what = format!("{} {} is beyond {} km", Shown(much), unit.name(), MAX_LENGTH_MM / 1e6);
                report.adopt(Problem::new(option, what, "is it in the job's unit?"));
            }
        }
        asked
    }

    /// A price for a length of film says nothing about film of another width.
    fn change_price(&self, head: &mut Draft, report: &mut Report) {
        let roll = Path::ROOT.key("roll");
        let place = roll.key("price");
        let other_width =
            head.roll.as_ref().is_some_and(|r| self.width.is_some_and(|w| w.total_cmp(&r.width).is_ne()));
        let alone = head.roll.is_some();
        let price = head.roll.as_mut().and_then(|roll| roll.piece.price.as_mut());
        match (price, self.price) {
            (Some(price), Some(amount)) => price.amount = amount,
            (None, Some(_)) if !alone => {
                let what = "another price was asked for, and the job has no `roll` of its own";
                report.problem(&roll, what, "give the film as `roll`, not as `rolls` or `stock`");
            }
            (None, Some(_)) => {
                let what = "another price was asked for, and the job's `roll` has none";
                report.problem(&place, what, "give `price` with `amount` and `per`");
            }
            (Some(price), None) if other_width && !price.per.is_area() => {
                let what = "another width was asked for, and the price is for a length of the roll";
                report.problem(&place, what, "say what film of that width costs with --price");
            }
            _ => {}
        }
    }

    /// Other numbers of gores change nothing where there is no nose, and comparing them would mislead.
    pub(super) fn refuse_vain_gores(&self, noses: bool, report: &mut Report) {
        if self.gores.is_some() && !noses {
            let what = "another number of gores was asked for, and the job has no kits with a nose";
            report.problem(&Path::ROOT.key("kits"), what, "name the kit of the nose in `kits`");
        }
    }

    /// The panel under the grain rule asked for.
    pub(super) fn changed(&self, mut panel: Panel) -> Panel {
        if let Some(rule) = self.grain {
            panel.grain.rule = rule;
        }
        panel
    }
}

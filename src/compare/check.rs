//! What would make the table a lie.

use super::Cell;
use super::panels::Wanted;
use super::sample::Sample;
use crate::error::{Error, Problems};
use crate::layout::Layout;
use std::collections::BTreeSet;

/// The first layout of all, once the cells are known to belong together.
pub(super) fn first_of(cells: &[Cell]) -> Result<&Layout, Error> {
    let Some(first) = cells.first().and_then(|c| c.layouts.first()) else {
        return Err(Error::input("compare", "there is no layout to compare", "nest some of the cells first"));
    };
    let wanted = cells.first().map(Wanted::of);
    let mut problems = Problems::default();
    let mut seen = BTreeSet::new();
    for cell in cells {
        let place = cell.name.folder();
        if !seen.insert((cell.name.variant, cell.name.seed)) {
            problems.push(&place, "this variant and seed are there twice", "remove one of the two");
        }
        if cell.layouts.is_empty() {
            problems.push(&place, "it holds no layout", "nest this cell again");
        }
        let seeds = cell.layouts.iter().map(|l| l.made_by.as_ref().map(|m| m.seed));
        if seeds.into_iter().any(|seed| seed != Some(cell.name.seed)) {
            problems.push(&place, "its layout was made with another seed", "nest this cell again");
        }
        if cell.layouts.iter().any(|l| (&l.name, l.unit) != (&first.name, first.unit)) {
            problems.push(&place, "its layout is of another job", "gather one comparison at a time");
        } else if wanted.as_ref().is_some_and(|wanted| !Wanted::of(cell).is_that_of(wanted)) {
            problems.push(&place, "it cuts other panels than the first layout", "nest this cell again");
        }
        if cell.layouts.iter().filter_map(|l| l.made_by.as_ref()).any(|m| m.stopped == "interrupted") {
            problems.push(&place, "its search was interrupted", "nest this cell again");
        }
    }
    problems.or_ok(())?;
    Ok(first)
}

/// The currency of all cells; `None` when none of them says prices.
pub(super) fn currency<'a>(samples: impl Iterator<Item = &'a Sample<'a>>) -> Result<Option<String>, Error> {
    let mut problems = Problems::default();
    let mut money = None;
    for (i, sample) in samples.enumerate() {
        let own = sample.bill.as_ref().map(|b| (b.rates.currency.clone(), b.rates.decimals));
        if i == 0 {
            money = own;
        } else if own != money {
            let what = "it has not the prices or the currency of the first layout";
            problems.push(sample.cell.name.folder(), what, "gather one comparison at a time");
        }
    }
    problems.or_ok(money.map(|(currency, _)| currency))
}

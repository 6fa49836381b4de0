//! What the layout costs, and which film is left, as the rooms for money and offcuts reckon it.

use super::{Kit, Money, Offcut};
use crate::Error;
use crate::cost::{self, Statement};
use crate::layout::Layout;
use crate::money::{Decimal, Per, Price};
use crate::offcut;

/// Tells every kit the film it pays for and what it costs; gives the sum where there are prices.
pub(super) fn charge(layout: &Layout, kits: &mut [Kit]) -> Result<Option<Money>, Error> {
    let priced = statement(layout)?;
    // Shares of the film do not depend on its price.
    let shares = match &priced {
        Some(s) => s.clone(),
        None => statement(&free(layout))?.ok_or_else(|| Error::Internal("film has no price".into()))?,
    };
    for kit in kits {
        let Some(line) = shares.kits.iter().find(|line| line.kit == kit.kit) else { continue };
        kit.film_area_mm2 = line.film_area_mm2;
        kit.cost = priced.is_some().then(|| line.costs.clone());
    }
    Ok(priced.map(|s| Money { currency: s.currency, waste_rule: s.waste_rule.to_owned(), total: s.total }))
}

fn statement(layout: &Layout) -> Result<Option<Statement>, Error> {
    Ok(cost::bill(&[layout])?.as_ref().map(cost::statement))
}

/// The layout on film that costs nothing.
fn free(layout: &Layout) -> Layout {
    let mut layout = layout.clone();
    layout.roll.piece.price = Some(Price { amount: Decimal::ZERO, per: Per::M });
    layout
}

/// The offcuts worth keeping.
pub(super) fn offcuts(layout: &Layout) -> Vec<Offcut> {
    let mm = layout.unit.in_mm();
    let of = |o: &offcut::Offcut| Offcut {
        x_mm: o.at.min.x * mm,
        y_mm: o.at.min.y * mm,
        length_mm: o.length() * mm,
        width_mm: o.width() * mm,
    };
    offcut::worth_keeping(layout).iter().map(of).collect()
}

//! What layouts cost, by kit, and how much film is left.
//!
//! The film that a layout uses, its full width times its length, is paid for by the kits of its
//! required panels: each carries the area of its panels and a share of the waste, by the rule
//! that the shop sets ([`WasteRule`]). Fillers cost no film; they take ink, tape and labour like
//! any other piece. Every sum is exact to the minor unit, because totals are rounded once and
//! then shared out; ties go to the kit whose id comes first, panels without a kit last.

mod quantity;
mod statement;

pub use statement::{CostLine, FilmLine, KitLine, Statement, statement};

use crate::Error;
use crate::layout::Layout;
use crate::money::{Minor, Rates, WasteRule, share_out};
use quantity::{Claim, claims, micrometres};
use std::collections::BTreeMap;

/// The money of one job.
#[derive(Debug, Clone, PartialEq)]
pub struct Bill {
    /// By which rates.
    pub rates: Rates,
    /// The pieces of film, in the order of the layouts.
    pub films: Vec<FilmCost>,
    /// One for each kit, by id; panels without a kit together, last.
    pub kits: Vec<KitCost>,
    /// The sum of them.
    pub total: Costs,
}

/// One piece of film.
#[derive(Debug, Clone, PartialEq)]
pub struct FilmCost {
    /// Id of the piece.
    pub roll: Option<String>,
    /// Which film.
    pub film: Option<String>,
    /// Length used, in mm.
    pub length_mm: f64,
    /// Area used over the whole width, in mm2.
    pub area_mm2: f64,
    /// Length left after the job, in mm, where the roll's length is known.
    pub left_mm: Option<f64>,
    /// What the film used costs.
    pub cost: Minor,
}

/// One kit.
#[derive(Debug, Clone, PartialEq)]
pub struct KitCost {
    /// Its id; none for panels without a kit.
    pub kit: Option<String>,
    /// Pieces cut, fillers included.
    pub pieces: u64,
    /// Area of its required panels, in mm2.
    pub panel_area_mm2: f64,
    /// Area of its fillers, in mm2.
    pub filler_area_mm2: f64,
    /// Film it pays for, waste included, in mm2.
    pub film_area_mm2: f64,
    /// What it costs.
    pub costs: Costs,
}

/// Amounts in minor units.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Costs {
    /// Film.
    pub film: Minor,
    /// Ink.
    pub ink: Minor,
    /// Laminate.
    pub laminate: Minor,
    /// Transfer tape.
    pub transfer_tape: Minor,
    /// Working time.
    pub labour: Minor,
}

impl Costs {
    /// All of it.
    pub fn total(&self) -> Minor {
        [self.ink, self.laminate, self.transfer_tape, self.labour]
            .iter()
            .fold(self.film, |sum, cost| sum.saturating_add(*cost))
    }

    fn add(&mut self, other: &Self) {
        let pairs = [
            (&mut self.film, other.film),
            (&mut self.ink, other.ink),
            (&mut self.laminate, other.laminate),
            (&mut self.transfer_tape, other.transfer_tape),
            (&mut self.labour, other.labour),
        ];
        pairs.into_iter().for_each(|(sum, cost)| *sum = sum.saturating_add(cost));
    }
}

/// Film left on the roll after this layout, in the layout's unit; `None` where the roll's length is
/// not known.
pub fn film_left(layout: &Layout) -> Option<f64> {
    layout.roll.length.map(|length| (length - layout.measures.length).max(0.0))
}

/// Whether a layout says anything about money.
pub fn has_prices(layout: &Layout) -> bool {
    layout.roll.piece.price.is_some() || layout.shop.rates.is_some()
}

/// The bill of one job: its layouts, one for each piece of film, made with the same rates. `None`
/// where no layout says anything about money.
///
/// # Errors
///
/// [`Error::Input`] when some prices are there and the price of a piece of film is missing, or an
/// amount is too large to be counted.
pub fn bill(layouts: &[&Layout]) -> Result<Option<Bill>, Error> {
    let Some(first) = layouts.first().filter(|_| layouts.iter().any(|l| has_prices(l))) else {
        return Ok(None);
    };
    let rates = first.shop.rates.clone().unwrap_or_else(Rates::plain);
    let mut ledger = Ledger::open(&rates, layouts);
    let mut films = Vec::new();
    for layout in layouts {
        films.push(ledger.film(layout)?);
    }
    ledger.labour()?;
    let kits: Vec<KitCost> = ledger.rows.into_values().collect();
    let mut total = Costs::default();
    kits.iter().for_each(|row| total.add(&row.costs));
    Ok(Some(Bill { rates, films, kits, total }))
}

/// The price of every piece that a bill needs.
fn missing_price(layout: &Layout) -> Error {
    let of = layout.roll.piece.id.as_ref().map_or("roll.price".into(), |id| format!("roll {id:?}: price"));
    Error::input(
        format!("{:?}: {of}", layout.name),
        "the price of the film is missing",
        "give `price` with `amount` and `per`, \"0\" for film that is paid for, or leave out `rates`",
    )
}

fn too_much() -> Error {
    Error::input(
        "rates",
        "the amounts are too large to be counted",
        "check the prices, their units and `decimals`",
    )
}

/// Kits by id, those without one last.
type Key = (bool, String);

fn key(kit: Option<&String>) -> Key {
    (kit.is_none(), kit.cloned().unwrap_or_default())
}

/// The kits' accounts, filled item by item.
struct Ledger<'a> {
    rates: &'a Rates,
    rows: BTreeMap<Key, KitCost>,
}

impl<'a> Ledger<'a> {
    fn open(rates: &'a Rates, layouts: &[&Layout]) -> Self {
        let mut rows = BTreeMap::new();
        for claim in layouts.iter().flat_map(|l| claims(l)) {
            rows.entry(key(claim.kit.as_ref())).or_insert_with(|| KitCost {
                kit: claim.kit.clone(),
                pieces: 0,
                panel_area_mm2: 0.0,
                filler_area_mm2: 0.0,
                film_area_mm2: 0.0,
                costs: Costs::default(),
            });
        }
        Self { rates, rows }
    }

    /// Film, ink, laminate and tape of one layout.
    fn film(&mut self, layout: &Layout) -> Result<FilmCost, Error> {
        let price = layout.roll.piece.price.ok_or_else(|| missing_price(layout))?;
        let decimals = self.rates.decimals;
        let mm = layout.unit.in_mm();
        let (width, length) = (micrometres(layout.roll.width * mm), micrometres(layout.measures.length * mm));
        let used = u128::from(width) * u128::from(length);
        let claims = claims(layout);
        let weights = film_weights(&claims, used, self.rates.waste).ok_or_else(too_much)?;
        let cost = price.of_film(width, length, decimals).ok_or_else(too_much)?;
        self.charge(&claims, cost, &weights, |c| &mut c.film)?;

        let sum = |of: fn(&Claim) -> u128| claims.iter().map(of).sum::<u128>();
        let ink = |c: &Claim| c.panel + c.filler;
        let tape = |c: &Claim| c.boxes + c.filler_boxes;
        let list = |of: fn(&Claim) -> u128| claims.iter().map(of).collect::<Vec<_>>();
        if let Some(rate) = self.rates.ink {
            let cost = rate.of_area(sum(ink), decimals).ok_or_else(too_much)?;
            self.charge(&claims, cost, &list(ink), |c| &mut c.ink)?;
        }
        if let Some(rate) = self.rates.laminate {
            let cost = rate.of_area(used, decimals).ok_or_else(too_much)?;
            self.charge(&claims, cost, &weights, |c| &mut c.laminate)?;
        }
        if let Some(rate) = self.rates.transfer_tape {
            let cost = rate.of_area(sum(tape), decimals).ok_or_else(too_much)?;
            self.charge(&claims, cost, &list(tape), |c| &mut c.transfer_tape)?;
        }
        self.areas(&claims, &weights, used);
        Ok(FilmCost {
            roll: layout.roll.piece.id.clone(),
            film: layout.roll.piece.film.clone(),
            length_mm: layout.measures.length * mm,
            area_mm2: layout.roll.width * layout.measures.length * mm * mm,
            left_mm: film_left(layout).map(|left| left * mm),
            cost,
        })
    }

    fn charge(
        &mut self,
        claims: &[Claim],
        cost: Minor,
        weights: &[u128],
        item: fn(&mut Costs) -> &mut Minor,
    ) -> Result<(), Error> {
        let shares = share_out(cost, weights).ok_or_else(too_much)?;
        for (claim, share) in claims.iter().zip(shares) {
            if let Some(row) = self.rows.get_mut(&key(claim.kit.as_ref())) {
                let sum = item(&mut row.costs);
                *sum = sum.checked_add(share).ok_or_else(too_much)?;
            }
        }
        Ok(())
    }

    fn areas(&mut self, claims: &[Claim], weights: &[u128], used: u128) {
        let sum: f64 = weights.iter().map(|w| *w as f64).sum();
        for (claim, weight) in claims.iter().zip(weights) {
            let Some(row) = self.rows.get_mut(&key(claim.kit.as_ref())) else { continue };
            row.pieces += claim.pieces;
            row.panel_area_mm2 += quantity::mm2(claim.panel);
            row.filler_area_mm2 += quantity::mm2(claim.filler);
            row.film_area_mm2 += if sum > 0.0 { quantity::mm2(used) * (*weight as f64) / sum } else { 0.0 };
        }
    }

    /// Working time: that of the job in equal shares, that of each kit and piece where it arises.
    fn labour(&mut self) -> Result<(), Error> {
        let Some(labour) = self.rates.labour else { return Ok(()) };
        let [job, kit, panel] = [labour.job, labour.kit, labour.panel].map(|t| u128::from(t.milliseconds));
        let n = self.rows.len() as u128;
        let own = |row: &KitCost| kit + panel * u128::from(row.pieces);
        let milliseconds = job + self.rows.values().map(own).sum::<u128>();
        // In units of a millisecond over the number of kits, so that the job's share is whole.
        let weights: Vec<u128> = self.rows.values().map(|row| job + n * own(row)).collect();
        let cost = labour.of(milliseconds, self.rates.decimals).ok_or_else(too_much)?;
        let shares = share_out(cost, &weights).ok_or_else(too_much)?;
        self.rows.values_mut().zip(shares).for_each(|(row, share)| row.costs.labour = share);
        Ok(())
    }
}

/// How much of the film each claim pays for: its panels and its share of the waste, in proportion.
fn film_weights(claims: &[Claim], used: u128, rule: WasteRule) -> Option<Vec<u128>> {
    if rule == WasteRule::Area {
        return Some(claims.iter().map(|c| c.panel).collect());
    }
    let panels: u128 = claims.iter().map(|c| c.panel).sum();
    let boxes: u128 = claims.iter().map(|c| c.boxes).sum();
    // A ten-thousandth of a square millimetre at the finest, so that the product fits.
    let waste = used.saturating_sub(panels);
    let weight = |c: &Claim| {
        let own = (c.panel / COARSE).checked_mul(boxes / COARSE)?;
        own.checked_add((waste / COARSE).checked_mul(c.boxes / COARSE)?)
    };
    claims.iter().map(weight).collect()
}

/// Square micrometres in the unit that two areas are multiplied in: 0.01 mm2. The product of two
/// areas of 1000 m2 and an amount of ten digits still fits.
const COARSE: u128 = 10_000;

#[cfg(test)]
mod tests;

//! Prices, rates, and which offcuts are kept.

use super::Decoder;
use crate::error::Shown;
use crate::job::{Keep, Roll, Shop};
use crate::json::{Fields, Node};
use crate::money::{
    Decimal, DecimalFault, Labour, MAX_DECIMALS, MAX_WHOLE_DIGITS, Minutes, PLACES, Price, Rates,
};

/// Longest name of a currency in characters.
const MAX_CURRENCY_CHARS: usize = 12;

/// Greatest time in minutes: a week.
const MAX_MINUTES: f64 = 7.0 * 24.0 * 60.0;

impl Decoder<'_> {
    /// What the shop has set.
    pub(crate) fn shop(&mut self, fields: &mut Fields<'_>) -> Shop {
        Shop {
            rates: fields.get("rates").and_then(|n| self.rates(&n)),
            keep: fields.get("keep").and_then(|n| self.keep(&n)),
        }
    }

    /// Where anything is charged, the film has a price.
    pub(crate) fn check_price(&mut self, node: &Node<'_>, roll: &Roll, shop: &Shop) {
        if shop.rates.is_some() && roll.piece.price.is_none() {
            let remedy = "give `price` with `amount` and `per` (amount \"0\" for film that is paid for), or leave out \
                          `rates`";
            node.problem(self.report, "the price of the film is missing", remedy);
        }
    }

    /// The least offcut worth keeping.
    pub(crate) fn keep(&mut self, node: &Node<'_>) -> Option<Keep> {
        let mut fields = Fields::open(node, self.report)?;
        let length = fields.need("length", self.report).and_then(|n| self.positive(&n));
        let width = fields.need("width", self.report).and_then(|n| self.positive(&n));
        fields.finish(self.report);
        Some(Keep { length: length?, width: width? })
    }

    /// A price of film: for a length or an area.
    pub(crate) fn price(&mut self, node: &Node<'_>) -> Option<Price> {
        let mut fields = Fields::open(node, self.report)?;
        let amount = fields.need("amount", self.report).and_then(|n| self.decimal(&n));
        let per = fields.need("per", self.report).and_then(|n| self.word(&n));
        fields.finish(self.report);
        Some(Price { amount: amount?, per: per? })
    }

    fn rates(&mut self, node: &Node<'_>) -> Option<Rates> {
        let mut fields = Fields::open(node, self.report)?;
        let rates = Rates {
            currency: fields.get("currency").and_then(|n| self.currency(&n)).unwrap_or_default(),
            decimals: fields.get("decimals").and_then(|n| self.decimals(&n)).unwrap_or(2),
            waste: self.word_or_default(fields.get("waste")),
            ink: fields.get("ink").and_then(|n| self.price_of_area(&n)),
            laminate: fields.get("laminate").and_then(|n| self.price_of_area(&n)),
            transfer_tape: fields.get("transfer_tape").and_then(|n| self.price_of_area(&n)),
            labour: fields.get("labour").and_then(|n| self.labour(&n)),
        };
        fields.finish(self.report);
        Some(rates)
    }

    fn currency(&mut self, node: &Node<'_>) -> Option<String> {
        let text = self.title(node)?;
        if text.chars().count() > MAX_CURRENCY_CHARS {
            let what = format!("the name has more than {MAX_CURRENCY_CHARS} characters");
            node.problem(self.report, what, "use a short one, such as EUR");
        }
        Some(text)
    }

    fn decimals(&mut self, node: &Node<'_>) -> Option<u8> {
        let number = node.whole(self.report)?;
        let decimals = u8::try_from(number).ok().filter(|d| *d <= MAX_DECIMALS);
        if decimals.is_none() {
            let what = format!("{number} decimals; {MAX_DECIMALS} are the most");
            node.problem(self.report, what, "most currencies have 2");
        }
        decimals
    }

    fn price_of_area(&mut self, node: &Node<'_>) -> Option<Price> {
        let price = self.price(node)?;
        if !price.per.is_area() {
            let what = format!("this is charged by area, and {:?} is a length", price.per.word());
            node.problem(self.report, what, "give the price per m2, ft2 or yd2");
        }
        Some(price)
    }

    fn labour(&mut self, node: &Node<'_>) -> Option<Labour> {
        let mut fields = Fields::open(node, self.report)?;
        let per_hour = fields.need("per_hour", self.report).and_then(|n| self.decimal(&n));
        let labour = Labour {
            per_hour: per_hour.unwrap_or_default(),
            job: self.minutes(fields.get("minutes_per_job")),
            kit: self.minutes(fields.get("minutes_per_kit")),
            panel: self.minutes(fields.get("minutes_per_panel")),
        };
        fields.finish(self.report);
        per_hour.map(|_| labour)
    }

    /// A time in minutes, kept to the millisecond; 0 where the key is absent.
    fn minutes(&mut self, node: Option<Node<'_>>) -> Minutes {
        let Some(node) = node else { return Minutes::default() };
        let Some(value) = node.number(self.report) else { return Minutes::default() };
        if !(0.0..=MAX_MINUTES).contains(&value) {
            node.problem(self.report, format!("{} minutes are not from 0 to a week", Shown(value)), "");
            return Minutes::default();
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "from 0 to the milliseconds of a week, as checked above"
        )]
        let milliseconds = (value * 60_000.0).round() as u32;
        Minutes { milliseconds }
    }

    /// A decimal number as text.
    fn decimal(&mut self, node: &Node<'_>) -> Option<Decimal> {
        if node.value.is_number() {
            let remedy =
                format!("write it in quotes, \"{}\": amounts of money are kept digit by digit", node.value);
            node.problem(self.report, "expected a decimal number as a string, found a number", remedy);
            return None;
        }
        let text = node.text(self.report)?;
        Decimal::parse(text)
            .map_err(|fault| {
                let remedy = match fault {
                    DecimalFault::Comma => {
                        "write a point before the decimals and nothing between thousands".into()
                    }
                    DecimalFault::TooLong => {
                        format!("at most {MAX_WHOLE_DIGITS} digits before the point and {PLACES} after it")
                    }
                    _ => "write it like \"4.20\"".to_owned(),
                };
                node.problem(self.report, format!("{text:?} is no price: {fault}"), remedy);
            })
            .ok()
    }
}

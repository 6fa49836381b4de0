//! The film.

use super::Decoder;
use crate::job::{Piece, Roll};
use crate::json::{Fields, Node};
use crate::money::{Decimal, Per, Price};

/// For a price that cannot be read, so that it does not seem to be missing as well.
const STAND_IN: Price = Price { amount: Decimal::ZERO, per: Per::M };

impl Decoder<'_> {
    /// One piece of film.
    pub(crate) fn roll(&mut self, node: &Node<'_>) -> Option<Roll> {
        let mut fields = Fields::open(node, self.report)?;
        let width = fields.need("width", self.report).and_then(|n| self.positive(&n));
        let edge_margin = fields.get("edge_margin").map_or(Some([0.0; 2]), |n| self.edge_margin(&n));
        let lead_margin = self.size_or_zero(fields.get("lead_margin"));
        let tail_margin = self.size_or_zero(fields.get("tail_margin"));
        let length = fields.get("length").and_then(|n| self.positive(&n));
        let flaws = self.rings(fields.get("flaws")).unwrap_or_default();
        let piece = self.piece(&mut fields);
        fields.finish(self.report);
        let roll =
            Roll { width: width?, edge_margin: edge_margin?, lead_margin, tail_margin, length, flaws, piece };
        if roll.usable_width() <= 0.0 {
            let what = format!(
                "the edge margins ({} and {}) leave nothing of a roll {} {} wide",
                roll.edge_margin[0],
                roll.edge_margin[1],
                roll.width,
                self.unit.name()
            );
            node.problem(self.report, what, "check the margins, the width and the unit");
        }
        Some(roll)
    }

    /// Which piece of film it is.
    fn piece(&mut self, fields: &mut Fields<'_>) -> Piece {
        Piece {
            id: fields.get("id").and_then(|n| self.folder_name(&n)),
            film: self.optional_id(fields.get("film")),
            price: fields.get("price").map(|n| self.price(&n).unwrap_or(STAND_IN)),
            offcut: self.flag(fields.get("offcut")),
        }
    }

    /// One number for both sides, or `[at y = 0, at y = width]`.
    fn edge_margin(&mut self, node: &Node<'_>) -> Option<[f64; 2]> {
        if !node.value.is_array() {
            return self.size(node).map(|m| [m, m]);
        }
        let mut items = node.items(self.report)?;
        if items.len() != 2 {
            node.problem(
                self.report,
                format!("expected one margin or two, found a list of {}", items.len()),
                "write [at y = 0, at y = width]",
            );
            return None;
        }
        let mut next = || items.next().and_then(|n| self.size(&n));
        let (low, high) = (next(), next());
        Some([low?, high?])
    }
}

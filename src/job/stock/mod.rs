//! The film that a shop has: a file that jobs take their pieces from, and that is updated when a
//! layout is confirmed cut.

mod decode;
mod wire;

use super::decode::Draft;
use super::{Files, Keep, Notes, Roll, Unit, read_input};
use crate::json::{self, Path, Report};
use crate::{Error, Problem};

/// The value of `format` in a stock file.
pub(crate) const FORMAT: &str = "tuckroll-stock-1";

/// The pieces of film of a shop.
#[derive(Debug, Clone, PartialEq)]
pub struct Stock {
    /// Unit of every length.
    pub unit: Unit,
    /// Which offcuts are kept; without it none are.
    pub keep: Option<Keep>,
    /// The pieces, each with an id of its own.
    pub rolls: Vec<Roll>,
    /// The layouts that were cut from them.
    pub cut: Vec<Cut>,
    /// Carried along untouched.
    pub notes: Option<Notes>,
}

/// A layout that was confirmed cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// SHA-256, in hexadecimal, of the layout as this program writes it.
    pub layout: String,
    /// The piece that it was cut from.
    pub roll: String,
    /// Film that it took off the piece.
    pub length: f64,
}

/// Loads a stock file.
///
/// # Errors
///
/// [`Error::Input`] with everything that is wrong with it, [`Error::Io`] when it cannot be read.
pub fn load(path: &std::path::Path) -> Result<Stock, Error> {
    parse(&read_input(path)?, &path.display().to_string())
}

/// Parses the bytes of a stock file, called `name` in problems.
///
/// # Errors
///
/// [`Error::Input`] with everything that is wrong with it.
pub fn parse(bytes: &[u8], name: &str) -> Result<Stock, Error> {
    let tree = json::parse(bytes, name)?;
    let mut report = Report::new(name);
    let stock = super::decode::Decoder::new(&mut report).stock(&json::Node::root(&tree));
    report.or_ok(stock).map(|(stock, _)| stock)
}

/// The text of a stock file.
pub fn write(stock: &Stock) -> String {
    json::to_text(&wire::WireStock::from(stock))
}

/// The JSON Schema of the stock format.
pub fn schema() -> String {
    json::schema::<wire::WireStock>()
}

/// The pieces of film that a job takes from a stock file; the job's rule for offcuts comes before the
/// stock's. A file that is there and cannot be read becomes the `failure`.
pub(super) fn rolls_of(
    file: &str,
    head: &mut Draft,
    files: &dyn Files,
    report: &mut Report,
    failure: &mut Option<Error>,
) -> Option<Vec<Roll>> {
    let path = Path::ROOT.key("stock");
    let stock = match files.fetch(file).and_then(|bytes| parse(&bytes, file)) {
        Ok(stock) => stock,
        Err(Error::Input(problems)) => {
            for p in problems.0 {
                let place = if p.place.is_empty() { report.place(&path) } else { p.place };
                report.adopt(Problem { place, ..p });
            }
            return None;
        }
        Err(other) => {
            report.problem(&path, other.to_string(), "");
            failure.get_or_insert(other);
            return None;
        }
    };
    if stock.unit != head.unit {
        let what = format!("the stock is in {} and the job in {}", stock.unit.name(), head.unit.name());
        report.problem(&path, what, "write both in one unit");
        return None;
    }
    if stock.rolls.is_empty() {
        report.problem(&path, format!("there is no film in {file:?}"), "add the pieces that you have");
        return None;
    }
    let unpriced: Vec<&str> = stock
        .rolls
        .iter()
        .filter(|r| r.piece.price.is_none())
        .filter_map(|r| r.piece.id.as_deref())
        .collect();
    if head.shop.rates.is_some() && !unpriced.is_empty() {
        let what = format!("the price of the film is missing for {}", unpriced.join(", "));
        report.problem(&path, what, "give every piece of the stock a `price`, or leave out `rates`");
    }
    head.shop.keep = head.shop.keep.or(stock.keep);
    Some(stock.rolls)
}

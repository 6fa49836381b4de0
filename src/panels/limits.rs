//! Which lengths are taken for dimensions at all.
//!
//! What lies between these bounds can be computed without overflow and in no time; a typing error
//! or a wrong unit that lies within them is for whoever knows the kit to point out.

use super::Fault;
use crate::error::Shown;

/// Longest dimension, in mm: 100 m, ten times what a kit is warned of.
pub const LONGEST: f64 = 1e5;

/// Shortest dimension that is not zero, in mm: a twenty-fifth of the step of HP-GL
/// (0.025 mm).
pub const SHORTEST: f64 = 1e-3;

/// A dimension that must be there.
pub(super) fn dimension(field: &str, value: f64) -> Result<(), Fault> {
    if !(value > 0.0 && value.is_finite()) {
        return Err(Fault::new(
            field,
            format!("{} is not above zero", Shown(value)),
            "measure again and write a length above zero",
        ));
    }
    if value < SHORTEST {
        return Err(Fault::new(
            field,
            format!("{} mm is less than can be cut", Shown(value)),
            "check number and unit",
        ));
    }
    not_too_long(field, value)
}

/// Something added or taken away, which may be nothing.
pub(super) fn allowance(field: &str, value: f64) -> Result<(), Fault> {
    if !(value >= 0.0 && value.is_finite()) {
        return Err(Fault::new(field, format!("{} is below 0", Shown(value)), "write 0 for none"));
    }
    not_too_long(field, value)
}

/// A length that may have either sign.
pub(super) fn offset(field: &str, value: f64) -> Result<(), Fault> {
    if !value.is_finite() {
        return Err(Fault::new(field, format!("{} is no length", Shown(value)), "measure again"));
    }
    not_too_long(field, value)
}

fn not_too_long(field: &str, value: f64) -> Result<(), Fault> {
    if value.abs() <= LONGEST {
        return Ok(());
    }
    Err(Fault::new(field, format!("{} mm is more than 100 m", Shown(value)), "check number and unit"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_beyond_reason_are_named() {
        let what = |r: Result<(), Fault>| r.unwrap_err().what;
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(what(dimension("length", bad)).contains("not above zero"));
        }
        assert!(what(dimension("length", 1e-4)).contains("less than can be cut"));
        assert!(what(dimension("length", 2e5)).contains("100 m"));
        assert!(what(allowance("trim", -0.1)).contains("below 0"));
        assert!(what(allowance("trim", 2e5)).contains("100 m"));
        assert!(what(offset("sweep", -2e5)).contains("100 m"));
        assert!(offset("sweep", f64::NAN).is_err());
        assert!(dimension("length", LONGEST).is_ok() && dimension("length", SHORTEST).is_ok());
        assert!(allowance("trim", 0.0).is_ok() && offset("sweep", -40.0).is_ok());
    }
}

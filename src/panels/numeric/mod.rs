//! Integration and root finding.

mod quadrature;
mod root;

pub(super) use quadrature::integrate;
pub(super) use root::{bisect, root_above};

//! What keeps dimensions from being a part.

/// One thing wrong with the dimensions of a part: which field, what, and what to do about it.
/// Whoever knows the part and its file turns it into a [`crate::Problem`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The field of the part, such as `profile.c`.
    pub field: String,
    /// What is wrong with it.
    pub what: String,
    /// What to do about it.
    pub remedy: String,
    /// Whether the dimensions are well-formed but cannot be met with this film and roll.
    pub unmet: bool,
}

impl Fault {
    /// A fault of `field`.
    pub fn new(field: impl Into<String>, what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self { field: field.into(), what: what.into(), remedy: remedy.into(), unmet: false }
    }

    /// Well-formed dimensions that cannot be met.
    pub fn unmet(field: impl Into<String>, what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self { unmet: true, ..Self::new(field, what, remedy) }
    }
}

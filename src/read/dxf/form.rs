//! The two ways in which a file is written, and its pairs in either.

use super::pair::{Fault, Pair};
use super::{ascii, binary};
use crate::read::kind::BINARY_DXF;

/// How the file is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Form {
    Ascii,
    Binary,
}

impl Form {
    pub fn of(bytes: &[u8]) -> Self {
        if bytes.starts_with(BINARY_DXF) { Self::Binary } else { Self::Ascii }
    }

    /// A place in words.
    pub fn place(self, at: usize) -> String {
        match self {
            Self::Ascii => format!("line {at}"),
            Self::Binary => format!("byte {at}"),
        }
    }
}

/// The pairs of a file, to its end or the first fault.
pub(super) fn pairs(bytes: &[u8]) -> Box<dyn Iterator<Item = Result<Pair<'_>, Fault>> + '_> {
    match Form::of(bytes) {
        Form::Ascii => Box::new(ascii::Pairs::new(bytes)),
        Form::Binary => Box::new(binary::Pairs::new(bytes)),
    }
}

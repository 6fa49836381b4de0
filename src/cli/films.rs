//! `tuckroll films`: the shipped film library.

use super::say;
use tuckroll::Error;
use tuckroll::job::kits::Films;

/// Prints it.
pub fn run() -> Result<u8, Error> {
    say::out(Films::shipped_text().as_bytes())?;
    Ok(0)
}

//! The last line of defence: a panic becomes an ordinary error.

use std::backtrace::{Backtrace, BacktraceStatus};
use std::panic::{self, AssertUnwindSafe, PanicHookInfo};
use std::sync::{Mutex, PoisonError};
use tuckroll::Error;

/// What the last panic said and where; threads that catch their own leave it behind unread.
static LAST: Mutex<String> = Mutex::new(String::new());

/// Runs `work`; a panic in it comes back as [`Error::Internal`]. Panics that a library
/// function catches for itself stay silent.
pub fn guarded<T>(work: impl FnOnce() -> Result<T, Error>) -> Result<T, Error> {
    panic::set_hook(Box::new(remember));
    panic::catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|_| {
        let what = LAST.lock().unwrap_or_else(PoisonError::into_inner).clone();
        Err(Error::Internal(what))
    })
}

fn remember(info: &PanicHookInfo<'_>) {
    let payload = info.payload();
    let words = payload.downcast_ref::<&str>().copied();
    let words = words.or_else(|| payload.downcast_ref::<String>().map(String::as_str));
    let mut text = words.unwrap_or("unknown").to_owned();
    if let Some(place) = info.location() {
        text += &format!(" at {}:{}", place.file(), place.line());
    }
    let trace = Backtrace::capture();
    if trace.status() == BacktraceStatus::Captured {
        text += &format!("\n{trace}");
    }
    *LAST.lock().unwrap_or_else(PoisonError::into_inner) = text;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_becomes_an_error_that_says_what_and_where() {
        let result: Result<(), Error> = guarded(|| panic!("number {}", 7));
        // Other tests of this binary should tell of their failures again.
        drop(panic::take_hook());
        let error = result.unwrap_err();
        assert_eq!(error.exit_code(), 4);
        let text = error.to_string();
        assert!(
            text.contains("please report") && text.contains("number 7") && text.contains("guard.rs"),
            "{text}"
        );
    }
}

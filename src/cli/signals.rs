//! Being asked to stop from outside.

use signal_hook::consts::{SIGINT, SIGTERM};
use signal_hook::flag;
use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

/// A shell reports a command ended by signal n as 128 + n (POSIX.1-2017, Shell Command
/// Language 2.8.2, and common usage of shells); a command that catches it does the same.
const BASE: i32 = 128;

/// Remembers which signal came first. Cheap to clone and to ask.
#[derive(Debug, Clone)]
pub struct Signals {
    first: Arc<AtomicUsize>,
    /// Whether the next signal ends the process at once.
    armed: Arc<AtomicBool>,
    worth_keeping: Arc<AtomicBool>,
}

impl Signals {
    /// Starts to listen: SIGINT or SIGTERM ends the process at once as long as there is nothing to lose, and
    /// the second one does so always.
    pub fn listen() -> io::Result<Self> {
        let first = Arc::new(AtomicUsize::new(0));
        let armed = Arc::new(AtomicBool::new(true));
        for signal in [SIGINT, SIGTERM] {
            // In this order: the shutdown looks at what earlier signals left behind.
            flag::register_conditional_shutdown(signal, BASE + signal, Arc::clone(&armed))?;
            flag::register(signal, Arc::clone(&armed))?;
            flag::register_usize(signal, Arc::clone(&first), usize::try_from(signal).unwrap_or(1))?;
        }
        Ok(Self { first, armed, worth_keeping: Arc::default() })
    }

    /// There is a result: from now on the first signal is remembered, so that the result can be written.
    pub fn keep_result(&self) {
        if !self.worth_keeping.swap(true, Ordering::Relaxed) {
            self.armed.store(false, Ordering::Relaxed);
        }
    }

    /// Whether a signal has come.
    pub fn caught(&self) -> bool {
        self.first.load(Ordering::Relaxed) != 0
    }

    /// The exit code that says so, once a signal has come.
    pub fn exit_code(&self) -> Option<u8> {
        match self.first.load(Ordering::Relaxed) {
            0 => None,
            signal => u8::try_from(signal).ok().map(|s| s.saturating_add(BASE as u8)),
        }
    }
}

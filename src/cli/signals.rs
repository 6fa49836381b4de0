//! Being asked to stop from outside, by SIGINT, SIGTERM, or SIGHUP when the window is closed.
//!
//! A thread of its own hears the signals and ends the program at once, with a line that says so, as long as nothing
//! is lost or left lying about by that. A search that has a layout to write is told instead; whoever has drafts on the
//! disk is told to give up, clears them away, and then the program ends.

use super::say;
use std::io::{self, IsTerminal};
use std::path::Path;
use std::sync::mpsc;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::Duration;
use tuckroll::Error;

/// A shell reports a command ended by signal n as 128 + n (POSIX.1-2017, Shell Command
/// Language 2.8.2, and common usage of shells); a command that catches it does the same.
const BASE: i32 = 128;

/// Its number is the same everywhere (POSIX.1-2017, kill). A shell and the system both send it when a window is closed:
/// the second one is no impatience.
const HANG_UP: i32 = 1;

/// How long the last line may take. Standard error may lead into a pipe that nobody empties.
const LAST_WORDS: Duration = Duration::from_millis(500);

/// Signals come to the whole program.
static STATE: Mutex<State> = Mutex::new(State {
    first: None,
    worth_keeping: false,
    drafts: false,
    given_up: false,
    settled: false,
    hint: "",
});

/// What has come, and what would be lost.
#[derive(Debug)]
struct State {
    first: Option<i32>,
    /// There is a layout that the first signal must not take away.
    worth_keeping: bool,
    /// There are drafts on the disk.
    drafts: bool,
    /// The drafts are to be cleared away instead of being moved in.
    given_up: bool,
    /// The result is being moved in, or is there.
    settled: bool,
    hint: &'static str,
}

impl State {
    /// Takes note of a signal; whether the program ends at once.
    fn hear(&mut self, signal: i32) -> bool {
        let again = self.first.is_some() && signal != HANG_UP;
        self.first.get_or_insert(signal);
        if self.worth_keeping && !again || self.drafts && self.settled {
            return false;
        }
        // A disk that hangs does not hang the program: the next signal waits for nothing.
        let clears_away = self.drafts && !self.given_up;
        self.given_up |= clears_away;
        !clears_away
    }

    /// The exit code that says so, once a signal has come.
    fn exit_code(&self) -> Option<i32> {
        self.first.map(|signal| BASE + signal)
    }

    fn last_words(&self) -> String {
        if self.settled { "stopped".to_owned() } else { format!("stopped: nothing was written{}", self.hint) }
    }
}

fn state() -> MutexGuard<'static, State> {
    STATE.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Starts to listen.
///
/// # Errors
///
/// [`Error::Io`] when the system has no room for it.
#[cfg(unix)]
pub fn listen() -> Result<(), Error> {
    use signal_hook::consts::{SIGINT, SIGTERM};
    let failed = |e| Error::io("signals", e);
    let hang_up = is_default(HANG_UP).then_some(HANG_UP);
    let mut signals =
        signal_hook::iterator::Signals::new([SIGINT, SIGTERM].into_iter().chain(hang_up)).map_err(failed)?;
    let hear = move || {
        for signal in signals.forever() {
            let mut state = state();
            if state.hear(signal) {
                leave(&state);
            }
        }
    };
    thread::Builder::new().name("signals".into()).spawn(hear).map_err(failed)?;
    Ok(())
}

/// Whether a signal is known not to be ignored since before the program began, as `nohup` has it. Only Linux tells
/// (proc(5), SigIgn).
#[cfg(unix)]
fn is_default(signal: i32) -> bool {
    let Ok(status) = std::fs::read_to_string("/proc/self/status") else { return false };
    let ignored = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
    let ignored = ignored.and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok());
    ignored.is_some_and(|mask| mask & (1 << (signal - 1)) == 0)
}

/// Elsewhere the system ends the program.
#[cfg(not(unix))]
pub fn listen() -> Result<(), Error> {
    Ok(())
}

/// Ends the program with a line that says so.
fn leave(state: &State) -> ! {
    let words = state.last_words();
    let (said, heard) = mpsc::channel();
    let speak = move || {
        // A terminal shows progress, or what was typed, at the start of the line.
        let start = if io::stderr().is_terminal() { "\n" } else { "" };
        say::note(&format!("{start}{words}"));
        let _ = said.send(());
    };
    let _ = thread::Builder::new().spawn(speak);
    let _ = heard.recv_timeout(LAST_WORDS);
    signal_hook::low_level::exit(state.exit_code().unwrap_or(BASE))
}

/// Adds to what is said when the program is stopped.
pub fn hint(words: &'static str) {
    state().hint = words;
}

/// Does work that has drafts lying about until it ends. A signal that comes meanwhile makes it fail where it calls
/// [`go_on`] or [`settle`]; the program ends when the drafts are cleared away.
pub fn tidily<T>(work: impl FnOnce() -> Result<T, Error>) -> Result<T, Error> {
    state().drafts = true;
    let done = work();
    let mut state = state();
    state.drafts = false;
    if state.given_up {
        leave(&state);
    }
    done
}

/// Whether the work on `path` may go on.
///
/// # Errors
///
/// [`Error::Io`] when a signal has come.
pub fn go_on(path: &Path) -> Result<(), Error> {
    may_go_on(&state(), path)
}

/// Whether the work on `path` may be moved in; from now on it is too late for a signal.
///
/// # Errors
///
/// As [`go_on`].
pub fn settle(path: &Path) -> Result<(), Error> {
    let mut state = state();
    may_go_on(&state, path)?;
    state.settled = true;
    Ok(())
}

fn may_go_on(state: &State, path: &Path) -> Result<(), Error> {
    if state.given_up { Err(Error::io(path, io::ErrorKind::Interrupted.into())) } else { Ok(()) }
}

/// What a search has to do with signals.
#[derive(Debug, Clone, Copy)]
pub struct Signals {
    /// Whether a layout that was found is written when a signal comes.
    pub keeps_layouts: bool,
}

impl Signals {
    /// There is a layout: where it is kept, the first signal from now on is remembered, so that it can be written.
    pub fn keep_result(self) {
        if self.keeps_layouts {
            state().worth_keeping = true;
        }
    }

    /// Whether a signal has come.
    pub fn caught(self) -> bool {
        state().first.is_some()
    }

    /// The exit code that says so, once a signal has come.
    pub fn exit_code(self) -> Option<u8> {
        state().exit_code().and_then(|code| u8::try_from(code).ok())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const INT: i32 = 2;
    const TERM: i32 = 15;

    fn quiet() -> State {
        State { first: None, worth_keeping: false, drafts: false, given_up: false, settled: false, hint: "" }
    }

    #[test]
    fn with_nothing_to_lose_the_first_signal_ends_the_program() {
        let mut state = quiet();
        assert!(state.hear(TERM));
        assert_eq!(
            (state.exit_code(), state.last_words().as_str()),
            (Some(143), "stopped: nothing was written")
        );
    }

    #[test]
    fn a_layout_outlives_the_first_signal_and_not_the_second() {
        let mut state = State { worth_keeping: true, ..quiet() };
        assert!(!state.hear(INT) && !state.given_up);
        assert!(state.hear(TERM));
        assert_eq!(state.exit_code(), Some(130), "the first one counts");
    }

    #[test]
    fn a_window_that_is_closed_tells_twice() {
        let mut state = State { worth_keeping: true, ..quiet() };
        assert!(!state.hear(HANG_UP) && !state.hear(HANG_UP));
        assert_eq!(state.exit_code(), Some(129));
        assert!(state.hear(INT));
        assert!(quiet().hear(HANG_UP), "with nothing to lose it ends at once");
    }

    #[test]
    fn drafts_are_cleared_away_first() {
        let mut state = State { drafts: true, ..quiet() };
        assert!(may_go_on(&state, Path::new("out")).is_ok());
        assert!(!state.hear(INT) && state.given_up);
        assert!(may_go_on(&state, Path::new("out")).is_err());
        assert!(state.hear(INT), "unless that takes too long");
        // The files of a layout that is kept are given up at the second signal only.
        let mut state = State { drafts: true, worth_keeping: true, ..quiet() };
        assert!(!state.hear(INT) && !state.given_up);
        assert!(!state.hear(INT) && state.given_up);
    }

    #[test]
    fn a_result_that_is_moved_in_stays() {
        let mut state = State { drafts: true, settled: true, ..quiet() };
        assert!(!state.hear(INT) && !state.hear(INT) && !state.given_up);
        state.drafts = false;
        assert!(state.hear(INT));
        assert_eq!(state.last_words(), "stopped");
    }
}

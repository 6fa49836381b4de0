//! One line on a terminal that tells how the search is getting on; silent anywhere else.

use std::fmt::Write as _;
use std::io::{self, IsTerminal, Write};
use std::sync::mpsc::{self, RecvTimeoutError, Sender};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};
use tuckroll::job::Job;
use tuckroll::nest::{Limit, Progress};
use tuckroll::write::percent;

/// How often the line is drawn anew: often enough to see that the program lives.
const BEAT: Duration = Duration::from_millis(250);

/// Carriage return, then erase to the end of the line (ECMA-48, EL).
const WIPE: &str = "\r\u{1b}[K";

/// Draws the line from a thread of its own, so that it moves while a round is running.
#[derive(Debug)]
pub struct ProgressLine {
    news: Option<Sender<Progress>>,
    thread: Option<JoinHandle<()>>,
}

/// What is needed to turn a [`Progress`] into words.
#[derive(Debug, Clone, Copy)]
pub struct Scale {
    /// Area of all required panels, in the job's unit.
    pub panel_area: f64,
    /// Full width of the film.
    pub width: f64,
    /// When the search will end.
    pub limit: Limit,
}

impl Scale {
    /// That of a job.
    pub fn of(job: &Job, limit: Limit) -> Self {
        let required = job.panels.iter().filter(|panel| !panel.optional);
        let panel_area = required.map(|panel| panel.area() * f64::from(panel.copies)).sum();
        Self { panel_area, width: job.roll.width, limit }
    }
}

impl ProgressLine {
    /// Starts drawing if standard error is a terminal that can.
    pub fn start(scale: Scale) -> Self {
        let dumb = std::env::var_os("TERM").is_none_or(|t| t == "dumb");
        if dumb || !io::stderr().is_terminal() {
            return Self { news: None, thread: None };
        }
        let (news, inbox) = mpsc::channel();
        let thread = thread::spawn(move || {
            let begun = Instant::now();
            let mut last = None;
            loop {
                draw(&line(&scale, last.as_ref(), begun.elapsed()));
                match inbox.recv_timeout(BEAT) {
                    Ok(progress) => last = Some(progress),
                    Err(RecvTimeoutError::Timeout) => {}
                    Err(RecvTimeoutError::Disconnected) => return draw(""),
                }
            }
        });
        Self { news: Some(news), thread: Some(thread) }
    }

    /// Takes note of how far the search has come.
    pub fn tell(&self, progress: &Progress) {
        if let Some(news) = &self.news {
            let _ = news.send(*progress);
        }
    }
}

impl Drop for ProgressLine {
    fn drop(&mut self) {
        self.news = None;
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

fn draw(line: &str) {
    let mut stderr = io::stderr().lock();
    let _ = stderr.write_all(format!("{WIPE}{line}").as_bytes()).and_then(|()| stderr.flush());
}

/// The line itself, short enough for a window of 80 columns.
fn line(scale: &Scale, last: Option<&Progress>, elapsed: Duration) -> String {
    let Some(last) = last else {
        return format!("looking for a first layout, {}", clock(elapsed));
    };
    let waste = 100.0 * (1.0 - scale.panel_area / (scale.width * last.length));
    let mut text = format!("waste {}  round {}", percent(waste), last.round);
    if let Limit::Rounds(all) = scale.limit {
        let _ = write!(text, " of {all}");
    }
    match time_left(scale.limit, last, elapsed) {
        Some(left) => text += &format!("  {} left", clock(left)),
        None => text += &format!("  {} gone", clock(elapsed)),
    }
    text + "  (Ctrl-C keeps this)"
}

/// What is left of the time, or of the rounds at the pace so far.
fn time_left(limit: Limit, last: &Progress, elapsed: Duration) -> Option<Duration> {
    match limit {
        Limit::Time(all) => Some(all.saturating_sub(elapsed)),
        Limit::Rounds(_) if last.round == 0 => None,
        Limit::Rounds(all) => {
            let to_do = all.saturating_sub(last.round) as f64 / last.round as f64;
            let expected = Duration::try_from_secs_f64(last.elapsed.as_secs_f64() * to_do).ok()?;
            Some(expected.saturating_sub(elapsed.saturating_sub(last.elapsed)))
        }
    }
}

/// Minutes and seconds, hours where needed.
fn clock(time: Duration) -> String {
    let s = time.as_secs();
    if s < 3600 {
        format!("{}:{:02}", s / 60, s % 60)
    } else {
        format!("{}:{:02}:{:02}", s / 3600, s / 60 % 60, s % 60)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const fn scale(limit: Limit) -> Scale {
        Scale { panel_area: 30_000.0, width: 100.0, limit }
    }

    const fn at(round: u64, seconds: u64) -> Progress {
        Progress { round, length: 400.0, elapsed: Duration::from_secs(seconds) }
    }

    #[test]
    fn the_line_tells_waste_and_time_left() {
        let text = line(&scale(Limit::Rounds(10)), Some(&at(4, 20)), Duration::from_secs(21));
        assert!(text.starts_with("waste 25.00 %  round 4 of 10  0:29 left"), "{text}");
        let text =
            line(&scale(Limit::Time(Duration::from_secs(90))), Some(&at(4, 20)), Duration::from_secs(21));
        assert!(text.starts_with("waste 25.00 %  round 4  1:09 left"), "{text}");
    }

    #[test]
    fn the_line_fits_a_small_window() {
        let text = line(&scale(Limit::Rounds(1_000_000)), Some(&at(123_456, 1)), Duration::from_secs(36_000));
        assert!(text.len() < 80, "{text}");
    }

    #[test]
    fn the_pace_is_unknown_before_the_first_round() {
        assert_eq!(time_left(Limit::Rounds(5), &at(0, 1), Duration::from_secs(2)), None);
        assert_eq!(time_left(Limit::Rounds(5), &at(5, 9), Duration::from_secs(9)), Some(Duration::ZERO));
    }
}

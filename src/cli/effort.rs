//! How long to search: what was typed, and what it means.

use super::args::Seeds;
use clap::Args;
use std::time::Duration;
use tuckroll::job::Panel;
use tuckroll::money::Decimal;
use tuckroll::nest::{Effort, Limit};

/// Rounds of a run that was told neither time nor rounds. A number of rounds and not a time,
/// so that the plain command gives the same bytes every time; about ten seconds for a day of a
/// hundred panels on two cores.
pub const DEFAULT_ROUNDS: u64 = 100;

/// A month. Longer is a slip of the finger, and far longer overflows a clock.
const LONGEST: Duration = Duration::from_secs(31 * 24 * 3600);

/// Greatest tolerance in mm that a drawing is read with; beyond it shapes are no longer kept.
const COARSEST_MM: f64 = 10.0;

/// What the files take for each contour or line that is cut or drawn: 2,007 panels with 73,000 of them take 9 s
/// on two slow cores.
const WRITING: Duration = Duration::from_micros(120);

/// When to stop, as typed.
#[derive(Debug, Clone, Copy, Args)]
pub struct Limits {
    /// Be ready after so long: 30s, 2m, 1m30s; a bare number is seconds. Where files take long, the search gets less.
    #[arg(long, value_name = "TIME", value_parser = duration, conflicts_with = "rounds")]
    pub time: Option<Duration>,
    /// Search for so many rounds, a fixed amount of work that gives equal bytes every time.
    #[arg(long, value_name = "N", default_value_t = DEFAULT_ROUNDS)]
    pub rounds: u64,
    /// Stop sooner, after so many rounds that have found nothing shorter.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u64).range(1..))]
    pub patience: Option<u64>,
}

impl Limits {
    /// The effort this asks for.
    pub fn effort(self, seed: u64, group_kits: bool) -> Effort {
        let limit = self.time.map_or(Limit::Rounds(self.rounds), Limit::Time);
        Effort { patience: self.patience, group_kits, ..Effort::new(seed, limit) }
    }
}

/// The effort without the time it takes to write the files of these panels, so that all is done when the time is over.
/// The search keeps a third of the time at least.
pub fn leaving_time_to_write(effort: Effort, panels: &[Panel]) -> Effort {
    let Limit::Time(time) = effort.limit else { return effort };
    let lines = |p: &Panel| p.parts.iter().flat_map(|part| part.rings()).count() + p.lines.len();
    let all: usize = panels.iter().map(|p| p.copies as usize * lines(p)).sum();
    let writing = WRITING.saturating_mul(u32::try_from(all).unwrap_or(u32::MAX));
    Effort { limit: Limit::Time(time - writing.min(time * 2 / 3)), ..effort }
}

/// What is left of an effort in time; rounds stay.
pub fn after(effort: Effort, spent: Duration) -> Effort {
    let Limit::Time(time) = effort.limit else { return effort };
    Effort { limit: Limit::Time(time.saturating_sub(spent)), ..effort }
}

/// Half of an effort in time, where two searches share it; rounds stay.
pub fn halved(effort: Effort) -> Effort {
    let Limit::Time(time) = effort.limit else { return effort };
    Effort { limit: Limit::Time(time / 2), ..effort }
}

/// A length of time as people write it.
fn duration(text: &str) -> Result<Duration, String> {
    let text = text.trim();
    let plain = !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    let time = if plain {
        text.parse().ok().and_then(|s| Duration::try_from_secs_f64(s).ok())
    } else {
        humantime::parse_duration(text).ok()
    };
    match time {
        None => Err("write a time such as 30s, 2m or 1m30s; a bare number is seconds".into()),
        Some(time) if time > LONGEST => Err("longer than a month".into()),
        Some(time) => Ok(time),
    }
}

/// A tolerance in mm: above zero and not absurd.
pub fn tolerance(text: &str) -> Result<f64, String> {
    let mm: f64 = text.parse().map_err(|_| "write a number of millimetres, such as 0.05".to_owned())?;
    if mm > 0.0 && mm <= COARSEST_MM {
        Ok(mm)
    } else {
        Err(format!("must be above 0 and at most {COARSEST_MM} mm"))
    }
}

/// A width of film: above zero.
pub fn width(text: &str) -> Result<f64, String> {
    let width: f64 = text.parse().map_err(|_| "write a number, such as 594".to_owned())?;
    if width.is_finite() && width > 0.0 { Ok(width) } else { Err("must be above 0".into()) }
}

/// A gap between cut lines: zero or more.
pub fn gap(text: &str) -> Result<f64, String> {
    let gap: f64 = text.parse().map_err(|_| "write a number, such as 3".to_owned())?;
    if gap.is_finite() && gap >= 0.0 { Ok(gap) } else { Err("must be 0 or more".into()) }
}

/// An amount of money as decimal text.
pub fn amount(text: &str) -> Result<Decimal, String> {
    Decimal::parse(text).map_err(|fault| format!("{fault}; write an amount such as 4.35"))
}

/// Most seeds of one comparison.
const MOST_SEEDS: u64 = 1000;

/// Seeds such as `1-3` or `1,2,5`, each once.
pub fn seeds(text: &str) -> Result<Seeds, String> {
    let usage = || "write seeds such as 1-3 or 1,2,5".to_owned();
    let number = |t: &str| t.trim().parse::<u64>().map_err(|_| usage());
    let mut list = Vec::new();
    for part in text.split(',') {
        let (from, to) = part.split_once('-').unwrap_or((part, part));
        let (from, to) = (number(from)?, number(to)?);
        if from > to || to - from >= MOST_SEEDS {
            return Err(usage());
        }
        list.extend(from..=to);
    }
    list.sort_unstable();
    list.dedup();
    if list.len() as u64 > MOST_SEEDS { Err(format!("at most {MOST_SEEDS} seeds")) } else { Ok(Seeds(list)) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::Parser;

    #[test]
    fn times_are_read_as_people_write_them() {
        for (text, seconds) in [
            ("30", 30.0),
            ("30s", 30.0),
            ("2m", 120.0),
            ("1m30s", 90.0),
            ("0.5", 0.5),
            (" 5 ", 5.0),
            ("1h", 3600.0),
        ] {
            assert_eq!(duration(text), Ok(Duration::from_secs_f64(seconds)), "{text}");
        }
    }

    #[test]
    fn senseless_times_are_refused() {
        for text in ["", ".", "-3", "soon", "1.2.3", "1e9", "99999999999999999999", "2 years", "nan", "inf"] {
            assert!(duration(text).is_err(), "{text:?}");
        }
    }

    #[test]
    fn time_for_the_files_is_taken_from_the_time_asked_for() {
        let text = r#"{"format": "tuckroll-job-1", "name": "x", "unit": "mm", "roll": {"width": 600}, "gap": 1, "panels":
            [{"id": "a", "copies": 50000, "outline": [[0, 0], [9, 0], [0, 9]], "holes": [[[1, 1], [2, 1], [1, 2]]]}]}"#;
        let files = tuckroll::job::Folder::of(std::path::Path::new("x"));
        let job = tuckroll::job::parse(text.as_bytes(), "x", &files, &tuckroll::read::ReadOptions::default())
            .unwrap()
            .job;
        let left = |limit| leaving_time_to_write(Effort::new(1, limit), &job.panels).limit;
        let seconds = |s| Limit::Time(Duration::from_secs(s));
        // A hundred thousand contours take twelve seconds.
        assert_eq!(left(seconds(60)), seconds(48));
        assert_eq!(left(seconds(15)), seconds(5));
        assert_eq!(left(Limit::Rounds(7)), Limit::Rounds(7));
    }

    #[test]
    fn time_that_is_spent_is_gone() {
        let seconds = |s| Effort::new(1, Limit::Time(Duration::from_secs(s)));
        assert_eq!(after(seconds(6), Duration::from_secs(2)), seconds(4));
        assert_eq!(after(seconds(6), Duration::from_secs(9)), seconds(0));
        assert_eq!(halved(seconds(6)), seconds(3));
        let rounds = Effort::new(1, Limit::Rounds(7));
        assert_eq!((after(rounds, Duration::from_secs(9)), halved(rounds)), (rounds, rounds));
    }

    #[test]
    fn tolerances_are_positive_lengths() {
        assert_eq!(tolerance("0.05"), Ok(0.05));
        for text in ["0", "-1", "nan", "inf", "x", "", "11"] {
            assert!(tolerance(text).is_err(), "{text:?}");
        }
    }

    #[test]
    fn seeds_are_ranges_and_lists() {
        let list = |text: &str| seeds(text).map(|s| s.0);
        assert_eq!(list("1-3"), Ok(vec![1, 2, 3]));
        assert_eq!(list("5,1-2,2"), Ok(vec![1, 2, 5]));
        for text in ["", "3-1", "a", "1-", "-1", "1-99999999"] {
            assert!(list(text).is_err(), "{text:?}");
        }
    }

    #[derive(Debug, clap::Parser)]
    struct Words {
        #[command(flatten)]
        limits: Limits,
    }

    fn typed(words: &str) -> Option<Limit> {
        let words = Words::try_parse_from(words.split(' ')).ok()?;
        Some(words.limits.effort(7, false).limit)
    }

    #[test]
    fn without_a_limit_the_effort_is_in_rounds() {
        assert_eq!(typed("nest"), Some(Limit::Rounds(DEFAULT_ROUNDS)));
        assert_eq!(typed("nest --rounds 3"), Some(Limit::Rounds(3)));
        assert_eq!(typed("nest --time 3s"), Some(Limit::Time(Duration::from_secs(3))));
        assert_eq!(typed("nest --time 3s --rounds 3"), None);
    }
}

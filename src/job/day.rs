//! A day's work on several pieces of film.

use super::{Job, Notes, Numbers, Panel, Roll, Shop, Unit};

/// What is to be nested on one piece of film or several.
#[derive(Debug, Clone, PartialEq)]
pub struct Day {
    /// Shown in reports.
    pub name: String,
    /// Free text about where the job comes from.
    pub source: Option<String>,
    /// Unit of every length.
    pub unit: Unit,
    /// The pieces of film; at least one. Where there are several, each has an id of its own.
    pub rolls: Vec<Roll>,
    /// Whether they were given as a list, so that the result is a folder for each.
    pub several: bool,
    /// Least distance between cut lines of different panels.
    pub gap: f64,
    /// The panels; ids are unique.
    pub panels: Vec<Panel>,
    /// Carried along untouched.
    pub notes: Option<Notes>,
    /// What the shop has set.
    pub shop: Shop,
}

/// Some copies of a panel, by their numbers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Share {
    /// Index of the panel in the day.
    pub panel: usize,
    /// The numbers of the copies, from 1, ascending.
    pub copies: Vec<u32>,
}

impl From<Job> for Day {
    fn from(job: Job) -> Self {
        Self {
            name: job.name,
            source: job.source,
            unit: job.unit,
            rolls: vec![job.roll],
            several: false,
            gap: job.gap,
            panels: job.panels,
            notes: job.notes,
            shop: job.shop,
        }
    }
}

impl Day {
    /// The job of one piece of film with these panels. A panel's copies are counted anew from 1, keep the numbers that they
    /// have in the day, and take the lines that only one of them has with them.
    pub fn job(&self, roll: &Roll, shares: &[Share]) -> Job {
        Job {
            name: self.name.clone(),
            source: self.source.clone(),
            unit: self.unit,
            roll: roll.clone(),
            gap: self.gap,
            panels: shares.iter().filter_map(|share| self.part(share)).collect(),
            notes: self.notes.clone(),
            shop: self.shop.clone(),
        }
    }

    /// The day as a job, where it has one piece of film.
    pub fn single(self) -> Option<Job> {
        let [roll] = <[Roll; 1]>::try_from(self.rolls).ok()?;
        Some(Job {
            name: self.name,
            source: self.source,
            unit: self.unit,
            roll,
            gap: self.gap,
            panels: self.panels,
            notes: self.notes,
            shop: self.shop,
        })
    }

    /// The indices of the pieces of film that a panel may be cut from: those of its film; all where no film is named.
    pub fn rolls_for(&self, panel: &Panel) -> impl Iterator<Item = usize> + '_ {
        let film = panel.film.clone();
        let named = self.names_films();
        let fits = move |roll: &Roll| !named || film.is_none() || roll.piece.film == film;
        self.rolls.iter().enumerate().filter(move |(_, roll)| fits(roll)).map(|(i, _)| i)
    }

    /// Whether any piece says which film it is.
    fn names_films(&self) -> bool {
        self.rolls.iter().any(|roll| roll.piece.film.is_some())
    }

    fn part(&self, share: &Share) -> Option<Panel> {
        let panel = self.panels.get(share.panel)?;
        let copies = u32::try_from(share.copies.len()).ok().filter(|n| *n > 0)?;
        if copies == panel.copies {
            return Some(panel.clone());
        }
        let number = |old: u32| share.copies.iter().position(|c| *c == old).map(|i| i as u32 + 1);
        let lines = panel.lines.iter().filter_map(|line| {
            let copy = match line.copy {
                Some(old) => Some(number(old)?),
                None => None,
            };
            Some(super::Line { copy, ..line.clone() })
        });
        let numbers = share.copies.iter().map(|copy| panel.numbered(*copy).0).collect();
        let numbers = Some(Numbers { copies: numbers, of: panel.numbered(1).1 });
        Some(Panel { copies, numbers, lines: lines.collect(), ..panel.clone() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::fixtures::{job_of, rectangle};
    use crate::job::{Line, LineRole};
    use crate::shape::Point;

    #[test]
    fn lines_of_one_copy_go_with_it() {
        let line = |copy| Line {
            role: LineRole::Draw,
            points: vec![Point { x: 1., y: 1. }, Point { x: 2., y: 1. }],
            closed: false,
            copy,
        };
        let panel = Panel {
            copies: 4,
            lines: vec![line(None), line(Some(2)), line(Some(4))],
            ..rectangle("p", 9., 9.)
        };
        let job = job_of(100.0, vec![panel]);
        let day = Day::from(job.clone());
        let part = day.job(&job.roll, &[Share { panel: 0, copies: vec![3, 4] }]);
        let copies: Vec<_> = part.panels[0].lines.iter().map(|l| l.copy).collect();
        assert_eq!((part.panels[0].copies, copies), (2, vec![None, Some(2)]));
        assert_eq!([1, 2].map(|copy| part.panels[0].numbered(copy)), [(3, 4), (4, 4)]);
        assert!(day.job(&job.roll, &[Share { panel: 0, copies: vec![] }]).panels.is_empty());
        assert_eq!(day.single(), Some(job));
    }
}

//! A job with all that it names written out, held against what jobs and layouts may have.
//!
//! Drawings, kits and copies make much of a small file. What would be more than the readers of jobs and layouts take
//! is refused before it is made: a layout that no command reads again is of no use.

use super::limits::{
    MAX_CONTOURS, MAX_COPIES, MAX_ID_CHARS, MAX_KIT_PARTS, MAX_PLACED_POINTS, MAX_POINTS, MAX_TOTAL_POINTS,
    POINTS_OF_COPY, POINTS_OF_PANEL,
};
use super::wire::{WirePanel, WireRoll};
use super::{Day, Job, Panel, Roll};
use crate::json::{self, MAX_INPUT_BYTES, MAX_VALUES, Weight};
use crate::shape::{Region, Ring};
use crate::{Error, Problems};

/// What to do about a job that is too large as a whole.
const SPLIT: &str = "split the job";

/// What there is too much of, and what to do about it.
pub(crate) type Excess = (String, &'static str);

/// How large a panel is, or several that are alike.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(crate) struct Size {
    /// Copies in all.
    pub copies: u64,
    /// Points of contours and lines, as a file has them.
    pub points: u64,
    /// Points of all copies on the film.
    pub placed: u64,
}

impl Size {
    /// That of a panel.
    pub fn of(panel: &Panel) -> Self {
        Self::of_several(panel, 1, contour_points(&panel.parts))
    }

    /// That of so many panels without lines, with so many copies each and so many points together.
    pub fn of_plates(copies: u64, count: usize, contour_points: usize) -> Self {
        let points = contour_points as u64;
        Self {
            copies: copies.saturating_mul(count as u64),
            points,
            placed: copies
                .saturating_mul(points + count as u64 * POINTS_OF_COPY)
                .saturating_add(of_panels(count)),
        }
    }

    /// That of a panel of which so many copies lie on the film.
    pub fn of_placed(panel: &Panel, copies: u64) -> Self {
        Self::of_copies(panel, copies, 1, contour_points(&panel.parts))
    }

    /// That of so many panels with the copies and lines of this one, whose contours have so many points together.
    pub fn of_several(panel: &Panel, count: usize, contour_points: usize) -> Self {
        Self::of_copies(panel, u64::from(panel.copies), count, contour_points)
    }

    fn of_copies(panel: &Panel, copies: u64, count: usize, contour_points: usize) -> Self {
        let lines = |of_all: bool| {
            let lines = panel.lines.iter().filter(|line| line.copy.is_none() == of_all);
            (count * lines.map(|line| line.points.len()).sum::<usize>()) as u64
        };
        let common = contour_points as u64 + lines(true);
        Self {
            copies: copies.saturating_mul(count as u64),
            points: common + lines(false),
            placed: copies
                .saturating_mul(common + count as u64 * POINTS_OF_COPY)
                .saturating_add(lines(false) + of_panels(count)),
        }
    }
}

/// What panels count besides their points.
fn of_panels(count: usize) -> u64 {
    count as u64 * POINTS_OF_PANEL
}

/// How many points the contours of these regions have.
pub(super) fn contour_points<'a>(regions: impl IntoIterator<Item = &'a Region>) -> usize {
    regions.into_iter().flat_map(Region::rings).map(|ring| ring.points().len()).sum()
}

/// The size of a job, counted while it is written out.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Tally {
    sum: Size,
    kit_parts: u64,
    /// Whether there is more that was not counted.
    partial: bool,
}

impl Tally {
    /// A job on one of these rolls, and nothing in it yet.
    pub fn on<'a>(rolls: impl IntoIterator<Item = &'a Roll>) -> Self {
        let flaws = |roll: &Roll| roll.flaws.iter().map(|flaw| flaw.points().len()).sum::<usize>();
        let points = rolls.into_iter().map(flaws).max().unwrap_or(0) as u64;
        Self { sum: Size { points, ..Size::default() }, ..Self::default() }
    }

    /// Counts panels.
    pub fn add(&mut self, size: Size) {
        let Size { copies, points, placed } = &mut self.sum;
        *copies = copies.saturating_add(size.copies);
        *points = points.saturating_add(size.points);
        *placed = placed.saturating_add(size.placed);
    }

    /// Counts points on the film alone.
    pub fn add_placed(&mut self, size: Size) {
        self.add(Size { placed: size.placed, ..Size::default() });
    }

    /// Counts copies whose panels are counted elsewhere, or not made at all.
    pub fn add_copies(&mut self, copies: u64) {
        self.add(Size { copies, ..Size::default() });
    }

    /// Counts the parts of orders.
    pub fn add_kit_parts(&mut self, parts: u64) {
        self.kit_parts = self.kit_parts.saturating_add(parts);
    }

    /// There is more, of which it is not known how much.
    pub fn leave_the_rest(&mut self) {
        self.partial = true;
    }

    /// Whether there is too much of anything.
    pub fn is_over(&self) -> bool {
        self.sum.copies > MAX_COPIES || self.is_over_without_copies()
    }

    /// Whether there is too much of anything but copies, which are counted without making them.
    pub fn is_over_without_copies(&self) -> bool {
        self.sum.points > MAX_TOTAL_POINTS as u64
            || self.sum.placed > MAX_PLACED_POINTS
            || self.kit_parts > MAX_KIT_PARTS
    }

    /// What there is too much of.
    pub fn excess(&self) -> Option<Excess> {
        let Size { copies, points, placed } = self.sum;
        if copies > MAX_COPIES {
            let more = if self.partial { "more than " } else { "" };
            Some((format!("{more}{copies} copies in all; {MAX_COPIES} are the most"), SPLIT))
        } else if points > MAX_TOTAL_POINTS as u64 {
            let what = format!(
                "more than {MAX_TOTAL_POINTS} points in all, with drawings and kits written out and flaws counted"
            );
            Some((
                what,
                "split the job, or draw curves with fewer points: 0.02 mm beside the curve is enough",
            ))
        } else if placed > MAX_PLACED_POINTS {
            let what = format!(
                "more than {MAX_PLACED_POINTS} points on the film, those of every copy, {POINTS_OF_COPY} more for each and \
                 {POINTS_OF_PANEL} for each panel"
            );
            Some((
                what,
                "split the job, or draw curves with fewer points: 0.02 mm beside the curve is enough",
            ))
        } else if self.kit_parts > MAX_KIT_PARTS {
            let what =
                format!("{} parts in the orders of all kits; {MAX_KIT_PARTS} are the most", self.kit_parts);
            Some((what, SPLIT))
        } else {
            None
        }
    }
}

/// What a panel has too much of by itself.
pub(crate) fn panel_excess(panel: &Panel) -> Option<Excess> {
    let letters = panel.id.chars().count();
    if letters > MAX_ID_CHARS {
        let what = format!("the name {:?} has {letters} characters; {MAX_ID_CHARS} are the most", panel.id);
        return Some((what, "shorten the ids that it is made of"));
    }
    let lists = [("parts", panel.parts.len()), ("lines", panel.lines.len())];
    if let Some((name, count)) = lists.into_iter().find(|(_, count)| *count > MAX_CONTOURS) {
        let what = format!("a panel of {count} {name}; {MAX_CONTOURS} are the most");
        return Some((what, "make several panels of it"));
    }
    let longest = panel.lines.iter().map(|line| line.points.len()).max().unwrap_or(0);
    panel.parts.iter().find_map(region_excess).or_else(|| too_long("line", longest))
}

/// What a region has too much of by itself.
pub(crate) fn region_excess(region: &Region) -> Option<Excess> {
    let holes = region.holes().len();
    if holes > MAX_CONTOURS {
        let what = format!("{holes} holes in one outline; {MAX_CONTOURS} are the most");
        return Some((what, "make several panels of it"));
    }
    region.rings().find_map(ring_excess)
}

fn ring_excess(ring: &Ring) -> Option<Excess> {
    too_long("contour", ring.points().len())
}

fn too_long(what: &str, points: usize) -> Option<Excess> {
    let said = format!("{points} points in one {what}; {MAX_POINTS} are the most");
    (points > MAX_POINTS).then_some((
        said,
        "draw it with fewer points: 0.02 mm beside the curve is enough; curves of a drawing are made coarser with \
         --chord-tolerance",
    ))
}

/// Makes sure that a job that was put together here can be read again.
///
/// # Errors
///
/// [`Error::Input`] with everything that there is too much of.
pub(crate) fn check(job: &Job) -> Result<(), Error> {
    let mut problems = Problems::default();
    let mut tally = Tally::on([&job.roll]);
    job.panels.iter().for_each(|panel| tally.add(Size::of(panel)));
    for (what, remedy) in tally.excess().into_iter().chain(roll_excess(&job.roll)) {
        problems.push("the new job", what, remedy);
    }
    for panel in &job.panels {
        if let Some((what, remedy)) = panel_excess(panel) {
            problems.push(format!("panel {:?}", panel.id), what, remedy);
        }
    }
    problems.or_ok(())
}

/// What a roll has too much of.
pub(crate) fn roll_excess(roll: &Roll) -> Option<Excess> {
    let flaws = roll.flaws.len();
    if flaws > MAX_CONTOURS {
        let what = format!("{flaws} flaws on the roll; {MAX_CONTOURS} are the most");
        return Some((what, "take film with fewer flaws, or with fewer panels cut from it"));
    }
    roll.flaws.iter().find_map(ring_excess).map(|(what, _)| {
        (format!("a flaw of the roll: {what}"), "take film without it, or write the flaw with fewer points")
    })
}

/// What a placement takes at most besides the name of its panel: its numbers have 24 characters.
const PLACEMENT: Weight = Weight { bytes: 190, values: 7 };

/// What the number takes that a copy has in a day, where the day has several pieces of film.
const NUMBER: Weight = Weight { bytes: 24, values: 1 };

/// What a layout takes at most besides panels, placements, roll and notes.
const HEAD: Weight = Weight { bytes: 4096, values: 100 };

/// How large a layout of this work is as a file, at most.
pub(crate) fn layout_weight(day: &Day) -> Weight {
    // Depths as in the file: the lists stand in its one object.
    let notes = day.notes.as_ref().map(|notes| json::weigh_object(notes, 1)).unwrap_or_default();
    let rolls = day.rolls.iter().map(|roll| json::weigh(&WireRoll::from(roll), 1));
    let roll = rolls.max_by_key(|w| w.bytes).unwrap_or_default();
    let head = HEAD + json::weigh(&day.name, 1) + notes + roll;
    let copy = if day.several { PLACEMENT + NUMBER } else { PLACEMENT };
    day.panels.iter().fold(head, |sum, panel| {
        let id = Weight { bytes: json::weigh(&panel.id, 0).bytes, values: 0 };
        sum + json::weigh(&WirePanel::from(panel), 2) + (copy + id) * panel.copies as usize
    })
}

/// Why a layout of this work could not be read again although nothing in it is too much: the file would be too large.
pub(crate) fn layout_excess(day: &Day) -> Option<Excess> {
    let Weight { bytes, values } = layout_weight(day);
    let too_large = bytes > MAX_INPUT_BYTES || values > MAX_VALUES;
    too_large.then(|| {
        let what = format!(
            "the layout would be larger than a file may be ({} MiB, {MAX_VALUES} values), and no command could read it",
            MAX_INPUT_BYTES >> 20
        );
        (what, "split the job, or leave out its notes")
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::fixtures::{frame, job_of, panel, rectangle, ring};
    use crate::job::{Line, LineRole};
    use crate::shape::Point;

    fn line(copy: Option<u32>) -> Line {
        let points = vec![Point { x: 1., y: 1. }, Point { x: 2., y: 1. }];
        Line { role: LineRole::Draw, points, closed: false, copy }
    }

    /// By hand: outline and hole of 4 points and a line of 2 on each of 5 copies, with 25 for each copy and 100 for the panel, and
    /// 2 points on one copy alone.
    #[test]
    fn points_are_counted_in_the_file_and_on_the_film() {
        let hole = ring(&[(1., 1.), (2., 1.), (2., 2.), (1., 2.)]);
        let mut p = panel("p", vec![Region::new(frame(9., 9.), vec![hole]).unwrap()]);
        p.copies = 5;
        p.lines = vec![line(None), line(Some(3))];
        assert_eq!(Size::of(&p), Size { copies: 5, points: 12, placed: 5 * 35 + 2 + 100 });
        // Three such panels from one drawing.
        assert_eq!(Size::of_several(&p, 3, 24), Size { copies: 15, points: 36, placed: 3 * 277 });
    }

    #[test]
    fn each_limit_is_told() {
        let said = |size: Size| {
            let mut tally = Tally::default();
            tally.add(size);
            assert_eq!(tally.is_over(), tally.excess().is_some());
            tally.excess().map(|(what, _)| what).unwrap_or_default()
        };
        let most = Size { copies: MAX_COPIES, points: MAX_TOTAL_POINTS as u64, placed: MAX_PLACED_POINTS };
        assert_eq!(said(most), "");
        assert!(said(Size { copies: MAX_COPIES + 1, ..most }).starts_with("100001 copies in all; 100000"));
        assert!(said(Size { points: most.points + 1, ..most }).contains("1100000 points in all"));
        assert!(said(Size { placed: most.placed + 1, ..most }).contains("points on the film"));
        let mut tally = Tally::default();
        tally.add_kit_parts(MAX_KIT_PARTS + 1);
        assert!(tally.is_over() && tally.excess().is_some());
    }

    #[test]
    fn a_layout_larger_than_a_file_may_be_is_refused() {
        let mut day = Day::from(job_of(600., vec![rectangle("a", 9., 9.)]));
        day.notes =
            serde_json::json!({"pad": "x".repeat(MAX_INPUT_BYTES)}).as_object().cloned().map(Into::into);
        let (what, remedy) = layout_excess(&day).unwrap();
        assert!(what.contains("64 MiB") && remedy.contains("notes"), "{what}");
        // Each level of a list stands one blank further in: a small file becomes a large one.
        let deep = (0..100).fold(serde_json::json!([[0]]), |inner, _| serde_json::json!([inner]));
        let list: Vec<_> = (0..9000).map(|_| deep.clone()).collect();
        day.notes = serde_json::json!({"list": list}).as_object().cloned().map(Into::into);
        assert!(layout_excess(&day).is_some());
    }
}

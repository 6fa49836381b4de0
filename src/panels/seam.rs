//! What is asked of seams and ends.

use super::Fault;
use super::limits::allowance;

/// How the overlap of a seam is shared between the two panels.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Lap {
    /// All of it on the edge that lies under; the other edge is the seam line.
    #[default]
    One,
    /// As much on either edge, to be trimmed when laid.
    Both,
}

/// A side, seen on the outside of the body with the fore end up.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Hand {
    /// Towards +y of the panel.
    #[default]
    Left,
    /// Towards -y of the panel.
    Right,
}

/// The seams along a body, all made alike. Lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seam {
    /// Finished width by which one panel lies over its neighbour.
    pub overlap: f64,
    /// Which edges carry it.
    pub lap: Lap,
    /// The edge that lies under, where one edge carries all of it. All panels alike, so that the
    /// laps go one way round.
    pub under: Hand,
}

impl Seam {
    /// Extra width on the left and on the right edge.
    pub(super) fn laps(&self) -> [f64; 2] {
        match (self.lap, self.under) {
            (Lap::Both, _) => [self.overlap; 2],
            (Lap::One, Hand::Left) => [self.overlap, 0.0],
            (Lap::One, Hand::Right) => [0.0, self.overlap],
        }
    }
}

/// What is added at one end of a panel. Lengths in mm.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct End {
    /// Film that stays and reaches over what comes next.
    pub reach: f64,
    /// Film beyond that, to be trimmed when laid.
    pub trim: f64,
    /// Film that is folded over the flat end of the body in flaps, instead of the two others.
    pub fold: f64,
}

impl End {
    pub(super) fn length(&self) -> f64 {
        if self.fold > 0.0 { self.fold } else { self.reach + self.trim }
    }

    /// Checks an end of a body of the given radius there.
    pub(super) fn check(&self, name: &str, radius: f64) -> Result<(), Fault> {
        let given = [(self.reach, "reach"), (self.trim, "trim"), (self.fold, "fold")];
        for (value, key) in given {
            allowance(&format!("{name}.{key}"), value)?;
        }
        let wanted = given.iter().any(|(v, _)| *v > 0.0);
        if wanted && radius <= 0.0 {
            return Err(Fault::new(
                name,
                "nothing can be added at a closed tip",
                "leave it out, or let the film begin behind the tip",
            ));
        }
        if self.fold > 0.0 && self.reach + self.trim > 0.0 {
            return Err(Fault::new(
                name,
                "`fold` beside `reach` or `trim`",
                "film is folded over or it is not",
            ));
        }
        if self.fold > 0.0 && self.fold >= radius {
            return Err(Fault::new(
                format!("{name}.fold"),
                format!("flaps of {} mm meet in the middle of an end of radius {radius:.1} mm", self.fold),
                "make them shorter",
            ));
        }
        Ok(())
    }
}

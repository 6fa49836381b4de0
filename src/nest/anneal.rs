//! Simulated annealing over layouts with overlap.
//!
//! A layout is held at a length below the best one; it is kicked and untangled, and the outcome
//! kept by the Metropolis rule on the overlap left (Kirkpatrick, Gelatt, Vecchi, Science 220,
//! 1983; over layouts: Gomes and Oliveira, EJOR 171, 2006). The temperature falls geometrically from kick to kick
//! within a cycle; a cycle that has won nothing is followed by a longer one, reheated. It is
//! measured in mean rises, the average by which a kick makes things worse, so that it needs no tuning
//! to the size of panels or to how tight the layout is.
//!
//! Departures: those anneal over layouts without overlap and by their length (from memory); here the length is held and
//! the overlap is annealed. Cooling is counted in kicks and not tied to the effort asked for: a run must be repeatable by
//! rounds, and a time limit does not say how many rounds there will be. Hence cycles that grow.

use super::dice::Dice;
use super::instance::Spot;

/// Temperature at the start of a cycle, in mean rises.
const HOT: f64 = 0.5;
/// Temperature at its end.
const COLD: f64 = 0.05;
/// Kicks in the first cycle.
const FIRST_CYCLE: u32 = 20;
/// Weight of the latest rise in the mean.
const RECENT: f64 = 0.1;

/// The state of an annealing walk.
#[derive(Debug, Clone)]
pub struct Anneal {
    held: Option<(Vec<Spot>, f64)>,
    mean_rise: f64,
    kicks: u32,
    cycle: u32,
}

impl Anneal {
    /// Holds nothing yet.
    pub fn new() -> Self {
        Self { held: None, mean_rise: 0.0, kicks: 0, cycle: FIRST_CYCLE }
    }

    /// Begins anew from whatever is judged next.
    pub fn restart(&mut self) {
        self.held = None;
        self.kicks = 0;
        self.cycle = FIRST_CYCLE;
    }

    /// Whether a cycle has just ended.
    pub fn cycled(&self) -> bool {
        self.kicks == 0 && self.held.is_some()
    }

    /// The loss of the layout that is held.
    pub fn held_loss(&self) -> f64 {
        self.held.as_ref().map_or(f64::INFINITY, |h| h.1)
    }

    /// Judges the outcome of a kick: keeps it, or gives back the layout to go on from.
    pub fn judge(&mut self, spots: &[Spot], loss: f64, dice: &mut Dice) -> Option<&[Spot]> {
        let keep = match &self.held {
            None => true,
            Some((_, held)) => {
                let rise = loss - held;
                if rise > 0.0 {
                    self.mean_rise +=
                        if self.mean_rise > 0.0 { RECENT } else { 1.0 } * (rise - self.mean_rise);
                }
                rise <= 0.0 || dice.unit() < libm::exp(-rise / (self.temperature() * self.mean_rise))
            }
        };
        self.kicks += 1;
        if self.kicks >= self.cycle {
            self.kicks = 0;
            self.cycle += self.cycle / 2;
        }
        if keep {
            self.held = Some((spots.to_vec(), loss));
        }
        self.held.as_ref().filter(|_| !keep).map(|(s, _)| s.as_slice())
    }

    /// Falls geometrically over a cycle.
    fn temperature(&self) -> f64 {
        let t = f64::from(self.kicks) / f64::from(self.cycle);
        HOT * libm::pow(COLD / HOT, t)
    }
}

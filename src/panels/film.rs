//! What a film lets itself be pulled and pushed to.

/// How far a film may be strained, as a share of its length: 0.1 is 10 %.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limit {
    /// Above this it needs heat and care.
    pub warn: f64,
    /// Above this it does not stay down.
    pub stop: f64,
}

/// A film, as far as laying it on a curved body is concerned.
#[derive(Debug, Clone, PartialEq)]
pub struct Film {
    /// The name that kits and jobs use.
    pub id: String,
    /// What it is called in print.
    pub name: String,
    /// How far it may be stretched.
    pub max_stretch: Limit,
    /// How far it may be gathered in.
    pub max_shrink: Limit,
    /// Thickness in mm, where it is known.
    pub thickness: Option<f64>,
    /// Where the numbers come from.
    pub source: String,
}

/// What has to be done to a film for it to lie on a body, as shares of its length.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Demand {
    /// The greatest stretch anywhere.
    pub stretch: f64,
    /// The greatest shrink anywhere.
    pub shrink: f64,
}

/// Whether a panel will lie on its body.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// As it comes off the roll.
    Fits,
    /// Warmed, with care.
    NeedsHeat,
    /// It will wrinkle or lift.
    WillNotLie,
}

impl Verdict {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Fits => "fits",
            Self::NeedsHeat => "needs heat",
            Self::WillNotLie => "will not lie down",
        }
    }
}

impl Limit {
    fn judge(&self, strain: f64) -> Verdict {
        match strain {
            s if s <= self.warn => Verdict::Fits,
            s if s <= self.stop => Verdict::NeedsHeat,
            _ => Verdict::WillNotLie,
        }
    }
}

impl Film {
    /// Whether this film can do what is asked of it.
    pub fn judge(&self, demand: Demand) -> Verdict {
        self.max_stretch.judge(demand.stretch).max(self.max_shrink.judge(demand.shrink))
    }
}

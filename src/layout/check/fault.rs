//! What can be wrong with a layout.

use crate::job::GrainRule;
use crate::shape::Point;
use std::fmt;

/// One rule that a layout breaks. Copies are named `panel#copy`; lengths are in the layout's unit.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Fault {
    /// A size of the layout is negative, zero where it must not be, or not finite.
    UnusableNumber {
        /// Which, such as `roll.width`.
        what: String,
        /// Its value.
        value: f64,
    },
    /// Two panels have one id.
    DuplicateId {
        /// The id.
        id: String,
    },
    /// No disc of 40 t across fits into a part of the panel.
    TooThin {
        /// Id of the panel.
        id: String,
        /// Index of the part.
        part: usize,
    },
    /// A line of the knife leaves its panel by more than half the gap.
    StrayLine {
        /// Id of the panel.
        id: String,
        /// Number of the line, from 1.
        line: usize,
        /// A point of it beyond the outline, in the panel's own frame.
        near: Point,
    },
    /// A placement of a panel or copy that the layout does not have.
    NoSuchCopy {
        /// The copy.
        copy: String,
    },
    /// A placement with numbers that are not finite, or so great that no digit is left for t.
    Unplaceable {
        /// The copy.
        copy: String,
    },
    /// A copy has two places.
    PlacedTwice {
        /// The copy.
        copy: String,
    },
    /// Required copies without a place.
    NotPlaced {
        /// The first such copy of a panel.
        copy: String,
        /// How many more of this panel there are.
        more: u32,
    },
    /// The grain arrow points where the rule does not allow it.
    Heading {
        /// The copy.
        copy: String,
        /// Where the grain arrow points, in degrees.
        heading: f64,
        /// The rule.
        rule: GrainRule,
        /// Its permitted deviation, in degrees.
        slack: f64,
    },
    /// Mirrored, although the panel does not allow it.
    Mirrored {
        /// The copy.
        copy: String,
    },
    /// Two copies of one match group have different headings.
    Unmatched {
        /// The match group.
        group: String,
        /// Its kit.
        kit: Option<String>,
        /// A copy and its heading, in degrees.
        first: (String, f64),
        /// Another copy and its heading.
        second: (String, f64),
    },
    /// Across the film, the copy leaves the usable width.
    OffWidth {
        /// The copy.
        copy: String,
        /// Its least and greatest y.
        y: [f64; 2],
        /// The least and greatest y allowed.
        allowed: [f64; 2],
    },
    /// The copy lies in the lead margin.
    InLeadMargin {
        /// The copy.
        copy: String,
        /// Its least x.
        x: f64,
        /// The lead margin.
        margin: f64,
    },
    /// The copy lies on a flaw.
    OnFlaw {
        /// The copy.
        copy: String,
        /// Number of the flaw, from 1.
        flaw: usize,
        /// A point of both.
        near: Point,
    },
    /// The panels and the tail margin need more film than there is.
    PastEnd {
        /// Length needed.
        needed: f64,
        /// Length of the roll.
        length: f64,
    },
    /// A filler reaches farther along the roll than the required panels.
    FillerReaches {
        /// The copy.
        copy: String,
        /// Its greatest x.
        x: f64,
        /// The greatest x of the required panels.
        reach: f64,
    },
    /// Two copies are nearer than the gap.
    TooNear {
        /// The one copy.
        first: String,
        /// The other.
        second: String,
        /// Their distance; 0 when they overlap.
        distance: f64,
        /// The gap asked for.
        gap: f64,
    },
    /// Two copies overlap.
    Overlap {
        /// The one copy.
        first: String,
        /// The other.
        second: String,
        /// A point inside both.
        near: Point,
        /// They overlap at least so deep.
        depth: f64,
    },
    /// More pairs of copies break a rule than are worth listing.
    MorePairs {
        /// How many were listed.
        listed: usize,
    },
    /// A stated measure is not the true one.
    Misstated {
        /// Which.
        what: &'static str,
        /// Its value as stated.
        stated: f64,
        /// Its true value.
        truth: f64,
    },
    /// The layout differs from its job.
    Differs {
        /// Where, such as `panel gore: copies` or `roll.width`.
        place: String,
    },
    /// A panel of the job that the layout lacks.
    PanelMissing {
        /// Id of the panel.
        id: String,
    },
    /// A panel of the layout that the job lacks.
    PanelUnknown {
        /// Id of the panel.
        id: String,
    },
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UnusableNumber { .. }
            | Self::DuplicateId { .. }
            | Self::TooThin { .. }
            | Self::StrayLine { .. }
            | Self::Misstated { .. }
            | Self::Differs { .. }
            | Self::PanelMissing { .. }
            | Self::PanelUnknown { .. } => self.write_file_fault(f),
            Self::TooNear { .. } | Self::Overlap { .. } | Self::MorePairs { .. } => self.write_pair_fault(f),
            Self::Heading { .. } | Self::Mirrored { .. } | Self::Unmatched { .. } => {
                self.write_heading_fault(f)
            }
            _ => self.write_place_fault(f),
        }
    }
}

impl Fault {
    fn write_file_fault(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UnusableNumber { what, value } => write!(f, "{what}: {value} cannot be used"),
            Self::DuplicateId { id } => write!(f, "panel {id}: the id stands twice"),
            Self::TooThin { id, part } => {
                write!(f, "panel {id}, part {}: thinner than the tolerance can judge", part + 1)
            }
            Self::StrayLine { id, line, near } => {
                let (x, y) = (Digits(near.x), Digits(near.y));
                write!(
                    f,
                    "panel {id}: line {line} leaves the outline at ({x}, {y}) by more than half the gap"
                )
            }
            Self::Misstated { what, stated, truth } => {
                write!(f, "{what}: stated as {stated}, true {}", Digits(*truth))
            }
            Self::Differs { place } if place == "roll.length" || place == "roll.flaws" => {
                write!(f, "{place}: differs from the job's (film that was cut since is off the stock)")
            }
            Self::Differs { place } => write!(f, "{place}: differs from the job's"),
            Self::PanelMissing { id } => write!(f, "panel {id}: the job has it, the layout does not"),
            Self::PanelUnknown { id } => write!(f, "panel {id}: the layout has it, the job does not"),
            _ => Ok(()),
        }
    }

    fn write_place_fault(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoSuchCopy { copy } => write!(f, "{copy}: no such panel or copy"),
            Self::Unplaceable { copy } => write!(f, "{copy}: its place cannot be judged"),
            Self::PlacedTwice { copy } => write!(f, "{copy}: placed twice"),
            Self::NotPlaced { copy, more: 0 } => write!(f, "{copy}: not placed"),
            Self::NotPlaced { copy, more } => write!(f, "{copy} and {more} more copies of it: not placed"),
            Self::OffWidth { copy, y, allowed } => {
                let ([y0, y1], [a0, a1]) = (y.map(Digits), allowed.map(Digits));
                write!(f, "{copy}: off the usable width (y {y0} to {y1}, film from {a0} to {a1})")
            }
            Self::InLeadMargin { copy, x, margin } => {
                write!(f, "{copy}: in the lead margin (x from {}, margin {})", Digits(*x), Digits(*margin))
            }
            Self::OnFlaw { copy, flaw, near } => {
                write!(f, "{copy}: lies on flaw {flaw} at ({}, {})", Digits(near.x), Digits(near.y))
            }
            Self::PastEnd { needed, length } => {
                write!(f, "roll: {} long, {} needed", Digits(*length), Digits(*needed))
            }
            Self::FillerReaches { copy, x, reach } => {
                let (x, reach) = (Digits(*x), Digits(*reach));
                write!(f, "{copy}: filler reaches past the required panels (x to {x}, they end at {reach})")
            }
            _ => Ok(()),
        }
    }

    fn write_heading_fault(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Heading { copy, heading, rule, slack } => {
                let allowed = rule.headings().unwrap_or_default();
                let list = allowed.iter().map(f64::to_string).collect::<Vec<_>>().join(", ");
                let heading = Digits(*heading);
                write!(f, "{copy}: heading {heading} degrees, allowed {list} (slack {slack})")
            }
            Self::Mirrored { copy } => write!(f, "{copy}: mirrored, which its panel does not allow"),
            Self::Unmatched { group, kit, first, second } => {
                write!(f, "match group {group}")?;
                if let Some(kit) = kit {
                    write!(f, " of kit {kit}")?;
                }
                let (a, b) = (Digits(first.1), Digits(second.1));
                write!(f, ": {} has heading {a}, {} has {b}", first.0, second.0)
            }
            _ => Ok(()),
        }
    }

    fn write_pair_fault(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooNear { first, second, distance, gap } => {
                write!(f, "{first} and {second}: {} apart, gap is {gap}", Digits(*distance))
            }
            Self::Overlap { first, second, near, depth } => {
                let (x, y, depth) = (Digits(near.x), Digits(near.y), Digits(*depth));
                write!(f, "{first} and {second}: overlap by at least {depth} at ({x}, {y})")
            }
            Self::MorePairs { listed } => {
                write!(f, "more than {listed} pairs overlap or are too near; the rest is not listed")
            }
            _ => Ok(()),
        }
    }
}

/// A number with nine significant digits at most, without trailing zeros: enough to see a
/// difference of t, short enough to read.
struct Digits(f64);

impl fmt::Display for Digits {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let short: f64 = format!("{:.8e}", self.0).parse().unwrap_or(self.0);
        write!(f, "{short}")
    }
}

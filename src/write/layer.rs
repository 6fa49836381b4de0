//! What a drawn line is for, and the names it goes by in a cut file.

use crate::job::LineRole;

/// What a line in the cut file is for. Every kind has a layer of its own, so that a machine's
/// host can be told once which to cut, which to draw and which to leave alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Layer {
    /// The edge of the film, as far as the layout uses it. Not cut.
    FilmEdge,
    /// A square of 100 mm to measure the scale by. Not cut.
    ScaleCheck,
    /// Film that no panel may touch. Not cut.
    Flaw,
    /// Names of the panels, in the waste beside them. Not cut.
    Label,
    /// Lines that are printed. Not cut.
    Print,
    /// Lines for a pen. Not cut.
    Pen,
    /// Cut through the film only.
    KissCut,
    /// Cut through film and liner.
    ThroughCut,
}

impl Layer {
    /// All layers in the order in which a cut file lists them: what is not cut first, then
    /// the kiss cuts, and the through cuts last, as they weaken the liner that carries the film.
    pub const ALL: [Self; 8] = [
        Self::FilmEdge,
        Self::ScaleCheck,
        Self::Flaw,
        Self::Label,
        Self::Print,
        Self::Pen,
        Self::KissCut,
        Self::ThroughCut,
    ];

    /// The layer's name: at most 31 characters of A to Z and `_`, which every DXF version allows.
    pub fn name(self) -> &'static str {
        match self {
            Self::FilmEdge => "TR_FILM_EDGE",
            Self::ScaleCheck => "TR_SCALE_CHECK",
            Self::Flaw => "TR_FLAW",
            Self::Label => "TR_LABEL",
            Self::Print => "TR_PRINTED",
            Self::Pen => "TR_PEN",
            Self::KissCut => "TR_KISS",
            Self::ThroughCut => "TR_THROUGH",
        }
    }

    /// Whether a knife follows the lines of this layer.
    pub fn is_cut(self) -> bool {
        matches!(self, Self::KissCut | Self::ThroughCut)
    }

    /// Whether a machine has anything to do on this layer, with a knife or a pen.
    pub fn is_worked(self) -> bool {
        self.is_cut() || matches!(self, Self::Pen | Self::Label)
    }

    /// Colour number of the layer in a DXF file. Our own choice: only to tell layers apart.
    pub(crate) fn dxf_colour(self) -> i64 {
        match self {
            Self::FilmEdge => 8,
            Self::ScaleCheck => 9,
            Self::Flaw => 30,
            Self::Label => 6,
            Self::Print => 252,
            Self::Pen => 3,
            Self::KissCut => 5,
            Self::ThroughCut => 1,
        }
    }
}

impl From<LineRole> for Layer {
    fn from(role: LineRole) -> Self {
        match role {
            LineRole::Cut => Self::KissCut,
            LineRole::Through => Self::ThroughCut,
            LineRole::Draw => Self::Pen,
            LineRole::Print => Self::Print,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_fit_for_the_oldest_dxf_and_differ() {
        let mut names: Vec<_> = Layer::ALL.iter().map(|l| l.name()).collect();
        assert!(names.iter().all(|n| n.len() <= 31));
        assert!(names.iter().all(|n| n.bytes().all(|b| b.is_ascii_uppercase() || b == b'_')));
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), Layer::ALL.len());
    }
}

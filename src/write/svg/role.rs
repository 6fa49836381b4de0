//! How the lines that travel with a panel look.

use super::DARK;
use crate::job::LineRole;
use crate::layout::Layout;
use crate::write::number::fixed;

/// What a line of a panel is for, as the preview draws it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Role(pub LineRole);

/// How a line looks.
#[derive(Debug, Clone, Copy)]
pub(super) struct Style {
    /// What the legend calls it.
    pub name: &'static str,
    colour: &'static str,
    /// In hairlines.
    width: f64,
    /// Lengths of dashes and gaps in hairlines; none for a full line.
    dashes: &'static [f64],
}

impl Role {
    /// In the order in which they are drawn.
    pub const ALL: [Self; 4] =
        [Self(LineRole::Print), Self(LineRole::Draw), Self(LineRole::Cut), Self(LineRole::Through)];

    /// Told apart by dashes and width as well as by colour.
    pub fn style(self) -> Style {
        let of = |name, colour, width, dashes| Style { name, colour, width, dashes };
        match self.0 {
            LineRole::Print => of("printed", "#6a6a6a", 1.0, &[2.0, 4.0]),
            LineRole::Draw => of("pen", "#14469c", 1.0, &[]),
            LineRole::Cut => of("inner cut", DARK, 1.6, &[]),
            LineRole::Through => of("cut through the liner", "#a3131b", 2.4, &[9.0, 4.0]),
        }
    }
}

impl Style {
    /// As attributes of an SVG element.
    pub fn attributes(&self, hairline: f64) -> String {
        let width = fixed(self.width * hairline, 6);
        let dashes = dashes(self.dashes, hairline);
        format!(" stroke=\"{}\" stroke-width=\"{width}\"{dashes}", self.colour)
    }
}

/// The attribute for dashes of these lengths in hairlines; nothing for a full line.
pub(super) fn dashes(lengths: &[f64], hairline: f64) -> String {
    if lengths.is_empty() {
        return String::new();
    }
    let lengths: Vec<String> = lengths.iter().map(|l| fixed(l * hairline, 6)).collect();
    format!(" stroke-dasharray=\"{}\"", lengths.join(" "))
}

/// The roles of lines that occur.
pub(super) fn roles(layout: &Layout) -> Vec<Role> {
    let occurs = |role: &Role| layout.panels.iter().any(|p| p.lines.iter().any(|l| l.role == role.0));
    Role::ALL.into_iter().filter(occurs).collect()
}

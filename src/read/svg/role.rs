//! What is done with an element, by its name.

use roxmltree::Node;

/// The name space of SVG.
const SVG: &str = "http://www.w3.org/2000/svg";

/// Whether an element belongs to SVG; files without any name space are taken for it.
pub(super) fn is_svg(node: Node<'_, '_>) -> bool {
    node.tag_name().namespace().is_none_or(|n| n == SVG)
}

/// What is done with an element.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Role {
    /// Holds others.
    Group,
    /// Holds alternatives.
    Switch,
    /// Holds others in a frame of their own.
    Viewport,
    /// Shows another element once more.
    Use,
    /// Has an outline.
    Shape,
    /// Has no outline and never shows by itself.
    Silent,
    /// Shows, but has no outline that could be cut: what it is and what to do.
    Skipped(&'static str, &'static str),
}

impl Role {
    /// By the local name.
    pub fn of(name: &str) -> Self {
        match name {
            "g" | "a" => Self::Group,
            "switch" => Self::Switch,
            "svg" => Self::Viewport,
            "use" => Self::Use,
            "path" | "rect" | "circle" | "ellipse" | "line" | "polyline" | "polygon" => Self::Shape,
            "text" => Self::Skipped("text is left out", "turn the text into outlines (paths) and save again"),
            "image" => Self::Skipped("a picture is left out", "a picture has no outlines; trace it first"),
            "foreignObject" => Self::Skipped("a foreign object is left out", ""),
            "script" => Self::Skipped("a script is not run", ""),
            "animate" | "animateMotion" | "animateTransform" | "set" => {
                Self::Skipped("an animation is not played", "")
            }
            "defs" | "symbol" | "clipPath" | "mask" | "pattern" | "marker" | "linearGradient" | "filter"
            | "radialGradient" | "metadata" | "title" | "desc" | "style" | "view" | "cursor" | "font"
            | "font-face" | "color-profile" | "solidcolor" | "meshgradient" | "hatch" => Self::Silent,
            _ => Self::Skipped("an element that is not known is left out", ""),
        }
    }
}

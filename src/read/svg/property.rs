//! The properties of an element that a reader of outlines looks at, by name.

/// Properties that matter to a reader of outlines and may stand as an attribute or in a style.
pub(super) const PROPERTIES: [&str; 24] = [
    "clip-path",
    "cx",
    "cy",
    "d",
    "display",
    "fill",
    "fill-rule",
    "filter",
    "height",
    "marker",
    "marker-end",
    "marker-mid",
    "marker-start",
    "mask",
    "overflow",
    "r",
    "rx",
    "ry",
    "transform",
    "transform-origin",
    "visibility",
    "width",
    "x",
    "y",
];

/// Properties of CSS alone that move an element.
pub(super) const STYLE_ONLY: [&str; 4] = ["rotate", "scale", "translate", "offset-path"];

/// The property of this name that a reader of outlines looks at. Upper and lower case are the same in a style (CSS 2.1,
/// section 4.1.3).
pub(super) fn read_as(name: &str) -> Option<&'static str> {
    PROPERTIES.iter().chain(&STYLE_ONLY).copied().find(|known| known.eq_ignore_ascii_case(name))
}

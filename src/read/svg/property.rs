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

/// Whether a reader of outlines looks at a property.
pub(super) fn is_read(name: &str) -> bool {
    PROPERTIES.contains(&name) || STYLE_ONLY.contains(&name)
}

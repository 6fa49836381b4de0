//! What an element gets from those round it: place, size, inherited properties, layer.

use super::style::{Inherited, Properties};
use super::transform::{self, Map};
use super::viewport::Size;
use crate::shape::Point;
use roxmltree::Node;

/// What an element gets from those round it.
#[derive(Clone, Copy)]
pub(super) struct Frame<'a> {
    /// From its user units into the drawing.
    pub map: Map,
    /// What percentages refer to, where that is known.
    pub viewport: Option<Size>,
    /// The properties that children inherit.
    pub inherited: Inherited,
    /// Label of the nearest group that has one.
    label: Option<&'a str>,
    /// Id of the nearest group that has one.
    id: Option<&'a str>,
    /// How many elements are round it.
    pub depth: usize,
}

impl<'a> Frame<'a> {
    /// The frame of the outermost element.
    pub fn new(map: Map, viewport: Option<Size>) -> Self {
        Self { map, viewport, inherited: Inherited::default(), label: None, id: None, depth: 0 }
    }

    /// The frame inside an element; an error says what was not understood about its place.
    pub fn inside(&self, node: Node<'a, 'a>, own: &Properties<'a>) -> Result<Self, String> {
        let mut inner = *self;
        inner.map = local_map(own)?.compose(&self.map);
        inner.inherited = self.inherited.with(own);
        inner.depth += 1;
        if node.tag_name().name() == "g" {
            inner.label = label(node).or(self.label);
            inner.id = node.attribute("id").filter(|id| !id.is_empty()).or(self.id);
        }
        Ok(inner)
    }

    /// The frame moved by a vector in its own units.
    pub fn moved(&self, by: Point) -> Self {
        Self { map: Map::translate(by.x, by.y).compose(&self.map), ..*self }
    }

    /// The layer: the label of the nearest labelled group, else the id of the nearest with one.
    pub fn layer(&self) -> &'a str {
        self.label.or(self.id).unwrap_or_default()
    }
}

/// The transform of an element itself.
fn local_map(own: &Properties<'_>) -> Result<Map, String> {
    if let Some(name) = own.style_only_move() {
        return Err(format!("the style property '{name}' is not understood"));
    }
    let Some(text) = own.get("transform") else { return Ok(Map::identity()) };
    let map = transform::parse(text)?;
    match own.get("transform-origin") {
        None | Some("0 0" | "0px 0px" | "0" | "0px") => Ok(map),
        Some(origin) => {
            let point = transform::origin(origin).ok_or_else(|| {
                format!("transform-origin '{origin}' is not understood, only two lengths are")
            })?;
            Ok(transform::around(point, &map))
        }
    }
}

/// The name of a layer that a drawing program has given to a group.
fn label<'a>(node: Node<'a, 'a>) -> Option<&'a str> {
    let labels = node.attributes().filter(|a| a.name() == "label");
    labels.map(|a| a.value().trim()).find(|value| !value.is_empty())
}

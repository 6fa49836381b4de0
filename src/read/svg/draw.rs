//! Shapes into strokes.

use super::super::Stroke;
use super::fill;
use super::frame::Frame;
use super::notes::{Source, Stop};
use super::path::{self, PathFault};
use super::pen::{Pen, PenFault, Subpath};
use super::shapes::{self, Lengths, ShapeFault};
use super::style::Properties;
use super::walk::{Walked, Walker};
use crate::shape::Point;
use roxmltree::Node;
use std::sync::Arc;

impl<'a> Walker<'a> {
    pub(super) fn shape(&mut self, node: Node<'a, 'a>, own: &Properties<'a>, frame: &Frame<'a>) -> Walked {
        if !frame.inherited.visible {
            self.warn(node, "a hidden shape (visibility: hidden) is left out", "show it if it is to be cut");
            return Ok(());
        }
        let mut pen = Pen::new(frame.map, self.tolerances, self.points_left);
        let lengths = Lengths { own, viewport: frame.viewport };
        let name = node.tag_name().name();
        let drawn = match name {
            "path" => return self.path(node, own, frame, pen),
            "rect" => shapes::rect(&lengths, &mut pen),
            "circle" => shapes::ellipse(&lengths, true, &mut pen),
            "ellipse" => shapes::ellipse(&lengths, false, &mut pen),
            "line" => shapes::line(node, &lengths, &mut pen),
            "polyline" => shapes::poly(node, false, &mut pen),
            _ => shapes::poly(node, true, &mut pen),
        };
        match drawn {
            Ok(()) => self.take(node, frame, pen.finish()),
            Err(fault) => self.refuse_shape(node, fault),
        }
    }

    fn path(&mut self, node: Node<'a, 'a>, own: &Properties<'a>, frame: &Frame<'a>, mut pen: Pen) -> Walked {
        if own.styled("d").is_some() {
            return self.refuse(
                node,
                "path data in a style is not understood",
                "write it as the attribute d",
            );
        }
        match path::draw(own.get("d").unwrap_or_default(), &mut pen) {
            Ok(()) => self.take(node, frame, pen.finish()),
            Err(PathFault::Pen(fault)) => self.refuse_shape(node, ShapeFault::Pen(fault)),
            Err(PathFault::Syntax { character, what }) => {
                let at = data_offset(node, self.source, character);
                self.notes.refuse(self.source, at, &what, "draw the path again or correct its data")
            }
        }
    }

    pub(super) fn refuse_shape(&mut self, node: Node<'_, '_>, fault: ShapeFault) -> Walked {
        let at = |name: &str| node.attribute_node(name).map_or(node.range().start, |a| a.range().start);
        match fault {
            ShapeFault::Attribute { name, what } => {
                self.notes.refuse(self.source, at(name), &what, "correct it")
            }
            ShapeFault::Pen(fault @ PenFault::TooManyPoints) => Err(self.stop(
                node,
                &fault.to_string(),
                "split the drawing, or use a coarser chord tolerance",
            )),
            ShapeFault::Pen(fault) => {
                self.refuse(node, &fault.to_string(), "check the scale and the transforms of the drawing")
            }
        }
    }

    /// Takes the subpaths of one shape: what its fill bounds, and what is open.
    fn take(&mut self, node: Node<'_, '_>, frame: &Frame<'a>, subpaths: Vec<Subpath>) -> Walked {
        if subpaths.is_empty() {
            self.warn(node, "a shape without extent is left out", "");
            return Ok(());
        }
        let (closed, open): (Vec<_>, Vec<_>) = subpaths.into_iter().partition(|s| s.closed);
        let contours = if frame.inherited.filled {
            self.filled(node, closed, frame.inherited.even_odd)?
        } else {
            closed.into_iter().map(|s| s.points).collect()
        };
        let layer = self.layer(frame);
        let place: Arc<str> = format!("line {}", self.source.line(node.range().start)).into();
        let stroke = |points, closed| Stroke { layer: layer.clone(), place: place.clone(), points, closed };
        let before = self.strokes.len();
        self.strokes.extend(contours.into_iter().map(|points| stroke(points, true)));
        self.strokes.extend(open.into_iter().map(|s| stroke(s.points, false)));
        let used: usize = self.strokes.iter().skip(before).map(|s| s.points.len()).sum();
        self.points_left = self.points_left.saturating_sub(used);
        Ok(())
    }

    fn filled(
        &mut self,
        node: Node<'_, '_>,
        closed: Vec<Subpath>,
        even_odd: bool,
    ) -> Result<Vec<Vec<Point>>, Stop> {
        let filled = fill::resolve(closed, even_odd, &mut self.allowance).map_err(|tangled| {
            let remedy = "remove what is drawn over other things, set fill to none, or split the drawing";
            self.stop(node, &tangled.to_string(), remedy)
        })?;
        if filled.swallowed > 0 {
            let what = "closed subpaths that bound nothing under the fill rule of their path are left out";
            self.warn(node, what, "set fill to none if every one is to be cut");
        }
        if filled.rebuilt {
            let what = "subpaths that cross or touch are joined into the outline that their fill rule paints";
            self.warn(node, what, "");
        }
        Ok(filled.contours)
    }
}

/// Where in the file a character of path data stands. Where entities stood in the data, their
/// text is not what was written, and the start of the attribute has to do.
fn data_offset(node: Node<'_, '_>, source: &Source<'_>, character: usize) -> usize {
    let Some(attribute) = node.attribute_node("d") else { return node.range().start };
    let written = attribute.range_value();
    let text = source.text().get(written.clone()).unwrap_or_default();
    if text.contains('&') {
        return written.start;
    }
    // The parser was given the trimmed value.
    let lead = text.len() - text.trim_start().len();
    let trimmed = text.trim_start();
    let inside = trimmed.char_indices().nth(character).map_or(trimmed.trim_end().len(), |(i, _)| i);
    written.start + lead + inside
}

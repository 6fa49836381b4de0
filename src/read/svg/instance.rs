//! Inner viewports, and elements shown once more.

use super::frame::Frame;
use super::shapes::{Along, Lengths, ShapeFault};
use super::style::Properties;
use super::transform::Map;
use super::viewport::{Fit, Size, ViewBox};
use super::walk::{Walked, Walker};
use crate::shape::Point;
use roxmltree::Node;

impl<'a> Walker<'a> {
    /// An `svg` inside another, or a `symbol`: moved to its corner and fitted into its size.
    /// `given` is the size that a `use` asks for.
    pub(super) fn viewport(
        &mut self,
        node: Node<'a, 'a>,
        own: &Properties<'a>,
        given: Option<[Option<f64>; 2]>,
        frame: &Frame<'a>,
    ) -> Walked {
        let lengths = Lengths { own, viewport: frame.viewport };
        let (corner, size) = match placed(&lengths, given.unwrap_or_default()) {
            Ok(placed) => placed,
            Err(fault) => return self.refuse_shape(node, fault),
        };
        let mut inner = frame.moved(corner);
        inner.viewport = size;
        let outside = inner.map;
        if let Some(text) = node.attribute("viewBox") {
            let fit = node.attribute("preserveAspectRatio").and_then(Fit::parse).unwrap_or_default();
            let (Some(view), Some(size)) = (ViewBox::parse(text), size) else {
                let what = "a viewBox that is not four numbers, or a viewport whose size is not stated";
                return self.refuse(node, what, "give it a width, a height and a sound viewBox");
            };
            if size.width <= 0.0 || size.height <= 0.0 {
                self.warn(node, "a viewport without extent is left out", "");
                return Ok(());
            }
            inner.map = fit.map(view, size).compose(&outside);
            inner.viewport = Some(view.size);
        }
        let before = self.strokes.len();
        self.children(node, &inner)?;
        if !matches!(own.get("overflow"), Some("visible" | "auto")) {
            self.warn_of_clipping(node, before, &outside, size);
        }
        Ok(())
    }

    /// Warns when strokes reach out of a viewport, where a picture would not show them.
    fn warn_of_clipping(&mut self, node: Node<'_, '_>, before: usize, outside: &Map, size: Option<Size>) {
        let (Some(size), Some(back)) = (size, outside.inverse()) else { return };
        // Far above rounding, far below anything that shows.
        let slack = 1e-6 * (size.width + size.height);
        let within = |p: &Point| {
            let q = back.apply(*p);
            (-slack..=size.width + slack).contains(&q.x) && (-slack..=size.height + slack).contains(&q.y)
        };
        let fresh = self.strokes.get(before..).unwrap_or_default();
        if !fresh.iter().flat_map(|s| &s.points).all(within) {
            let what = "lines reach out of an inner viewport, which would not show them: taken whole";
            self.warn(node, what, "");
        }
    }

    /// Draws what a `use` refers to.
    pub(super) fn instance(&mut self, node: Node<'a, 'a>, own: &Properties<'a>, frame: &Frame<'a>) -> Walked {
        let Some(target) = self.target(node) else { return Ok(()) };
        if self.uses.contains(&target.id()) {
            return self.refuse(node, "a use that contains itself", "remove it");
        }
        let lengths = Lengths { own, viewport: frame.viewport };
        let (at, size) = match (lengths.point("x", "y"), asked_size(&lengths)) {
            (Ok(at), Ok(size)) => (at, size),
            (Err(fault), _) | (_, Err(fault)) => return self.refuse_shape(node, fault),
        };
        let moved = frame.moved(at);
        self.uses.push(target.id());
        let walked = match target.tag_name().name() {
            "symbol" | "svg" => self.instance_viewport(target, size, &moved),
            _ => self.visit(target, &moved),
        };
        self.uses.pop();
        walked
    }

    fn instance_viewport(
        &mut self,
        target: Node<'a, 'a>,
        size: [Option<f64>; 2],
        frame: &Frame<'a>,
    ) -> Walked {
        self.count(target, frame.depth)?;
        let own = self.properties(target)?;
        match self.enter(target, &own, frame)? {
            Some(inner) => self.viewport(target, &own, Some(size), &inner),
            None => Ok(()),
        }
    }

    /// The element that a `use` refers to; only elements of the same file are looked at.
    fn target(&mut self, node: Node<'a, 'a>) -> Option<Node<'a, 'a>> {
        let plain = node.attribute("href");
        let href = plain.or_else(|| node.attributes().find(|a| a.name() == "href").map(|a| a.value()));
        let href = href.unwrap_or_default().trim();
        let target = href.strip_prefix('#').and_then(|id| self.ids.get(id).copied());
        if target.is_none() {
            let what = match href {
                "" => "a use without a reference is left out",
                h if h.starts_with('#') => "a use of something that is not in the file is left out",
                _ => "a reference to another file is not followed",
            };
            self.warn(node, what, "put the shape itself into the drawing");
        }
        target
    }
}

/// The size that a `use` asks for.
fn asked_size(lengths: &Lengths<'_, '_>) -> Result<[Option<f64>; 2], ShapeFault> {
    Ok([lengths.extent("width", Along::X)?, lengths.extent("height", Along::Y)?])
}

/// Corner and size of an inner viewport: as given, as its own, or that of the viewport round it.
fn placed(lengths: &Lengths<'_, '_>, given: [Option<f64>; 2]) -> Result<(Point, Option<Size>), ShapeFault> {
    let corner = lengths.point("x", "y")?;
    let own = asked_size(lengths)?;
    let around = lengths.viewport;
    let width = given[0].or(own[0]).or(around.map(|s| s.width));
    let height = given[1].or(own[1]).or(around.map(|s| s.height));
    Ok((corner, width.zip(height).map(|(width, height)| Size { width, height })))
}

//! The walk over the elements.

use super::super::Stroke;
use super::css::Sheet;
use super::fill;
use super::notes::{Notes, Source, Stop};
use super::path::{self, PathFault};
use super::pen::{MAX_POINTS, Pen, PenFault, Subpath, Tolerances};
use super::shapes::{self, Along, Lengths, ShapeFault};
use super::style::{Inherited, Properties};
use super::transform::{self, Map};
use super::viewport::{Fit, Size, ViewBox};
use crate::shape::Point;
use roxmltree::{Document, Node, NodeId};
use std::collections::BTreeMap;
use std::sync::Arc;

/// The name space of SVG.
const SVG: &str = "http://www.w3.org/2000/svg";

/// Deepest nesting of elements, `use` included; the walk is recursive and a thread's stack is
/// 2 MiB. Drawing programs stay below 30.
const MAX_DEPTH: usize = 200;

/// Most elements visited, every instance of a `use` counted.
const MAX_ELEMENTS: usize = 500_000;

/// Whether an element belongs to SVG; files without any name space are taken for it.
pub(super) fn is_svg(node: Node<'_, '_>) -> bool {
    node.tag_name().namespace().is_none_or(|n| n == SVG)
}

/// What an element gets from those round it.
#[derive(Clone, Copy)]
pub(super) struct Frame<'a> {
    /// From its user units into the drawing.
    map: Map,
    /// What percentages refer to, where that is known.
    viewport: Option<Size>,
    inherited: Inherited,
    /// Label of the nearest group that has one.
    label: Option<&'a str>,
    /// Id of the nearest group that has one.
    id: Option<&'a str>,
    depth: usize,
}

impl Frame<'_> {
    /// The frame of the outermost element.
    pub fn new(map: Map, viewport: Option<Size>) -> Self {
        Self { map, viewport, inherited: Inherited::default(), label: None, id: None, depth: 0 }
    }

    fn layer(&self) -> Arc<str> {
        self.label.or(self.id).unwrap_or_default().into()
    }
}

/// What is done with an element.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Role {
    Group,
    Switch,
    Viewport,
    Use,
    Shape,
    /// Has no outline and never shows by itself.
    Silent,
    /// Shows, but has no outline that could be cut: what it is and what to do.
    Skipped(&'static str, &'static str),
}

impl Role {
    fn of(name: &str) -> Self {
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

/// Walks a document and gathers strokes.
pub(super) struct Walker<'a> {
    source: &'a Source<'a>,
    sheet: &'a Sheet<'a>,
    ids: BTreeMap<&'a str, Node<'a, 'a>>,
    tolerances: Tolerances,
    notes: Notes,
    strokes: Vec<Stroke>,
    elements: usize,
    points_left: usize,
    /// What is being instantiated, outermost first.
    uses: Vec<NodeId>,
}

type Walked = Result<(), Stop>;

impl<'a> Walker<'a> {
    /// A walker that has not started.
    pub fn new(
        document: &'a Document<'a>,
        source: &'a Source<'a>,
        sheet: &'a Sheet<'a>,
        tolerances: Tolerances,
        notes: Notes,
    ) -> Self {
        let mut ids = BTreeMap::new();
        for node in document.descendants() {
            if let Some(id) = node.attribute("id") {
                ids.entry(id).or_insert(node);
            }
        }
        Self {
            source,
            sheet,
            ids,
            tolerances,
            notes,
            strokes: Vec::new(),
            elements: 0,
            points_left: MAX_POINTS,
            uses: Vec::new(),
        }
    }

    /// The strokes and what there is to say about them.
    pub fn into_parts(self) -> (Vec<Stroke>, Notes) {
        (self.strokes, self.notes)
    }

    /// Walks the outermost `svg`, whose viewport is that of the frame.
    pub fn outermost(&mut self, root: Node<'a, 'a>, frame: &Frame<'a>) -> Walked {
        let own = Properties::of(root, self.sheet);
        match self.enter(root, &own, frame)? {
            Some(inner) => self.children(root, &inner),
            None => Ok(()),
        }
    }

    fn children(&mut self, node: Node<'a, 'a>, frame: &Frame<'a>) -> Walked {
        node.children().filter(Node::is_element).try_for_each(|child| self.visit(child, frame))
    }

    fn visit(&mut self, node: Node<'a, 'a>, frame: &Frame<'a>) -> Walked {
        let role = Role::of(node.tag_name().name());
        if !is_svg(node) || role == Role::Silent {
            return Ok(());
        }
        self.count(node, frame.depth)?;
        let own = Properties::of(node, self.sheet);
        let Some(inner) = self.enter(node, &own, frame)? else { return Ok(()) };
        match role {
            Role::Group => self.children(node, &inner),
            Role::Switch => self.switch(node, &inner),
            Role::Viewport => self.viewport(node, &own, None, &inner),
            Role::Use => self.instance(node, &own, &inner),
            Role::Shape => self.shape(node, &own, &inner),
            Role::Skipped(what, remedy) => {
                self.warn(node, what, remedy);
                Ok(())
            }
            Role::Silent => Ok(()),
        }
    }

    fn warn(&mut self, node: Node<'_, '_>, what: &str, remedy: &str) {
        self.notes.warn(self.source, node.range().start, what, remedy);
    }

    fn refuse(&mut self, node: Node<'_, '_>, what: &str, remedy: &str) -> Walked {
        self.notes.refuse(self.source, node.range().start, what, remedy)
    }

    fn stop(&mut self, node: Node<'_, '_>, what: &str, remedy: &str) -> Stop {
        self.notes.stop(self.source, node.range().start, what, remedy)
    }

    /// Keeps to the limits of size.
    fn count(&mut self, node: Node<'_, '_>, depth: usize) -> Walked {
        self.elements += 1;
        if self.elements > MAX_ELEMENTS {
            let what = format!("more than {MAX_ELEMENTS} elements, instances counted");
            return Err(self.stop(node, &what, "split the drawing"));
        }
        if depth > MAX_DEPTH {
            let what = format!("elements nested deeper than {MAX_DEPTH}");
            return Err(self.stop(node, &what, "ungroup the drawing"));
        }
        Ok(())
    }

    /// The frame inside an element; `None` when it is not displayed or cannot be placed.
    fn enter(
        &mut self,
        node: Node<'a, 'a>,
        own: &Properties<'a>,
        frame: &Frame<'a>,
    ) -> Result<Option<Frame<'a>>, Stop> {
        if own.get("display") == Some("none") {
            self.warn(
                node,
                "what is not displayed (display: none) is left out",
                "show it if it is to be cut",
            );
            return Ok(None);
        }
        self.warn_of_effects(node, own);
        let local = match local_map(own) {
            Ok(local) => local,
            Err(what) => {
                self.refuse(node, &what, "let the drawing program apply the transform, then save again")?;
                return Ok(None);
            }
        };
        let mut inner = *frame;
        inner.map = local.compose(&frame.map);
        inner.inherited = frame.inherited.with(own);
        inner.depth += 1;
        if node.tag_name().name() == "g" {
            inner.label = label(node).or(frame.label);
            inner.id = node.attribute("id").filter(|id| !id.is_empty()).or(frame.id);
        }
        Ok(Some(inner))
    }

    /// Clipping and its like change what shows, but not what is cut.
    fn warn_of_effects(&mut self, node: Node<'_, '_>, own: &Properties<'_>) {
        for (name, what) in [
            ("clip-path", "a clip path is not applied: the whole shape is taken"),
            ("mask", "a mask is not applied: the whole shape is taken"),
            ("filter", "a filter is not applied"),
            ("marker", "markers are left out"),
            ("marker-start", "markers are left out"),
            ("marker-mid", "markers are left out"),
            ("marker-end", "markers are left out"),
        ] {
            if own.get(name).is_some_and(|v| !matches!(v, "none" | "inherit")) {
                self.warn(node, what, "");
            }
        }
        if own.get("fill").is_some_and(|v| v.starts_with("url(") && self.refers_to(v, "pattern")) {
            self.warn(node, "the lines of a pattern are left out", "");
        }
    }

    /// Whether a reference such as `url(#a)` names an element of the given kind.
    fn refers_to(&self, value: &str, kind: &str) -> bool {
        let id = value.trim_start_matches("url(").split(')').next().unwrap_or_default();
        let id = id.trim_matches(['"', '\'', ' ']).trim_start_matches('#');
        self.ids.get(id).is_some_and(|n| n.tag_name().name() == kind)
    }

    /// The first child that asks for nothing special; what comes after it is a fallback.
    fn switch(&mut self, node: Node<'a, 'a>, frame: &Frame<'a>) -> Walked {
        let plain = |n: &Node<'_, '_>| {
            let asks = ["requiredExtensions", "requiredFeatures", "systemLanguage"];
            n.tag_name().name() != "foreignObject"
                && asks
                    .iter()
                    .all(|a| n.attribute(*a).is_none_or(|v| *a != "requiredExtensions" && v.is_empty()))
        };
        match node.children().filter(Node::is_element).find(plain) {
            Some(child) => self.visit(child, frame),
            None => {
                self.warn(node, "a switch without a plain alternative is left out", "");
                Ok(())
            }
        }
    }

    /// An `svg` inside another, or a `symbol`: moved to its corner and fitted into its size.
    /// `given` is the size that a `use` asks for.
    fn viewport(
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
        let outside = Map::translate(corner.x, corner.y).compose(&frame.map);
        let mut inner = Frame { map: outside, viewport: size, ..*frame };
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
    fn instance(&mut self, node: Node<'a, 'a>, own: &Properties<'a>, frame: &Frame<'a>) -> Walked {
        let Some(target) = self.target(node) else { return Ok(()) };
        if self.uses.contains(&target.id()) {
            return self.refuse(node, "a use that contains itself", "remove it");
        }
        let lengths = Lengths { own, viewport: frame.viewport };
        let (at, size) = match (lengths.point("x", "y"), asked_size(&lengths)) {
            (Ok(at), Ok(size)) => (at, size),
            (Err(fault), _) | (_, Err(fault)) => return self.refuse_shape(node, fault),
        };
        let moved = Frame { map: Map::translate(at.x, at.y).compose(&frame.map), ..*frame };
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
        let own = Properties::of(target, self.sheet);
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

    fn shape(&mut self, node: Node<'a, 'a>, own: &Properties<'a>, frame: &Frame<'a>) -> Walked {
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
            Ok(()) => {
                self.take(node, frame, pen.finish());
                Ok(())
            }
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
            Ok(()) => {
                self.take(node, frame, pen.finish());
                Ok(())
            }
            Err(PathFault::Pen(fault)) => self.refuse_shape(node, ShapeFault::Pen(fault)),
            Err(PathFault::Syntax { character, what }) => {
                let at = data_offset(node, self.source, character);
                self.notes.refuse(self.source, at, &what, "draw the path again or correct its data")
            }
        }
    }

    fn refuse_shape(&mut self, node: Node<'_, '_>, fault: ShapeFault) -> Walked {
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
    fn take(&mut self, node: Node<'_, '_>, frame: &Frame<'a>, subpaths: Vec<Subpath>) {
        if subpaths.is_empty() {
            self.warn(node, "a shape without extent is left out", "");
            return;
        }
        let (closed, open): (Vec<_>, Vec<_>) = subpaths.into_iter().partition(|s| s.closed);
        let contours = if frame.inherited.filled {
            self.filled(node, closed, frame.inherited.even_odd)
        } else {
            closed.into_iter().map(|s| s.points).collect()
        };
        let layer = frame.layer();
        let place: Arc<str> = format!("line {}", self.source.line(node.range().start)).into();
        let stroke = |points, closed| Stroke { layer: layer.clone(), place: place.clone(), points, closed };
        let before = self.strokes.len();
        self.strokes.extend(contours.into_iter().map(|points| stroke(points, true)));
        self.strokes.extend(open.into_iter().map(|s| stroke(s.points, false)));
        let used: usize = self.strokes.iter().skip(before).map(|s| s.points.len()).sum();
        self.points_left = self.points_left.saturating_sub(used);
    }

    fn filled(&mut self, node: Node<'_, '_>, closed: Vec<Subpath>, even_odd: bool) -> Vec<Vec<Point>> {
        let filled = fill::resolve(closed, even_odd);
        if filled.swallowed > 0 {
            let what = "closed subpaths that bound nothing under the fill rule of their path are left out";
            self.warn(node, what, "set fill to none if every one is to be cut");
        }
        if filled.rebuilt {
            let what = "subpaths that cross or touch are joined into the outline that their fill rule paints";
            self.warn(node, what, "");
        }
        filled.contours
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

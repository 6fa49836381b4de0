//! The walk over the elements.

use super::super::Stroke;
use super::css::Sheet;
use super::frame::Frame;
use super::notes::{Notes, Source, Stop};
use super::pen::Tolerances;
use super::role::{Role, is_svg};
use super::style::Properties;
use super::tangle::Allowance;
use crate::read::MOST_POINTS;
use roxmltree::{Document, Node, NodeId};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Deepest nesting of elements, `use` included; the walk is recursive and a thread's stack is
/// 2 MiB. Drawing programs stay below 30.
const MAX_DEPTH: usize = 200;

/// Most elements visited, every instance of a `use` counted.
const MAX_ELEMENTS: usize = 500_000;

/// Most text read in their attributes and style rules, every instance counted, in bytes (512 MiB): eight
/// times the largest file, and a few seconds.
const MAX_READ: usize = 512 << 20;

/// Walks a document and gathers strokes.
pub(super) struct Walker<'a> {
    pub(super) source: &'a Source<'a>,
    pub(super) sheet: &'a Sheet<'a>,
    pub(super) ids: BTreeMap<&'a str, Node<'a, 'a>>,
    pub(super) tolerances: Tolerances,
    pub(super) notes: Notes,
    pub(super) strokes: Vec<Stroke>,
    elements: usize,
    read: usize,
    /// The names of layers that stand in the document, by where and how long.
    layers: BTreeMap<(usize, usize), Arc<str>>,
    pub(super) points_left: usize,
    /// What may still be cut up where subpaths meet.
    pub(super) allowance: Allowance,
    /// What is being instantiated, outermost first.
    pub(super) uses: Vec<NodeId>,
}

/// Nothing, or the end of the walk.
pub(super) type Walked = Result<(), Stop>;

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
            read: 0,
            layers: BTreeMap::new(),
            points_left: MOST_POINTS,
            allowance: Allowance::default(),
            uses: Vec::new(),
        }
    }

    /// The strokes and what there is to say about them.
    pub fn into_parts(self) -> (Vec<Stroke>, Notes) {
        (self.strokes, self.notes)
    }

    /// Walks the outermost `svg`, whose viewport is that of the frame.
    pub fn outermost(&mut self, root: Node<'a, 'a>, frame: &Frame<'a>) -> Walked {
        let own = self.properties(root)?;
        match self.enter(root, &own, frame)? {
            Some(inner) => self.children(root, &inner),
            None => Ok(()),
        }
    }

    pub(super) fn children(&mut self, node: Node<'a, 'a>, frame: &Frame<'a>) -> Walked {
        node.children().filter(Node::is_element).try_for_each(|child| self.visit(child, frame))
    }

    pub(super) fn visit(&mut self, node: Node<'a, 'a>, frame: &Frame<'a>) -> Walked {
        let role = Role::of(node.tag_name().name());
        if !is_svg(node) || role == Role::Silent {
            return Ok(());
        }
        self.count(node, frame.depth)?;
        let own = self.properties(node)?;
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

    pub(super) fn warn(&mut self, node: Node<'_, '_>, what: &str, remedy: &str) {
        self.notes.warn(self.source, node.range().start, what, remedy);
    }

    pub(super) fn refuse(&mut self, node: Node<'_, '_>, what: &str, remedy: &str) -> Walked {
        self.notes.refuse(self.source, node.range().start, what, remedy)
    }

    pub(super) fn stop(&mut self, node: Node<'_, '_>, what: &str, remedy: &str) -> Stop {
        self.notes.stop(self.source, node.range().start, what, remedy)
    }

    /// Keeps to the limits of size.
    pub(super) fn count(&mut self, node: Node<'_, '_>, depth: usize) -> Walked {
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

    /// The properties of an element. What has to be read for them counts as often as it is shown: a long
    /// text costs little once and much half a million times.
    pub(super) fn properties(&mut self, node: Node<'a, 'a>) -> Result<Properties<'a>, Stop> {
        let own = Properties::of(node, self.sheet);
        self.read += own.read;
        if self.read > MAX_READ {
            let what =
                format!("more than {} MiB of attributes and style rules, instances counted", MAX_READ >> 20);
            return Err(self.stop(node, &what, "split the drawing"));
        }
        Ok(own)
    }

    /// The layer of what lies in a frame. Its name is copied once and not for each shape on it.
    pub(super) fn layer(&mut self, frame: &Frame<'a>) -> Arc<str> {
        let name = frame.layer();
        // The text of the document stands still, so its address tells one name from another.
        let key = (name.as_ptr().addr(), name.len());
        self.layers.entry(key).or_insert_with(|| name.into()).clone()
    }

    /// The frame inside an element; `None` when it is not displayed or cannot be placed.
    pub(super) fn enter(
        &mut self,
        node: Node<'a, 'a>,
        own: &Properties<'a>,
        frame: &Frame<'a>,
    ) -> Result<Option<Frame<'a>>, Stop> {
        if own.is("display", "none") {
            self.warn(
                node,
                "what is not displayed (display: none) is left out",
                "show it if it is to be cut",
            );
            return Ok(None);
        }
        self.warn_of_effects(node, own);
        match frame.inside(node, own) {
            Ok(inner) => Ok(Some(inner)),
            Err(what) => {
                let remedy = "let the drawing program apply the transform, then save again";
                self.refuse(node, &what, remedy)?;
                Ok(None)
            }
        }
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
            if own.get(name).is_some() && !own.is(name, "none") && !own.is(name, "inherit") {
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
}

//! Entities into strokes: blocks are put where they are inserted, curves are flattened.

use super::document::Document;
use super::entity::{Entity, Insert, Reason, Shape};
use super::kinds::entities;
use super::layers::{Layer, Layers};
use super::notes::Notes;
use super::path::Path;
use super::text::Text;
use crate::read::{MOST_POINTS, Stroke};
use crate::shape::flatten::FlattenFault;
use crate::shape::{Point, Turn};
use crate::{Error, Problem, Problems, Warning};
use geo::AffineTransform;
use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::Arc;

type Map = AffineTransform<f64>;

/// Deepest nesting of blocks. Drawings nest three or four.
const DEEPEST: usize = 32;

/// Most blocks placed, all nested ones counted: enough for a sheet of perforations, and a stop
/// for blocks that each insert the next one many times over.
const MOST_INSERTS: usize = 200_000;

/// Most entities and vertices of them put in place, those in blocks counted as often as they are inserted.
/// A drawing with as many points as may be has fewer; what is left out of a block costs time as well.
const MOST_PLACED: usize = 8_000_000;

/// Problems listed before giving up on a damaged file.
const MOST_PROBLEMS: usize = 20;

/// Strokes of the model, and warnings of what is left out.
pub(super) fn strokes(
    document: &Document,
    name: &str,
    tolerance: f64,
) -> Result<(Vec<Stroke>, Vec<Warning>), Error> {
    let text = Text::of(document);
    let mut placer = Placer {
        name,
        tolerance,
        layers: Layers::of(document, text),
        blocks: blocks(document, text),
        notes: Notes::new(name, document.form),
        strokes: Vec::new(),
        points: 0,
        inserts: 0,
        placed: 0,
        nested_in: Vec::new(),
        splines: BTreeMap::new(),
        problems: Problems::default(),
    };
    let model = Frame { map: Map::identity(), layer: None, top: None };
    for entity in entities(&document.entities, text) {
        placer.entity(&entity, &model);
        if placer.is_over() {
            break;
        }
    }
    placer.problems.or_ok((placer.strokes, placer.notes.finish()))
}

/// A block with its entities.
struct Block {
    name: String,
    base: Point,
    /// It stands for another drawing (DXF Reference, BLOCK: flags 4 and 8 of group 70).
    is_external: bool,
    entities: Vec<Entity>,
}

/// Blocks by name; upper and lower case are the same.
fn blocks(document: &Document, text: Text) -> BTreeMap<String, Rc<Block>> {
    let block = |b: &super::document::Block| {
        let name = text.decode(b.head.text(2).unwrap_or_default());
        let base = b.head.point(10).unwrap_or_default();
        let is_external = b.head.whole(70, 0).is_ok_and(|flags| flags & (4 | 8) != 0);
        let entities = entities(&b.entities, text).collect();
        (name.to_lowercase(), Rc::new(Block { name, base, is_external, entities }))
    };
    document.blocks.iter().map(block).collect()
}

/// What an entity inherits from the block that it is in.
struct Frame<'a> {
    map: Map,
    /// The layer of the INSERT: entities on layer 0 of a block take it.
    layer: Option<Layer>,
    /// The block, and where the outermost INSERT stands.
    top: Option<(&'a str, usize)>,
}

impl Frame<'_> {
    /// Where the entity of the model stands that brings `entity` in.
    fn in_model(&self, entity: &Entity) -> usize {
        self.top.map_or(entity.at, |(_, at)| at)
    }
}

struct Placer<'a> {
    name: &'a str,
    tolerance: f64,
    layers: Layers,
    blocks: BTreeMap<String, Rc<Block>>,
    notes: Notes<'a>,
    strokes: Vec<Stroke>,
    points: usize,
    inserts: usize,
    placed: usize,
    /// The blocks that the work is in, outermost first.
    nested_in: Vec<String>,
    /// Splines as points, by their place in the file and the tolerance: they take long, and blocks are inserted often.
    splines: BTreeMap<(usize, u64), Rc<Flat>>,
    problems: Problems,
}

/// Points along a curve, and whether it is closed.
type Flat = (Vec<Point>, bool);

impl Placer<'_> {
    fn is_over(&self) -> bool {
        self.problems.0.len() >= MOST_PROBLEMS
            || self.points > MOST_POINTS
            || self.inserts > MOST_INSERTS
            || self.placed > MOST_PLACED
    }

    fn entity(&mut self, entity: &Entity, frame: &Frame) {
        let place = self.notes.place(entity.at, frame.top);
        self.placed += entity.weight();
        if self.placed > MOST_PLACED {
            let what = format!(
                "more than {MOST_PLACED} entities and vertices are placed, those of inserted blocks each time"
            );
            return self.problem(&place, what, "split the drawing, or leave out what is not to be cut");
        }
        let at = frame.in_model(entity);
        let layer = match &frame.layer {
            Some(layer) if entity.layer == "0" => layer.clone(),
            _ => self.layers.get(&entity.layer),
        };
        let is_insert = matches!(entity.shape, Shape::Insert(_));
        // A layer that is off hides what lies on it; one that is frozen also what is inserted on it.
        let hidden = if is_insert { layer.frozen } else { layer.is_hidden() };
        let mut note = |reason| self.notes.note(reason, &layer.name, &place, at);
        match &entity.shape {
            _ if hidden => note(&Reason::HiddenLayer),
            Shape::LeftOut(reason) => note(reason),
            Shape::Faulty(fault) => {
                let place = self.notes.place(fault.at, frame.top);
                let what = format!("layer `{}`: {}", layer.name, fault.what);
                self.problem(&place, what, "the file is damaged: export it again");
            }
            Shape::Insert(insert) => self.insert(insert, entity, layer, frame),
            Shape::Drawn(path) => {
                if matches!(path, Path::Cubics(_)) {
                    self.notes.note(&Reason::FitPoints, &layer.name, &place, at);
                }
                self.stroke((entity.at, path), &frame_of(entity, frame), layer, place);
            }
        }
    }

    fn problem(&mut self, place: &str, what: impl Into<String>, remedy: &str) {
        self.problems.0.push(Problem::new(format!("{}: {place}", self.name), what, remedy));
    }

    /// Adds the stroke of a curve or polyline.
    fn stroke(&mut self, path: (usize, &Path), map: &Map, layer: Layer, place: Arc<str>) {
        let flat = match self.flat(path, self.tolerance / stretch(map)) {
            Ok(flat) => flat,
            Err(fault) => {
                let what = format!("layer `{}`: {fault}", layer.name);
                return self.problem(&place, what, "check the drawing's unit, or raise the chord tolerance");
            }
        };
        let (points, closed) = (&flat.0, flat.1);
        self.points += points.len();
        if self.points > MOST_POINTS {
            let what = format!("the drawing has more than {MOST_POINTS} points");
            return self.problem(&place, what, "check the drawing's unit, or raise the chord tolerance");
        }
        let points = points.iter().map(|p| map.apply(*p)).collect();
        self.strokes.push(Stroke { layer: layer.name, place, points, closed });
    }

    /// The points of a curve or polyline that stands at this place of the file.
    fn flat(&mut self, (at, path): (usize, &Path), tolerance: f64) -> Result<Rc<Flat>, FlattenFault> {
        let key = (at, tolerance.to_bits());
        if let Some(known) = self.splines.get(&key) {
            return Ok(known.clone());
        }
        let flat = Rc::new(path.flatten(tolerance)?);
        if matches!(path, Path::Spline(_)) {
            self.splines.insert(key, flat.clone());
        }
        Ok(flat)
    }

    /// Puts a block in place, once for every row and column.
    fn insert(&mut self, insert: &Insert, entity: &Entity, layer: Layer, frame: &Frame) {
        let place = self.notes.place(entity.at, frame.top);
        let at = frame.in_model(entity);
        let key = insert.block.to_lowercase();
        let Some(block) = self.blocks.get(&key).cloned() else {
            let reason = Reason::NoBlock(insert.block.clone());
            return self.notes.note(&reason, &layer.name, &place, at);
        };
        // One that was bound has its entities here.
        if block.is_external && block.entities.is_empty() {
            let reason = Reason::External(insert.block.clone());
            return self.notes.note(&reason, &layer.name, &place, at);
        }
        if self.nested_in.contains(&key) {
            let reason = Reason::Recursive(insert.block.clone());
            return self.notes.note(&reason, &layer.name, &place, at);
        }
        if self.nested_in.len() >= DEEPEST {
            return self.problem(
                &place,
                format!("blocks are nested more than {DEEPEST} deep"),
                "explode them",
            );
        }
        let outer = frame_of(entity, frame);
        let top = Some((block.name.as_str(), at));
        self.nested_in.push(key);
        // Rows and columns are checked one at a time: each may be two thousand million.
        'all: for row in 0..insert.rows {
            for column in 0..insert.columns {
                self.inserts += 1;
                if self.inserts > MOST_INSERTS {
                    let what = format!("more than {MOST_INSERTS} blocks are inserted");
                    self.problem(&place, what, "split the drawing");
                }
                if self.is_over() {
                    break 'all;
                }
                let map = placement(insert, block.base, column, row).compose(&outer);
                let inner = Frame { map, layer: Some(layer.clone()), top };
                for entity in &block.entities {
                    self.entity(entity, &inner);
                    if self.is_over() {
                        break 'all;
                    }
                }
            }
        }
        self.nested_in.pop();
    }
}

/// The map of an entity: mirrored first where its normal points away.
fn frame_of(entity: &Entity, frame: &Frame) -> Map {
    if entity.flipped { Map::new(-1.0, 0.0, 0.0, 0.0, 1.0, 0.0).compose(&frame.map) } else { frame.map }
}

/// From the block's coordinates to those of the INSERT: base point to the origin, scaled,
/// moved to its column and row, turned, moved to the insertion point (DXF Reference, INSERT).
fn placement(insert: &Insert, base: Point, column: i64, row: i64) -> Map {
    let Insert { at, scale, spacing, .. } = *insert;
    let turn = Turn::degrees(insert.rotation);
    let (dx, dy) = (spacing.x * column as f64, spacing.y * row as f64);
    Map::translate(-base.x, -base.y)
        .compose(&Map::new(scale.x, 0.0, dx, 0.0, scale.y, dy))
        .compose(&Map::new(turn.cos(), -turn.sin(), at.x, turn.sin(), turn.cos(), at.y))
}

/// The most by which a map lengthens anything: the greater singular value of its matrix.
fn stretch(map: &Map) -> f64 {
    let (a, b, c, d) = (map.a(), map.b(), map.d(), map.e());
    let (sum, difference) = (a * a + b * b + c * c + d * d, a * d - b * c);
    let root = (sum * sum - 4.0 * difference * difference).max(0.0).sqrt();
    (0.5 * (sum + root)).sqrt()
}

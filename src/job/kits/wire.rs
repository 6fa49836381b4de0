//! The keys of kit files and film libraries, as the JSON Schema states them.
//!
//! Readers live in `decode` and `films`; a test holds both to the same set of keys.

pub(crate) use crate::job::wire::WirePanel;
use crate::job::wire::{WireGrain, WireRing};
use crate::job::{Notes, Unit};
use schemars::JsonSchema;
use serde::Serialize;

/// Panels for the `panels` of a job.
#[derive(Serialize)]
pub(crate) struct WirePanels {
    pub format: &'static str,
    pub unit: Unit,
    pub panels: Vec<WirePanel>,
}

/// A kit: one order, given by the dimensions of its parts. Lengths are in `unit`, angles in degrees.
#[derive(JsonSchema)]
#[schemars(rename = "Kit", deny_unknown_fields)]
#[expect(dead_code, reason = "the schema is derived from it; nothing is ever written")]
pub(crate) struct WireKit {
    /// The format and its version.
    #[schemars(extend("const" = "tuckroll-kit-1"))]
    format: String,
    /// Shown on the kit's sheet.
    name: String,
    /// Unit of every length in the file.
    unit: Unit,
    /// Film of all parts that name none: an id of the film library. Without it, the library's first.
    #[schemars(with = "String", default)]
    film: Option<String>,
    /// A film library beside this file, in place of the shipped one.
    #[schemars(with = "String", default)]
    films: Option<String>,
    /// Whether circumferences count the film's thickness (pi (d + t) in place of pi d).
    #[schemars(default)]
    count_thickness: bool,
    /// Seams of all parts that say nothing else.
    #[schemars(default)]
    seams: WireSeams,
    /// Grain of all parts that say nothing else.
    #[schemars(default)]
    grain: WireGrain,
    /// The parts, from the tip aft; fins and plates where they belong.
    #[schemars(length(min = 1))]
    parts: Vec<WirePart>,
    /// Free object.
    #[schemars(with = "Notes", default)]
    notes: Option<Notes>,
}

/// How seams are made.
#[derive(JsonSchema, Default)]
#[schemars(rename = "Seams", deny_unknown_fields)]
#[expect(dead_code, reason = "the schema is derived from it; nothing is ever written")]
pub(crate) struct WireSeams {
    /// Finished width by which one panel lies over its neighbour; 6 mm unless told otherwise.
    #[schemars(with = "f64", range(min = 0.0), default)]
    overlap: Option<f64>,
    /// `one`: the whole overlap on the edge that lies under. `both`: as much on either edge, to be trimmed. `one` unless
    /// told otherwise.
    #[schemars(with = "WireLap", default)]
    lap: Option<WireLap>,
    /// The edge that lies under, seen from outside with the tip up; the left one unless told otherwise.
    #[schemars(with = "WireHand", default)]
    under: Option<WireHand>,
    /// Where the middle of piece 1 lies: degrees from the front centre, positive to the right; 0 unless told otherwise.
    #[schemars(with = "f64", range(min = -360.0, max = 360.0), default)]
    front: Option<f64>,
}

/// Which edges carry the overlap.
#[derive(JsonSchema)]
#[schemars(rename = "Lap", rename_all = "lowercase")]
#[expect(dead_code, reason = "the schema is derived from it; nothing is ever written")]
pub(crate) enum WireLap {
    /// The edge that lies under.
    One,
    /// Either edge.
    Both,
}

/// A side.
#[derive(JsonSchema)]
#[schemars(rename = "Hand", rename_all = "lowercase")]
#[expect(dead_code, reason = "the schema is derived from it; nothing is ever written")]
pub(crate) enum WireHand {
    /// Left.
    Left,
    /// Right.
    Right,
}

/// One part. Which keys apply follows from `kind`; a round width is given as a diameter or as a
/// circumference.
#[derive(JsonSchema)]
#[schemars(rename = "KitPart", deny_unknown_fields)]
#[expect(dead_code, reason = "the schema is derived from it; nothing is ever written")]
pub(crate) struct WirePart {
    /// Unique in the kit, without a slash: panels are called KIT/PART/PANEL.
    id: String,
    /// What it is.
    kind: WireKind,
    /// Film of this part.
    #[schemars(with = "String", default)]
    film: Option<String>,
    /// Spare copies of each of its panels, as fillers: cut only where they cost no film.
    #[schemars(range(min = 0), default)]
    spares: u32,
    /// The joint at its aft end comes apart in flight: no film may reach over it.
    #[schemars(default)]
    separates: bool,
    /// Print direction and permitted headings of its panels.
    #[schemars(default)]
    grain: WireGrain,
    /// Nose, tube: outer diameter at the base.
    #[schemars(with = "f64", extend("exclusiveMinimum" = 0), default)]
    diameter: Option<f64>,
    /// Nose, tube: circumference at the base.
    #[schemars(with = "f64", extend("exclusiveMinimum" = 0), default)]
    circumference: Option<f64>,
    /// Nose, tube, transition: length along the axis.
    #[schemars(with = "f64", extend("exclusiveMinimum" = 0), default)]
    length: Option<f64>,
    /// Nose, transition: the shape, by name or as an object.
    #[schemars(with = "WireProfile", default)]
    profile: Option<WireProfile>,
    /// Nose: a tip that is rounded, or that carries no film.
    #[schemars(with = "WireTip", default)]
    tip: Option<WireTip>,
    /// Nose: number of gores, or "auto".
    #[schemars(with = "WirePieces", default)]
    gores: Option<WirePieces>,
    /// Tube, transition: number of pieces, or "auto".
    #[schemars(with = "WirePieces", default)]
    pieces: Option<WirePieces>,
    /// Nose, transition: 0 keeps the centre line true, 1 the seams; between, both share the misfit.
    #[schemars(range(min = 0.0, max = 1.0), default)]
    balance: f64,
    /// Nose: diameter of the tip cap, within which the film is not judged.
    #[schemars(with = "f64", extend("exclusiveMinimum" = 0), default)]
    tip_cap: Option<f64>,
    /// Nose, tube, transition: seams of this part.
    #[schemars(default)]
    seams: WireSeams,
    /// Nose, tube, transition: what is added at the aft end.
    #[schemars(default)]
    aft: WireEnd,
    /// Nose, tube, transition: what is added at the fore end.
    #[schemars(default)]
    fore: WireEnd,
    /// Tube: angle between seam and axis.
    #[schemars(range(min = -75.0, max = 75.0), default)]
    seam_angle: f64,
    /// Tube: the wrap goes on over the next tube. What the wrap is, its first tube says; what is at its aft end, its last.
    #[schemars(default)]
    with_next: bool,
    /// Transition: diameter of the fore end.
    #[schemars(with = "f64", extend("exclusiveMinimum" = 0), default)]
    fore_diameter: Option<f64>,
    /// Transition: circumference of the fore end.
    #[schemars(with = "f64", extend("exclusiveMinimum" = 0), default)]
    fore_circumference: Option<f64>,
    /// Transition: diameter of the aft end.
    #[schemars(with = "f64", extend("exclusiveMinimum" = 0), default)]
    aft_diameter: Option<f64>,
    /// Transition: circumference of the aft end.
    #[schemars(with = "f64", extend("exclusiveMinimum" = 0), default)]
    aft_circumference: Option<f64>,
    /// Fin: its outline.
    #[schemars(with = "WirePlanform", default)]
    planform: Option<WirePlanform>,
    /// Fin: how many.
    #[schemars(with = "u32", range(min = 1), default)]
    count: Option<u32>,
    /// Fin: film beyond the root.
    #[schemars(range(min = 0.0), default)]
    root_allowance: f64,
    /// Fin: film folded round the free edges.
    #[schemars(with = "f64", range(min = 0.0), default)]
    wrap: Option<f64>,
    /// Fin: the face that is laid first and folded round, or both.
    #[schemars(with = "WireFirst", default)]
    wrap_first: Option<WireFirst>,
    /// Fin: how far before the free edges the film ends.
    #[schemars(with = "f64", range(min = 0.0), default)]
    set_back: Option<f64>,
    /// Plate: how many; 1 unless told otherwise.
    #[schemars(with = "u32", range(min = 1), default)]
    copies: Option<u32>,
    /// Plate: its outline.
    #[schemars(with = "WireRing", default)]
    outline: Option<WireRing>,
    /// Plate: holes in it.
    #[schemars(default)]
    holes: Vec<WireRing>,
    /// Plate: several pieces that keep their places.
    #[schemars(with = "Vec<crate::job::wire::WirePart>", default)]
    parts: Option<Vec<crate::job::wire::WirePart>>,
    /// Plate: a DXF or SVG drawing beside the kit file.
    #[schemars(with = "String", default)]
    file: Option<String>,
    /// Plate: only contours on this layer of the drawing.
    #[schemars(with = "String", default)]
    layer: Option<String>,
    /// Plate: only contours with these numbers, as `tuckroll outlines` prints them.
    #[schemars(with = "Vec<u32>", default)]
    pick: Option<Vec<u32>>,
    /// Plate: unit of the drawing, where it says none or a wrong one.
    #[schemars(with = "Unit", default)]
    file_unit: Option<Unit>,
    /// Plate: each contour a panel of its own.
    #[schemars(default)]
    all: bool,
}

/// What a part is.
#[derive(JsonSchema)]
#[schemars(rename = "Kind", rename_all = "lowercase")]
#[expect(dead_code, reason = "the schema is derived from it; nothing is ever written")]
pub(crate) enum WireKind {
    /// A nose.
    Nose,
    /// A body tube.
    Tube,
    /// A transition or boat tail.
    Transition,
    /// Fins.
    Fin,
    /// Any flat outline.
    Plate,
}

/// A profile: a name, or an object with the number that goes with it.
#[derive(JsonSchema)]
#[schemars(rename = "Profile", untagged)]
#[expect(dead_code, reason = "the schema is derived from it; nothing is ever written")]
pub(crate) enum WireProfile {
    /// A shape that needs no number.
    Name(WireShape),
    /// A shape with its number, or measured stations.
    Object(WireShapeObject),
}

/// A shape.
#[derive(JsonSchema)]
#[schemars(rename = "Shape", rename_all = "kebab-case")]
#[expect(dead_code, reason = "the schema is derived from it; nothing is ever written")]
pub(crate) enum WireShape {
    /// A cone.
    Conical,
    /// A circular arc tangent to the tube.
    TangentOgive,
    /// The same.
    Ogive,
    /// A circular arc of `radius`.
    SecantOgive,
    /// Half an ellipse.
    Elliptical,
    /// Parabolic series of `k`.
    Parabolic,
    /// Power series of `n`.
    Power,
    /// Haack series of `c`.
    Haack,
    /// Haack series, c = 0.
    VonKarman,
    /// Haack series, c = 1/3.
    LvHaack,
    /// Measured stations.
    Measured,
}

/// A shape with its number, or measured stations.
#[derive(JsonSchema)]
#[schemars(rename = "ShapeObject", deny_unknown_fields)]
#[expect(dead_code, reason = "the schema is derived from it; nothing is ever written")]
pub(crate) struct WireShapeObject {
    /// The shape.
    shape: WireShape,
    /// Secant ogive: radius of the arc.
    #[schemars(with = "f64", extend("exclusiveMinimum" = 0), default)]
    radius: Option<f64>,
    /// Parabolic: 0 to 1.
    #[schemars(with = "f64", range(min = 0.0, max = 1.0), default)]
    k: Option<f64>,
    /// Power: 0.1 to 1.
    #[schemars(with = "f64", range(min = 0.1, max = 1.0), default)]
    n: Option<f64>,
    /// Haack: 0 to 1.
    #[schemars(with = "f64", range(min = 0.0, max = 1.0), default)]
    c: Option<f64>,
    /// Measured: what the stations are measured along.
    #[schemars(with = "WireAlong", default)]
    stations: Option<WireAlong>,
    /// Measured: what the second numbers are.
    #[schemars(with = "WireWidth", default)]
    widths: Option<WireWidth>,
    /// Measured: `[station, width]` from the tip.
    #[schemars(with = "Vec<[f64; 2]>", default)]
    points: Option<Vec<[f64; 2]>>,
}

/// What stations are measured along.
#[derive(JsonSchema)]
#[schemars(rename = "Along", rename_all = "lowercase")]
#[expect(dead_code, reason = "the schema is derived from it; nothing is ever written")]
pub(crate) enum WireAlong {
    /// The axis, with a ruler.
    Axis,
    /// The surface, with a tape.
    Surface,
}

/// What a measured width is.
#[derive(JsonSchema)]
#[schemars(rename = "Width", rename_all = "lowercase")]
#[expect(dead_code, reason = "the schema is derived from it; nothing is ever written")]
pub(crate) enum WireWidth {
    /// Across.
    Diameter,
    /// Around.
    Circumference,
}

/// A tip: one of the three.
#[derive(JsonSchema)]
#[schemars(rename = "Tip", deny_unknown_fields)]
#[expect(dead_code, reason = "the schema is derived from it; nothing is ever written")]
pub(crate) struct WireTip {
    /// Radius of a rounded tip; the length of the nose is what stands.
    #[schemars(with = "f64", extend("exclusiveMinimum" = 0), default)]
    radius: Option<f64>,
    /// Film begins where the nose is so wide.
    #[schemars(with = "f64", extend("exclusiveMinimum" = 0), default)]
    diameter: Option<f64>,
    /// Film begins so far from the tip, along the axis.
    #[schemars(with = "f64", extend("exclusiveMinimum" = 0), default)]
    length: Option<f64>,
}

/// How many pieces.
#[derive(JsonSchema)]
#[schemars(rename = "Pieces", untagged)]
#[expect(dead_code, reason = "the schema is derived from it; nothing is ever written")]
pub(crate) enum WirePieces {
    /// So many.
    Number(#[schemars(range(min = 1, max = 48))] u32),
    /// "auto": as few as film and roll allow.
    Auto(String),
}

/// What is added at an end.
#[derive(JsonSchema, Default)]
#[schemars(rename = "End", deny_unknown_fields)]
#[expect(dead_code, reason = "the schema is derived from it; nothing is ever written")]
pub(crate) struct WireEnd {
    /// Film that stays and reaches over what comes next.
    #[schemars(range(min = 0.0), default)]
    reach: f64,
    /// Film beyond that, trimmed when laid.
    #[schemars(range(min = 0.0), default)]
    trim: f64,
    /// Film folded over the flat end in flaps, instead of the two others.
    #[schemars(range(min = 0.0), default)]
    fold: f64,
    /// Tube: a plane cut at an angle.
    #[schemars(with = "WireCut", default)]
    cut: Option<WireCut>,
}

/// A plane cut through the end of a tube.
#[derive(JsonSchema)]
#[schemars(rename = "Cut", deny_unknown_fields)]
#[expect(dead_code, reason = "the schema is derived from it; nothing is ever written")]
pub(crate) struct WireCut {
    /// Angle between the plane and a square cut.
    #[schemars(range(min = -75.0, max = 75.0))]
    angle: f64,
    /// Where round the tube it reaches farthest forward: degrees from the front centre, positive to the right.
    #[schemars(range(min = -360.0, max = 360.0), default)]
    toward: f64,
}

/// Outline of a fin. x runs forward along the root, y outward.
#[derive(JsonSchema)]
#[schemars(rename = "Planform", deny_unknown_fields)]
#[expect(dead_code, reason = "the schema is derived from it; nothing is ever written")]
pub(crate) struct WirePlanform {
    /// Which.
    shape: WirePlanformShape,
    /// Trapezoid, elliptical: chord at the root.
    #[schemars(with = "f64", extend("exclusiveMinimum" = 0), default)]
    root: Option<f64>,
    /// Trapezoid: chord at the tip; 0 for a triangle.
    #[schemars(with = "f64", range(min = 0.0), default)]
    tip: Option<f64>,
    /// Trapezoid, elliptical: exposed height.
    #[schemars(with = "f64", extend("exclusiveMinimum" = 0), default)]
    span: Option<f64>,
    /// Trapezoid: how far aft the leading edge runs from root to tip; may be negative.
    #[schemars(with = "f64", default)]
    sweep: Option<f64>,
    /// Polygon: its corners, the root on y = 0.
    #[schemars(with = "WireRing", default)]
    points: Option<WireRing>,
}

/// Outline of a fin.
#[derive(JsonSchema)]
#[schemars(rename = "PlanformShape", rename_all = "lowercase")]
#[expect(dead_code, reason = "the schema is derived from it; nothing is ever written")]
pub(crate) enum WirePlanformShape {
    /// Root and tip along the body.
    Trapezoid,
    /// Half an ellipse.
    Elliptical,
    /// Any outline.
    Polygon,
}

/// The face that is laid first.
#[derive(JsonSchema)]
#[schemars(rename = "First", rename_all = "lowercase")]
#[expect(dead_code, reason = "the schema is derived from it; nothing is ever written")]
pub(crate) enum WireFirst {
    /// The left face is folded round, the right one ends at the edge.
    Left,
    /// The other way round.
    Right,
    /// Both are folded round.
    Both,
}

/// A film library.
#[derive(JsonSchema)]
#[schemars(rename = "Films", deny_unknown_fields)]
#[expect(dead_code, reason = "the schema is derived from it; nothing is ever written")]
pub(crate) struct WireFilms {
    /// The format and its version.
    #[schemars(extend("const" = "tuckroll-films-1"))]
    format: String,
    /// The films; the first is taken where none is named.
    #[schemars(length(min = 1))]
    films: Vec<WireFilm>,
    /// Free object.
    #[schemars(with = "Notes", default)]
    notes: Option<Notes>,
}

/// A film.
#[derive(JsonSchema)]
#[schemars(rename = "Film", deny_unknown_fields)]
#[expect(dead_code, reason = "the schema is derived from it; nothing is ever written")]
pub(crate) struct WireFilm {
    /// The name that kits use.
    id: String,
    /// The name in print.
    #[schemars(with = "String", default)]
    name: Option<String>,
    /// Thickness in mm.
    #[schemars(with = "f64", extend("exclusiveMinimum" = 0), default)]
    thickness_mm: Option<f64>,
    /// How far it may be stretched.
    max_stretch: WireLimit,
    /// How far it may be gathered in.
    max_shrink: WireLimit,
    /// Where the numbers come from.
    #[schemars(default)]
    source: String,
}

/// A limit in per cent.
#[derive(JsonSchema)]
#[schemars(rename = "Limit", deny_unknown_fields)]
#[expect(dead_code, reason = "the schema is derived from it; nothing is ever written")]
pub(crate) struct WireLimit {
    /// Above this it needs heat.
    #[schemars(range(min = 0.0, max = 100.0))]
    warn: f64,
    /// Above this it will not lie down.
    #[schemars(range(min = 0.0, max = 100.0))]
    stop: f64,
}

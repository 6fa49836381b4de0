//! Panels made ready for the check: once in their own frame, then put on the roll.

use crate::job::{KeepClear, Panel};
use crate::layout::{Layout, Placement};
use crate::shape::{Bounds, Contours, Eroded, Point, Pose, Region, Ring, convex_hull, cores};

/// A panel's shapes in its own frame.
pub(super) struct Stencil {
    solid: Shape,
    /// What others keep the gap to, where that is more than the panel itself.
    keep: Option<Shape>,
    /// Cores for the depth by which a panel may lie on a flaw.
    flaw_cores: Vec<Point>,
}

/// A shape with the cores that the overlap test needs.
pub(super) struct Shape {
    pub contours: Contours,
    cores: Vec<Point>,
}

impl Shape {
    fn new(contours: Contours, depth: Option<f64>) -> Self {
        let cores = depth.map(|d| cores(&contours, d)).unwrap_or_default();
        Self { contours, cores }
    }

    fn placed(&self, pose: &Pose) -> Self {
        Self { contours: self.contours.placed(pose), cores: put(&self.cores, pose) }
    }

    /// The shape eroded by `depth`, which must be the depth its cores were made for.
    pub fn eroded(&self, depth: f64) -> Eroded<'_> {
        Eroded { shape: &self.contours, depth, cores: &self.cores }
    }
}

fn put(points: &[Point], pose: &Pose) -> Vec<Point> {
    points.iter().map(|p| pose.apply(*p)).collect()
}

/// How deep each of two panels is eroded in the overlap test; `None` when distances are judged
/// instead, because a gap is asked that the tolerance leaves something of.
pub(super) fn overlap_depth(layout: &Layout) -> Option<f64> {
    let t = layout.roll.tolerance();
    (layout.gap <= t).then_some(0.5 * t)
}

impl Stencil {
    pub fn new(panel: &Panel, layout: &Layout) -> Self {
        let depth = overlap_depth(layout);
        let solid = Shape::new(Contours::of_regions(&panel.parts), depth);
        let keep = kept_clear(panel).map(|contours| Shape::new(contours, depth));
        let flaw_cores = if layout.roll.flaws.is_empty() {
            Vec::new()
        } else {
            cores(&solid.contours, layout.roll.tolerance())
        };
        Self { solid, keep, flaw_cores }
    }
}

/// The region that others keep the gap to; `None` when it is the panel itself.
fn kept_clear(panel: &Panel) -> Option<Contours> {
    match panel.keep_clear {
        KeepClear::Hull => {
            let points: Vec<Point> =
                panel.parts.iter().flat_map(|part| part.outline().points()).copied().collect();
            Some(Contours::of_rings(vec![convex_hull(&points)]))
        }
        KeepClear::Outline
            if !panel.fill_holes && panel.parts.iter().any(|part| !part.holes().is_empty()) =>
        {
            let shells =
                panel.parts.iter().map(Region::outline).filter(|shell| !lies_in_another(shell, panel));
            Some(Contours::of_rings(shells.map(Ring::counter_clockwise).collect()))
        }
        KeepClear::Outline => None,
    }
}

/// Whether an outline of a panel lies within another one's, as an island in its hole.
fn lies_in_another(shell: &Ring, panel: &Panel) -> bool {
    let others = panel.parts.iter().map(Region::outline).filter(|other| !std::ptr::eq(*other, shell));
    let within = |other: &Ring| {
        other.bounds().near(&shell.bounds(), 0.0)
            && shell.points().iter().find_map(|p| other.locate(*p)).unwrap_or(false)
    };
    others.into_iter().any(within)
}

/// One copy where it lies.
pub(super) struct Placed<'a> {
    /// `panel#copy`.
    pub name: String,
    pub panel: &'a Panel,
    pub place: &'a Placement,
    /// Round the panel and what is kept clear of it alike.
    pub bounds: Bounds,
    stencil: &'a Stencil,
}

/// Beyond this no digit of a coordinate is left for t on the widest film, so nothing can be
/// judged; a thousand times the length of any roll.
const FARTHEST: f64 = 1e9;

impl<'a> Placed<'a> {
    /// `None` when the place cannot be judged.
    pub fn new(name: String, panel: &'a Panel, place: &'a Placement, stencil: &'a Stencil) -> Option<Self> {
        let pose = place.pose();
        let bounds = Bounds::of(&put(stencil.solid.contours.points(), &pose))?;
        let near_enough = |p: Point| p.x.abs() <= FARTHEST && p.y.abs() <= FARTHEST;
        let sound = place.rotation.is_finite() && near_enough(bounds.min) && near_enough(bounds.max);
        sound.then_some(Self { name, panel, place, bounds, stencil })
    }

    /// Where the grain arrow points, in degrees.
    pub fn heading(&self) -> f64 {
        self.panel.grain.heading(self.place.rotation, self.place.mirrored)
    }

    /// The shapes put on the roll.
    pub fn body(&self) -> Body {
        let pose = self.place.pose();
        Body {
            solid: self.stencil.solid.placed(&pose),
            keep: self.stencil.keep.as_ref().map(|keep| keep.placed(&pose)),
        }
    }

    /// The panel's own shape on the roll, with its cores for the depth by which it may lie on a flaw.
    pub fn solid_for_flaws(&self) -> Shape {
        let pose = self.place.pose();
        Shape {
            contours: self.stencil.solid.contours.placed(&pose),
            cores: put(&self.stencil.flaw_cores, &pose),
        }
    }
}

/// A copy's shapes on the roll.
pub(super) struct Body {
    pub solid: Shape,
    keep: Option<Shape>,
}

impl Body {
    /// What others keep the gap to.
    pub fn keep(&self) -> &Shape {
        self.keep.as_ref().unwrap_or(&self.solid)
    }

    /// Whether that is more than the panel itself.
    pub fn keeps_more(&self) -> bool {
        self.keep.is_some()
    }
}

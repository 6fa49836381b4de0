//! How a panel is put on the roll: mirrored or not, turned, moved.

use super::Point;

/// Degrees brought into [0, 360).
pub fn wrap_degrees(degrees: f64) -> f64 {
    let d = degrees % 360.0;
    let d = if d < 0.0 { d + 360.0 } else { d };
    // A tiny negative number rounds up to 360 itself.
    if d >= 360.0 { 0.0 } else { d }
}

/// The least angle between two directions, in degrees, 0 to 180.
pub fn angle_between(a: f64, b: f64) -> f64 {
    let d = wrap_degrees(a - b);
    if d > 180.0 { 360.0 - d } else { d }
}

/// A turn by an angle, with its sine and cosine. Quarter turns are exact.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turn {
    degrees: f64,
    cos: f64,
    sin: f64,
}

impl Turn {
    /// No turn.
    pub const NONE: Self = Self { degrees: 0.0, cos: 1.0, sin: 0.0 };

    /// A counter-clockwise turn by `degrees`, brought into [0, 360).
    pub fn degrees(degrees: f64) -> Self {
        let degrees = wrap_degrees(degrees);
        let quarter = degrees / 90.0;
        let (cos, sin) = match quarter {
            0.0 => (1.0, 0.0),
            1.0 => (0.0, 1.0),
            2.0 => (-1.0, 0.0),
            3.0 => (0.0, -1.0),
            _ => {
                let (s, c) = libm::sincos(degrees.to_radians());
                (c, s)
            }
        };
        Self { degrees, cos, sin }
    }

    /// The angle in degrees, in [0, 360).
    pub fn as_degrees(self) -> f64 {
        self.degrees
    }

    /// Cosine of the angle.
    pub fn cos(self) -> f64 {
        self.cos
    }

    /// Sine of the angle.
    pub fn sin(self) -> f64 {
        self.sin
    }

    /// The vector `v` turned.
    pub fn apply(self, v: Point) -> Point {
        Point { x: self.cos * v.x - self.sin * v.y, y: self.sin * v.x + self.cos * v.y }
    }

    /// The vector `v` turned back.
    pub fn undo(self, v: Point) -> Point {
        Point { x: self.cos * v.x + self.sin * v.y, y: self.cos * v.y - self.sin * v.x }
    }
}

/// A placement: mirror first if asked (y to -y), then turn about the origin, then move.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pose {
    /// Whether y is negated first.
    pub mirrored: bool,
    /// The turn about the outline's own origin.
    pub turn: Turn,
    /// The move afterwards.
    pub at: Point,
}

impl Pose {
    /// Where `p` of the outline comes to lie.
    pub fn apply(&self, p: Point) -> Point {
        let p = if self.mirrored { Point { x: p.x, y: -p.y } } else { p };
        self.turn.apply(p) + self.at
    }
}

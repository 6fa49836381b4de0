//! The parsed kit file. Lengths are in millimetres, angles in degrees.

use crate::job::decode::DrawingRef;
use crate::job::{Grain, Unit};
use crate::panels::profile::{Meridian, NoseShape, StationsAlong, Tip};
use crate::panels::{End, Fin, Pieces, Seam, Slant};
use crate::shape::Region;

/// An order: its parts from fore to aft.
#[derive(Debug, Clone)]
pub(crate) struct Kit {
    pub name: String,
    /// Unit that the file is written in.
    pub unit: Unit,
    /// Film of parts that name none.
    pub film: Option<String>,
    /// A film library beside the kit file.
    pub films: Option<String>,
    pub parts: Vec<Part>,
}

/// One part of a kit.
#[derive(Debug, Clone)]
pub(crate) struct Part {
    pub id: String,
    pub film: Option<String>,
    /// Whether the joint at its aft end comes apart in flight.
    pub separates: bool,
    pub grain: Grain,
    /// Spare copies of each panel, cut where they cost no film.
    pub spares: u32,
    /// Overlap of strips where a fin or plate is wider than the roll.
    pub overlap: f64,
    /// Whether circumferences count the film's thickness.
    pub count_thickness: bool,
    pub kind: Kind,
}

/// What a part is.
#[derive(Debug, Clone)]
pub(crate) enum Kind {
    Nose(Nose),
    Tube(Tube),
    Transition(Transition),
    Fin(Fin),
    Plate(Plate),
}

/// What noses, tubes and transitions have in common.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Round {
    pub pieces: Pieces,
    pub seam: Seam,
    pub front: f64,
    pub aft: End,
    pub fore: End,
}

#[derive(Debug, Clone)]
pub(crate) struct Nose {
    pub round: Round,
    pub profile: NoseProfile,
    pub tip: Tip,
    pub balance: f64,
    pub cap_diameter: Option<f64>,
}

#[derive(Debug, Clone)]
pub(crate) enum NoseProfile {
    Shape { shape: NoseShape, radius: f64, length: f64 },
    Measured(Measured),
}

/// Stations with their radii, and the body that they make.
#[derive(Debug, Clone)]
pub(crate) struct Measured {
    pub stations: Vec<(f64, f64)>,
    pub along: StationsAlong,
    pub body: Meridian,
}

#[derive(Debug, Clone, Copy)]
pub(crate) struct Tube {
    pub round: Round,
    pub radius: f64,
    pub length: f64,
    pub lean: f64,
    pub cuts: [Option<Slant>; 2],
    /// The wrap goes on over the next tube.
    pub with_next: bool,
}

#[derive(Debug, Clone, Copy)]
pub(crate) struct Transition {
    pub round: Round,
    pub shape: NoseShape,
    pub fore_radius: f64,
    pub aft_radius: f64,
    pub length: f64,
    pub balance: f64,
}

#[derive(Debug, Clone)]
pub(crate) struct Plate {
    pub copies: u32,
    pub shape: PlateShape,
}

#[derive(Debug, Clone)]
pub(crate) enum PlateShape {
    /// In the file's unit.
    Here(Vec<Region>),
    Drawing(DrawingRef),
}

impl Part {
    /// What is common to parts that close round the body.
    pub fn round(&self) -> Option<&Round> {
        match &self.kind {
            Kind::Nose(n) => Some(&n.round),
            Kind::Tube(t) => Some(&t.round),
            Kind::Transition(t) => Some(&t.round),
            Kind::Fin(_) | Kind::Plate(_) => None,
        }
    }
}

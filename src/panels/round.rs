//! Panels round a body of revolution: gores, sectors and wraps.

use super::chart::{Chart, EndName, GoreChart, MOST_ALONG, SectorChart, Slant, WrapChart};
use super::limits::{allowance, dimension};
use super::marks::Wording;
use super::profile::Meridian;
use super::strip::Strip;
use super::{End, Fault, Film, FlatPanel, Made, Order, Seam, Strain, Terms, Verdict};
use crate::error::Shown;
use crate::shape::Region;
use std::f64::consts::PI;

/// How many pieces close round the body.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Pieces {
    /// As few as film and roll allow.
    #[default]
    Auto,
    /// So many.
    Exactly(u32),
}

/// A nose, transition or boat tail to be covered. Lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Shell {
    /// Its generating curve.
    pub meridian: Meridian,
    /// How many pieces.
    pub pieces: Pieces,
    /// The fewest that [`Pieces::Auto`] may choose.
    pub fewest: u32,
    /// Its seams.
    pub seam: Seam,
    /// What is added at the aft end.
    pub aft: End,
    /// What is added at the fore end.
    pub fore: End,
    /// How far the misfit is shared between centre line and seam, 0 to 1.
    pub balance: f64,
    /// Diameter of the tip cap that strain is not judged on; by default a quarter of the widest
    /// diameter, at most 10 mm.
    pub cap_diameter: Option<f64>,
    /// Angle of piece 1's middle from the front centre, in degrees, positive to the right.
    pub front: f64,
}

/// A tube to be wrapped. Lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tube {
    /// Outer radius.
    pub radius: f64,
    /// Length from base to fore end, along the middle where an end is cut at an angle.
    pub length: f64,
    /// How many pieces.
    pub pieces: Pieces,
    /// Its seams.
    pub seam: Seam,
    /// Angle between seam and axis, in degrees, positive leaning to the left going forward.
    pub lean: f64,
    /// Plane cuts at an angle through the aft and the fore end.
    pub cuts: [Option<Slant>; 2],
    /// What is added at the aft end.
    pub aft: End,
    /// What is added at the fore end.
    pub fore: End,
    /// Angle of piece 1's middle from the front centre, in degrees, positive to the right.
    pub front: f64,
}

/// Most pieces that are tried or taken. More than this no shop lays.
pub const MOST_PIECES: u32 = 48;

/// Least width of a piece from seam to seam, in mm, that [`Pieces::Auto`] chooses. Common
/// practice, no source.
const LEAST_WIDTH: f64 = 8.0;

/// The panels of a nose, transition or boat tail.
///
/// # Errors
///
/// A [`Fault`] names the field that cannot be met.
pub fn shell(shell: &Shell, label: &str, terms: &Terms<'_>) -> Result<Made, Fault> {
    check_common(&shell.seam, shell.pieces)?;
    let meridian = &shell.meridian;
    shell.aft.check("aft", meridian.aft_radius())?;
    shell.fore.check("fore", meridian.fore_radius())?;
    if !(0.0..=1.0).contains(&shell.balance) {
        return Err(Fault::new(
            "balance",
            format!("{} is not between 0 and 1", Shown(shell.balance)),
            "0 keeps the centre line true",
        ));
    }
    let straight = meridian.is_straight();
    let make = |n: u32| {
        check_lap(meridian.greatest_radius(), n, shell.seam.overlap)?;
        if straight { sectors(shell, n, label, terms) } else { gores(shell, n, label, terms) }
    };
    match shell.pieces {
        Pieces::Exactly(n) => {
            let made = make(n)?;
            refuse_wide(&made, terms)?;
            Ok(made)
        }
        Pieces::Auto => fewest(shell.fewest, meridian.greatest_radius(), shell.seam.overlap, terms, make),
    }
}

/// The wrap of a tube.
///
/// # Errors
///
/// A [`Fault`] names the field that cannot be met.
pub fn tube(tube: &Tube, label: &str, terms: &Terms<'_>) -> Result<Made, Fault> {
    check_common(&tube.seam, tube.pieces)?;
    check_tube(tube)?;
    let make = |n: u32| {
        check_lap(tube.radius, n, tube.seam.overlap)?;
        wraps(tube, n, label, terms)
    };
    match tube.pieces {
        Pieces::Exactly(n) => {
            let made = make(n)?;
            refuse_wide(&made, terms)?;
            Ok(made)
        }
        Pieces::Auto => fewest(1, tube.radius, tube.seam.overlap, terms, make),
    }
}

fn check_common(seam: &Seam, pieces: Pieces) -> Result<(), Fault> {
    allowance("overlap", seam.overlap)?;
    match pieces {
        Pieces::Exactly(n) if n == 0 || n > MOST_PIECES => {
            let what = format!("{n} pieces; 1 to {MOST_PIECES} can be made");
            Err(Fault::new("pieces", what, "say \"auto\" to let the film decide"))
        }
        _ => Ok(()),
    }
}

/// A lap covers at most half of what it lies on.
fn check_lap(radius: f64, n: u32, overlap: f64) -> Result<(), Fault> {
    let half = PI * radius / f64::from(n);
    if overlap <= half {
        return Ok(());
    }
    Err(Fault::new(
        "overlap",
        format!("an overlap of {overlap} mm is more than half of a piece {:.1} mm wide", 2.0 * half),
        "use less overlap or fewer pieces",
    ))
}

fn check_tube(tube: &Tube) -> Result<(), Fault> {
    dimension("diameter", tube.radius)?;
    dimension("length", tube.length)?;
    tube.aft.check("aft", tube.radius)?;
    tube.fore.check("fore", tube.radius)?;
    if !(tube.lean.is_finite() && tube.lean.abs() <= STEEPEST) {
        let what = format!("{} degrees is not within -{STEEPEST} to {STEEPEST}", Shown(tube.lean));
        return Err(Fault::new("seam_angle", what, "0 is a seam along the tube"));
    }
    let lean = libm::tan(tube.lean.to_radians()).abs();
    for (cut, field) in tube.cuts.iter().zip(["aft.cut", "fore.cut"]) {
        let Some(cut) = cut else { continue };
        if !(cut.angle.is_finite() && cut.angle.abs() <= STEEPEST && cut.toward.is_finite()) {
            let what = format!("{} degrees is not within -{STEEPEST} to {STEEPEST}", Shown(cut.angle));
            return Err(Fault::new(format!("{field}.angle"), what, "0 is a square cut"));
        }
        if lean * libm::tan(cut.angle.to_radians()).abs() > MOST_ALONG {
            return Err(Fault::new(
                format!("{field}.angle"),
                "the seam runs along the slanted cut",
                "use a seam along the tube where an end is cut so steeply",
            ));
        }
    }
    let reach =
        |cut: &Option<Slant>| cut.map_or(0.0, |c| tube.radius * libm::tan(c.angle.to_radians()).abs());
    if reach(&tube.cuts[0]) + reach(&tube.cuts[1]) >= tube.length {
        return Err(Fault::new(
            "length",
            "the slanted ends meet",
            "give the length along the middle of the tube",
        ));
    }
    Ok(())
}

/// Steepest slant of a seam or a cut, in degrees; beyond it a tube's side is all cut.
const STEEPEST: f64 = 75.0;

/// The fewest pieces that the roll and the film allow; those that need no heat are preferred.
fn fewest(
    from: u32,
    radius: f64,
    overlap: f64,
    terms: &Terms<'_>,
    make: impl Fn(u32) -> Result<Made, Fault>,
) -> Result<Made, Fault> {
    let mut with_heat = None;
    let mut last_fault = None;
    for n in from.max(1)..=MOST_PIECES {
        if n > from && 2.0 * PI * radius / f64::from(n) < LEAST_WIDTH.max(2.0 * overlap) {
            break;
        }
        let made = match make(n) {
            Ok(made) => made,
            // Few pieces can run into themselves where more do not.
            Err(fault) => {
                last_fault.get_or_insert(fault);
                continue;
            }
        };
        if made.width() > terms.width.unwrap_or(f64::INFINITY) {
            last_fault = too_wide_in_any_number(&made, terms);
            continue;
        }
        match made.verdict {
            Verdict::Fits => return Ok(made),
            Verdict::NeedsHeat => {
                with_heat.get_or_insert(made);
            }
            Verdict::WillNotLie => last_fault = Some(stubborn(&made, terms.film)),
        }
    }
    with_heat.ok_or_else(|| {
        last_fault
            .unwrap_or_else(|| Fault::new("pieces", "no number of pieces fits", "give the number yourself"))
    })
}

fn stubborn(made: &Made, film: &Film) -> Fault {
    Fault::unmet(
        "pieces",
        format!(
            "{} will not lie down on this body in any number of pieces: {} of them ask for {:.1} % stretch or {:.1} % shrink",
            film.name,
            made.pieces,
            100.0 * made.demand.stretch,
            100.0 * made.demand.shrink
        ),
        "take a film for compound curves, or let the film begin farther behind the tip",
    )
}

fn refuse_wide(made: &Made, terms: &Terms<'_>) -> Result<(), Fault> {
    let Some(width) = terms.width else { return Ok(()) };
    let needed = made.width();
    if needed <= width {
        return Ok(());
    }
    Err(Fault::unmet(
        "pieces",
        format!("{} pieces are {needed:.1} mm wide; the film has {width:.1} mm", made.pieces),
        "use more pieces or \"auto\", or wider film",
    ))
}

/// The fault of the narrowest pieces that can be chosen, where they are too wide as well.
fn too_wide_in_any_number(made: &Made, terms: &Terms<'_>) -> Option<Fault> {
    let fault = refuse_wide(made, terms).err()?;
    let remedy = "no number of pieces fits: use wider film or less overlap";
    Some(Fault { remedy: remedy.to_owned(), ..fault })
}

fn gores(shell: &Shell, n: u32, label: &str, terms: &Terms<'_>) -> Result<Made, Fault> {
    let m = &shell.meridian;
    let strain = Strain::of(m, n, shell.balance, shell.cap_diameter);
    let chart = GoreChart::new(m, n, shell.balance, shell.seam.overlap, terms.tolerance);
    let panel = panel(shell, chart, "gore", n, label)?;
    let (order, demand, verdict) = strain.judge(terms.film);
    Ok(Made { panels: vec![panel], pieces: n, strain, order, demand, verdict })
}

fn sectors(shell: &Shell, n: u32, label: &str, terms: &Terms<'_>) -> Result<Made, Fault> {
    let m = &shell.meridian;
    let (aft, fore) = (m.aft_radius(), m.fore_radius());
    let chart = SectorChart::new(aft, fore, m.axial_length(), n, shell.seam.overlap, terms.tolerance);
    for (end, s, field) in [
        (&shell.aft, -shell.aft.length(), "aft"),
        (&shell.fore, chart.length() + shell.fore.length(), "fore"),
    ] {
        if end.length() > 0.0 && end.fold <= 0.0 && chart.half(s) <= 0.0 {
            let what =
                format!("{} mm more film reach beyond the point in which the cone closes", end.length());
            return Err(Fault::new(field, what, "add less there"));
        }
    }
    Ok(Made::developed(vec![panel(shell, chart, "sector", n, label)?], n))
}

fn panel<C: Chart>(shell: &Shell, chart: C, name: &str, n: u32, label: &str) -> Result<FlatPanel, Fault> {
    let m = &shell.meridian;
    let strip = Strip {
        chart,
        seam: shell.seam,
        aft: shell.aft,
        fore: shell.fore,
        radii: [m.aft_radius(), m.fore_radius()],
    };
    let wording = Wording { label, pieces: n, first: 1, count: n, front: shell.front };
    flat_panel(&strip, name.to_owned(), &wording)
}

fn wraps(tube: &Tube, n: u32, label: &str, terms: &Terms<'_>) -> Result<Made, Fault> {
    let equal = tube.cuts.iter().all(Option::is_none);
    let each = if equal { 1 } else { n };
    let panels = (1..=each).map(|piece| {
        let strip = Strip {
            chart: wrap_chart(tube, n, piece, terms.tolerance),
            seam: tube.seam,
            aft: tube.aft,
            fore: tube.fore,
            radii: [tube.radius; 2],
        };
        let count = if equal { n } else { 1 };
        let wording = Wording { label, pieces: n, first: piece, count, front: tube.front };
        let name = if each == 1 { "wrap".to_owned() } else { format!("wrap-{piece}") };
        flat_panel(&strip, name, &wording)
    });
    Ok(Made::developed(panels.collect::<Result<_, _>>()?, n))
}

fn wrap_chart(tube: &Tube, n: u32, piece: u32, tolerance: f64) -> WrapChart {
    let turn = f64::from(piece - 1) / f64::from(n) + tube.front / 360.0;
    WrapChart {
        radius: tube.radius,
        length: tube.length,
        half: PI * tube.radius / f64::from(n),
        lean: libm::tan(tube.lean.to_radians()),
        middle: 2.0 * PI * turn,
        cuts: tube.cuts,
        tolerance,
    }
}

fn flat_panel<C: Chart>(strip: &Strip<C>, name: String, wording: &Wording<'_>) -> Result<FlatPanel, Fault> {
    let flat = strip.flat()?;
    let unmarked = strip.seam.overlap > 0.0 && !strip.has_marks_on_both_sides();
    Ok(FlatPanel {
        name,
        copies: wording.count,
        region: Region::solid(flat.outline),
        marks: strip.marks(wording),
        seams: flat.seams,
        first_piece: wording.first,
        unmarked_edge: unmarked,
    })
}

impl<C: Chart> Strip<C> {
    /// Whether the number of each seam can stand at both its sides.
    fn has_marks_on_both_sides(&self) -> bool {
        let room = |which| self.end(which).trim >= 2.5;
        self.seam.lap == super::Lap::Both || room(EndName::Aft) || room(EndName::Fore)
    }
}

impl Made {
    /// Panels of a body that can be developed: nothing is asked of the film.
    pub(super) fn developed(panels: Vec<FlatPanel>, pieces: u32) -> Self {
        let strain = Strain::none();
        Self {
            panels,
            pieces,
            strain,
            order: Order::CentreFirst,
            demand: super::Demand::default(),
            verdict: Verdict::Fits,
        }
    }
}

//! Parts of a kit made into flat panels.

use super::describe::{blank_sheet, describe_round, fin_words, silhouette, strain_sheet};
use super::joints::bridging;
use super::model::{Kind, Kit, Nose, NoseProfile, Part, Plate, PlateShape, Round, Transition, Tube};
use super::sheet::{PanelRow, PartSheet};
use crate::job::drawing::Drawings;
use crate::job::{Grain, GrainRule, KeepClear, Line, LineRole, Panel, Size, Tally, Unit, panel_excess};
use crate::json::{Path, Report};
use crate::panels::profile::{self, Meridian, Tip};
use crate::panels::{self, Fault, Film, FlatPanel, Made, MarkKind, Shell, Terms, Verdict};
use crate::shape::{Point, Region, Ring};
use crate::{Problem, Problems, Warning};

/// Which film a piece is of, where that is said, and its usable width.
pub type FilmWidth = (Option<String>, f64);

/// Makes the panels of one order.
pub(super) struct Builder<'a> {
    pub kit: &'a Kit,
    /// Number of the order; in ids, on labels.
    pub order: Option<&'a str>,
    /// The film of each part.
    pub films: Vec<&'a Film>,
    /// Usable width of the roll in mm.
    pub width: Option<f64>,
    /// Pieces of film by name, their usable widths in the unit of the panels.
    pub widths: &'a [FilmWidth],
    /// Unit of the panels.
    pub unit: Unit,
    pub tolerance: f64,
    pub report: &'a mut Report,
    /// Well-formed parts that cannot be met.
    pub unmet: Problems,
    /// How much there is so far.
    pub tally: Tally,
}

/// What became of a kit.
#[derive(Default)]
pub(super) struct Built {
    pub panels: Vec<Panel>,
    pub parts: Vec<PartSheet>,
}

/// A panel on its way into the job, in mm.
struct Raw {
    name: String,
    copies: u32,
    parts: Vec<Region>,
    marks: Vec<panels::Mark>,
    /// One of several that a panel too wide for the film was cut into.
    is_strip: bool,
}

impl From<FlatPanel> for Raw {
    fn from(flat: FlatPanel) -> Self {
        Self {
            name: flat.name,
            copies: flat.copies,
            parts: vec![flat.region],
            marks: flat.marks,
            is_strip: false,
        }
    }
}

impl Builder<'_> {
    /// All parts. Problems go to the report; what could not be made is left out.
    pub fn build(&mut self, drawings: &mut Drawings<'_>) -> Built {
        let mut built = Built::default();
        let kit = self.kit;
        let mut covered = 0;
        for (i, part) in kit.parts.iter().enumerate() {
            if covered > 0 {
                covered -= 1;
                built.parts.push(self.covered_sheet(i));
                continue;
            }
            match self.part(i, part, drawings, &mut covered) {
                Ok((panels, sheet)) => {
                    let spares: Vec<Panel> = panels.iter().filter_map(|p| spare(p, part.spares)).collect();
                    if let Some(fault) = self.too_much(spares.iter().chain(&panels)) {
                        self.fault(i, fault);
                    }
                    built.panels.extend(spares);
                    built.panels.extend(panels);
                    built.parts.push(sheet);
                }
                Err(fault) => self.fault(i, fault),
            }
            // The rest would only be more.
            if self.tally.is_over() {
                break;
            }
        }
        built
    }

    /// Counts panels; what no job or layout could have is told.
    fn too_much<'p>(&mut self, panels: impl Iterator<Item = &'p Panel> + Clone) -> Option<Fault> {
        panels.clone().for_each(|panel| self.tally.add(Size::of(panel)));
        let excess = self.tally.excess().or_else(|| panels.clone().find_map(panel_excess));
        excess.map(|(what, remedy)| Fault::new("", what, remedy))
    }

    fn part(
        &mut self,
        i: usize,
        part: &Part,
        drawings: &mut Drawings<'_>,
        covered: &mut usize,
    ) -> Result<(Vec<Panel>, PartSheet), Fault> {
        let film = self.films[i];
        let label = match self.order {
            Some(order) => format!("{order} {}", part.id),
            None => part.id.clone(),
        };
        let terms = Terms { film, width: self.width_for(part), tolerance: self.tolerance };
        let thick = if part.count_thickness { 0.5 * film.thickness.unwrap_or_default() } else { 0.0 };
        let mut sheet = blank_sheet(part, film);
        let raw = match &part.kind {
            Kind::Nose(nose) => {
                sheet.silhouette = silhouette(&nose_meridian(nose, 0.0)?);
                let shell = nose_shell(nose, nose_meridian(nose, thick)?);
                self.shell(i, &shell, &label, &terms, &mut sheet)?
            }
            Kind::Transition(t) => {
                sheet.silhouette = silhouette(&transition_shell(t, 0.0)?.meridian);
                let shell = transition_shell(t, thick)?;
                self.shell(i, &shell, &label, &terms, &mut sheet)?
            }
            Kind::Tube(tube) => {
                let whole = self.with_following(i, tube, covered)?;
                self.tube(&whole, thick, &label, &terms, &mut sheet)?
            }
            Kind::Fin(fin) => {
                let made = panels::fin(fin, &label, &terms)?;
                sheet.pieces = made.pieces;
                sheet.lapped = fin_words(fin.edges).to_owned();
                self.split_all(made.panels, part, &label)?
            }
            Kind::Plate(plate) => self.plate(i, plate, part, drawings, &label)?,
        };
        if raw.iter().any(|r| r.is_strip) {
            let overlap = part.overlap;
            sheet.notes.push(format!(
                "the film is narrower than the panel: lay its strips in the order of their numbers, each {overlap:.1} mm over the one before"
            ));
        }
        sheet.panels = raw.iter().map(|r| self.row(part, r)).collect();
        let panels = raw.into_iter().map(|r| self.panel(part, r)).collect::<Result<_, _>>()?;
        Ok((panels, sheet))
    }

    /// Usable width of the film that a part is cut from, in mm.
    fn width_for(&self, part: &Part) -> Option<f64> {
        let film = part.film.as_ref().or(self.kit.film.as_ref());
        let of_film = |(name, width): &FilmWidth| (name.is_some() && name.as_ref() == film).then_some(*width);
        let own = self.widths.iter().filter_map(of_film).reduce(f64::max);
        own.map(|width| width * self.unit.in_mm()).or(self.width)
    }

    fn shell(
        &mut self,
        i: usize,
        shell: &Shell,
        label: &str,
        terms: &Terms<'_>,
        sheet: &mut PartSheet,
    ) -> Result<Vec<Raw>, Fault> {
        let made = panels::shell(shell, label, terms)?;
        self.verdict(i, &made, shell, terms);
        describe_round(sheet, &made, &shell.seam, shell.front, 0.0);
        if !shell.meridian.is_straight() {
            sheet.strain = Some(strain_sheet(&made, &shell.meridian));
        }
        Ok(made.panels.into_iter().map(Raw::from).collect())
    }

    fn tube(
        &mut self,
        tube: &Tube,
        thick: f64,
        label: &str,
        terms: &Terms<'_>,
        sheet: &mut PartSheet,
    ) -> Result<Vec<Raw>, Fault> {
        let Round { pieces, seam, front, aft, fore } = tube.round;
        let (radius, length, lean, cuts) = (tube.radius + thick, tube.length, tube.lean, tube.cuts);
        let flat = panels::Tube { radius, length, pieces, seam, lean, cuts, aft, fore, front };
        let made = panels::tube(&flat, label, terms)?;
        sheet.silhouette = vec![Point { x: 0.0, y: tube.radius }, Point { x: tube.length, y: tube.radius }];
        let twist = libm::tan(lean.to_radians()) / tube.radius;
        sheet.slants = cuts;
        describe_round(sheet, &made, &seam, front, twist.to_degrees());
        Ok(made.panels.into_iter().map(Raw::from).collect())
    }

    /// The tube together with those that its wrap goes on over.
    fn with_following(&mut self, i: usize, tube: &Tube, covered: &mut usize) -> Result<Tube, Fault> {
        let mut whole = *tube;
        let mut at = i;
        let mut last = *tube;
        while last.with_next {
            if self.kit.parts[at].separates {
                return Err(bridging());
            }
            let Some(Kind::Tube(next)) = self.kit.parts.get(at + 1).map(|p| &p.kind) else {
                return Err(Fault::new("with_next", "the next part is no tube", "leave it out"));
            };
            if (next.radius - tube.radius).abs() > SAME_TUBE * tube.radius {
                return Err(Fault::new(
                    "with_next",
                    format!(
                        "the next tube is {:.2} mm wide, this one {:.2} mm",
                        2.0 * next.radius,
                        2.0 * tube.radius
                    ),
                    "one wrap covers tubes of one diameter; put a transition between them",
                ));
            }
            whole.length += next.length;
            whole.round.aft = next.round.aft;
            whole.cuts[0] = next.cuts[0];
            last = *next;
            at += 1;
            *covered += 1;
        }
        Ok(whole)
    }

    fn split_all(&self, flats: Vec<FlatPanel>, part: &Part, label: &str) -> Result<Vec<Raw>, Fault> {
        let Some(width) = self.width_for(part) else { return Ok(flats.into_iter().map(Raw::from).collect()) };
        let mut list = Vec::new();
        for flat in flats {
            let strips = panels::split(flat, width, part.overlap, label)?;
            let is_strip = strips.len() > 1;
            list.extend(strips.into_iter().map(|strip| Raw { is_strip, ..Raw::from(strip) }));
        }
        Ok(list)
    }

    fn plate(
        &mut self,
        i: usize,
        plate: &Plate,
        part: &Part,
        drawings: &mut Drawings<'_>,
        label: &str,
    ) -> Result<Vec<Raw>, Fault> {
        let own = self.kit.unit;
        let shapes = match &plate.shape {
            PlateShape::Here(regions) => vec![regions.clone()],
            PlateShape::Drawing(wanted) => {
                let parts = Path::ROOT.key("parts");
                let path = parts.index(i).named("part", &part.id);
                let path = path.key("file");
                match drawings.chosen(wanted, own, &path, self.report) {
                    Some(chosen) => {
                        let copies = u64::from(plate.copies) + u64::from(part.spares);
                        let mut tally = self.tally;
                        tally.add(Size::of_plates(copies, chosen.panels(), chosen.points()));
                        if let Some((what, remedy)) = tally.excess() {
                            self.tally = tally;
                            return Err(Fault::new("file", what, remedy));
                        }
                        chosen.shapes(&path, self.report).unwrap_or_default()
                    }
                    // What is wrong with a drawing is in the report already.
                    None => Vec::new(),
                }
            }
        };
        let several = shapes.len() > 1;
        let mut list = Vec::new();
        for (k, regions) in shapes.iter().enumerate() {
            let name = if several { format!("plate-{}", k + 1) } else { "plate".to_owned() };
            let parts: Vec<Region> =
                regions.iter().map(|r| scaled(r, own.in_mm(), 1.0)).collect::<Result<_, _>>()?;
            list.extend(self.plate_strips(name, plate.copies, parts, part, label)?);
        }
        Ok(list)
    }

    /// A plate of one piece is split where it is too wide; one of several keeps together.
    fn plate_strips(
        &self,
        name: String,
        copies: u32,
        parts: Vec<Region>,
        part: &Part,
        label: &str,
    ) -> Result<Vec<Raw>, Fault> {
        let turnable = part.grain.rule == GrainRule::OneWay && part.grain.along == 0.0;
        match (<[Region; 1]>::try_from(parts), turnable) {
            (Ok([region]), true) => {
                let flat = FlatPanel {
                    name,
                    copies,
                    region,
                    marks: Vec::new(),
                    seams: [Vec::new(), Vec::new()],
                    first_piece: 1,
                    unmarked_edge: false,
                };
                self.split_all(vec![flat], part, label)
            }
            (Ok([region]), false) => {
                Ok(vec![Raw { name, copies, parts: vec![region], marks: Vec::new(), is_strip: false }])
            }
            (Err(parts), _) => Ok(vec![Raw { name, copies, parts, marks: Vec::new(), is_strip: false }]),
        }
    }

    fn id(&self, part: &Part, name: &str) -> String {
        match self.order {
            Some(order) => format!("{order}/{}/{name}", part.id),
            None => format!("{}/{name}", part.id),
        }
    }

    fn row(&self, part: &Part, raw: &Raw) -> PanelRow {
        let id = self.id(part, &raw.name);
        PanelRow { id, copies: raw.copies, parts: raw.parts.clone(), marks: raw.marks.clone() }
    }

    fn panel(&self, part: &Part, raw: Raw) -> Result<Panel, Fault> {
        let mm = self.unit.in_mm();
        let parts = raw.parts.iter().map(|r| scaled(r, 1.0, mm)).collect::<Result<_, _>>()?;
        let lines = raw.marks.iter().map(|m| line(m, mm)).collect();
        Ok(Panel {
            id: self.id(part, &raw.name),
            kit: self.order.map(str::to_owned),
            film: part.film.clone().or_else(|| self.kit.film.clone()),
            copies: raw.copies,
            numbers: None,
            parts,
            lines,
            keep_clear: KeepClear::Outline,
            fill_holes: false,
            grain: part.grain,
            match_group: match_group(&part.grain),
            mirror: false,
            optional: false,
            priority: None,
        })
    }

    /// Says what the film must do where that is more than a little.
    fn verdict(&mut self, i: usize, made: &Made, shell: &Shell, terms: &Terms<'_>) {
        let demand = made.demand;
        let asked = format!(
            "{} for {:.1} % stretch and {:.1} % shrink of {} when laid {}",
            if made.pieces == 1 {
                "1 panel asks".to_owned()
            } else {
                format!("{} equal panels ask", made.pieces)
            },
            100.0 * demand.stretch,
            100.0 * demand.shrink,
            terms.film.name,
            made.order.words()
        );
        match made.verdict {
            Verdict::Fits => {}
            Verdict::NeedsHeat => {
                let place = self.place(i, &key_in_file(&self.kit.parts[i].kind, "pieces"));
                self.report.warn(Warning::new(place, format!("{asked}: that needs heat"), "use more gores"));
            }
            Verdict::WillNotLie => {
                let enough = Shell { pieces: panels::Pieces::Auto, ..shell.clone() };
                let remedy = match panels::shell(&enough, "", terms) {
                    Ok(better) => format!("use {} or more, or another film", better.pieces),
                    Err(_) => "take a film for compound curves".to_owned(),
                };
                self.fault(i, Fault::unmet("pieces", format!("{asked}: the film will not lie down"), remedy));
            }
        }
    }

    fn fault(&mut self, i: usize, fault: Fault) {
        let place = self.place(i, &key_in_file(&self.kit.parts[i].kind, &fault.field));
        if fault.unmet {
            self.unmet.push(place, fault.what, fault.remedy);
        } else {
            self.report.adopt(Problem::new(place, fault.what, fault.remedy));
        }
    }

    /// File, part and field, as in the problems of the file itself.
    pub fn place(&self, i: usize, field: &str) -> String {
        let parts = Path::ROOT.key("parts");
        let at = parts.index(i).named("part", self.kit.parts.get(i).map_or("", |p| p.id.as_str()));
        let steps: Vec<&str> = field.split('.').filter(|s| !s.is_empty()).collect();
        match steps.as_slice() {
            [] => self.report.place(&at),
            [a] => self.report.place(&at.key(a)),
            [a, b] => self.report.place(&at.key(a).key(b)),
            [a, b, rest @ ..] => self.report.place(&at.key(a).key(b).key(rest[0])),
        }
    }

    fn covered_sheet(&self, i: usize) -> PartSheet {
        let part = &self.kit.parts[i];
        let mut sheet = blank_sheet(part, self.films[i]);
        sheet.covered_by_previous = true;
        sheet
    }
}

/// Spare copies of a panel: fillers that bear no number of their own.
fn spare(panel: &Panel, copies: u32) -> Option<Panel> {
    let lines = panel.lines.iter().filter(|line| line.copy.is_none()).cloned().collect();
    let id = format!("{}/spare", panel.id);
    (copies > 0).then(|| Panel { id, copies, lines, optional: true, ..panel.clone() })
}

/// The key of the kit file behind a field of the panels room.
fn key_in_file(kind: &Kind, field: &str) -> String {
    match (kind, field) {
        (Kind::Nose(_), "pieces") => "gores".into(),
        (_, "overlap") => "seams.overlap".into(),
        (Kind::Fin(_), "root" | "tip" | "span" | "sweep" | "points") => format!("planform.{field}"),
        (Kind::Fin(_), "edges.set_back") => "set_back".into(),
        (Kind::Fin(_), "edges") => String::new(),
        _ => field.into(),
    }
}

/// Tubes whose radii differ by less than this share are one tube for a wrap: the tables of the
/// trade round to that.
const SAME_TUBE: f64 = 0.005;

fn nose_meridian(nose: &Nose, thick: f64) -> Result<Meridian, Fault> {
    match &nose.profile {
        NoseProfile::Shape { shape, radius, length } => {
            profile::nose(*shape, radius + thick, *length, nose.tip)
        }
        NoseProfile::Measured(_) if matches!(nose.tip, Tip::Blunted { .. }) => Err(Fault::new(
            "tip.radius",
            "a measured profile has the tip that was measured",
            "leave the tip out, or say where the film begins with `diameter` or `length`",
        )),
        NoseProfile::Measured(m) => profile::cut(profile::measured(&m.stations, m.along, thick)?, nose.tip),
    }
}

fn nose_shell(nose: &Nose, meridian: Meridian) -> Shell {
    let Round { pieces, seam, front, aft, fore } = nose.round;
    let (balance, cap_diameter) = (nose.balance, nose.cap_diameter);
    Shell { meridian, pieces, fewest: 2, seam, aft, fore, balance, cap_diameter, front }
}

fn transition_shell(t: &Transition, thick: f64) -> Result<Shell, Fault> {
    let meridian = profile::section(t.shape, t.fore_radius + thick, t.aft_radius + thick, t.length)?;
    let Round { pieces, seam, front, aft, fore } = t.round;
    let fewest = if meridian.is_straight() { 1 } else { 2 };
    Ok(Shell {
        meridian,
        pieces,
        fewest,
        seam,
        aft,
        fore,
        balance: t.balance,
        cap_diameter: Some(0.0),
        front,
    })
}

/// Panels of one order that may be turned are turned alike, so that their print matches.
fn match_group(grain: &Grain) -> Option<String> {
    matches!(grain.rule, GrainRule::TwoWay | GrainRule::Quarter).then(|| "print".to_owned())
}

fn line(mark: &panels::Mark, mm: f64) -> Line {
    let role = match mark.kind {
        MarkKind::Cut => LineRole::Cut,
        MarkKind::Draw => LineRole::Draw,
    };
    let points = mark.points.iter().map(|p| Point { x: p.x / mm, y: p.y / mm }).collect();
    Line { role, points, closed: false, copy: mark.copy }
}

/// The region with all lengths multiplied by `factor` and divided by `divisor`; as it is where
/// the two are the same.
fn scaled(region: &Region, factor: f64, divisor: f64) -> Result<Region, Fault> {
    if factor.to_bits() == divisor.to_bits() {
        return Ok(region.clone());
    }
    let fault = || Fault::new("", "the outline falls together in the job's unit", "use larger pieces");
    let ring = |r: &Ring| {
        let at = |p: &Point| Point { x: p.x * factor / divisor, y: p.y * factor / divisor };
        Ring::new(r.points().iter().map(at).collect()).map_err(|_| fault())
    };
    let holes = region.holes().iter().map(ring).collect::<Result<Vec<_>, _>>()?;
    Region::new(ring(region.outline())?, holes).map_err(|_| fault())
}

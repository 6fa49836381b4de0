//! What can be typed for `tuckroll cut`.

use super::{CutFileArgs, DrawingArgs};
use clap::Args;
use std::path::PathBuf;

/// `tuckroll cut`.
#[derive(Debug, Args)]
pub struct CutArgs {
    /// The layout file, or the folder of a nest with one for each piece of film; '-' reads standard input.
    #[arg(value_name = "LAYOUT")]
    pub layout: PathBuf,
    /// The folder to write, which must not exist yet.
    #[arg(short, long, value_name = "DIR")]
    pub out: PathBuf,
    /// The plotter's profile: a file, or 'large-numbers' or 'sixteen-bit'.
    #[arg(long, value_name = "FILE", default_value = tuckroll::floor::device::NAMES[0])]
    pub device: PathBuf,
    /// Cut in sections of at most so many mm along the film, each finished before the next.
    #[arg(long, value_name = "MM", value_parser = millimetres)]
    pub section_length: Option<f64>,
    /// Write a file for each section, even where one file could hold them all.
    #[arg(long)]
    pub each_section: bool,
    /// Leave out the sections before this one, which are cut already.
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub from_section: usize,
    /// Never pull the film back by more than so many mm between two cuts of one pass, but for open lines.
    #[arg(long, value_name = "MM", default_value_t = 500.0, value_parser = millimetres)]
    pub window: f64,
    /// Let pen and knife take turns along the film, on a machine that holds both.
    #[arg(long)]
    pub pen_and_knife: bool,
    /// Cut the layout turned by half a turn, for film that is wound the other way.
    #[arg(long)]
    pub half_turn: bool,
    /// Cut the layout mirrored across the film, for film that is cut from its back.
    #[arg(long)]
    pub mirrored: bool,
    #[command(flatten)]
    pub knife: KnifeArgs,
    #[command(flatten)]
    pub waste: WasteArgs,
    #[command(flatten)]
    pub marks: MarkArgs,
    #[command(flatten)]
    pub drawing: DrawingArgs,
    #[command(flatten)]
    pub files: CutFileArgs,
    /// Print the result as one JSON object on standard output.
    #[arg(long)]
    pub json: bool,
}

/// How the knife runs.
#[derive(Debug, Clone, Copy, Args)]
pub struct KnifeArgs {
    /// Cut closed contours on past their start by so many mm, whatever the profile says.
    #[arg(long, value_name = "MM")]
    pub overcut: Option<f64>,
    /// Compensate a drag knife with this offset in mm (0.175 to 1), only where the machine does not do it itself.
    #[arg(long, value_name = "MM", value_parser = blade_offset)]
    pub blade_offset: Option<f64>,
    /// About how long the dashes of through cuts are, in mm, more than a bridge and at most 1000.
    #[arg(long, value_name = "MM", default_value_t = 10.0)]
    pub dash: f64,
    /// How long the uncut bridges between them are, in mm, from 0.1.
    #[arg(long, value_name = "MM", default_value_t = 0.8)]
    pub bridge: f64,
    /// Cut a square inside a triangle of this size in mm into the lead margin first.
    #[arg(long, value_name = "MM")]
    pub test_cut: Option<f64>,
}

/// Cuts in the waste.
#[derive(Debug, Clone, Copy, Args)]
pub struct WasteArgs {
    /// Cut the waste across every so many mm, so that it comes off in strips.
    #[arg(long, value_name = "MM", value_parser = millimetres)]
    pub weed_strips: Option<f64>,
    /// Cut a frame round each section.
    #[arg(long)]
    pub weed_frame: bool,
    /// How far cuts in the waste stay away from panels, in mm.
    #[arg(long, value_name = "MM", default_value_t = 1.0, value_parser = millimetres)]
    pub weed_clearance: f64,
}

/// Registration marks.
#[derive(Debug, Clone, Args)]
pub struct MarkArgs {
    /// Put registration marks into the edge margins at the ends of each section.
    #[arg(long)]
    pub marks: bool,
    /// From the middle of a mark's cross to the end of an arm, in mm.
    #[arg(long, value_name = "MM", default_value_t = 3.0, requires = "marks")]
    pub mark_arm: f64,
    /// How wide its lines are, in mm.
    #[arg(long, value_name = "MM", default_value_t = 0.5, requires = "marks")]
    pub mark_line: f64,
    /// Free film round a mark, in mm.
    #[arg(long, value_name = "MM", default_value_t = 1.0, requires = "marks")]
    pub mark_clearance: f64,
    /// Draw the lines of this DXF or SVG file, 2000 points at most, instead of a cross.
    #[arg(long, value_name = "FILE", requires = "marks", conflicts_with_all = ["mark_arm", "mark_line"])]
    pub mark_drawing: Option<PathBuf>,
}

/// A length above zero.
pub(super) fn millimetres(text: &str) -> Result<f64, String> {
    let mm: f64 = text.parse().map_err(|_| "write a number of millimetres, such as 600".to_owned())?;
    if mm.is_finite() && mm > 0.0 { Ok(mm) } else { Err("must be above 0".into()) }
}

/// A blade offset within what blades have.
fn blade_offset(text: &str) -> Result<f64, String> {
    let mm = millimetres(text)?;
    let [least, most] = tuckroll::floor::blade::OFFSETS;
    if (least..=most).contains(&mm) { Ok(mm) } else { Err(format!("must be within {least} to {most} mm")) }
}

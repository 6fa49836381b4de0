//! What can be typed for the commands that take a drawing or a kit.

use super::super::effort;
use super::{CutFileArgs, DrawingArgs, UnitName};
use clap::Args;
use std::path::PathBuf;

/// `tuckroll outlines`.
#[derive(Debug, Args)]
pub struct OutlinesArgs {
    /// The drawing, a DXF or SVG file; '-' reads it from standard input.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Read the drawing's numbers in this unit, whatever the file itself says.
    #[arg(long, value_name = "UNIT", value_enum)]
    pub unit: Option<UnitName>,
    #[command(flatten)]
    pub drawing: DrawingArgs,
    /// Print the list as one JSON object on standard output.
    #[arg(long)]
    pub json: bool,
}

/// `tuckroll panels`.
#[derive(Debug, Args)]
pub struct PanelsArgs {
    /// The kit file; '-' reads it from standard input.
    #[arg(value_name = "KIT.json")]
    pub kit: PathBuf,
    /// The folder to write, which must not exist yet; '-' writes only the job, to standard output.
    #[arg(short, long, value_name = "DIR")]
    pub out: PathBuf,
    /// Usable width of the film, in the kit's unit: no panel is wider, and a job file is written.
    #[arg(long, value_name = "W", value_parser = effort::width)]
    pub width: Option<f64>,
    /// A film library to use in place of the kit's own or the shipped one.
    #[arg(long, value_name = "FILE")]
    pub film: Option<PathBuf>,
    /// Number of the order, for ids and labels.
    #[arg(long, value_name = "ID")]
    pub order: Option<String>,
    /// Let the kit name drawings outside its own folder.
    #[arg(long)]
    pub outside_files: bool,
    #[command(flatten)]
    pub drawing: DrawingArgs,
    #[command(flatten)]
    pub files: CutFileArgs,
    /// Print the result as one JSON object on standard output.
    #[arg(long)]
    pub json: bool,
}

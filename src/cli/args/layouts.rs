//! What can be typed for the commands that take a layout.

use super::{DrawingArgs, FileArgs, VaryArgs};
use clap::{Args, Subcommand};
use std::path::PathBuf;

/// `tuckroll check`.
#[derive(Debug, Args)]
pub struct CheckArgs {
    /// The layout file, or the folder that a nest wrote; '-' reads a layout from standard input.
    #[arg(value_name = "LAYOUT.json")]
    pub layout: PathBuf,
    /// Also prove that the layout is of this job: same roll, same panels, nothing lost.
    #[arg(long, value_name = "JOB.json")]
    pub job: Option<PathBuf>,
    /// Let the job name drawings outside its own folder.
    #[arg(long, requires = "job")]
    pub outside_files: bool,
    #[command(flatten)]
    pub vary: VaryArgs,
    #[command(flatten)]
    pub drawing: DrawingArgs,
    /// Print the findings as one JSON object on standard output.
    #[arg(long)]
    pub json: bool,
}

/// `tuckroll export`.
#[derive(Debug, Args)]
pub struct ExportArgs {
    /// The layout file; '-' reads it from standard input.
    #[arg(value_name = "LAYOUT.json")]
    pub layout: PathBuf,
    /// The folder to write, which must not exist yet.
    #[arg(short, long, value_name = "DIR")]
    pub out: PathBuf,
    #[command(flatten)]
    pub files: FileArgs,
    /// Print what was written as one JSON object on standard output.
    #[arg(long)]
    pub json: bool,
}

/// `tuckroll report`.
#[derive(Debug, Args)]
pub struct ReportArgs {
    /// The layout file; '-' reads it from standard input.
    #[arg(value_name = "LAYOUT.json")]
    pub layout: PathBuf,
    /// The folder to write, which must not exist yet; '-' prints only report.json, to standard output.
    #[arg(short, long, value_name = "DIR")]
    pub out: PathBuf,
    /// Estimate the cut with the speeds of this profile: a file, or 'large-numbers' or 'sixteen-bit'.
    #[arg(long, value_name = "FILE", default_value = tuckroll::floor::device::NAMES[0])]
    pub device: PathBuf,
    /// Estimate the cut in sections of at most so many mm along the film.
    #[arg(long, value_name = "MM", value_parser = super::cut::millimetres)]
    pub section_length: Option<f64>,
    /// Replace the folder if it is there and holds an earlier result of this command and nothing else.
    #[arg(long)]
    pub replace: bool,
    /// Print what was written as one JSON object on standard output.
    #[arg(long)]
    pub json: bool,
}

/// `tuckroll stock`.
#[derive(Debug, Args)]
pub struct StockArgs {
    /// What to do.
    #[command(subcommand)]
    pub action: StockAction,
}

/// What can be done with the stock.
#[derive(Debug, Subcommand)]
pub enum StockAction {
    /// Say that a layout has been cut: its film leaves the stock.
    #[command(after_help = super::help::STOCK_EXAMPLES)]
    Confirm(ConfirmArgs),
}

/// `tuckroll stock confirm`.
#[derive(Debug, Args)]
pub struct ConfirmArgs {
    /// The layout that was cut; '-' reads it from standard input.
    #[arg(value_name = "LAYOUT.json")]
    pub layout: PathBuf,
    /// The stock file.
    #[arg(long, value_name = "FILE", default_value = "stock.json")]
    pub stock: PathBuf,
    /// Print what was done as one JSON object on standard output.
    #[arg(long)]
    pub json: bool,
}

/// `tuckroll recut`.
#[derive(Debug, Args)]
pub struct RecutArgs {
    /// The layout; '-' reads it from standard input.
    #[arg(value_name = "LAYOUT.json")]
    pub layout: PathBuf,
    /// One copy of a panel; may be given several times.
    #[arg(long, value_name = "ID#COPY", value_parser = piece)]
    pub panel: Vec<(String, u32)>,
    /// All pieces of an order; may be given several times.
    #[arg(long, value_name = "ID")]
    pub kit: Vec<String>,
    /// Cut them from the free film of a layout that is cut already; it costs nothing and is no longer in the stock.
    #[arg(long, value_name = "LAYOUT.json")]
    pub into: Option<PathBuf>,
    /// The job file to write, which must not exist yet; without it the job goes to standard output.
    #[arg(short, long, value_name = "JOB.json")]
    pub out: Option<PathBuf>,
    /// Print what was written as one JSON object on standard output.
    #[arg(long)]
    pub json: bool,
}

/// A panel and the number of one copy.
fn piece(text: &str) -> Result<(String, u32), String> {
    let parsed = text.rsplit_once('#').and_then(|(id, copy)| Some((id.to_owned(), copy.parse().ok()?)));
    parsed.filter(|(id, copy)| !id.is_empty() && *copy > 0).ok_or_else(|| {
        "write the id of the panel, '#' and the number of the copy, such as A-101/fin#2".into()
    })
}

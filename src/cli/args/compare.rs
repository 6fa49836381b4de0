//! What can be typed for `tuckroll compare`.

use super::super::effort;
use super::{DrawingArgs, GrainName};
use clap::Args;
use std::path::PathBuf;
use tuckroll::money::Decimal;

/// `tuckroll compare`.
#[derive(Debug, Args)]
pub struct CompareArgs {
    /// The job file.
    #[arg(value_name = "JOB.json", required_unless_present = "gather")]
    pub job: Option<PathBuf>,
    /// The folder to write, which must not exist yet; with --list, where its commands write.
    #[arg(short, long, value_name = "DIR")]
    pub out: PathBuf,
    /// Film widths to compare, in the job's unit; the margins stay.
    #[arg(long, value_name = "W,...", value_delimiter = ',', value_parser = effort::width)]
    pub width: Vec<f64>,
    /// Gaps between cut lines to compare, in the job's unit.
    #[arg(long, value_name = "G,...", value_delimiter = ',', value_parser = effort::gap)]
    pub gap: Vec<f64>,
    /// Grain rules to compare, each for every panel.
    #[arg(long, value_name = "RULE,...", value_delimiter = ',', value_enum)]
    pub grain: Vec<GrainName>,
    /// Numbers of gores to compare, for every nose in the job's kits.
    #[arg(long, value_name = "N,...", value_delimiter = ',', value_parser = clap::value_parser!(u32).range(1..))]
    pub gores: Vec<u32>,
    /// Prices of the film, one for each --width, for what the job's price says that it buys.
    #[arg(long, value_name = "AMOUNT,...", value_delimiter = ',', value_parser = effort::amount)]
    pub price: Vec<Decimal>,
    /// Seeds of each variant: 1-3, or 1,2,5.
    #[arg(long, value_name = "SEEDS", default_value = "1-3", value_parser = effort::seeds)]
    pub seeds: Seeds,
    /// Search for so many rounds in every run.
    #[arg(long, value_name = "N", default_value_t = effort::DEFAULT_ROUNDS)]
    pub rounds: u64,
    /// Use so many processor cores instead of all; the result does not depend on it.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
    /// Do not nest: print every run as a command of its own.
    #[arg(long, conflicts_with_all = ["gather", "replace"])]
    pub list: bool,
    /// Do not nest: compare what the commands of --list have written into this folder.
    #[arg(long, value_name = "DIR", conflicts_with_all = ["job", "width", "gap", "grain", "gores", "price", "seeds", "rounds", "threads"])]
    pub gather: Option<PathBuf>,
    /// Let the job name drawings outside its own folder.
    #[arg(long)]
    pub outside_files: bool,
    #[command(flatten)]
    pub drawing: DrawingArgs,
    /// Replace the folder if it is there and holds an earlier result of this command and nothing else.
    #[arg(long)]
    pub replace: bool,
    /// Print the table as one JSON object on standard output.
    #[arg(long)]
    pub json: bool,
}

/// Seeds as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Seeds(pub Vec<u64>);

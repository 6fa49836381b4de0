//! What can be typed for `tuckroll nest`, and what may be asked otherwise than a job says.

use super::super::effort::{self, Limits};
use super::{DrawingArgs, FileArgs};
use clap::{Args, ValueEnum};
use std::path::PathBuf;
use tuckroll::job::{GrainRule, Variation};
use tuckroll::money::Decimal;

/// `tuckroll nest`.
#[derive(Debug, Args)]
pub struct NestArgs {
    /// The job file; '-' reads it from standard input.
    #[arg(value_name = "JOB.json")]
    pub job: PathBuf,
    /// The folder to write, which must not exist yet; '-' writes only the layout, to standard output.
    #[arg(short, long, value_name = "DIR")]
    pub out: PathBuf,
    #[command(flatten)]
    pub limits: Limits,
    #[command(flatten)]
    pub vary: VaryArgs,
    /// Start the search from this number; the same number gives the same result.
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub seed: u64,
    /// Use so many processor cores instead of all; the result does not depend on it.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
    /// Keep what belongs together near each other along the roll, as far as possible. For a job of one roll the film
    /// that this takes is told: a second search, with the same effort, lays panels anywhere. Of a time, each gets half.
    #[arg(long, value_name = "WHAT", value_enum)]
    pub group: Option<GroupName>,
    /// If the film is too short, cut what fits and say what is left out: whole kits, and panels that belong to none copy
    /// by copy, the most urgent by priority first, then as the job lists them. With several pieces of film this is done,
    /// asked for or not.
    #[arg(long)]
    pub keep_what_fits: bool,
    /// Write how the best layout grew shorter, as CSV with the columns seconds, length and density.
    #[arg(long, value_name = "FILE")]
    pub trace: Option<PathBuf>,
    /// Let the job name drawings outside its own folder.
    #[arg(long)]
    pub outside_files: bool,
    #[command(flatten)]
    pub drawing: DrawingArgs,
    #[command(flatten)]
    pub files: FileArgs,
    /// Print the result as one JSON object on standard output.
    #[arg(long)]
    pub json: bool,
}

/// What is asked differently from the job file.
#[derive(Debug, Clone, Copy, Args)]
#[command(next_help_heading = "Other than the job says")]
pub struct VaryArgs {
    /// Take film of this width, in the job's unit; the margins stay.
    #[arg(long, value_name = "W", value_parser = effort::width)]
    pub width: Option<f64>,
    /// Keep this gap between cut lines, in the job's unit.
    #[arg(long, value_name = "G", value_parser = effort::gap)]
    pub gap: Option<f64>,
    /// Put every panel under this grain rule.
    #[arg(long, value_name = "RULE", value_enum)]
    pub grain: Option<GrainName>,
    /// Make every nose in the job's kits of so many gores.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..))]
    pub gores: Option<u32>,
    /// Take the film to cost this amount, for what the job's price says that it buys.
    #[arg(long, value_name = "AMOUNT", value_parser = effort::amount)]
    pub price: Option<Decimal>,
}

impl NestArgs {
    /// What changes the result besides seed and effort, as it is typed, with a blank before each option.
    pub fn words(&self) -> String {
        let keep = if self.keep_what_fits { " --keep-what-fits" } else { "" };
        self.vary.words() + keep + &self.drawing.words(self.outside_files)
    }
}

impl VaryArgs {
    fn words(&self) -> String {
        let VaryArgs { width, gap, grain, gores, price } = self;
        let words = [
            width.map(|v| format!(" --width {v}")),
            gap.map(|v| format!(" --gap {v}")),
            grain.map(|v| format!(" --grain {}", v.word())),
            gores.map(|v| format!(" --gores {v}")),
            price.map(|v| format!(" --price {v}")),
        ];
        words.into_iter().flatten().collect()
    }
}

impl GrainName {
    /// As it is typed.
    pub fn word(&self) -> String {
        self.to_possible_value().map_or_else(String::new, |v| v.get_name().to_owned())
    }
}

impl From<VaryArgs> for Variation {
    fn from(args: VaryArgs) -> Self {
        let VaryArgs { width, gap, grain, gores, price } = args;
        Self { width, gap, grain: grain.map(GrainRule::from), gores, price }
    }
}

/// What is kept together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum GroupName {
    /// The panels of each kit.
    Kit,
}

/// A grain rule as typed; the words of the job file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum GrainName {
    /// Along the feed only.
    OneWay,
    /// Along the feed, either way.
    TwoWay,
    /// In quarter turns.
    Quarter,
    /// Any heading.
    Free,
}

impl From<GrainName> for GrainRule {
    fn from(name: GrainName) -> Self {
        match name {
            GrainName::OneWay => Self::OneWay,
            GrainName::TwoWay => Self::TwoWay,
            GrainName::Quarter => Self::Quarter,
            GrainName::Free => Self::Free,
        }
    }
}

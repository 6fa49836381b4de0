//! What can be typed. The meaning of it is settled in each command's own file.

mod compare;
mod cut;
mod drawings;
mod files;
mod help;
mod layouts;
mod manual;
mod nest;

pub use compare::{CompareArgs, Seeds};
pub use cut::CutArgs;
pub use drawings::{OutlinesArgs, PanelsArgs};
pub use files::{CutFileArgs, DrawingArgs, DxfName, FileArgs, UnitName};
pub use layouts::{CheckArgs, ConfirmArgs, ExportArgs, RecutArgs, ReportArgs, StockAction, StockArgs};
pub use manual::{CompletionsArgs, ManArgs, SchemaArgs, SchemaName};
pub use nest::{GrainName, NestArgs, VaryArgs};

use clap::{Parser, Subcommand};

/// Packs flat vinyl panels onto a roll of film and writes the cut file.
#[derive(Debug, Parser)]
#[command(name = "tuckroll", version, arg_required_else_help = true, subcommand_required = true)]
#[command(after_help = help::EXAMPLES, max_term_width = 100, disable_help_subcommand = true)]
pub struct Typed {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Pack the panels of a job onto the roll and write the cut file.
    #[command(after_help = help::NEST_EXAMPLES)]
    Nest(NestArgs),
    /// Prove that a layout keeps every rule, from the layout alone.
    #[command(after_help = help::CHECK_EXAMPLES)]
    Check(CheckArgs),
    /// List the outlines in a drawing, with their sizes.
    #[command(after_help = help::OUTLINES_EXAMPLES)]
    Outlines(OutlinesArgs),
    /// Make flat panels from the dimensions of a body: patterns, job and fit sheet.
    #[command(after_help = help::PANELS_EXAMPLES)]
    Panels(PanelsArgs),
    /// Write the cut file and preview of a layout again.
    #[command(after_help = help::EXPORT_EXAMPLES)]
    Export(ExportArgs),
    /// Write the report of a layout again: what it comes to, the roll to look at, a pick list.
    #[command(after_help = help::REPORT_EXAMPLES)]
    Report(ReportArgs),
    /// Put film widths, gaps, grain rules or numbers of gores side by side, over several seeds.
    #[command(after_help = help::COMPARE_EXAMPLES)]
    Compare(CompareArgs),
    /// Print the shipped film library, to make your own from.
    Films,
    /// Plan the cut of a layout and write the plotter's files, section by section.
    #[command(after_help = help::CUT_EXAMPLES)]
    Cut(Box<CutArgs>),
    /// Take the film of a layout that was cut off the stock.
    #[command(after_help = help::STOCK_EXAMPLES)]
    Stock(StockArgs),
    /// Make a new job from pieces of a layout that are to be cut again.
    #[command(after_help = help::RECUT_EXAMPLES)]
    Recut(RecutArgs),
    /// Print the JSON Schema of a file format.
    Schema(SchemaArgs),
    /// Print what completes this program's words in a shell.
    #[command(after_help = help::COMPLETIONS_EXAMPLES)]
    Completions(CompletionsArgs),
    /// Print the manual page of this program or of one of its commands.
    #[command(after_help = help::MAN_EXAMPLES)]
    Man(ManArgs),
}

impl Command {
    /// Whether it writes files.
    pub fn writes(&self) -> bool {
        match self {
            Self::Nest(_)
            | Self::Panels(_)
            | Self::Export(_)
            | Self::Report(_)
            | Self::Compare(_)
            | Self::Cut(_)
            | Self::Stock(_)
            | Self::Recut(_) => true,
            Self::Check(_)
            | Self::Outlines(_)
            | Self::Films
            | Self::Schema(_)
            | Self::Completions(_)
            | Self::Man(_) => false,
        }
    }

    /// Whether the result is wanted for a script.
    pub fn wants_json(&self) -> bool {
        match self {
            Self::Nest(args) => args.json,
            Self::Check(args) => args.json,
            Self::Outlines(args) => args.json,
            Self::Panels(args) => args.json,
            Self::Export(args) => args.json,
            Self::Report(args) => args.json,
            Self::Compare(args) => args.json,
            Self::Cut(args) => args.json,
            Self::Stock(StockArgs { action: StockAction::Confirm(args) }) => args.json,
            Self::Recut(args) => args.json,
            Self::Films | Self::Schema(_) | Self::Completions(_) | Self::Man(_) => false,
        }
    }
}

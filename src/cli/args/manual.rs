//! What can be typed for the commands that tell about the program.

use clap::{Args, ValueEnum};

/// `tuckroll schema`.
#[derive(Debug, Args)]
pub struct SchemaArgs {
    /// Which format.
    #[arg(value_enum)]
    pub of: SchemaName,
}

/// A file format as typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SchemaName {
    /// What is asked: the job file.
    Job,
    /// The result: the layout file.
    Layout,
    /// An order given by its dimensions: the kit file.
    Kit,
    /// What films let themselves be stretched to: the film library.
    Films,
    /// What there is to say about a layout: report.json.
    Report,
    /// Variants of a job side by side: compare.json.
    Comparison,
    /// The order of the cuts: the cut plan.
    Plan,
    /// What a plotter wants to be told: the device profile.
    Device,
    /// The pieces of film a shop has: the stock file.
    Stock,
}

/// `tuckroll completions`.
#[derive(Debug, Args)]
pub struct CompletionsArgs {
    /// Which shell.
    #[arg(value_enum)]
    pub shell: clap_complete::Shell,
}

/// `tuckroll man`.
#[derive(Debug, Args)]
pub struct ManArgs {
    /// Which command; without one, the page of the program.
    #[arg(value_name = "COMMAND")]
    pub command: Option<String>,
}

//! What can be typed. The meaning of it is settled in each command's own file.

use super::cut_args::CutArgs;
use super::effort::Limits;
use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;
use tuckroll::job::{GrainRule, Unit, Variation};

/// Packs flat vinyl panels onto a roll of film and writes the cut file.
#[derive(Debug, Parser)]
#[command(name = "tuckroll", version, arg_required_else_help = true, subcommand_required = true)]
#[command(after_help = EXAMPLES, max_term_width = 100, disable_help_subcommand = true)]
pub struct Typed {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

const EXAMPLES: &str = "\
Examples:
  tuckroll nest day.json -o out             a shop: pack today's job, write its files to 'out'
  tuckroll check out/layout.json            prove that a layout keeps every rule
  tuckroll panels kit.json -o - --width 594 | tuckroll nest - -o - > layout.json
                                            a pipeline: tape measurements in, a layout out
  tuckroll compare day.json -o which --width 610,1220
                                            a bench: which of two rolls costs least film
  tuckroll outlines fin.dxf                 see what is in a drawing, and how large it is

Exit codes, the same for every command:
  0    done
  1    the job is well-formed but cannot be met, or a check failed
  2    wrong input or wrong usage; nothing was written
  3    a file could not be read or written
  4    a fault of this program; please report it
  130  stopped by Ctrl-C, 143 by SIGTERM; the best layout was written if there was one

'tuckroll COMMAND --help' tells more about a command.";

const NEST_EXAMPLES: &str = "\
Examples:
  tuckroll nest day.json -o out             write layout, cut file, preview and report into 'out'
  tuckroll nest day.json -o out --time 2m   search for two minutes
  tuckroll nest day.json -o out --replace   put the new result where the last one was
  make-job | tuckroll nest - -o -           job from a pipe, layout into a pipe

A job with several pieces of film ('rolls', 'stock') gives a folder for each piece that is used, and
out/summary.json. Where the film does not do, whole kits are cut by their priority, and the rest is named.

Ctrl-C ends the search and writes the best layout found so far; a second Ctrl-C ends at once.
Exit code: 0 done; 1 it does not fit; 2 wrong input; 3 a file could not be read or written;
4 a fault of this program; 130 or 143 stopped from outside, best layout written.";

const CHECK_EXAMPLES: &str = "\
Examples:
  tuckroll check out/layout.json
  tuckroll check out/layout.json --job day.json

Exit code: 0 all rules are kept; 1 a rule is broken; 2 this is not a layout;
3 the file could not be read.";

const OUTLINES_EXAMPLES: &str = "\
Examples:
  tuckroll outlines fin.dxf
  tuckroll outlines fin.dxf --unit in       read the drawing's numbers as inches

Compare the size in mm with a ruler before cutting: a wrong unit shows here first.";

const PANELS_EXAMPLES: &str = r#"Examples:
  tuckroll panels kit.json -o patterns --width 594
  tuckroll nest patterns/job.json -o out    pack them; a job may also name the kit itself, in `kits`
  tuckroll panels kit.json -o - --width 594 | tuckroll nest - -o out    without files between

A kit for a nose of 262 mm around and 410 mm long:
  {
    "format": "tuckroll-kit-1", "name": "My nose", "unit": "mm",
    "parts": [
      { "id": "nose", "kind": "nose", "profile": "ogive", "circumference": 262, "length": 410,
        "gores": "auto", "aft": { "trim": 6 } }
    ]
  }
Kinds: nose, tube, transition, fin, plate. 'tuckroll schema kit' lists every key,
'tuckroll films' prints the film library that is taken where you name none.

Exit code: 0 done; 1 film or roll cannot do it; 2 wrong input; 3 a file could not be read or written."#;

const EXPORT_EXAMPLES: &str = "\
Examples:
  tuckroll export out/layout.json -o again --dxf r2010
  tuckroll export out/layout.json -o again --cut-unit in --png";

const REPORT_EXAMPLES: &str = "\
Examples:
  tuckroll report out/layout.json -o report    write report/report.html, report.json and kits.csv
  tuckroll report out/layout.json -o -         print the numbers as JSON

'nest' writes the same files beside the layout, with what it had to warn of.";

const COMPARE_EXAMPLES: &str = "\
Examples:
  tuckroll compare day.json -o which --width 610,1220           two rolls, three seeds each
  tuckroll compare day.json -o which --width 610,1220 --gap 2,3 every width with every gap

Too much for one machine:
  mkdir cells
  tuckroll compare day.json -o cells --width 610,1220 --seeds 1-20 --list > commands
  sh commands                               or spread its lines over machines as you like
  tuckroll compare --gather cells -o which";

const COMPLETIONS_EXAMPLES: &str = "\
Examples:
  tuckroll completions bash > ~/.local/share/bash-completion/completions/tuckroll
  tuckroll completions fish > ~/.config/fish/completions/tuckroll.fish";

const MAN_EXAMPLES: &str = "\
Examples:
  tuckroll man | man -l -
  tuckroll man nest > ~/.local/share/man/man1/tuckroll-nest.1";

const CUT_EXAMPLES: &str = "\
Examples:
  tuckroll cut out/layout.json -o plotter                          plan.json, cut.plt, cut.dxf
  tuckroll cut out/layout.json -o plotter --section-length 1200 --marks
  tuckroll cut out/layout.json -o rest --section-length 1200 --from-section 3     after a jam
  tuckroll cut out/layout.json -o plotter --device my-cutter.json

A profile is a small file: 'tuckroll schema device' lists its keys. Lengths are in mm whatever
the layout's unit. Exit code: 0 done; 1 it cannot be cut so; 2 wrong input; 3 a file could not
be read or written.";

const STOCK_EXAMPLES: &str = "\
Examples:
  tuckroll stock confirm out/white-610/layout.json
  tuckroll stock confirm out/white-610/layout.json --stock films/stock.json

The piece of film loses the length that was cut, and offcuts that the stock keeps become pieces of
their own. A second confirmation of one layout changes nothing. Confirm before nesting the next job.

Exit code: 0 done, or done before; 1 the piece is no longer what the layout was made for;
2 wrong input; 3 a file could not be read or written.";

const RECUT_EXAMPLES: &str = "\
Examples:
  tuckroll recut out/layout.json --panel A-101/nose/gore#3 -o again.json
  tuckroll recut out/layout.json --kit A-102 --into out/layout.json -o again.json
  tuckroll recut out/layout.json --kit A-102 | tuckroll nest - -o again

Every piece keeps its size and the heading at which it was cut, so that it matches its neighbours.

Exit code: 0 done; 1 it does not fit the film; 2 wrong input; 3 a file could not be read or written.";

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Pack the panels of a job onto the roll and write the cut file.
    #[command(after_help = NEST_EXAMPLES)]
    Nest(NestArgs),
    /// Prove that a layout keeps every rule, from the layout alone.
    #[command(after_help = CHECK_EXAMPLES)]
    Check(CheckArgs),
    /// List the outlines in a drawing, with their sizes.
    #[command(after_help = OUTLINES_EXAMPLES)]
    Outlines(OutlinesArgs),
    /// Make flat panels from the dimensions of a body: patterns, job and fit sheet.
    #[command(after_help = PANELS_EXAMPLES)]
    Panels(PanelsArgs),
    /// Write the cut file and preview of a layout again.
    #[command(after_help = EXPORT_EXAMPLES)]
    Export(ExportArgs),
    /// Write the report of a layout again: what it comes to, the roll to look at, a pick list.
    #[command(after_help = REPORT_EXAMPLES)]
    Report(ReportArgs),
    /// Put film widths, gaps, grain rules or numbers of gores side by side, over several seeds.
    #[command(after_help = COMPARE_EXAMPLES)]
    Compare(CompareArgs),
    /// Print the shipped film library, to make your own from.
    Films,
    /// Plan the cut of a layout and write the plotter's files, section by section.
    #[command(after_help = CUT_EXAMPLES)]
    Cut(Box<CutArgs>),
    /// Take the film of a layout that was cut off the stock.
    #[command(after_help = STOCK_EXAMPLES)]
    Stock(StockArgs),
    /// Make a new job from pieces of a layout that are to be cut again.
    #[command(after_help = RECUT_EXAMPLES)]
    Recut(RecutArgs),
    /// Print the JSON Schema of a file format.
    Schema(SchemaArgs),
    /// Print what completes this program's words in a shell.
    #[command(after_help = COMPLETIONS_EXAMPLES)]
    Completions(CompletionsArgs),
    /// Print the manual page of this program or of one of its commands.
    #[command(after_help = MAN_EXAMPLES)]
    Man(ManArgs),
}

impl Command {
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
    /// If the film is too short, leave out panels from the end of the job until the rest fits, and say which.
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
    #[arg(long, value_name = "W", value_parser = super::effort::width)]
    pub width: Option<f64>,
    /// Keep this gap between cut lines, in the job's unit.
    #[arg(long, value_name = "G", value_parser = super::effort::gap)]
    pub gap: Option<f64>,
    /// Put every panel under this grain rule.
    #[arg(long, value_name = "RULE", value_enum)]
    pub grain: Option<GrainName>,
    /// Make every nose in the job's kits of so many gores.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..))]
    pub gores: Option<u32>,
}

impl From<VaryArgs> for Variation {
    fn from(args: VaryArgs) -> Self {
        let VaryArgs { width, gap, grain, gores } = args;
        Self { width, gap, grain: grain.map(GrainRule::from), gores }
    }
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

/// `tuckroll check`.
#[derive(Debug, Args)]
pub struct CheckArgs {
    /// The layout file; '-' reads it from standard input.
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
    #[arg(long, value_name = "W", value_parser = super::effort::width)]
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
    pub files: PatternFileArgs,
    /// Print the result as one JSON object on standard output.
    #[arg(long)]
    pub json: bool,
}

/// How patterns are written.
#[derive(Debug, Clone, Copy, Args)]
pub struct PatternFileArgs {
    /// Replace the folder if it is there and was written by this program.
    #[arg(long)]
    pub replace: bool,
    /// Write the DXF file in this unit.
    #[arg(long, value_name = "UNIT", value_enum, default_value = "mm")]
    pub cut_unit: UnitName,
    /// Write this version of DXF.
    #[arg(long, value_name = "VERSION", value_enum, default_value = "r12")]
    pub dxf: DxfName,
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
    /// Replace the folder if it is there and was written by this program.
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
    #[command(after_help = STOCK_EXAMPLES)]
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
    /// Cut them from the free film of a layout that is cut already.
    #[arg(long, value_name = "LAYOUT.json")]
    pub into: Option<PathBuf>,
    /// The job file to write, which must not exist yet; without it the job goes to standard output.
    #[arg(short, long, value_name = "JOB.json")]
    pub out: Option<PathBuf>,
    /// Print what was written as one JSON object on standard output.
    #[arg(long)]
    pub json: bool,
}

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
    #[arg(long, value_name = "W,...", value_delimiter = ',', value_parser = super::effort::width)]
    pub width: Vec<f64>,
    /// Gaps between cut lines to compare, in the job's unit.
    #[arg(long, value_name = "G,...", value_delimiter = ',', value_parser = super::effort::gap)]
    pub gap: Vec<f64>,
    /// Grain rules to compare, each for every panel.
    #[arg(long, value_name = "RULE,...", value_delimiter = ',', value_enum)]
    pub grain: Vec<GrainName>,
    /// Numbers of gores to compare, for every nose in the job's kits.
    #[arg(long, value_name = "N,...", value_delimiter = ',', value_parser = clap::value_parser!(u32).range(1..))]
    pub gores: Vec<u32>,
    /// Seeds of each variant: 1-3, or 1,2,5.
    #[arg(long, value_name = "SEEDS", default_value = "1-3", value_parser = super::effort::seeds)]
    pub seeds: Seeds,
    /// Search for so many rounds in every run.
    #[arg(long, value_name = "N", default_value_t = super::effort::DEFAULT_ROUNDS)]
    pub rounds: u64,
    /// Use so many processor cores instead of all; the result does not depend on it.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
    /// Do not nest: print every run as a command of its own.
    #[arg(long, conflicts_with_all = ["gather", "replace"])]
    pub list: bool,
    /// Do not nest: compare what the commands of --list have written into this folder.
    #[arg(long, value_name = "DIR", conflicts_with_all = ["job", "width", "gap", "grain", "gores", "seeds", "rounds", "threads"])]
    pub gather: Option<PathBuf>,
    /// Let the job name drawings outside its own folder.
    #[arg(long)]
    pub outside_files: bool,
    #[command(flatten)]
    pub drawing: DrawingArgs,
    /// Replace the folder if it is there and was written by this program.
    #[arg(long)]
    pub replace: bool,
    /// Print the table as one JSON object on standard output.
    #[arg(long)]
    pub json: bool,
}

/// Seeds as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Seeds(pub Vec<u64>);

/// A panel and the number of one copy.
fn piece(text: &str) -> Result<(String, u32), String> {
    let parsed = text.rsplit_once('#').and_then(|(id, copy)| Some((id.to_owned(), copy.parse().ok()?)));
    parsed.filter(|(id, copy)| !id.is_empty() && *copy > 0).ok_or_else(|| {
        "write the id of the panel, '#' and the number of the copy, such as A-101/fin#2".into()
    })
}

/// `tuckroll schema`.
#[derive(Debug, Args)]
pub struct SchemaArgs {
    /// Which format.
    #[arg(value_enum)]
    pub of: SchemaName,
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

/// How drawings are read.
#[derive(Debug, Clone, Copy, Args)]
pub struct DrawingArgs {
    /// Let a straight cut stray from a drawn curve by at most so many mm.
    #[arg(long, value_name = "MM", default_value_t = 0.02, value_parser = super::effort::tolerance)]
    pub chord_tolerance: f64,
    /// Join line ends of a drawing that lie at most so many mm apart.
    #[arg(long, value_name = "MM", default_value_t = 0.05, value_parser = super::effort::tolerance)]
    pub join_tolerance: f64,
}

/// Which files are written, and how.
#[derive(Debug, Clone, Copy, Args)]
pub struct FileArgs {
    /// Replace the folder if it is there and was written by this program.
    #[arg(long)]
    pub replace: bool,
    /// Also write the preview as a picture, preview.png.
    #[arg(long)]
    pub png: bool,
    /// Write the cut file in this unit.
    #[arg(long, value_name = "UNIT", value_enum, default_value = "mm")]
    pub cut_unit: UnitName,
    /// Write the cut file in this version of DXF.
    #[arg(long, value_name = "VERSION", value_enum, default_value = "r12")]
    pub dxf: DxfName,
}

/// A unit as typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum UnitName {
    /// Millimetres.
    Mm,
    /// Inches.
    In,
}

impl From<UnitName> for Unit {
    fn from(name: UnitName) -> Self {
        match name {
            UnitName::Mm => Self::Millimetre,
            UnitName::In => Self::Inch,
        }
    }
}

/// A version of DXF as typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum DxfName {
    /// The plainest; every program reads it.
    R12,
    /// Lightweight polylines, unit in the header.
    R2000,
    /// As r2000, with text in UTF-8.
    R2010,
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

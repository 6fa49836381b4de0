//! What `tuckroll nest` was asked.

use super::args::NestArgs;
use super::input;
use super::output::{Target, Wanted};
use std::path::PathBuf;
use tuckroll::Error;
use tuckroll::job::LoadOptions;
use tuckroll::nest::Effort;

/// What was asked, its contradictions settled.
pub struct Request {
    /// The job, or a day of them.
    pub job: input::Source,
    /// Where the result goes.
    pub target: Target,
    /// Which files are wanted.
    pub wanted: Wanted,
    /// How hard is searched.
    pub effort: Effort,
    /// Threads; 0 stands for all cores.
    pub threads: usize,
    /// Whether kits may be left out for want of film.
    pub keep_what_fits: bool,
    /// Where the course of the search goes.
    pub trace: Option<PathBuf>,
    /// Whether an earlier result may be replaced.
    pub replace: bool,
    /// How its files are read.
    pub loading: LoadOptions,
    /// What changes the result besides seed and effort, as typed.
    pub options: String,
    /// Whether the result is wanted for a script.
    pub json: bool,
}

impl Request {
    /// From what was typed.
    ///
    /// # Errors
    ///
    /// [`Error::Input`] for what does not go together.
    pub fn resolve(args: NestArgs) -> Result<Self, Error> {
        let target = Target::resolve(&args.out, &args.files)?;
        if matches!(target, Target::Stdout) && args.json {
            return Err(Error::input(
                "--json",
                "standard output is taken by '-o -'",
                "leave one of them out",
            ));
        }
        if args.trace.as_ref().is_some_and(|path| path.as_os_str() == "-") {
            let what = "the course of the search does not go to standard output";
            return Err(Error::input("--trace", what, "name a file"));
        }
        Ok(Self {
            options: args.words(),
            job: input::Source::of(args.job),
            target,
            wanted: Wanted::of(&args.files),
            effort: args.limits.effort(args.seed, args.group.is_some()),
            threads: args.threads.map_or(0, usize::from),
            keep_what_fits: args.keep_what_fits,
            trace: args.trace,
            replace: args.files.cut.replace,
            loading: input::load_options(args.drawing, args.outside_files, args.vary.into()),
            json: args.json,
        })
    }
}

//! `tuckroll nest`: a job in, a proven layout and its cut file out.

use super::args::NestArgs;
use super::effort::{halved, leaving_time_to_write};
use super::kind::Kind;
use super::output::Target;
use super::request::Request;
use super::result::{Film, Outcome};
use super::searcher::{Searcher, made_by};
use super::signals::Signals;
use super::trace::Trace;
use super::{grouped, input, keep, output, pieces, proof, say};
use tuckroll::Error;
use tuckroll::job::LoadedDay;
use tuckroll::layout;
use tuckroll::report::Circumstances;

/// Nests the job, proves the result, writes the files and says what came of it.
pub fn run(args: NestArgs) -> Result<u8, Error> {
    let mut request = Request::resolve(args)?;
    let signals = Signals { keeps_layouts: true };
    let place = request.target.open(Kind::Nest, &request.wanted, &request.job.file())?;
    request.trace.iter().try_for_each(|path| place.refuse_inside("--trace", path))?;
    let trace = request.trace.as_ref().map(|path| Trace::open(path, request.replace)).transpose()?;
    let loaded = input::day(&request.job, &request.loading)?;
    if matches!(request.target, Target::Folder(_)) {
        request.effort = leaving_time_to_write(request.effort, &loaded.day.panels);
    }
    if loaded.day.several {
        return pieces::run(&request, place, loaded, signals);
    }
    let LoadedDay { day, mut warnings, sheets } = loaded;
    let job = day.single().ok_or_else(|| Error::Internal("the job has no film".into()))?;
    if request.effort.group_kits {
        // The other half is for the search without, which tells what grouping costs.
        request.effort = halved(request.effort);
    }
    let searcher = Searcher::new(request.threads, request.effort, signals)?;
    let kept =
        if request.keep_what_fits { keep::what_fits(&job, &searcher) } else { keep::all(&job, &searcher) }?;
    let made_by = made_by(&request.effort, &kept.nested);
    let layout = layout::assemble(&kept.job, kept.nested.placements.clone(), made_by);
    proof::fits(&layout)?;
    proof::own(&layout)?;
    warnings.extend(kept.nested.warnings.iter().cloned());
    if request.effort.group_kits {
        warnings.extend(grouped::cost(&kept, layout.measures.length, &searcher)?);
    }
    let film = Film::of(&layout)?;
    let sheets = output::without(sheets, kept.left_out.iter().filter_map(|left| left.kit.as_deref()));
    let known = Circumstances { warnings: &warnings, left_out: &kept.left_out, ..Circumstances::default() };
    let written = place.write(&layout, &sheets, &request.wanted, Some(&known))?;
    if let Some(trace) = trace {
        trace.write(&kept.job, &searcher.into_curve())?;
    }
    warnings.extend(written.warnings.iter().cloned());
    say::warnings(&warnings);
    if signals.caught() {
        say::note("stopped: this is the best layout found so far");
    }
    say::errors(&keep::told(&kept.left_out));
    let code = signals.exit_code().unwrap_or(u8::from(!kept.left_out.is_empty()));
    let outcome = Outcome {
        layout: &layout,
        kept: &kept,
        written: &written,
        film: &film,
        warnings: &warnings,
        effort: request.effort,
        options: &request.options,
    };
    match (&request.target, request.json) {
        (Target::Stdout, _) => say::out(&written.layout)?,
        (Target::Folder(_), true) => say::json(&outcome.json(code))?,
        (Target::Folder(_), false) => say::out(outcome.text().as_bytes())?,
    }
    Ok(code)
}

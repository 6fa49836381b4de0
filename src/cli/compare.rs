//! `tuckroll compare`: rolls, gaps and rules side by side.
//!
//! Three ways to the same table: nest all cells here, print them as commands for other machines, or
//! gather what those commands wrote.

use super::args::{CompareArgs, GrainName, VaryArgs};
use super::folder::Folder;
use super::input::{self, JobFile, Source};
use super::kind::Kind;
use super::names;
use super::output::Target;
use super::searcher::{Searcher, made_by};
use super::signals::{self, Signals};
use super::table::{Lean, table};
use super::{clean, layouts, numbers, output, pieces, proof, say};
use serde::Serialize;
use std::fs;
use std::path::{Path, PathBuf};
use tuckroll::compare::{self, Cell, CellName, Comparison};
use tuckroll::error::Problems;
use tuckroll::job::{Day, Kept, LoadedDay};
use tuckroll::layout::{self, Layout};
use tuckroll::money::Decimal;
use tuckroll::nest::{Effort, Limit};
use tuckroll::{Error, write};

/// Most cells of one comparison: a month of nests, and a slip of the finger beyond it.
const MOST_CELLS: usize = 10_000;

/// Compares, lists or gathers.
pub fn run(args: CompareArgs) -> Result<u8, Error> {
    Target::folder_only(&args.out)?;
    if args.list {
        return list(&args);
    }
    let inputs: Vec<&Path> = args.job.iter().chain(&args.gather).map(PathBuf::as_path).collect();
    let folder = Folder::open(&args.out, Kind::Comparison, args.replace, &inputs)?;
    let cells = match &args.gather {
        Some(dir) => gathered(dir)?,
        None => nested(&args)?,
    };
    let comparison = compare::compare(&cells)?;
    let files = [
        (names::COMPARISON, write::comparison_html(&comparison).into_bytes()),
        (names::COMPARISON_JSON, compare::write(&comparison).into_bytes()),
        (names::COMPARISON_CSV, write::comparison_csv(&comparison)?),
    ];
    let paths = folder.commit(&files)?;
    if args.json {
        say::json(&Json::of(&comparison, &paths))?;
    } else {
        say::out(told(&comparison, &paths).as_bytes())?;
    }
    Ok(0)
}

/// What is different in one variant, and how it is typed.
struct Variant {
    vary: VaryArgs,
    settings: Vec<(String, String)>,
}

/// All combinations of what was listed, the last list turning fastest.
fn variants(args: &CompareArgs) -> Result<Vec<Variant>, Error> {
    let plain = VaryArgs { width: None, gap: None, grain: None, gores: None, price: None };
    let mut all = vec![Variant { vary: plain, settings: Vec::new() }];
    spread(&mut all, "width", &args.width, f64::to_string, |vary, v| vary.width = Some(*v));
    pay(&mut all, args)?;
    spread(&mut all, "gap", &args.gap, f64::to_string, |vary, v| vary.gap = Some(*v));
    spread(&mut all, "grain", &args.grain, GrainName::word, |vary, v| vary.grain = Some(*v));
    spread(&mut all, "gores", &args.gores, u32::to_string, |vary, v| vary.gores = Some(*v));
    let cells = all.len().saturating_mul(args.seeds.0.len());
    if cells > MOST_CELLS {
        let what = format!("{cells} nests; {MOST_CELLS} are the most");
        return Err(Error::input("compare", what, "compare less at a time"));
    }
    Ok(all)
}

/// Gives every width its price; without widths, every price is a variant.
fn pay(all: &mut Vec<Variant>, args: &CompareArgs) -> Result<(), Error> {
    if args.width.is_empty() {
        spread(all, "price", &args.price, Decimal::to_string, |vary, v| vary.price = Some(*v));
        return Ok(());
    }
    if !args.price.is_empty() && args.price.len() != args.width.len() {
        let count = numbers::count(args.width.len(), "width");
        let what = format!("{count} and {}", numbers::count(args.price.len(), "price"));
        return Err(Error::input("--price", what, "give one price for each width, in the same order"));
    }
    for (variant, price) in all.iter_mut().zip(&args.price) {
        variant.vary.price = Some(*price);
        variant.settings.push(("price".to_owned(), price.to_string()));
    }
    Ok(())
}

/// Every variant so far with every value of one more list.
fn spread<T>(
    all: &mut Vec<Variant>,
    name: &str,
    values: &[T],
    text: fn(&T) -> String,
    set: fn(&mut VaryArgs, &T),
) {
    if values.is_empty() {
        return;
    }
    let with = |v: &Variant, value: &T| {
        let (mut vary, mut settings) = (v.vary, v.settings.clone());
        set(&mut vary, value);
        settings.push((name.to_owned(), text(value)));
        Variant { vary, settings }
    };
    *all = all.iter().flat_map(|v| values.iter().map(move |value| with(v, value))).collect();
}

/// Every variant with every seed.
fn cells(args: &CompareArgs) -> Result<Vec<(CellName, VaryArgs)>, Error> {
    let mut cells = Vec::new();
    for (variant, number) in variants(args)?.into_iter().zip(1..) {
        for seed in &args.seeds.0 {
            let settings = variant.settings.clone();
            cells.push((CellName { variant: number, settings, seed: *seed }, variant.vary));
        }
    }
    Ok(cells)
}

/// The job, which the command line demands wherever this is asked.
fn job_of(args: &CompareArgs) -> Result<&PathBuf, Error> {
    args.job.as_ref().ok_or_else(|| Error::input("compare", "no job was named", "name a job file"))
}

/// Prints every cell as a command of its own.
fn list(args: &CompareArgs) -> Result<u8, Error> {
    let job = job_of(args)?;
    if job.as_os_str() == "-" || args.json {
        let what = "'--list' prints commands that read a job file by its name";
        return Err(Error::input("--list", what, "name a file, and leave out --json"));
    }
    let job = quoted(job)?;
    let threads = args.threads.map_or_else(String::new, |n| format!(" --threads {n}"));
    let others = args.drawing.words(args.outside_files) + &threads;
    let mut text = String::new();
    for (name, _) in cells(args)? {
        let options: Vec<String> = name.settings.iter().map(|(k, v)| format!(" --{k} {v}")).collect();
        let out = quoted(&args.out.join(name.folder()))?;
        let (seed, rounds, options) = (name.seed, args.rounds, options.concat());
        text += &format!("tuckroll nest {job} -o {out} --rounds {rounds} --seed {seed}{options}{others}\n");
    }
    say::out(text.as_bytes())?;
    Ok(0)
}

/// A path as one word of a POSIX shell.
fn quoted(path: &Path) -> Result<String, Error> {
    let odd = |what: &str| Error::input(path.display().to_string(), what, "give it a plain name");
    let text = path.to_str().ok_or_else(|| odd("its name is not UTF-8 and cannot be printed"))?;
    if text.contains(clean::steers) {
        return Err(odd("its name holds control characters, or some that turn the order of what is read"));
    }
    shlex::try_quote(text).map(|q| q.into_owned()).map_err(|_| odd("its name cannot be quoted for a shell"))
}

/// Nests all cells here, one after the other.
fn nested(args: &CompareArgs) -> Result<Vec<Cell>, Error> {
    let source = Source::of(job_of(args)?.clone());
    if source == Source::Stdin {
        let remedy = "write it to a file and name that";
        return Err(Error::input("compare", "the job cannot come from standard input", remedy));
    }
    // A table of some of the cells would be no fair comparison: nothing is kept.
    let signals = Signals { keeps_layouts: false };
    signals::hint("; --list prints the cells as commands that can be taken up again");
    let all = cells(args)?;
    // Read once, so that no two variants are of different states of a file.
    let job = JobFile::read(&source, args.outside_files)?;
    let files = Kept::new(&job.folder);
    let mut done = Vec::new();
    for (i, (name, vary)) in all.iter().enumerate() {
        let loading = input::load_options(args.drawing, args.outside_files, (*vary).into());
        let LoadedDay { day, warnings, .. } = job.day(&files, &loading)?;
        if i == 0 {
            say::warnings(&warnings);
        }
        let effort = Effort::new(name.seed, Limit::Rounds(args.rounds));
        let searcher = Searcher::new(args.threads.map_or(0, usize::from), effort, signals)?;
        let found = if day.several { on_pieces(day, &searcher) } else { on_one(day, &searcher) }?;
        say::progress(&format!("{} of {}: {}, seed {}", i + 1, all.len(), name.label(), name.seed));
        done.push(Cell::new(name.clone(), found));
    }
    Ok(done)
}

/// The layout of a job with one piece of film.
fn on_one(day: Day, searcher: &Searcher) -> Result<Vec<Layout>, Error> {
    let job = day.single().ok_or_else(|| Error::Internal("the job has no film".into()))?;
    let found = searcher.search(&job, searcher.effort())?;
    let made_by = made_by(&searcher.effort(), &found);
    let layout = layout::assemble(&job, found.placements, made_by);
    proof::fits(&layout)?;
    proof::own(&layout)?;
    Ok(vec![layout])
}

/// The layouts of a job with several. What is left out would make its film look cheap.
fn on_pieces(day: Day, searcher: &Searcher) -> Result<Vec<Layout>, Error> {
    let (plan, nested) = pieces::solve(&day, searcher)?;
    let left_out = pieces::told_left_out(&day, &plan);
    if !left_out.is_empty() {
        let mut problems = Problems::default();
        for what in left_out {
            problems.push("compare", what, "compare what the film is enough for");
        }
        return Err(Error::Unmet(problems));
    }
    Ok(nested.pieces.into_iter().map(|piece| piece.layout).collect())
}

/// What the commands of `--list` wrote into the folders of `dir`.
fn gathered(dir: &Path) -> Result<Vec<Cell>, Error> {
    let mut cells = Vec::new();
    let mut others = 0;
    for entry in fs::read_dir(dir).map_err(|e| no_folder(dir, e))? {
        let entry = entry.map_err(|e| Error::io(dir, e))?;
        let name = entry.file_name();
        let Some(name) = name.to_str().and_then(CellName::of_folder) else {
            others += 1;
            continue;
        };
        cells.push(Cell::new(name, layouts_in(&entry.path())?));
    }
    cells.sort_by_key(|c| (c.name.variant, c.name.seed));
    if others > 0 {
        say::note(&format!(
            "passed over {}, which 'compare --list' did not name",
            numbers::count(others, "other file")
        ));
    }
    warn_of_gaps(&cells);
    Ok(cells)
}

fn no_folder(dir: &Path, e: std::io::Error) -> Error {
    if e.kind() == std::io::ErrorKind::NotFound || e.kind() == std::io::ErrorKind::NotADirectory {
        return Error::input(dir.display().to_string(), "there is no such folder", "check the name");
    }
    Error::io(dir, e)
}

/// The layouts of a cell's folder, which must hold all of its orders.
fn layouts_in(cell: &Path) -> Result<Vec<Layout>, Error> {
    let nested = layouts::in_folder(cell)?;
    if !nested.complete {
        let what = "orders were left out for want of film, so its film is not to be compared";
        return Err(Error::input(cell.display().to_string(), what, "compare what the film is enough for"));
    }
    Ok(nested.layouts.into_iter().map(|l| l.layout).collect())
}

/// Means over different seeds are no fair comparison; that is said.
fn warn_of_gaps(cells: &[Cell]) {
    let mut seeds: Vec<u64> = cells.iter().map(|c| c.name.seed).collect();
    seeds.sort_unstable();
    seeds.dedup();
    let mut last = None;
    for cell in cells.iter().filter(|c| last.replace(c.name.variant) != Some(c.name.variant)) {
        let has =
            |seed: &u64| cells.iter().any(|c| c.name.variant == cell.name.variant && c.name.seed == *seed);
        let missing: Vec<String> = seeds.iter().filter(|s| !has(s)).map(u64::to_string).collect();
        if !missing.is_empty() {
            let (label, seeds) = (cell.name.label(), missing.join(", "));
            say::note(&format!(
                "warning: {label}: no layout for seed {seeds} (nest the missing cells and gather again)"
            ));
        }
    }
}

fn told(comparison: &Comparison, paths: &[PathBuf]) -> String {
    use Lean::{Left, Right};
    let heads = ["variant", "pieces", "length", "waste", "film", "spread", "cutting", "cost", ""];
    let mut rows = vec![heads.map(str::to_owned)];
    rows.extend(comparison.variants.iter().map(|v| {
        [
            format!("{}. {}", v.number, clean::one_line(&v.label)),
            v.pieces.to_string(),
            format!("{:.3} m", v.length_mm.mean / 1e3),
            write::percent(v.waste_percent.mean),
            format!("{:.4} m2", v.film_area_mm2.mean / 1e6),
            write::percent(v.film_area_mm2.percent()),
            write::duration(v.cut_time_s.mean),
            v.cost.as_ref().map_or_else(|| "no price".to_owned(), |c| c.total_cost_mean.clone()),
            if v.cheapest { "cheapest".to_owned() } else { String::new() },
        ]
    }));
    format!(
        "{}: {}, means over the seeds\n\n{}\nwritten  {}\n",
        clean::one_line(&comparison.name),
        numbers::count(comparison.variants.len(), "variant"),
        table([Left, Right, Right, Right, Right, Right, Right, Right, Left], &rows),
        output::named(paths)
    )
}

#[derive(Debug, Serialize)]
struct Json<'a> {
    exit_code: u8,
    #[serde(flatten)]
    comparison: &'a Comparison,
    files: Vec<String>,
}

impl<'a> Json<'a> {
    fn of(comparison: &'a Comparison, paths: &[PathBuf]) -> Self {
        Self { exit_code: 0, comparison, files: output::paths(paths) }
    }
}

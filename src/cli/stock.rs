//! `tuckroll stock`: the film that is there, and what a cut takes off it.

use super::args::{ConfirmArgs, StockAction, StockArgs};
use super::draft::draft_in;
use super::input::Source;
use super::{clean, layouts, numbers, output, say, signals};
use serde::Serialize;
use std::fs::{self, File};
use std::io::Write;
use std::path::{Path, PathBuf};
use tuckroll::Error;
use tuckroll::job::stock::{self as file, Stock};
use tuckroll::layout;
use tuckroll::stock::{Confirmed, Update, confirm};

/// Does what was asked with the stock.
pub fn run(args: StockArgs) -> Result<u8, Error> {
    match args.action {
        StockAction::Confirm(args) => confirmed(args),
    }
}

/// Takes the film of a layout that was cut off the stock.
fn confirmed(args: ConfirmArgs) -> Result<u8, Error> {
    let layout = layouts::proven(&Source::of(args.layout))?;
    let hash = output::sha256(layout::write(&layout).as_bytes());
    let path = true_path(&args.stock)?;
    let _lock = Lock::take(&path)?;
    let stock = file::load(&path)?;
    let result = confirm(&stock, &layout, &hash)?;
    if let Confirmed::Now(update) = &result {
        let text = file::write(&update.stock);
        // A stock that could not be read again would be lost.
        file::parse(text.as_bytes(), &format!("{} after this cut", path.display()))?;
        signals::tidily(|| replace(&path, text.as_bytes()))?;
    }
    let id = layout.roll.piece.id.unwrap_or_default();
    if args.json {
        say::json(&Told::of(&id, &result, &stock))?;
    } else {
        say::out(clean::lines(&words(&id, &result, &stock)).as_bytes())?;
        say::out(b"\n")?;
    }
    Ok(0)
}

/// The file itself where a link was named: it is replaced, not the link.
fn true_path(path: &Path) -> Result<PathBuf, Error> {
    path.canonicalize().map_err(|e| match e.kind() {
        std::io::ErrorKind::NotFound => Error::input(
            path.display().to_string(),
            "there is no such stock file",
            "name it with --stock FILE; 'tuckroll schema stock' tells how to write one",
        ),
        _ => Error::io(path, e),
    })
}

/// Held while the stock is read and written; the system lets go of it when the program ends in whatever way.
struct Lock {
    _file: File,
}

impl Lock {
    /// Waits until no other program holds it. The file beside the stock stays: to remove it would let two programs
    /// hold locks on two files of one name.
    fn take(stock: &Path) -> Result<Self, Error> {
        let mut name = stock.file_name().unwrap_or_default().to_owned();
        name.push(".lock");
        let path = stock.with_file_name(name);
        let failed = |e| Error::io(&path, e);
        let file = File::options().create(true).truncate(false).write(true).open(&path).map_err(failed)?;
        file.lock().map_err(failed)?;
        Ok(Self { _file: file })
    }
}

/// Puts new bytes in the place of a file: the old ones are there until the new ones are on the disk.
fn replace(path: &Path, bytes: &[u8]) -> Result<(), Error> {
    let failed = |e| Error::io(path, e);
    let folder = path.parent().unwrap_or(Path::new("."));
    let mut new = draft_in(folder).map_err(failed)?;
    new.write_all(bytes).map_err(failed)?;
    let old = fs::metadata(path).map_err(failed)?;
    fs::set_permissions(new.path(), old.permissions()).map_err(failed)?;
    new.as_file().sync_all().map_err(failed)?;
    signals::settle(path)?;
    new.persist(path).map_err(|e| failed(e.error))?;
    // So that the new name is on the disk too. Some systems cannot open folders; there it is left to them.
    if let Ok(folder) = File::open(folder) {
        let _ = folder.sync_all();
    }
    Ok(())
}

fn words(id: &str, result: &Confirmed, stock: &Stock) -> String {
    let Confirmed::Now(Update { left, used_up, offcuts, .. }) = result else {
        return format!(
            "{id}: this layout was confirmed before; nothing changes (if it was cut twice, take its film off the stock by hand)"
        );
    };
    let rest = match (used_up, left) {
        (true, _) => "used up".into(),
        (false, Some(left)) => {
            format!("{} left ({})", numbers::length(*left, stock.unit), numbers::metres(*left, stock.unit))
        }
        (false, None) => "length not known".to_owned(),
    };
    let kept =
        if offcuts.is_empty() { String::new() } else { format!("; offcuts kept: {}", offcuts.join(", ")) };
    format!("{id}: {rest}{kept}")
}

/// What was done, in JSON.
#[derive(Debug, Serialize)]
struct Told<'a> {
    exit_code: u8,
    roll: &'a str,
    confirmed_before: bool,
    used_up: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    left_mm: Option<f64>,
    offcuts: &'a [String],
}

impl<'a> Told<'a> {
    fn of(roll: &'a str, result: &'a Confirmed, stock: &Stock) -> Self {
        match result {
            Confirmed::Already => Self {
                exit_code: 0,
                roll,
                confirmed_before: true,
                used_up: false,
                left_mm: None,
                offcuts: &[],
            },
            Confirmed::Now(update) => Self {
                exit_code: 0,
                roll,
                confirmed_before: false,
                used_up: update.used_up,
                left_mm: update.left.map(|left| left * stock.unit.in_mm()),
                offcuts: &update.offcuts,
            },
        }
    }
}

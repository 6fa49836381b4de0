//! `tuckroll export`: the cut file and preview of a layout again.

use super::args::ExportArgs;
use super::input::Source;
use super::kind::Kind;
use super::output::{Target, Wanted};
use super::{layouts, result, say};
use tuckroll::Error;

/// Checks the layout and writes its files.
pub fn run(args: ExportArgs) -> Result<u8, Error> {
    let target = Target::folder_only(&args.out)?;
    let wanted = Wanted::of(&args.files);
    let place = target.open(Kind::Export, &wanted, &[&args.layout])?;
    let layout = layouts::proven(&Source::of(args.layout))?;
    let written = place.write(&layout, &[], &wanted, None)?;
    say::warnings(&written.warnings);
    result::tell_export(&layout, &written, args.json)?;
    Ok(0)
}

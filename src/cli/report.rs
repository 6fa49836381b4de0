//! `tuckroll report`: what there is to say about a layout, again.

use super::args::ReportArgs;
use super::folder::Folder;
use super::input::Source;
use super::kind::Kind;
use super::output::{self, Written};
use super::{cut, proof, result, say};
use tuckroll::Error;
use tuckroll::floor::plan::Options;
use tuckroll::job::Unit;
use tuckroll::layout;
use tuckroll::report::{self, Circumstances};
use tuckroll::write::{self, DxfOptions, Version};

/// Checks the layout and writes its report.
pub fn run(args: ReportArgs) -> Result<u8, Error> {
    let piped = args.out.as_os_str() == "-";
    for (typed, option) in [(args.json, "--json"), (args.replace, "--replace")] {
        if piped && typed {
            return Err(Error::input(
                option,
                "'-o -' prints the report only",
                "name a folder, or leave it out",
            ));
        }
    }
    let inputs = [args.layout.as_path(), &args.device];
    let open = || Folder::open(&args.out, Kind::Report, args.replace, &inputs);
    let folder = if piped { None } else { Some(open()?) };
    let source = Source::of(args.layout);
    let bytes = source.bytes()?;
    let layout = layout::read(&bytes, &source.name())?;
    proof::foreign(&layout, &source.name())?;
    // As the cut file and the stock name it, whatever the file's own blanks and order of keys.
    let layout_sha256 = &output::sha256(layout::write(&layout).as_bytes());
    // A nest says these, too: whatever the cut file has to warn of.
    let warnings = &write::dxf(&layout, &cut_file())?.warnings;
    let speeds = cut::device(&args.device)?.speeds;
    let cutting = Options { speeds, section_length: args.section_length, ..Options::default() };
    let known =
        Circumstances { layout_sha256, warnings, cutting: Some(&cutting), ..Circumstances::default() };
    let report = report::report(&layout, &known)?;
    let Some(folder) = folder else {
        say::out(report::write(&report).as_bytes())?;
        return Ok(0);
    };
    let files = folder.commit(&output::report_files(&report, &layout)?)?;
    let written = Written { layout: bytes, files, warnings: Vec::new() };
    result::tell_export(&layout, &written, args.json)?;
    Ok(0)
}

/// The cut file as it is written when nothing else is asked for.
fn cut_file() -> DxfOptions {
    DxfOptions { version: Version::R12, unit: Unit::Millimetre, labels: true, layout_sha256: None }
}

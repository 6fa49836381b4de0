//! `tuckroll schema`: the file formats as JSON Schema.

use super::args::{SchemaArgs, SchemaName};
use super::say;
use tuckroll::{Error, compare, floor, job, layout, report};

/// Prints the schema.
pub fn run(args: SchemaArgs) -> Result<u8, Error> {
    let text = match args.of {
        SchemaName::Job => job::schema(),
        SchemaName::Layout => layout::schema(),
        SchemaName::Kit => job::kits::kit_schema(),
        SchemaName::Stock => job::stock::schema(),
        SchemaName::Films => job::kits::films_schema(),
        SchemaName::Report => report::schema(),
        SchemaName::Comparison => compare::schema(),
        SchemaName::Plan => floor::plan::schema(),
        SchemaName::Device => floor::device::schema(),
    };
    say::out(format!("{}\n", text.trim_end()).as_bytes())?;
    Ok(0)
}

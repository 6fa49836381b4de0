//! How drawings are read and files written, for all commands.

use super::super::effort;
use clap::{Args, ValueEnum};
use tuckroll::job::Unit;

/// How drawings are read.
#[derive(Debug, Clone, Copy, Args)]
pub struct DrawingArgs {
    /// Let a straight cut stray from a drawn curve by at most so many mm.
    #[arg(long, value_name = "MM", default_value_t = CHORD_TOLERANCE, value_parser = effort::tolerance)]
    pub chord_tolerance: f64,
    /// Join line ends of a drawing that lie at most so many mm apart.
    #[arg(long, value_name = "MM", default_value_t = JOIN_TOLERANCE, value_parser = effort::tolerance)]
    pub join_tolerance: f64,
}

const CHORD_TOLERANCE: f64 = 0.02;
const JOIN_TOLERANCE: f64 = 0.05;

impl DrawingArgs {
    /// As they are typed with a job, with a blank before each; nothing for what is usual.
    pub fn words(&self, outside_files: bool) -> String {
        let mut words = String::new();
        for (option, value, usual) in
            [("chord", self.chord_tolerance, CHORD_TOLERANCE), ("join", self.join_tolerance, JOIN_TOLERANCE)]
        {
            if value.total_cmp(&usual).is_ne() {
                words += &format!(" --{option}-tolerance {value}");
            }
        }
        if outside_files { words + " --outside-files" } else { words }
    }
}

/// How cut files and patterns are written.
#[derive(Debug, Clone, Copy, Args)]
pub struct CutFileArgs {
    /// Replace the folder if it is there and holds an earlier result of this command and nothing else.
    #[arg(long)]
    pub replace: bool,
    /// Write the DXF file in this unit.
    #[arg(long, value_name = "UNIT", value_enum, default_value = "mm")]
    pub cut_unit: UnitName,
    /// Write this version of DXF.
    #[arg(long, value_name = "VERSION", value_enum, default_value = "r12")]
    pub dxf: DxfName,
}

impl CutFileArgs {
    /// An option that asks for something else than usual, where no file is written that it could change.
    pub fn vain(&self) -> Option<&'static str> {
        let usual = (self.cut_unit == UnitName::Mm, self.dxf == DxfName::R12);
        let asked = [("--replace", self.replace), ("--cut-unit", !usual.0), ("--dxf", !usual.1)];
        asked.into_iter().find(|(_, asked)| *asked).map(|(option, _)| option)
    }
}

/// Which files of a layout are written, and how.
#[derive(Debug, Clone, Copy, Args)]
pub struct FileArgs {
    #[command(flatten)]
    pub cut: CutFileArgs,
    /// Also write the preview as a picture, preview.png.
    #[arg(long)]
    pub png: bool,
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

//! What stands round the entities of a DXF file.
//!
//! R12 needs a header, line types and layers. From R2000 on every table, record and object
//! carries a handle and its owner's, and the model space is a block of its own: a reader
//! that finds one of these missing refuses the whole file. Layout of the sections: DXF
//! Reference (AutoCAD 2000 and 2010), chapters HEADER to OBJECTS.

use super::Version;
use super::pairs::Pairs;
use crate::job::Unit;
use crate::shape::{Bounds, Point};
use crate::write::Layer;

const ORIGIN: Point = Point { x: 0.0, y: 0.0 };

/// Handles that later records refer to.
pub(super) struct Spaces {
    model: u64,
    paper: u64,
}

impl Spaces {
    /// The owner of everything drawn.
    pub fn model(&self) -> u64 {
        self.model
    }
}

/// The header. `free_handle` is the first handle that no record uses.
pub(super) fn header(out: &mut Pairs, version: Version, unit: Unit, extent: Bounds, free_handle: u64) {
    let (insert_units, measurement) = match unit {
        Unit::Millimetre => (4, 1),
        Unit::Inch => (1, 0),
    };
    out.section("HEADER");
    out.variable("$ACADVER");
    out.text(1, version.code());
    if version != Version::R12 {
        out.variable("$DWGCODEPAGE");
        out.text(3, "ANSI_1252");
        out.variable("$HANDSEED");
        out.handle(5, free_handle);
    }
    out.variable("$INSBASE");
    out.point3(10, ORIGIN);
    out.variable("$EXTMIN");
    out.point3(10, extent.min);
    out.variable("$EXTMAX");
    out.point3(10, extent.max);
    // Two variables of newer versions; R12 has none for units, and its readers skip
    // variables that they do not know.
    out.variable("$INSUNITS");
    out.int(70, insert_units);
    out.variable("$MEASUREMENT");
    out.int(70, measurement);
    out.end_section();
}

/// The tables of R12: line types and layers.
pub(super) fn tables_r12(out: &mut Pairs) {
    out.section("TABLES");
    table_r12(out, "LTYPE", 1);
    out.text(0, "LTYPE");
    line_type_body(out, "CONTINUOUS", "Solid line");
    out.text(0, "ENDTAB");
    table_r12(out, "LAYER", Layer::ALL.len() as i64 + 1);
    for (name, colour, _) in layers() {
        out.text(0, "LAYER");
        out.text(2, name);
        out.int(70, 0);
        out.int(62, colour);
        out.text(6, "CONTINUOUS");
    }
    out.text(0, "ENDTAB");
    out.end_section();
}

fn table_r12(out: &mut Pairs, name: &str, records: i64) {
    out.text(0, "TABLE");
    out.text(2, name);
    out.int(70, records);
}

/// Name, colour and whether it is plotted, of every layer; layer `0` must exist.
fn layers() -> impl Iterator<Item = (&'static str, i64, bool)> {
    std::iter::once(("0", 7, true))
        .chain(Layer::ALL.iter().map(|l| (l.name(), l.dxf_colour(), l.is_worked())))
}

fn line_type_body(out: &mut Pairs, name: &str, description: &str) {
    out.text(2, name);
    out.int(70, 0);
    out.text(3, description);
    out.int(72, 65);
    out.int(73, 0);
    out.real(40, 0.0);
}

/// Tables from R2000 on, each with its handle.
struct Tables<'a> {
    out: &'a mut Pairs,
    /// Handle of the table that is open.
    table: u64,
}

/// The tables from R2000 on.
pub(super) fn tables(out: &mut Pairs) -> Spaces {
    out.section("CLASSES");
    out.end_section();
    out.section("TABLES");
    let mut t = Tables { out, table: 0 };
    t.view_port();
    t.line_types();
    t.layers();
    t.style();
    t.empty("VIEW");
    t.empty("UCS");
    t.application();
    t.dimension_style();
    let spaces = t.block_records();
    out.end_section();
    spaces
}

impl Tables<'_> {
    fn open(&mut self, name: &str, records: i64) {
        self.table = self.out.new_handle();
        self.out.text(0, "TABLE");
        self.out.text(2, name);
        self.out.handle(5, self.table);
        self.out.handle(330, 0);
        self.out.text(100, "AcDbSymbolTable");
        self.out.int(70, records);
    }

    fn close(&mut self) {
        self.out.text(0, "ENDTAB");
    }

    fn empty(&mut self, name: &str) {
        self.open(name, 0);
        self.close();
    }

    /// Starts a record and gives its handle, which stands under group code `code`.
    fn record(&mut self, kind: &str, code: u16, class: &str) -> u64 {
        let handle = self.out.new_handle();
        self.out.text(0, kind);
        self.out.handle(code, handle);
        self.out.handle(330, self.table);
        self.out.text(100, "AcDbSymbolTableRecord");
        self.out.text(100, class);
        handle
    }

    fn view_port(&mut self) {
        self.open("VPORT", 1);
        self.record("VPORT", 5, "AcDbViewportTableRecord");
        self.out.text(2, "*Active");
        self.out.int(70, 0);
        self.out.point(10, ORIGIN);
        self.out.point(11, Point { x: 1.0, y: 1.0 });
        self.out.point(12, Point { x: 500.0, y: 305.0 });
        self.out.point3(16, ORIGIN);
        self.out.real(36, 1.0);
        self.out.point3(17, ORIGIN);
        self.out.real(40, 1000.0);
        self.out.real(41, 2.0);
        self.close();
    }

    fn line_types(&mut self) {
        self.open("LTYPE", 3);
        for name in ["ByBlock", "ByLayer", "Continuous"] {
            self.record("LTYPE", 5, "AcDbLinetypeTableRecord");
            line_type_body(self.out, name, "");
        }
        self.close();
    }

    fn layers(&mut self) {
        self.open("LAYER", Layer::ALL.len() as i64 + 1);
        for (name, colour, plotted) in layers() {
            self.record("LAYER", 5, "AcDbLayerTableRecord");
            self.out.text(2, name);
            self.out.int(70, 0);
            self.out.int(62, colour);
            self.out.text(6, "Continuous");
            self.out.int(290, i64::from(plotted));
        }
        self.close();
    }

    fn style(&mut self) {
        self.open("STYLE", 1);
        self.record("STYLE", 5, "AcDbTextStyleTableRecord");
        self.out.text(2, "Standard");
        self.out.int(70, 0);
        self.out.real(40, 0.0);
        self.out.real(41, 1.0);
        self.out.real(50, 0.0);
        self.out.int(71, 0);
        self.out.real(42, 2.5);
        self.out.text(3, "txt");
        self.out.text(4, "");
        self.close();
    }

    fn application(&mut self) {
        self.open("APPID", 1);
        self.record("APPID", 5, "AcDbRegAppTableRecord");
        self.out.text(2, "ACAD");
        self.out.int(70, 0);
        self.close();
    }

    /// This table alone has a second class mark, and its records carry handles under 105.
    fn dimension_style(&mut self) {
        self.open("DIMSTYLE", 1);
        self.out.text(100, "AcDbDimStyleTable");
        self.record("DIMSTYLE", 105, "AcDbDimStyleTableRecord");
        self.out.text(2, "Standard");
        self.out.int(70, 0);
        self.close();
    }

    fn block_records(&mut self) -> Spaces {
        self.open("BLOCK_RECORD", 2);
        let mut record = |name: &str| {
            let handle = self.record("BLOCK_RECORD", 5, "AcDbBlockTableRecord");
            self.out.text(2, name);
            handle
        };
        let spaces = Spaces { model: record("*Model_Space"), paper: record("*Paper_Space") };
        self.close();
        spaces
    }
}

/// The blocks of model and paper space, both empty: what is drawn stands in ENTITIES.
pub(super) fn blocks(out: &mut Pairs, spaces: &Spaces) {
    out.section("BLOCKS");
    for (name, owner, paper) in [("*Model_Space", spaces.model, false), ("*Paper_Space", spaces.paper, true)]
    {
        block_mark(out, "BLOCK", "AcDbBlockBegin", owner, paper);
        out.text(2, name);
        out.int(70, 0);
        out.point3(10, ORIGIN);
        out.text(3, name);
        out.text(1, "");
        block_mark(out, "ENDBLK", "AcDbBlockEnd", owner, paper);
    }
    out.end_section();
}

fn block_mark(out: &mut Pairs, kind: &str, class: &str, owner: u64, paper: bool) {
    let handle = out.new_handle();
    out.text(0, kind);
    out.handle(5, handle);
    out.handle(330, owner);
    out.text(100, "AcDbEntity");
    if paper {
        out.int(67, 1);
    }
    out.text(8, "0");
    out.text(100, class);
}

/// The root dictionary with its one obligatory entry.
pub(super) fn objects(out: &mut Pairs) {
    let (root, groups) = (out.new_handle(), out.new_handle());
    out.section("OBJECTS");
    dictionary(out, root, 0);
    out.text(3, "ACAD_GROUP");
    out.handle(350, groups);
    dictionary(out, groups, root);
    out.end_section();
}

fn dictionary(out: &mut Pairs, handle: u64, owner: u64) {
    out.text(0, "DICTIONARY");
    out.handle(5, handle);
    out.handle(330, owner);
    out.text(100, "AcDbDictionary");
    out.int(281, 1);
}

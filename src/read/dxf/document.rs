//! Records and sections: which pairs belong to which entity, layer or block.

use super::form::{Form, pairs};
use super::pair::{Fault, Pair};
use crate::shape::Point;
use std::collections::BTreeMap;

/// Deepest nesting of `{` groups that other programs attach to an entity. They are skipped
/// without recursion; files nest two or three, and hundreds are an attack on other readers.
const DEEPEST_GROUP: usize = 64;

/// Most entities and other records of a file, and most pairs that are kept of them: far beyond any drawing of
/// panels, and taken apart they stay under a gigabyte together with all that is made of them.
const MOST_RECORDS: usize = 1_000_000;
const MOST_PAIRS: usize = 8_000_000;

/// What stands between one group code 0 and the next.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Record<'a> {
    /// What follows the 0.
    pub kind: &'a [u8],
    /// Where that 0 stands.
    pub at: usize,
    /// The pairs that describe it; what programs attached to it is left out.
    pub pairs: Vec<Pair<'a>>,
}

/// A block: a named group of entities.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Block<'a> {
    /// The record that opens it.
    pub head: Record<'a>,
    /// What it holds.
    pub entities: Vec<Record<'a>>,
}

/// The parts of a file that matter for its geometry.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Document<'a> {
    pub form: Form,
    /// The variables of the header and what stands behind each.
    pub header: BTreeMap<&'a [u8], Pair<'a>>,
    /// Comments, group code 999.
    pub comments: Vec<&'a [u8]>,
    /// Records of the layer table.
    pub layers: Vec<Record<'a>>,
    pub blocks: Vec<Block<'a>>,
    pub entities: Vec<Record<'a>>,
}

impl<'a> Document<'a> {
    /// Takes a file apart. It has to have an ENTITIES section and to end with EOF: without
    /// these it was cut short, and a panel may be missing.
    pub fn parse(bytes: &'a [u8]) -> Result<Self, Fault> {
        let mut parser = Parser::new(Form::of(bytes));
        let mut last = 0;
        for pair in pairs(bytes) {
            let pair = pair?;
            last = pair.at;
            if pair.code == 0 && pair.text() == b"EOF" {
                return parser.finish(pair.at);
            }
            parser.take(pair)?;
        }
        Err(Fault::new(last, "the file ends without EOF: it was cut short"))
    }
}

/// Which section the parser is in.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Section {
    None,
    Header,
    Tables,
    Blocks,
    Entities,
    Other,
}

/// Puts pairs together into records and files the records.
struct Parser<'a> {
    document: Document<'a>,
    section: Section,
    has_entities: bool,
    record: Option<Record<'a>>,
    /// Records begun and pairs kept so far.
    records: usize,
    pairs: usize,
    /// Depth of attached groups, of lists in attached data, and whether an embedded object has begun.
    groups: usize,
    lists: usize,
    embedded: bool,
}

impl<'a> Parser<'a> {
    fn new(form: Form) -> Self {
        let document = Document {
            form,
            header: BTreeMap::new(),
            comments: Vec::new(),
            layers: Vec::new(),
            blocks: Vec::new(),
            entities: Vec::new(),
        };
        Self {
            document,
            section: Section::None,
            has_entities: false,
            record: None,
            records: 0,
            pairs: 0,
            groups: 0,
            lists: 0,
            embedded: false,
        }
    }

    fn take(&mut self, pair: Pair<'a>) -> Result<(), Fault> {
        match pair.code {
            0 => {
                self.close_record()?;
                (self.groups, self.lists, self.embedded) = (0, 0, false);
                count(&mut self.records, MOST_RECORDS, "entities", pair.at)?;
                self.record = Some(Record { kind: pair.text(), at: pair.at, pairs: Vec::new() });
            }
            999 => self.document.comments.push(pair.text()),
            // What is not read may hold anything there: thumbnails end with `NAME}`, property sheets have plain names.
            102 if self.section != Section::Other => nest(&mut self.groups, &pair)?,
            1002 if self.section != Section::Other => nest(&mut self.lists, &pair)?,
            // An embedded object has group codes of its own, with other meanings.
            101 => self.embedded = true,
            1000.. => {}
            _ if self.groups > 0 || self.embedded => {}
            _ => self.keep(pair)?,
        }
        Ok(())
    }

    fn keep(&mut self, pair: Pair<'a>) -> Result<(), Fault> {
        let Some(record) = &mut self.record else {
            return Err(Fault::new(pair.at, "the file does not begin with a section"));
        };
        if record.kind == b"SECTION" && pair.code == 2 && self.section == Section::None {
            self.section = match pair.text() {
                b"HEADER" => Section::Header,
                b"TABLES" => Section::Tables,
                b"BLOCKS" => Section::Blocks,
                b"ENTITIES" => Section::Entities,
                _ => Section::Other,
            };
        } else if self.section != Section::Other {
            count(&mut self.pairs, MOST_PAIRS, "group codes", pair.at)?;
            record.pairs.push(pair);
        }
        Ok(())
    }

    fn close_record(&mut self) -> Result<(), Fault> {
        let Some(mut record) = self.record.take() else { return Ok(()) };
        record.pairs.shrink_to_fit();
        if self.groups > 0 {
            return Err(Fault::new(record.at, "a group that begins with `{` does not end"));
        }
        match (record.kind, self.section) {
            (b"ENDSEC", _) => self.section = Section::None,
            (b"SECTION", Section::Header) => self.header(&record.pairs),
            (b"SECTION", Section::Entities) => self.has_entities = true,
            (b"SECTION", _) => {}
            (_, Section::None) => {
                return Err(Fault::new(record.at, "a record stands outside of any section"));
            }
            (b"LAYER", Section::Tables) => self.document.layers.push(record),
            (b"BLOCK", Section::Blocks) => {
                self.document.blocks.push(Block { head: record, entities: Vec::new() });
            }
            (b"ENDBLK", Section::Blocks) => {}
            (_, Section::Blocks) => {
                if let Some(block) = self.document.blocks.last_mut() {
                    block.entities.push(record);
                }
            }
            (_, Section::Entities) => self.document.entities.push(record),
            _ => {}
        }
        Ok(())
    }

    /// A variable is a pair of code 9; the first pair behind it is its value.
    fn header(&mut self, pairs: &[Pair<'a>]) {
        for two in pairs.windows(2).filter(|two| two[0].code == 9 && two[1].code != 9) {
            self.document.header.insert(two[0].text(), two[1]);
        }
    }

    fn finish(mut self, at: usize) -> Result<Document<'a>, Fault> {
        self.close_record()?;
        if self.section != Section::None {
            return Err(Fault::new(at, "the file ends inside a section: ENDSEC is missing"));
        }
        if !self.has_entities {
            return Err(Fault::new(at, "there is no ENTITIES section"));
        }
        Ok(self.document)
    }
}

/// Counts one more of what there may be `most` of.
fn count(so_far: &mut usize, most: usize, what: &str, at: usize) -> Result<(), Fault> {
    *so_far += 1;
    if *so_far > most {
        let remedy = Some("split the drawing, or leave out what is not to be cut");
        return Err(Fault { remedy, ..Fault::new(at, format!("the file has more than {most} {what}")) });
    }
    Ok(())
}

/// Counts the depth of `{ … }`.
fn nest(depth: &mut usize, pair: &Pair) -> Result<(), Fault> {
    match pair.text() {
        [b'{', ..] => *depth += 1,
        [b'}', ..] => *depth = depth.saturating_sub(1),
        _ => {}
    }
    if *depth > DEEPEST_GROUP {
        return Err(Fault::new(pair.at, format!("groups are nested more than {DEEPEST_GROUP} deep")));
    }
    Ok(())
}

impl<'a> Record<'a> {
    /// The first pair with this code.
    pub fn find(&self, code: i32) -> Option<&Pair<'a>> {
        self.pairs.iter().find(|p| p.code == code)
    }

    /// The string of the first pair with this code.
    pub fn text(&self, code: i32) -> Option<&'a [u8]> {
        self.find(code).map(Pair::text)
    }

    /// The number of the first pair with this code, or `default` without one.
    pub fn real(&self, code: i32, default: f64) -> Result<f64, Fault> {
        self.find(code).map_or(Ok(default), Pair::real)
    }

    /// The integer of the first pair with this code, or `default` without one.
    pub fn whole(&self, code: i32, default: i64) -> Result<i64, Fault> {
        self.find(code).map_or(Ok(default), Pair::whole)
    }

    /// The point whose x has this code and whose y has the code ten above.
    pub fn point(&self, code: i32) -> Result<Point, Fault> {
        let missing = || Fault::new(self.at, format!("group code {code} or {} is missing", code + 10));
        let x = self.find(code).ok_or_else(missing)?.real()?;
        let y = self.find(code + 10).ok_or_else(missing)?.real()?;
        Ok(Point { x, y })
    }

    /// Checks every number that its group code promises.
    pub fn check(&self) -> Result<(), Fault> {
        self.pairs.iter().try_for_each(Pair::check)
    }
}

//! A second look at a written file with an independent reader.

use std::collections::BTreeMap;

use dxf::entities::EntityType;

use super::Count;
use crate::error::Error;
use crate::write::Layer;

/// Files above this size are not read again: the reader holds about 800 bytes for every
/// vertex, which is some twelve times the file.
pub(super) const LARGEST: usize = 8 << 20;

/// Reads the file back and compares what it holds with what was to be written.
pub(super) fn confirm(bytes: &[u8], expected: &BTreeMap<Layer, Count>) -> Result<(), Error> {
    if bytes.len() > LARGEST {
        return Ok(());
    }
    let fault = |what: String| Error::Internal(format!("the cut file does not read back: {what}"));
    let drawing = dxf::Drawing::load(&mut &*bytes).map_err(|e| fault(e.to_string()))?;
    let mut found: BTreeMap<String, Count> = BTreeMap::new();
    for entity in drawing.entities() {
        let (closed, vertices) = match &entity.specific {
            EntityType::Polyline(p) => (p.is_closed(), p.vertices().count()),
            EntityType::LwPolyline(p) => (p.is_closed(), p.vertices.len()),
            _ => return Err(fault("it holds something that is no polyline".into())),
        };
        let count = found.entry(entity.common.layer.clone()).or_default();
        count.vertices += vertices;
        *(if closed { &mut count.closed } else { &mut count.open }) += 1;
    }
    let expected: BTreeMap<_, _> = expected.iter().map(|(l, c)| (l.name().to_owned(), *c)).collect();
    if found == expected { Ok(()) } else { Err(fault(format!("{expected:?} became {found:?}"))) }
}

//! Layers: their names, and which of them are hidden.

use super::document::Document;
use super::text::Text;
use std::collections::BTreeMap;
use std::sync::Arc;

/// A layer that the file lists or that an entity names.
#[derive(Debug, Clone)]
pub(super) struct Layer {
    /// Its name as first written.
    pub name: Arc<str>,
    /// Nothing on it is shown.
    pub off: bool,
    /// Nothing on it is shown, and no block that is inserted on it.
    pub frozen: bool,
}

impl Layer {
    pub fn is_hidden(&self) -> bool {
        self.off || self.frozen
    }
}

/// All layers by name; upper and lower case are the same.
#[derive(Debug)]
pub(super) struct Layers(BTreeMap<String, Layer>);

impl Layers {
    /// Reads the layer table. Bit 1 of group 70 is frozen, a negative colour off
    /// (DXF Reference, LAYER).
    pub fn of(document: &Document, text: Text) -> Self {
        let mut layers = Self(BTreeMap::new());
        for record in &document.layers {
            let layer = layers.layer(&text.decode(record.text(2).unwrap_or_default()));
            layer.frozen = record.whole(70, 0).is_ok_and(|flags| flags & 1 != 0);
            layer.off = record.whole(62, 7).is_ok_and(|colour| colour < 0);
        }
        layers
    }

    fn layer(&mut self, name: &str) -> &mut Layer {
        let new = || Layer { name: name.into(), off: false, frozen: false };
        self.0.entry(name.to_lowercase()).or_insert_with(new)
    }

    /// The layer of this name; one that is not listed is shown.
    pub fn get(&mut self, name: &str) -> Layer {
        self.layer(name).clone()
    }
}

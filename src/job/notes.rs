//! The free object that a file may carry along.

use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::{Serialize, Serializer};
use serde_json::{Map, Value};
use std::borrow::Cow;
use std::ops::Deref;
use std::sync::Arc;

/// The free object that a file may carry along. It may be as large as a file, and goes from job to layout to every
/// file written: all of them share one.
#[derive(Debug, Clone, PartialEq)]
pub struct Notes(Arc<Map<String, Value>>);

impl From<Map<String, Value>> for Notes {
    fn from(object: Map<String, Value>) -> Self {
        Self(Arc::new(object))
    }
}

impl Deref for Notes {
    type Target = Map<String, Value>;

    fn deref(&self) -> &Self::Target {
        &self.0
    }
}

impl Serialize for Notes {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.0.serialize(serializer)
    }
}

impl JsonSchema for Notes {
    fn inline_schema() -> bool {
        Map::<String, Value>::inline_schema()
    }

    fn schema_name() -> Cow<'static, str> {
        Map::<String, Value>::schema_name()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        Map::<String, Value>::json_schema(generator)
    }
}

//! Schemas of what is given and taken.

use schemars::generate::SchemaSettings;
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde_json::{Map, Value};

/// Makes the schema of a type.
pub type Make = fn(&mut SchemaGenerator) -> Schema;

/// The schema of a type that is given or taken.
pub fn answers<T: JsonSchema>() -> Make {
    |generator| generator.subschema_for::<T>()
}

/// The fields of a type, each with its schema.
pub fn known(make: Make) -> Map<String, Value> {
    let mut generator =
        SchemaSettings::draft2020_12().with(|settings| settings.inline_subschemas = true).into_generator();
    match make(&mut generator).get("properties") {
        Some(Value::Object(fields)) => fields.clone(),
        _ => Map::new(),
    }
}

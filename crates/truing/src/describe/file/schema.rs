//! The vehicle file as a JSON Schema (draft 2020-12), made from the table of keys.

use crate::describe::file::key::{AnyKey, Need, Repeat, Section, Variant};
use crate::describe::file::keys::{KIND, ROOT, SECTIONS};
use serde_json::{Map, Value as Json, json};

/// The schema of the whole file.
pub fn vehicle_schema() -> Json {
    let mut schema = table(ROOT.keys);
    schema["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
    schema["title"] = json!("Vehicle file");
    schema["description"] = json!(ROOT.about);
    for section in SECTIONS {
        schema["properties"][section.name] = section_schema(section);
    }
    schema
}

/// A table with exactly these keys.
pub fn table(keys: &[&'static dyn AnyKey]) -> Json {
    let mut properties = Map::new();
    for key in keys {
        let mut schema = key.schema();
        schema["description"] = json!(key.about());
        properties.insert(key.name().to_string(), schema);
    }
    let required: Vec<&str> =
        keys.iter().filter(|key| key.need() == Need::Required).map(|key| key.name()).collect();
    json!({"type": "object", "properties": properties, "required": required, "additionalProperties": false})
}

fn section_schema(section: &Section) -> Json {
    let one = if section.variants.is_empty() {
        table(section.keys)
    } else {
        json!({"oneOf": section.variants.iter().map(|variant| variant_schema(section, variant)).collect::<Vec<_>>()})
    };
    let mut schema = match section.repeat {
        Repeat::Once => one,
        Repeat::Several => json!({"type": "array", "items": one}),
        Repeat::OnceOrSeveral => json!({"anyOf": [one.clone(), {"type": "array", "items": one}]}),
    };
    schema["description"] = json!(section.about);
    schema
}

fn variant_schema(section: &Section, variant: &Variant) -> Json {
    let keys: Vec<&'static dyn AnyKey> = section.keys.iter().chain(variant.keys).copied().collect();
    let mut schema = table(&keys);
    schema["description"] = json!(variant.about);
    schema["properties"][KIND] = json!({"const": variant.word});
    if let Some(required) = schema["required"].as_array_mut() {
        required.insert(0, json!(KIND));
    }
    schema
}

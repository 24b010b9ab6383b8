//! The description of the interface (OpenAPI 3.1), made from the table of operations and the types of its answers.

use super::answer::{CLIENT, ErrorAnswer};
use super::operations::operations;
use super::schema::{Make, answers};
use super::table::{Back, Body, InHead, Operation};
use crate::page::addresses::API;
use schemars::generate::SchemaSettings;
use schemars::{Schema, SchemaGenerator};
use serde_json::{Map, Value, json};

/// The whole description.
pub fn description() -> Value {
    let mut given = generator();
    // What is asked has defaults where what is given has none.
    let mut taken =
        SchemaSettings::draft2020_12().with(|settings| settings.inline_subschemas = true).into_generator();
    let mut paths: Map<String, Value> = Map::new();
    for operation in &operations().all {
        let path = paths.entry(format!("{API}{}", operation.path)).or_insert_with(|| json!({}));
        if let Value::Object(methods) = path {
            methods.insert(operation.method.into(), one(operation, &mut given, &mut taken));
        }
    }
    let error = schema(answers::<ErrorAnswer>(), &mut given);
    let says = format!(
        "The reports that the command line gives as JSON, of a garage that a local server shows. Every change needs the header \
         `{CLIENT}`; one of a vehicle file also `If-Match` with the version it was made from."
    );
    json!({
        "openapi": "3.1.0",
        "info": { "title": "waywiser", "version": env!("CARGO_PKG_VERSION"), "description": says },
        "servers": [{ "url": "http://127.0.0.1:7171" }],
        "paths": paths,
        "components": {
            "schemas": given.take_definitions(true),
            "responses": {
                "Error": {
                    "description": "What is wrong, and what to do.",
                    "content": { "application/json": { "schema": error } },
                },
                "Unusable": {
                    "description": "What was sent cannot be used as it is: a field that is not known, one of another type, \
                                    something a report cannot be made of. Everything wrong with it is named at once, each \
                                    with its place, what was expected, what was found and, where there is one, a hint.",
                    "content": { "application/json": { "schema": error, "example": unusable() } },
                },
            },
        },
    })
}

/// What a mistyped field comes to.
fn unusable() -> Value {
    json!({
        "error": "That cannot be used as it is",
        "says": "Nothing was changed. Go back, correct what is named here, and send it again.",
        "problems": [{
            "severity": "error", "source": "the address", "part": "resrve", "expected": "a field that is known here",
            "found": "`resrve`", "hint": "Did you mean `reserve`?",
        }],
    })
}

fn generator() -> SchemaGenerator {
    let settings = SchemaSettings::draft2020_12().for_serialize();
    settings.with(|settings| settings.definitions_path = "/components/schemas".into()).into_generator()
}

fn schema(make: Make, generator: &mut SchemaGenerator) -> Value {
    make(generator).to_value()
}

fn one(operation: &Operation, given: &mut SchemaGenerator, taken: &mut SchemaGenerator) -> Value {
    let mut parameters = path_parameters(operation.path);
    if let Some(query) = operation.query {
        parameters.extend(query_parameters(&query(taken)));
    }
    let changes = operation.method != "get";
    if changes {
        parameters
            .push(json!({ "name": CLIENT, "in": "header", "required": true, "schema": { "type": "string" },
            "description": "Any value: it shows that no other site made a browser send this." }));
    }
    if operation.head.contains(&InHead::Version) {
        parameters.push(
            json!({ "name": "If-Match", "in": "header", "required": true, "schema": { "type": "string" },
            "description": "The version of the vehicle file that the change was made from." }),
        );
    }
    if operation.head.contains(&InHead::Key) {
        parameters.push(
            json!({ "name": "Idempotency-Key", "in": "header", "required": false, "schema": { "type": "string" },
            "description": "A key of the sender's own. The same request under it again is answered with the same entry." }),
        );
    }
    let content = answer(operation.answer, given);
    let mut said = json!({
        "summary": operation.summary,
        "parameters": parameters,
        "responses": {
            "200": { "description": "The answer.", "content": content },
            "422": { "$ref": "#/components/responses/Unusable" },
            "default": { "$ref": "#/components/responses/Error" },
        },
    });
    if let (Some(body), Value::Object(said)) = (body(operation.body, taken), &mut said) {
        said.insert("requestBody".into(), body);
    }
    said
}

fn path_parameters(path: &str) -> Vec<Value> {
    let names = path.split('/').filter_map(|part| part.strip_prefix('{')?.strip_suffix('}'));
    let one =
        |name: &str| json!({ "name": name, "in": "path", "required": true, "schema": { "type": "string" } });
    names.map(one).collect()
}

/// Each field of the type of a query as a parameter.
fn query_parameters(query: &Schema) -> Vec<Value> {
    let Some(Value::Object(fields)) = query.get("properties") else { return Vec::new() };
    let one = |(name, field): (&String, &Value)| {
        let mut schema = field.clone();
        let described = schema.as_object_mut().and_then(|schema| schema.remove("description"));
        json!({ "name": name, "in": "query", "schema": schema, "description": described.unwrap_or_default() })
    };
    fields.iter().map(one).collect()
}

fn answer(answer: Back, given: &mut SchemaGenerator) -> Value {
    match answer {
        Back::Json(make) => json!({ "application/json": { "schema": schema(make, given) } }),
        Back::File(kinds) => {
            kinds.iter().map(|kind| ((*kind).to_string(), json!({}))).collect::<Map<_, _>>().into()
        }
    }
}

fn body(body: Body, taken: &mut SchemaGenerator) -> Option<Value> {
    let content = |kind: &str, schema: Value| {
        let mut content = Map::new();
        content.insert(kind.into(), json!({ "schema": schema }));
        Some(json!({ "required": true, "content": content }))
    };
    match body {
        Body::Nothing => None,
        Body::Json(make) => content("application/json", schema(make, taken)),
        Body::VehicleFile => content("application/toml", json!({ "type": "string" })),
        Body::Bytes => content("application/octet-stream", json!({})),
        Body::Files(make) => content("multipart/form-data", schema(make, taken)),
    }
}

//! What a program sends: the query of an address, a JSON object, a form with files. What is not known there or cannot be
//! read is told field by field, all at once, with the nearest known word; the fields are those of the description.

use super::answer::ApiError;
use super::schema::{answers, known};
use crate::page::app::Shared;
use crate::page::error::PageError;
use crate::page::form::whole;
use crate::page::upload::Received;
use axum::extract::{FromRequest, FromRequestParts, Request};
use axum::http::request::Parts;
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use schemars::JsonSchema;
use serde::de::DeserializeOwned;
use serde_json::{Map, Value};
use truing::nearest;
use truing::problem::Problem;

/// What stands in the query of an address. A field left blank is left out.
pub struct Asked<T>(pub T);

/// A JSON object that was sent; nothing at all is an empty one.
pub struct Sent<T>(pub T);

/// A text that was sent.
pub struct Text(pub String);

const ADDRESS: &str = "the address";
const BODY: &str = "the body";

impl<T: DeserializeOwned + JsonSchema> FromRequestParts<Shared> for Asked<T> {
    type Rejection = ApiError;

    async fn from_request_parts(parts: &mut Parts, _: &Shared) -> Result<Self, ApiError> {
        Ok(Self(queried(parts)?))
    }
}

fn queried<T: DeserializeOwned + JsonSchema>(parts: &Parts) -> Result<T, PageError> {
    let query = parts.uri.query().unwrap_or_default();
    let pairs: Vec<(String, String)> = serde_urlencoded::from_str(query).unwrap_or_default();
    let said: Vec<(String, String)> =
        pairs.into_iter().filter(|(_, value)| !value.trim().is_empty()).collect();
    let read = |fields: &[(String, String)]| {
        let text = serde_urlencoded::to_string(fields).map_err(|error| error.to_string())?;
        serde_urlencoded::from_str(&text).map_err(|error| error.to_string())
    };
    fields_read::<T, String>(ADDRESS, &said, &read)
}

impl<T: DeserializeOwned + JsonSchema> FromRequest<Shared> for Sent<T> {
    type Rejection = ApiError;

    async fn from_request(request: Request, _: &Shared) -> Result<Self, ApiError> {
        let bytes = whole(request.into_body()).await?;
        let fields: Vec<(String, Value)> = object(&bytes)?.into_iter().collect();
        let read = |fields: &[(String, Value)]| {
            let object: Map<String, Value> = fields.iter().cloned().collect();
            serde_json::from_value(Value::Object(object)).map_err(|error| error.to_string())
        };
        Ok(Self(fields_read::<T, Value>(BODY, &fields, &read)?))
    }
}

impl FromRequest<Shared> for Text {
    type Rejection = ApiError;

    async fn from_request(request: Request, _: &Shared) -> Result<Self, ApiError> {
        let bytes = whole(request.into_body()).await?;
        let text = String::from_utf8(bytes).map_err(|_| {
            let problem = Problem::error(BODY, "text in UTF-8", "other bytes");
            PageError::unusable(problem.hint("Save it as UTF-8 text and send it again."))
        });
        Ok(Self(text?))
    }
}

/// The object that a body holds.
fn object(bytes: &[u8]) -> Result<Map<String, Value>, PageError> {
    let bytes = if bytes.iter().all(u8::is_ascii_whitespace) { b"{}" } else { bytes };
    let problem = match serde_json::from_slice(bytes) {
        Ok(Value::Object(fields)) => return Ok(fields),
        Ok(other) => Problem::error(BODY, "a JSON object", kind_of(&other)),
        Err(error) => {
            let found = error.to_string();
            let found = found.split(" at line ").next().unwrap_or_default().to_string();
            let place = format!("column {}", error.column());
            Problem::error(BODY, "a JSON object", found).at_line(error.line()).in_part(place)
        }
    };
    Err(PageError::unusable(problem.hint("Send an object of fields, such as {\"text\": \"quiet road\"}.")))
}

fn kind_of(value: &Value) -> &'static str {
    match value {
        Value::Null => "null",
        Value::Bool(_) => "true or false",
        Value::Number(_) => "a number",
        Value::String(_) => "a text",
        Value::Array(_) => "a list",
        Value::Object(_) => "an object",
    }
}

/// Reads fields: all of them, or every problem with them. Each field of these types may be left out, so each can be read
/// alone, and what cannot is the one that is wrong.
fn fields_read<T: JsonSchema, V: ToString>(
    source: &str,
    fields: &[(String, V)],
    read: &impl Fn(&[(String, V)]) -> Result<T, String>,
) -> Result<T, PageError> {
    let known = known(answers::<T>());
    let wrong = |(place, (name, value)): (usize, &(String, V))| {
        let Some(schema) = known.get(name) else { return Some(unknown(source, name, &known)) };
        let problem = |expected: String, found: String| Problem::error(source, expected, found).in_part(name);
        if fields.iter().take(place).any(|(before, _)| before == name) {
            return Some(problem("each field once".into(), "it twice".into()));
        }
        let found = format!("`{}`", value.to_string());
        read(fields.get(place..=place)?).err().map(|_| problem(expected(schema), found))
    };
    let problems: Vec<Problem> = fields.iter().enumerate().filter_map(wrong).collect();
    if !problems.is_empty() {
        return Err(PageError::unusable(problems));
    }
    read(fields)
        .map_err(|found| PageError::unusable(Problem::error(source, "fields that go together", found)))
}

/// Refuses a query where nothing can be asked.
pub async fn nothing_asked(request: Request, next: Next) -> Response {
    let (parts, body) = request.into_parts();
    match queried::<()>(&parts) {
        Ok(()) => next.run(Request::from_parts(parts, body)).await,
        Err(error) => ApiError::from(error).into_response(),
    }
}

fn unknown(source: &str, name: &str, known: &Map<String, Value>) -> Problem {
    let names = known.keys().map(String::as_str);
    let problem = Problem::error(source, "a field that is known here", format!("`{name}`"));
    problem.in_part(name).hint(nearest::hint_for(name, names))
}

/// What a field takes, in words.
fn expected(schema: &Value) -> String {
    let words = words_of(schema);
    if !words.is_empty() {
        return format!("one of {}", words.join(", "));
    }
    let either = schema["anyOf"].as_array().and_then(|all| all.first()).unwrap_or(schema);
    let of = &either["type"];
    let of = of.as_str().or_else(|| of.as_array()?.first()?.as_str()).unwrap_or_default();
    match of {
        "integer" => "a whole number that is not negative",
        "number" => "a number",
        "boolean" => "true or false",
        "object" => "an object with a text for each name",
        "array" => "a list",
        _ => "a text",
    }
    .into()
}

/// The words that a field is limited to.
fn words_of(schema: &Value) -> Vec<&str> {
    let listed = schema["enum"].as_array().into_iter().flatten().filter_map(Value::as_str);
    let each = schema["oneOf"].as_array().into_iter().flatten().filter_map(|one| one["const"].as_str());
    listed.chain(each).collect()
}

/// Refuses a form with files that holds fields nobody here asks for.
pub fn form<T: JsonSchema>(received: &Received) -> Result<(), PageError> {
    let known = known(answers::<T>());
    let named = received.fields.keys().chain(received.files.iter().map(|(field, _)| field));
    let problems: Vec<Problem> = named
        .filter(|name| !known.contains_key(*name))
        .map(|name| unknown("the form", name, &known))
        .collect();
    if problems.is_empty() { Ok(()) } else { Err(PageError::unusable(problems)) }
}

//! The description of the programming interface that is checked in is the one the program gives.
//!
//! After a change of the interface: `WRITE_OPENAPI=1 cargo test -p waywiser --test openapi`, and look at the difference.

#![allow(clippy::unwrap_used, clippy::disallowed_methods, reason = "what is tested is the file itself")]

use serde_json::Value;
use std::path::Path;

fn file() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("openapi.json")
}

#[test]
fn the_description_is_up_to_date() {
    let now = format!("{:#}\n", waywiser::page::description());
    if std::env::var_os("WRITE_OPENAPI").is_some() {
        std::fs::write(file(), &now).unwrap();
    }
    let kept = std::fs::read_to_string(file()).unwrap();
    assert!(
        kept == now,
        "crates/waywiser/openapi.json is not what the program gives; see the head of this test"
    );
}

/// Every reference leads to something, every operation says what comes back, and every change names the header.
#[test]
fn the_description_is_whole() {
    let whole = waywiser::page::description();
    assert_eq!(whole["openapi"], "3.1.0");
    let mut references = Vec::new();
    gather(&whole, &mut references);
    assert!(references.len() > 30, "{} references", references.len());
    for reference in &references {
        let place = reference.strip_prefix('#').unwrap();
        assert!(whole.pointer(place).is_some(), "{reference} leads nowhere");
    }
    let paths = whole["paths"].as_object().unwrap();
    let operations = paths.values().flat_map(|path| path.as_object().unwrap());
    let (mut changes, mut files) = (0, 0);
    for (method, operation) in operations {
        let content = operation["responses"]["200"]["content"].as_object().unwrap();
        match content.get("application/json") {
            Some(json) => assert!(json["schema"].is_object(), "{operation}"),
            // A file to read says of which type it is.
            None => {
                assert!(
                    method == "get" && content.len() == 1 && content.keys().all(|kind| kind.contains('/'))
                );
                files += 1;
            }
        }
        let parameters = operation["parameters"].as_array().unwrap();
        let names: Vec<&str> = parameters.iter().filter_map(|one| one["name"].as_str()).collect();
        assert_eq!(method != "get", names.contains(&"waywiser-client"), "{method} {operation}");
        changes += usize::from(method != "get");
    }
    assert!(changes >= 13 && paths.len() >= 28, "{changes} changes, {} paths", paths.len());
    assert_eq!(files, 8, "two of a signal, three of the record, a vehicle file, two of a paper");
}

fn gather(value: &Value, references: &mut Vec<String>) {
    match value {
        Value::Object(fields) => {
            references.extend(fields.get("$ref").and_then(Value::as_str).map(str::to_string));
            fields.values().for_each(|field| gather(field, references));
        }
        Value::Array(items) => items.iter().for_each(|item| gather(item, references)),
        _ => {}
    }
}

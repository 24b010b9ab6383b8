//! How logs are to be read, in the words of the command line.

use crate::describe::file::document::Node;
use crate::describe::file::key::Kind;
use crate::logs::can::CanSignal;
use crate::logs::csv::CsvOptions;
use crate::problem::Problem;
use serde_json::{Value as Json, json};

/// A choice of columns of a CSV log.
pub struct Columns;

impl Kind for Columns {
    type Out = CsvOptions;
    fn read(node: &Node<'_>) -> Option<CsvOptions> {
        written::<Self, _>(node, CsvOptions::parse)
    }
    fn expected() -> String {
        "columns with their units, such as \"time=t s, speed=v km/h\"".into()
    }
    fn schema() -> Json {
        json!({"type": "string", "minLength": 1})
    }
}

/// A signal of a CAN log.
pub struct CanSignalText;

impl Kind for CanSignalText {
    type Out = CanSignal;
    fn read(node: &Node<'_>) -> Option<CanSignal> {
        written::<Self, _>(node, CanSignal::parse)
    }
    fn expected() -> String {
        "a signal, such as \"id=0x61D byte=4 length=14 order=little factor=0.025 unit=km/h\"".into()
    }
    fn schema() -> Json {
        json!({"type": "string", "minLength": 1})
    }
}

/// What a text says; the reader of the text knows best what is wrong with it, the node where it stands.
fn written<K: Kind, T>(node: &Node<'_>, read: impl Fn(&str) -> Result<T, Problem>) -> Option<T> {
    let Some(text) = node.value.as_str().map(str::trim).filter(|text| !text.is_empty()) else {
        return node.not_a::<K, _>("Put the text in quotes");
    };
    match read(text) {
        Ok(value) => Some(value),
        Err(Problem { part, expected, found, hint, .. }) => {
            let part = part.map(|part| format!(" {part}")).unwrap_or_default();
            let node = Node { part: format!("{}{part}", node.part), ..node.clone() };
            node.wrong(expected, found, hint)
        }
    }
}

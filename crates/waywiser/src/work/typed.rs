//! What is typed into a flag, and flags as words of a command.

use metrology::text;
use std::ffi::OsString;
use truing::problem::{Field, Problem, Problems};

/// A flag with its value in one word, so that no value is taken for a flag.
pub fn with_value(flag: &str, value: OsString) -> OsString {
    let mut word = OsString::from(format!("{flag}="));
    word.push(value);
    word
}

/// A typed value that cannot be read, as a problem of its field.
pub fn typed(field: Field, error: &text::TextError) -> Problems {
    Problems::from(
        Problem::error(field, error.expected.clone(), error.found.clone()).hint(error.hint.clone()),
    )
}

/// The text of a field that may be left out.
pub fn given(text: &str) -> Option<&str> {
    Some(text.trim()).filter(|text| !text.is_empty())
}

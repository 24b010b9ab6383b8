//! The vehicle file as a whole: what is read, what is refused, and that everything declared is looked at.

mod chains;
mod problems;
mod settings;
mod table;
mod whole_files;

/// The example of the manual.
const EXAMPLE: &str = include_str!("example.toml");

/// What a file gives as problems, one line each.
fn problems_of(text: &str) -> Vec<String> {
    super::Vehicle::read("truck.toml", text).1.iter().map(ToString::to_string).collect()
}

//! What is told where a library that makes certificates or encrypts says no.

use truing::problem::Problem;

/// What was to be made, and why it was not.
pub fn failed(what: &str, error: &dyn std::fmt::Display) -> Box<Problem> {
    Box::new(Problem::error("encryption", what, error.to_string()))
}

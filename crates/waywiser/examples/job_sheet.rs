//! Writes a job sheet of an invented truck to the standard output, to be looked at.

#[path = "../tests/samples/mod.rs"]
mod samples;

use std::io::{self, Write};

fn main() -> io::Result<()> {
    let which = std::env::args().nth(1).unwrap_or_default();
    let document = if which == "hard" { samples::hard() } else { samples::usual() };
    io::stdout().write_all(waywiser::paper::html(&document, &samples::info()).as_bytes())
}

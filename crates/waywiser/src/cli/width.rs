//! How wide lines are.

/// Widest line of a sentence: longer ones are hard to read.
const WIDEST: usize = 96;
/// Narrower than this no line is made.
const NARROWEST: usize = 40;

/// The width for standard output: that of the terminal or of `COLUMNS`, within what can be read.
pub fn width() -> usize {
    let said = std::env::var("COLUMNS").ok().and_then(|columns| columns.trim().parse().ok());
    let seen = || terminal_size::terminal_size_of(std::io::stdout()).map(|(width, _)| usize::from(width.0));
    said.or_else(seen).unwrap_or(WIDEST).clamp(NARROWEST, WIDEST)
}

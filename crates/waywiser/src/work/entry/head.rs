//! The head of the record as it stands on paper.

use crate::ledger::Ledger;
use truing::problem::{Problem, Problems};
use truing::record::Hash;

/// Fewer digits than a foot holds tell nothing apart for certain.
const FEWEST_DIGITS: usize = 16;

/// The hash that stands on paper, whole or as the foot of a paper has it, by its beginning.
pub fn head_on_paper(text: &str, reads: impl FnOnce() -> Result<Ledger, Problems>) -> Result<Hash, Problems> {
    let digits: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    let is_beginning = (FEWEST_DIGITS..64).contains(&digits.len());
    if !is_beginning || !digits.chars().all(|digit| digit.is_ascii_hexdigit()) {
        return Hash::read(text).map_err(Problems::from);
    }
    reads()?.hash_that_begins(&digits)?.ok_or_else(|| {
        let problem = Problem::error("record", format!("an entry whose hash begins with {digits}"), "none");
        Problems::from(problem.hint(
            "Entries were cut off or written again since the hash was written down, or it was mistyped.",
        ))
    })
}

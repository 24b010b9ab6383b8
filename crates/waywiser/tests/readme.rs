//! The README's commands are run, and their output is what the README shows.
//!
//! `WRITE_README=1 cargo test -p waywiser --test readme` writes the outputs again: lines with `...` keep what they show, and are
//! only checked; where they are out of date, that is said.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test that cannot go on fails; tests read files"
)]

mod told;

use told::{example, root, told};

/// A README that is longer is not read.
const LINES: usize = 130;

#[test]
fn the_readme_shows_what_its_commands_say() {
    let path = root().join("README.md");
    let readme = std::fs::read_to_string(&path).unwrap();
    let told = told(&readme, &example("readme"));
    if std::env::var_os("WRITE_README").is_some() {
        std::fs::write(&path, &told.made).unwrap();
        assert!(told.by_hand.is_empty(), "to be changed by hand:\n{}", told.wrong.join("\n"));
        return;
    }
    assert!(told.commands >= 3, "the example is gone");
    assert!(readme.lines().count() <= LINES, "the long example stands in the manual");
    assert!(told.wrong.is_empty(), "the README is out of date:\n{}", told.wrong.join("\n"));
}

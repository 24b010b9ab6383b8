//! Exported records: taken in, and held against a signed paper.

use crate::ledger::Ledger;
use crate::world;
use std::path::Path;
use truing::problem::Problems;
use truing::record::LineReader;
use truing::report::answers::record::ImportReport;
use truing::report::answers::record_head::{Verifier, VerifyReport};

/// Takes an exported record into another: all of it or nothing.
pub fn take_in(ledger: &mut Ledger, file: &Path, any_times: bool) -> Result<ImportReport, Problems> {
    let taken = ledger.take_in(any_times, |take| {
        let mut reader = LineReader::new(&file.display().to_string());
        let fed = world::feed(file, |bytes| reader.feed(bytes, &mut *take));
        let mut problems = reader.finish(take);
        problems.extend(fed.unwrap_or_else(|problem| Some(*problem)));
        problems
    })?;
    Ok(ImportReport { added: taken.added, in_file: taken.in_file })
}

/// Holds an export against what was typed from a sheet.
pub fn verified(file: &Path, sheet_code: &str) -> Result<VerifyReport, Problems> {
    let mut verifier = Verifier::new(sheet_code)?;
    let mut reader = LineReader::new(&file.display().to_string());
    let fed = world::feed(file, |bytes| reader.feed(bytes, |entry| verifier.feed(entry)));
    let damage = fed?;
    let mut problems = reader.finish(|entry| verifier.feed(entry));
    problems.extend(damage);
    Ok(verifier.finish(problems))
}

/// The time now as it may stand in the name of a file.
pub fn stamp() -> String {
    world::now().to_string().chars().take(19).map(|c| if c == ':' { '-' } else { c }).collect()
}

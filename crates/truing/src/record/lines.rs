//! The record as JSON Lines (RFC 8259 objects, one a line, each line ended by a line feed).
//!
//! ```text
//! {"sequence":1,"time":"2026-05-02T10:00:00Z","vehicle":"..","kind":"note",      <- all of it
//!  "fields":{"text":".."},"previous":"00..","hash":"e4.."}                        <- on one line
//! ```
//! Keys stand in this order, fields in the order of their names, without spaces between; the time is RFC 3339
//! in UTC; hashes are 64 small hexadecimal digits. A line must be what the export writes, byte for byte: so a
//! change of any byte of the file shows, even one that would mean the same.

use super::canonical::Hash;
use super::chain::{Chain, Entry};
use super::event::{Draft, EventKind};
use crate::problem::Problem;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Line {
    sequence: u64,
    time: String,
    vehicle: String,
    kind: String,
    fields: BTreeMap<String, String>,
    previous: String,
    hash: String,
}

/// The whole chain as JSON Lines.
pub fn export(chain: &Chain) -> String {
    chain.entries().iter().map(|entry| export_entry(entry) + "\n").collect()
}

/// One entry as a line, without its line feed.
pub fn export_entry(entry: &Entry) -> String {
    let event = &entry.event;
    let line = Line {
        sequence: entry.sequence,
        time: event.time.to_string(),
        vehicle: event.vehicle.clone(),
        kind: event.kind.word().to_string(),
        fields: event.fields.clone(),
        previous: entry.previous.to_string(),
        hash: entry.hash.to_string(),
    };
    // Text and whole numbers alone always serialise.
    serde_json::to_string(&line).unwrap_or_default()
}

/// Reads JSON Lines. What could be read is returned with a problem for every line that could not; the chain
/// is then still to be checked ([`Chain::check`]).
pub fn import(source: &str, text: &str) -> (Chain, Vec<Problem>) {
    let (mut entries, mut reader) = (Vec::new(), LineReader::new(source));
    reader.feed(text.as_bytes(), |entry| entries.push(entry));
    let problems = reader.finish(|entry| entries.push(entry));
    (Chain::from_entries(entries), problems)
}

/// Reads JSON Lines as they come in and holds one line at a time: what could be read is given on at once, and every
/// line that could not becomes a problem.
pub struct LineReader {
    source: String,
    lines: usize,
    held: Vec<u8>,
    problems: Vec<Problem>,
    wrong: usize,
}

/// Lines told of one by one; of further ones their number is.
const MOST_TOLD: usize = 10;
/// Entries hold a vehicle file at most, whose readers take 16 MB; JSON may write each byte of it as six.
const LONGEST_LINE_BYTES: usize = 96 << 20;

impl LineReader {
    /// A reader of the file of this name.
    pub fn new(source: &str) -> Self {
        Self { source: source.to_string(), lines: 0, held: Vec::new(), problems: Vec::new(), wrong: 0 }
    }

    /// Takes the next bytes, cut anywhere.
    pub fn feed(&mut self, bytes: &[u8], mut take: impl FnMut(Entry)) {
        for piece in bytes.split_inclusive(|byte| *byte == b'\n') {
            // What is longer is no entry, and is not kept to be told so.
            let room = (LONGEST_LINE_BYTES + 1).saturating_sub(self.held.len());
            self.held.extend_from_slice(&piece[..piece.len().min(room)]);
            if piece.len() > room && piece.ends_with(b"\n") {
                self.held.push(b'\n');
            }
            if self.held.pop_if(|byte| *byte == b'\n').is_some() {
                self.line(&mut take);
            }
        }
    }

    /// Every line that could not be read, and whether the file was cut off.
    pub fn finish(mut self, mut take: impl FnMut(Entry)) -> Vec<Problem> {
        if !self.held.is_empty() {
            self.line(&mut take);
            let problem = Problem::error(&self.source, "a line feed at the end", "none");
            self.problems.push(problem.hint("The file was cut off. Look for a whole copy."));
        }
        if self.wrong > MOST_TOLD {
            let found = format!("{} lines of {} that are none", self.wrong, self.lines);
            let problem = Problem::error(&self.source, "an entry of the record in each line", found);
            let hint =
                format!("The first {MOST_TOLD} are named. Is it the right file, an export of a record?");
            self.problems.push(problem.hint(hint));
        }
        self.problems
    }

    fn line(&mut self, take: &mut impl FnMut(Entry)) {
        self.lines += 1;
        match std::str::from_utf8(&self.held).map_err(|_| no_text()).and_then(import_entry) {
            Ok(entry) => take(entry),
            Err(problem) => {
                self.wrong += 1;
                if self.wrong > MOST_TOLD {
                    self.held.clear();
                    return;
                }
                let problem = problem.at_line(self.lines);
                self.problems.push(Problem { source: (&self.source).into(), ..problem });
            }
        }
        self.held.clear();
    }
}

fn no_text() -> Problem {
    Problem::error("", "text in UTF-8", "other bytes").hint("The line is damaged. Look for an older copy.")
}

/// Reads one line, without its line feed.
pub fn import_entry(text: &str) -> Result<Entry, Problem> {
    let line: Line = serde_json::from_str(text).map_err(|error| {
        Problem::error("", "an entry of the record", error.to_string())
            .hint("The line is damaged. Look for an older copy.")
    })?;
    let time = line.time.parse().map_err(|_| {
        Problem::error("", "a time such as 2026-05-02T10:00:00Z", &line.time)
            .in_part("time")
            .hint("The line is damaged.")
    })?;
    let kind = EventKind::read(&line.kind)?;
    let event = Draft { time, vehicle: line.vehicle, kind, fields: line.fields };
    let (previous, hash) = (Hash::read(&line.previous)?, Hash::read(&line.hash)?);
    let entry = Entry { sequence: line.sequence, event, previous, hash };
    if export_entry(&entry) == text {
        return Ok(entry);
    }
    Err(Problem::error("", "the line exactly as it was exported", "other spacing, order or spelling")
        .hint("The file was changed by a program or by hand since it was exported. Take the export itself."))
}

//! Many troubles of one kind become one problem with a count.
//!
//! What is told never holds a coordinate: cells are described by their [`shape`], digits hidden.

use crate::problem::{Named, Problem, Severity, Wording};

/// Longest quotation from an input, in characters.
const QUOTE_CHARS: usize = 40;

#[derive(Debug)]
struct Entry {
    severity: Severity,
    part: String,
    expected: &'static str,
    found: String,
    hint: &'static str,
    field: Option<Named>,
    first_line: usize,
    last_line: usize,
    count: usize,
}

/// One sort of trouble: the same expectation in the same part of the input.
#[derive(Copy, Clone, Debug)]
pub(crate) struct Kind<'a> {
    pub(crate) severity: Severity,
    pub(crate) part: &'a str,
    pub(crate) expected: &'static str,
    pub(crate) hint: &'static str,
}

/// Counts troubles by kind and remembers the first and the last line of each.
#[derive(Debug, Default)]
pub(crate) struct Tally {
    entries: Vec<Entry>,
}

impl Tally {
    /// Counts one; `found` is only called for the first of its kind.
    pub(crate) fn count(&mut self, kind: Kind<'_>, line: usize, found: impl FnOnce() -> String) {
        self.count_naming(kind, None, line, found);
    }

    /// Counts one whose hint ends with the name of a field.
    pub(crate) fn count_naming(
        &mut self,
        kind: Kind<'_>,
        field: Option<Named>,
        line: usize,
        found: impl FnOnce() -> String,
    ) {
        let known = |entry: &&mut Entry| entry.expected == kind.expected && entry.part == kind.part;
        if let Some(entry) = self.entries.iter_mut().find(known) {
            entry.count += 1;
            entry.last_line = line;
            return;
        }
        self.entries.push(Entry {
            severity: kind.severity,
            part: kind.part.to_owned(),
            expected: kind.expected,
            found: found(),
            hint: kind.hint,
            field,
            first_line: line,
            last_line: line,
            count: 1,
        });
    }

    /// One problem per kind, in the order in which they were first met.
    pub(crate) fn into_problems(self, source: &str) -> impl Iterator<Item = Problem> {
        self.entries.into_iter().map(move |entry| {
            let found = match entry.count {
                1 => entry.found,
                count => format!("{} ({count} times, last on line {})", entry.found, entry.last_line),
            };
            Problem::new(entry.severity, source, entry.expected, found)
                .at_line(entry.first_line)
                .in_part(entry.part)
                .hint(entry.field.into_iter().fold(Wording::from(entry.hint), Wording::field))
        })
    }
}

/// A short quotation.
pub(crate) fn quote(found: &str) -> String {
    let shown: String = found.chars().take(QUOTE_CHARS).filter(|sign| !sign.is_control()).collect();
    let more = if found.chars().nth(QUOTE_CHARS).is_some() { "..." } else { "" };
    format!("\"{shown}{more}\"")
}

/// How a cell is written, its digits hidden: a damaged row may hold a coordinate where something else belongs.
pub(crate) fn shape(cell: &str) -> String {
    if cell.trim().is_empty() {
        return "nothing".to_owned();
    }
    format!("text like {}", quote(&cell.replace(|sign: char| sign.is_numeric(), "#")))
}

#[cfg(test)]
mod tests {
    use super::*;

    const TIME: Kind<'static> =
        Kind { severity: Severity::Warning, part: "time", expected: "a time", hint: "look at it" };

    #[test]
    fn one_problem_per_kind() {
        let mut tally = Tally::default();
        for line in [3, 7, 12] {
            tally.count(TIME, line, || quote("soon"));
        }
        tally.count(Kind { part: "speed", ..TIME }, 8, || quote("fast"));
        let problems: Vec<Problem> = tally.into_problems("log").collect();
        assert_eq!(problems.len(), 2);
        assert_eq!(
            problems[0].to_string(),
            "log, line 3, time: expected a time; found \"soon\" (3 times, last on line 12). look at it"
        );
        assert_eq!(problems[1].found, "\"fast\"");
    }

    #[test]
    fn quotations_are_short_and_clean() {
        assert_eq!(quote(&"x".repeat(50)), format!("\"{}...\"", "x".repeat(40)));
        assert_eq!(quote("a\nb"), "\"ab\"");
        assert_eq!(shape("05/24/2019 11:50 PM"), "text like \"##/##/#### ##:## PM\"");
        assert_eq!(shape(" "), "nothing");
    }
}

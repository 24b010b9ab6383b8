//! Text to records: quotes honoured, unpaired ones survived, lines counted.

use super::super::signs::places;
use super::super::tally::{Kind, Tally};
use super::super::text::{LONGEST_PIECE_BYTES, LineCounter};
use super::separator::{Separator, cells_between_blanks, find_separator};
use crate::problem::Severity;
use ::csv::{ReaderBuilder, StringRecord};
use core::ops::Range;

/// A quoted cell that runs over more lines than this comes from a quotation mark without its partner.
const LONGEST_CELL_LINES: usize = 100;

const UNPAIRED_QUOTE: Kind<'static> = Kind {
    severity: Severity::Warning,
    part: "row",
    expected: "rows that end within 100 lines and 1 MiB",
    hint: "from that line on quotation marks were taken as plain signs",
};

/// The cells of one record.
#[derive(Copy, Clone, Debug)]
pub(in super::super) struct Cells<'a> {
    text: &'a str,
    bounds: &'a [Range<usize>],
}

impl<'a> Cells<'a> {
    /// Cells at these places in a text.
    pub(in super::super) fn new(text: &'a str, bounds: &'a [Range<usize>]) -> Self {
        Self { text, bounds }
    }

    /// Other cells of the same text.
    pub(super) fn with_bounds(self, bounds: &'a [Range<usize>]) -> Self {
        Self { bounds, ..self }
    }

    /// Where its cells stand.
    pub(super) fn bounds(&self) -> &'a [Range<usize>] {
        self.bounds
    }

    pub(super) fn get(&self, index: usize) -> Option<&'a str> {
        self.bounds.get(index).and_then(|bounds| self.text.get(bounds.clone()))
    }

    pub(super) fn iter(&self) -> impl Iterator<Item = &'a str> + use<'a> {
        let text = self.text;
        self.bounds.iter().map(move |bounds| text.get(bounds.clone()).unwrap_or_default())
    }
}

/// What the records of a text are handed to.
pub(super) trait Takes {
    /// Takes the row at the start of a text where it is one of plain numbers that ends in it; its length.
    fn plain_row(&mut self, text: &[u8], separator: u8, line: usize) -> Option<usize>;
    /// Takes any record.
    fn record(&mut self, record: Cells<'_>, line: usize);
    /// Where troubles are counted.
    fn tally(&mut self) -> &mut Tally;
}

/// Splits text into records; keeps what it found out from block to block.
#[derive(Debug)]
pub(super) struct Splitter {
    separator: Option<Separator>,
    quoting: bool,
    lines: LineCounter,
    record: StringRecord,
    bounds: Vec<Range<usize>>,
}

impl Default for Splitter {
    fn default() -> Self {
        let (lines, record, bounds) = (LineCounter::default(), StringRecord::new(), Vec::new());
        Self { separator: None, quoting: true, lines, record, bounds }
    }
}

impl Splitter {
    /// What parts the cells: found at the first text.
    pub(super) fn separator(&mut self, text: &str, is_header: impl Fn(&[&str]) -> bool) -> Separator {
        *self.separator.get_or_insert_with(|| find_separator(text, is_header))
    }

    /// Hands on every complete record of `text` with its line; returns the bytes it is done with.
    pub(super) fn block(&mut self, text: &str, last: bool, takes: &mut impl Takes) -> usize {
        let separator = match self.separator {
            Some(Separator::Blanks(least)) => return self.aligned(least, text, last, takes),
            Some(Separator::Sign(sign)) => sign,
            None => b',',
        };
        // Without quotation marks there is nothing a plain split could get wrong, and it is twice as fast.
        let plain = !self.quoting || memchr::memchr(b'"', text.as_bytes()).is_none();
        let mut used = if plain { self.plain_records(separator, text, takes) } else { 0 };
        let rest_is_short = text.len() - used <= LONGEST_PIECE_BYTES;
        loop {
            if plain && !last && rest_is_short {
                break;
            }
            let quoting = self.quoting;
            used = self.records(separator, text, used, last, takes);
            if quoting == self.quoting {
                break;
            }
        }
        self.lines.consumed(text, used);
        used
    }

    /// Hands on the lines of a table whose columns are aligned by blanks; quotation marks mean nothing.
    fn aligned(&mut self, least: usize, text: &str, last: bool, takes: &mut impl Takes) -> usize {
        let mut start = 0;
        while start < text.len() {
            let line_end = memchr::memchr(b'\n', &text.as_bytes()[start..]).map(|length| start + length);
            let too_long = line_end.is_none() && text.len() - start > LONGEST_PIECE_BYTES;
            let end = match line_end {
                Some(end) => end,
                None if last || too_long => text.len(),
                None => break,
            };
            let line = text[start..end].trim_end_matches('\r');
            cells_between_blanks(line, start, least, &mut self.bounds);
            if !self.bounds.is_empty() {
                takes.record(Cells::new(text, &self.bounds), self.lines.at(text, start));
            }
            start = (end + 1).min(text.len());
        }
        self.lines.consumed(text, start);
        start
    }

    /// Hands on all records with a line end, where quotation marks mean nothing.
    fn plain_records(&mut self, separator: u8, text: &str, takes: &mut impl Takes) -> usize {
        // The end of a line may come in two parts, and the second with the next text.
        let bytes = text.strip_suffix('\r').unwrap_or(text).as_bytes();
        let mut line = self.lines.at(text, 0);
        let mut done = 0;
        while done < bytes.len() {
            if let Some(length) = takes.plain_row(&bytes[done..], separator, line) {
                done += length;
                line += 1;
                continue;
            }
            let length = memchr::memchr(b'\n', &bytes[done..]).map_or(bytes.len() - done, |at| at + 1);
            let used = self.split(separator, text, done..done + length, line, takes);
            if used < length {
                return done + used;
            }
            done += length;
            line += 1;
        }
        done
    }

    /// Hands on the records with a line end in a part of the text; how much of it they took.
    fn split(
        &mut self,
        separator: u8,
        text: &str,
        part: Range<usize>,
        line: usize,
        takes: &mut impl Takes,
    ) -> usize {
        let (start, bytes) = (part.start, &text.as_bytes()[part]);
        let (mut record_start, mut cell_start) = (0, 0);
        let bounds = &mut self.bounds;
        bounds.clear();
        places(bytes, [separator, b'\n', b'\r'], |at| {
            let cell = start + cell_start..start + at;
            cell_start = at + 1;
            if bytes[at] == separator {
                return bounds.push(cell);
            }
            if at > record_start {
                bounds.push(cell);
                takes.record(Cells::new(text, bounds), line);
                bounds.clear();
            }
            record_start = at + 1;
        });
        record_start
    }

    /// Reads from `from` on until the records end or quoting has to be given up.
    fn records(
        &mut self,
        separator: u8,
        text: &str,
        from: usize,
        last: bool,
        takes: &mut impl Takes,
    ) -> usize {
        let mut reader = ReaderBuilder::new()
            .delimiter(separator)
            .quoting(self.quoting)
            .flexible(true)
            .has_headers(false)
            .from_reader(&text.as_bytes()[from..]);
        let mut used = from;
        // The text is UTF-8, so no record can fail; if one did, the rest would be left out.
        while matches!(reader.read_record(&mut self.record), Ok(true)) {
            let end = from + reader.position().byte() as usize;
            let start = used + leading_line_ends(&text[used..end]);
            let line = self.lines.at(text, start);
            let complete = last || end < text.len();
            let too_long = !complete && text.len() - start > LONGEST_PIECE_BYTES;
            let over_lines =
                end - start > LONGEST_CELL_LINES && line_ends(&text[start..end]) > LONGEST_CELL_LINES;
            if self.quoting && (too_long || over_lines) {
                self.quoting = false;
                let quote = memchr::memchr(b'"', &text.as_bytes()[start..end]).is_some();
                let found = if quote { "a quotation mark that stays open" } else { "a longer line" };
                takes.tally().count(UNPAIRED_QUOTE, line, || found.to_owned());
                return start;
            }
            if !complete && !too_long {
                return start;
            }
            self.bounds.clear();
            self.bounds.extend((0..self.record.len()).filter_map(|index| self.record.range(index)));
            takes.record(Cells::new(self.record.as_slice(), &self.bounds), line);
            used = end;
        }
        text.len()
    }
}

fn line_ends(text: &str) -> usize {
    memchr::memchr_iter(b'\n', text.as_bytes()).count()
}

fn leading_line_ends(text: &str) -> usize {
    text.bytes().take_while(|byte| matches!(byte, b'\n' | b'\r')).count()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Default)]
    struct Seen {
        records: Vec<(usize, Vec<String>)>,
        tally: Tally,
    }

    impl Takes for Seen {
        fn plain_row(&mut self, _: &[u8], _: u8, _: usize) -> Option<usize> {
            None
        }

        fn record(&mut self, record: Cells<'_>, line: usize) {
            self.records.push((line, record.iter().map(str::to_owned).collect()));
        }

        fn tally(&mut self) -> &mut Tally {
            &mut self.tally
        }
    }

    fn check(text: &str, expected: &[(usize, &[&str])]) {
        let (mut splitter, mut seen) = (Splitter::default(), Seen::default());
        splitter.separator(text, |cells| cells.len() > 1);
        splitter.block(text, true, &mut seen);
        let expected: Vec<_> = expected
            .iter()
            .map(|(line, cells)| (*line, cells.iter().map(|cell| cell.to_string()).collect()))
            .collect();
        assert_eq!(seen.records, expected, "{text}");
    }

    #[test]
    fn records_and_lines() {
        check("a,b\n1,2\n", &[(1, &["a", "b"]), (2, &["1", "2"])]);
        check("a,b\r\n\r\n1,2", &[(1, &["a", "b"]), (3, &["1", "2"])]);
        check("a,b\n\"x\ny\",2\n3,4\n", &[(1, &["a", "b"]), (2, &["x\ny", "2"]), (4, &["3", "4"])]);
        check("a;\"b \"\"q\"\"\"\n1;2\n", &[(1, &["a", "b \"q\""]), (2, &["1", "2"])]);
        check("", &[]);
    }

    #[test]
    fn an_unpaired_quote_does_not_swallow_the_file() {
        let mut seen = Seen::default();
        let text = format!("a,b\n\"1,2\n{}", "3,4\n".repeat(500));
        Splitter::default().block(&text, true, &mut seen);
        assert_eq!(seen.records.len(), 502);
        assert_eq!(seen.tally.into_problems("log").next().and_then(|problem| problem.line), Some(2));
    }
}

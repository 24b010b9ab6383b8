//! Text to lines, for formats that hold one record in each. Where records begin with a sign of their own, several may run
//! together in one line.

use super::text::Blocks;
use core::ops::Range;

/// No sentence or frame is as long as this; what is longer is damage, and is passed over to the next line end.
const LONGEST_LINE_BYTES: usize = 1 << 12;

/// Splits what is fed into lines; memory is bounded whatever comes.
#[derive(Debug, Default)]
pub(crate) struct Lines {
    pub(crate) blocks: Blocks,
    state: State,
}

/// One line, or a part of it where records begin with a sign of their own.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(crate) struct Line<'a> {
    /// Number of the line, counted from 1.
    pub(crate) number: usize,
    /// Its text without its end.
    pub(crate) text: &'a [u8],
    /// Another record follows in the same line.
    pub(crate) runs_on: bool,
}

#[derive(Debug, Default)]
struct State {
    line: usize,
    /// Signs that begin a record wherever they stand.
    begins: Option<[u8; 2]>,
    passing_over: bool,
    passed_over: usize,
}

impl Lines {
    /// Lines in which a record begins at each of these signs.
    pub(crate) fn of_records(begins: [u8; 2]) -> Self {
        Self { blocks: Blocks::default(), state: State { begins: Some(begins), ..State::default() } }
    }

    /// Takes the next bytes; hands on every line.
    pub(crate) fn feed(&mut self, bytes: &[u8], mut on_line: impl FnMut(Line<'_>)) {
        let Self { blocks, state } = self;
        blocks.feed(bytes, |text| state.take(text.as_bytes(), false, &mut on_line));
    }

    /// Hands on what is left.
    pub(crate) fn finish(&mut self, mut on_line: impl FnMut(Line<'_>)) {
        let Self { blocks, state } = self;
        state.take(blocks.rest().as_bytes(), true, &mut on_line);
    }

    /// Lines that were too long to be anything.
    pub(crate) fn passed_over(&self) -> usize {
        self.state.passed_over
    }
}

impl State {
    fn take(&mut self, text: &[u8], last: bool, on_line: &mut impl FnMut(Line<'_>)) -> usize {
        let mut start = 0;
        for end in memchr::memchr_iter(b'\n', text) {
            start = self.records(text, start..end, on_line);
            self.hand_on(&text[start..end], false, on_line);
            start = end + 1;
        }
        start = self.records(text, start..text.len(), on_line);
        if last {
            self.hand_on(&text[start..], false, on_line);
            return text.len();
        }
        if self.passing_over || text.len() - start > LONGEST_LINE_BYTES {
            self.passed_over += usize::from(!self.passing_over);
            self.passing_over = true;
            return text.len();
        }
        start
    }

    /// Hands on all records but the last of a line; where that begins.
    fn records(&mut self, text: &[u8], line: Range<usize>, on_line: &mut impl FnMut(Line<'_>)) -> usize {
        let (Some([one, other]), false) = (self.begins, line.is_empty()) else { return line.start };
        let mut start = line.start;
        // The sign that begins a record is part of it; the first sign of a line ends nothing.
        for at in memchr::memchr2_iter(one, other, &text[line.start + 1..line.end]) {
            let end = line.start + 1 + at;
            self.hand_on(&text[start..end], true, on_line);
            start = end;
        }
        start
    }

    fn hand_on(&mut self, text: &[u8], runs_on: bool, on_line: &mut impl FnMut(Line<'_>)) {
        let number = self.line + 1;
        self.line += usize::from(!runs_on);
        if core::mem::take(&mut self.passing_over) {
            return;
        }
        let text = text.strip_suffix(b"\r").unwrap_or(text);
        if text.len() > LONGEST_LINE_BYTES {
            self.passed_over += 1;
        } else if !text.is_empty() {
            on_line(Line { number, text, runs_on });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(bytes: &[u8], chunk_bytes: usize) -> (Vec<(usize, Vec<u8>)>, usize) {
        lines_of(Lines::default(), bytes, chunk_bytes)
    }

    fn lines_of(mut lines: Lines, bytes: &[u8], chunk_bytes: usize) -> (Vec<(usize, Vec<u8>)>, usize) {
        let mut seen = Vec::new();
        for chunk in bytes.chunks(chunk_bytes) {
            lines.feed(chunk, |line| seen.push((line.number, line.text.to_vec())));
        }
        lines.finish(|line| seen.push((line.number, line.text.to_vec())));
        (seen, lines.passed_over())
    }

    #[test]
    fn records_that_run_together() {
        for chunk_bytes in [1, 2, 1 << 20] {
            let (seen, _) = lines_of(Lines::of_records(*b"$!"), b"09:00 $a!b$c\r\n$d", chunk_bytes);
            let seen: Vec<(usize, &[u8])> =
                seen.iter().map(|(line, text)| (*line, text.as_slice())).collect();
            assert_eq!(seen, [(1, &b"09:00 "[..]), (1, b"$a"), (1, b"!b"), (1, b"$c"), (2, b"$d")]);
        }
        // Without any line end none of them is too long.
        let (seen, passed_over) = lines_of(Lines::of_records(*b"$!"), &b"$record".repeat(50_000), 997);
        assert_eq!((seen.len(), passed_over), (50_000, 0));
    }

    #[test]
    fn lines_are_split_and_counted() {
        for chunk_bytes in [1, 2, 1 << 20] {
            let (seen, passed_over) = read(b"a\r\n\nb\nc", chunk_bytes);
            let expected = [(1, b"a".to_vec()), (3, b"b".to_vec()), (4, b"c".to_vec())];
            assert_eq!((seen.as_slice(), passed_over), (expected.as_slice(), 0));
        }
    }

    #[test]
    fn a_line_without_end_is_passed_over_in_little_memory() {
        let mut text = vec![b'x'; 1 << 18];
        text.extend_from_slice(b"\nnext\n");
        for chunk_bytes in [997, 1 << 20] {
            assert_eq!(read(&text, chunk_bytes), (vec![(2, b"next".to_vec())], 1));
        }
    }
}

//! Text to lines, for formats that hold one record in each.

use super::text::Blocks;

/// No sentence or frame is as long as this; what is longer is damage, and is passed over to the next line end.
const LONGEST_LINE_BYTES: usize = 1 << 12;

/// Splits what is fed into lines; memory is bounded whatever comes.
#[derive(Debug, Default)]
pub(crate) struct Lines {
    pub(crate) blocks: Blocks,
    state: State,
}

#[derive(Debug, Default)]
struct State {
    line: usize,
    passing_over: bool,
    passed_over: usize,
}

impl Lines {
    /// Takes the next bytes; hands on every line without its end, with its number counted from 1.
    pub(crate) fn feed(&mut self, bytes: &[u8], mut on_line: impl FnMut(usize, &[u8])) {
        let Self { blocks, state } = self;
        blocks.feed(bytes, |text| state.take(text.as_bytes(), false, &mut on_line));
    }

    /// Hands on what is left.
    pub(crate) fn finish(&mut self, mut on_line: impl FnMut(usize, &[u8])) {
        let Self { blocks, state } = self;
        state.take(blocks.rest().as_bytes(), true, &mut on_line);
    }

    /// Lines that were too long to be anything.
    pub(crate) fn passed_over(&self) -> usize {
        self.state.passed_over
    }
}

impl State {
    fn take(&mut self, text: &[u8], last: bool, on_line: &mut impl FnMut(usize, &[u8])) -> usize {
        let mut start = 0;
        for end in memchr::memchr_iter(b'\n', text) {
            self.hand_on(&text[start..end], on_line);
            start = end + 1;
        }
        if last {
            self.hand_on(&text[start..], on_line);
            return text.len();
        }
        if self.passing_over || text.len() - start > LONGEST_LINE_BYTES {
            self.passed_over += usize::from(!self.passing_over);
            self.passing_over = true;
            return text.len();
        }
        start
    }

    fn hand_on(&mut self, line: &[u8], on_line: &mut impl FnMut(usize, &[u8])) {
        self.line += 1;
        if core::mem::take(&mut self.passing_over) {
            return;
        }
        let line = line.strip_suffix(b"\r").unwrap_or(line);
        if line.len() > LONGEST_LINE_BYTES {
            self.passed_over += 1;
        } else if !line.is_empty() {
            on_line(self.line, line);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(bytes: &[u8], chunk_bytes: usize) -> (Vec<(usize, Vec<u8>)>, usize) {
        let (mut lines, mut seen) = (Lines::default(), Vec::new());
        for chunk in bytes.chunks(chunk_bytes) {
            lines.feed(chunk, |line, text| seen.push((line, text.to_vec())));
        }
        lines.finish(|line, text| seen.push((line, text.to_vec())));
        (seen, lines.passed_over())
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

//! Bytes of any common encoding in, UTF-8 text out, in pieces that depend on the stream alone.
//!
//! Readers are fed chunks of any size. [`Blocks`] decodes them and hands the text on in steps of fixed size, each
//! time together with what the reader left over, so that what is read never depends on how the bytes arrived.

/// Size of the steps in which text is handed to a reader, in bytes.
pub(crate) const BLOCK_BYTES: usize = 1 << 16;
/// Longest tag, comment or record; what is longer is damage, not data. It bounds the memory of a reader.
pub(crate) const LONGEST_PIECE_BYTES: usize = 1 << 20;
/// An XML declaration ends within this many bytes.
const DECLARATION_BYTES: usize = 256;

#[derive(Copy, Clone, Debug, PartialEq, Eq)]
enum Encoding {
    Utf8,
    Utf16 { big_endian: bool },
    Latin1,
}

/// Decodes UTF-8, UTF-16 with or without byte order mark, and single-byte encodings (as Latin-1: digits and
/// markup are the same in all of them). A byte that is no UTF-8 is taken as Latin-1 too, and counted.
#[derive(Debug, Default)]
pub(crate) struct Decoder {
    encoding: Option<Encoding>,
    waiting: Vec<u8>,
    /// Bytes that were no UTF-8.
    pub(crate) bad_bytes: usize,
    /// Bytes of zero, which no text has: they are left out.
    pub(crate) zero_bytes: usize,
}

impl Decoder {
    fn feed(&mut self, bytes: &[u8], last: bool, text: &mut String) {
        let start = text.len();
        self.decode(bytes, last, text);
        if memchr::memchr(0, &text.as_bytes()[start..]).is_some() {
            self.leave_out_zeros(start, text);
        }
    }

    /// Recorders that lose their power leave zeros in the middle and at the end of their files.
    #[cold]
    fn leave_out_zeros(&mut self, start: usize, text: &mut String) {
        let clean: String = text[start..].chars().filter(|sign| *sign != '\0').collect();
        self.zero_bytes += text.len() - start - clean.len();
        text.truncate(start);
        text.push_str(&clean);
    }

    fn decode(&mut self, bytes: &[u8], last: bool, text: &mut String) {
        // The usual case copies once.
        if self.encoding == Some(Encoding::Utf8)
            && self.waiting.is_empty()
            && let Ok(all) = core::str::from_utf8(bytes)
        {
            return text.push_str(all);
        }
        self.waiting.extend_from_slice(bytes);
        if self.encoding.is_none() && (last || self.waiting.len() >= DECLARATION_BYTES) {
            self.choose_encoding();
        }
        match self.encoding {
            None => {}
            Some(Encoding::Utf8) => self.take_utf8(last, text),
            Some(Encoding::Utf16 { big_endian }) => self.take_utf16(big_endian, last, text),
            Some(Encoding::Latin1) => text.extend(self.waiting.drain(..).map(char::from)),
        }
    }

    fn choose_encoding(&mut self) {
        let (encoding, mark_bytes) = match self.waiting.as_slice() {
            [0xEF, 0xBB, 0xBF, ..] => (Encoding::Utf8, 3),
            [0xFE, 0xFF, ..] => (Encoding::Utf16 { big_endian: true }, 2),
            [0xFF, 0xFE, ..] => (Encoding::Utf16 { big_endian: false }, 2),
            start if every_other_is_zero(start, 0) => (Encoding::Utf16 { big_endian: true }, 0),
            start if every_other_is_zero(start, 1) => (Encoding::Utf16 { big_endian: false }, 0),
            start => (if declares_single_bytes(start) { Encoding::Latin1 } else { Encoding::Utf8 }, 0),
        };
        self.waiting.drain(..mark_bytes);
        self.encoding = Some(encoding);
    }

    fn take_utf8(&mut self, last: bool, text: &mut String) {
        let mut rest = self.waiting.as_slice();
        loop {
            let Err(error) = core::str::from_utf8(rest).map(|all| text.push_str(all)) else {
                rest = &[];
                break;
            };
            let (good, bad) = rest.split_at(error.valid_up_to());
            text.push_str(core::str::from_utf8(good).unwrap_or_default());
            let length = match error.error_len() {
                Some(length) => length,
                None if last => bad.len(),
                None => {
                    rest = bad;
                    break;
                }
            };
            text.extend(bad[..length].iter().map(|&byte| char::from(byte)));
            self.bad_bytes += length;
            rest = &bad[length..];
        }
        let kept = rest.len();
        self.waiting.drain(..self.waiting.len() - kept);
    }

    fn take_utf16(&mut self, big_endian: bool, last: bool, text: &mut String) {
        let mut units: Vec<u16> = self
            .waiting
            .chunks_exact(2)
            .map(|pair| {
                if big_endian {
                    u16::from_be_bytes([pair[0], pair[1]])
                } else {
                    u16::from_le_bytes([pair[0], pair[1]])
                }
            })
            .collect();
        if !last && units.last().is_some_and(|unit| (0xD800..0xDC00).contains(unit)) {
            units.pop();
        }
        let used = 2 * units.len();
        text.extend(char::decode_utf16(units).map(|unit| unit.unwrap_or(char::REPLACEMENT_CHARACTER)));
        self.waiting.drain(..if last { self.waiting.len() } else { used });
    }
}

/// Whether a text that begins so is in two bytes a sign.
pub(crate) fn is_utf16(start: &[u8]) -> bool {
    let marked = start.starts_with(b"\xFE\xFF") || start.starts_with(b"\xFF\xFE");
    marked || every_other_is_zero(start, 0) || every_other_is_zero(start, 1)
}

/// Whether plain text in two bytes a sign begins here, as far as its first two signs tell: one zero alone is damage.
fn every_other_is_zero(start: &[u8], zero_at: usize) -> bool {
    let pairs = start.as_chunks::<2>().0;
    !pairs.is_empty() && pairs.iter().take(2).all(|pair| pair[zero_at] == 0 && pair[1 - zero_at] != 0)
}

/// Whether an XML declaration names an encoding that is neither Unicode nor plain ASCII.
fn declares_single_bytes(start: &[u8]) -> bool {
    let start = &start[..start.len().min(DECLARATION_BYTES)];
    let declared = || {
        let end = memchr::memmem::find(start, b"?>")?;
        let from = memchr::memmem::find(&start[..end], b"encoding")? + b"encoding".len();
        let after = start[from..end].iter().skip_while(|byte| !byte.is_ascii_alphanumeric());
        let name: Vec<u8> = after.take_while(|byte| !b"'\"".contains(byte)).copied().collect();
        Some(name.to_ascii_lowercase())
    };
    let is_unicode = |name: &[u8]| name.is_empty() || name.starts_with(b"utf") || name.ends_with(b"ascii");
    start.starts_with(b"<?xml") && declared().is_some_and(|name| !is_unicode(&name))
}

/// Decoded text in steps of [`BLOCK_BYTES`], each preceded by what was not consumed of the step before.
#[derive(Debug, Default)]
pub(crate) struct Blocks {
    pub(crate) decoder: Decoder,
    text: String,
    left_over: usize,
}

impl Blocks {
    /// Takes bytes in; `consume` gets text and returns how many of its bytes it is done with.
    pub(crate) fn feed(&mut self, bytes: &[u8], mut consume: impl FnMut(&str) -> usize) {
        for part in bytes.chunks(BLOCK_BYTES) {
            self.decoder.feed(part, false, &mut self.text);
            while self.text.len() >= self.left_over + BLOCK_BYTES {
                let end = self.text.floor_char_boundary(self.left_over + BLOCK_BYTES);
                let used = consume(&self.text[..end]).min(end);
                self.text.drain(..used);
                self.left_over = end - used;
            }
        }
    }

    /// Everything that is left, after the last byte was fed.
    pub(crate) fn rest(&mut self) -> &str {
        self.decoder.feed(&[], true, &mut self.text);
        &self.text
    }
}

/// Counts lines by looking at every byte once.
#[derive(Debug)]
pub(crate) struct LineCounter {
    line: usize,
    counted_to: usize,
}

impl Default for LineCounter {
    fn default() -> Self {
        Self { line: 1, counted_to: 0 }
    }
}

impl LineCounter {
    /// Line of the byte at `offset` in the present text; offsets may only grow until [`Self::consumed`].
    pub(crate) fn at(&mut self, text: &str, offset: usize) -> usize {
        if offset > self.counted_to {
            let passed = &text.as_bytes()[self.counted_to..offset];
            self.line += memchr::memchr_iter(b'\n', passed).count();
            self.counted_to = offset;
        }
        self.line
    }

    /// The first `used` bytes of `text` will not be shown again.
    pub(crate) fn consumed(&mut self, text: &str, used: usize) {
        self.at(text, used);
        self.counted_to = self.counted_to.saturating_sub(used);
    }

    /// The line reached so far.
    pub(crate) fn line(&self) -> usize {
        self.line
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn decode(bytes: &[u8], chunk_bytes: usize) -> (String, usize) {
        let mut blocks = Blocks::default();
        let mut seen = String::new();
        for chunk in bytes.chunks(chunk_bytes.max(1)) {
            blocks.feed(chunk, |text| {
                seen.push_str(text);
                text.len()
            });
        }
        seen.push_str(blocks.rest());
        (seen, blocks.decoder.bad_bytes)
    }

    fn check(bytes: &[u8], expected: &str) {
        assert_eq!(decode(bytes, 1).0, expected, "{bytes:?}");
        assert_eq!(decode(bytes, 1 << 20).0, expected, "{bytes:?}");
    }

    #[test]
    fn encodings() {
        check("lat \u{b0} \u{1F69A}".as_bytes(), "lat \u{b0} \u{1F69A}");
        check(b"\xEF\xBB\xBFtime", "time");
        check(b"H\xF6he", "H\u{f6}he");
        check(
            b"<?xml version='1.0' encoding='ISO-8859-1'?>\xC3\xA9",
            "<?xml version='1.0' encoding='ISO-8859-1'?>\u{c3}\u{a9}",
        );
        check(
            b"<?xml version='1.0' encoding='UTF-8'?>\xC3\xA9",
            "<?xml version='1.0' encoding='UTF-8'?>\u{e9}",
        );
        check(b"\xFF\xFEa\0\x3D\xD8\x9A\xDE", "a\u{1F69A}");
        check(b"\xFE\xFF\0a\xD8\x3D\xDE\x9A", "a\u{1F69A}");
        check(b"<\0a\0>\0", "<a>");
        check(b"\0<\0a\0>", "<a>");
        check(b"\xFF\xFEa\0\x3D\xD8", "a\u{FFFD}");
        check(b"cut \xE2\x82", "cut \u{e2}\u{82}");
    }

    #[test]
    fn bad_bytes_are_counted() {
        assert_eq!(decode(b"H\xF6he m\xFC", 3).1, 2);
    }

    #[test]
    fn zeros_are_left_out_and_counted() {
        check(b"t\0ime\0\0,speed\n", "time,speed\n");
        check(b"\0time", "time");
        let mut blocks = Blocks::default();
        blocks.feed(&[&b"time\n"[..], &[0; 4096]].concat(), str::len);
        assert_eq!(blocks.rest(), "time\n");
        assert_eq!(blocks.decoder.zero_bytes, 4096);
    }

    #[test]
    fn lines_are_counted_across_blocks() {
        let mut lines = LineCounter::default();
        assert_eq!(lines.at("a\nb\nc", 4), 3);
        lines.consumed("a\nb\nc", 4);
        assert_eq!(lines.at("c\nd", 2), 4);
    }

    proptest! {
        #[test]
        fn chunking_does_not_matter(bytes in proptest::collection::vec(any::<u8>(), 0..600), chunk_bytes in 1usize..40) {
            prop_assert_eq!(decode(&bytes, chunk_bytes), decode(&bytes, 1 << 20));
        }

        #[test]
        fn utf16_round_trip(text in "\\PC{0,300}") {
            let mut bytes = vec![0xFF, 0xFE];
            bytes.extend(text.encode_utf16().flat_map(u16::to_le_bytes));
            prop_assert_eq!(decode(&bytes, 7).0, text);
        }
    }
}

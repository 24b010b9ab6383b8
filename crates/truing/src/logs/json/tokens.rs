//! JSON text to what it is made of, block by block. Commas and colons are not asked for: damage there loses nothing.
//!
//! Source: RFC 8259.

use super::super::text::{LONGEST_PIECE_BYTES, LineCounter};

/// A fix lies a few levels deep; beyond this the file is damage.
const DEEPEST: usize = 64;

/// A piece of JSON.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(super) enum Token<'a> {
    OpenObject,
    OpenArray,
    /// The end of what is open.
    Close,
    Key(&'a str),
    /// A string without its quotation marks, a number or a word; nothing for `null`.
    Value(&'a str),
}

/// What is open.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
enum Open {
    Array,
    /// With whether a key stands before the next value.
    Object {
        keyed: bool,
    },
}

/// Why nothing more is read.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(super) enum Stop {
    TooDeep,
    TooLong,
}

#[derive(Debug, Default)]
pub(super) struct Tokens {
    open: Vec<Open>,
    pub(super) lines: LineCounter,
    /// Why and on which line reading ended before the file did.
    pub(super) stopped: Option<(Stop, usize)>,
    /// Values that are none, and the line of the first.
    pub(super) strange: usize,
    pub(super) first_strange_line: usize,
}

impl Tokens {
    /// Whether something is still open.
    pub(super) fn is_within(&self) -> bool {
        !self.open.is_empty()
    }

    /// Hands on what is complete in `text`, with its line; how many bytes are done with.
    pub(super) fn block(
        &mut self,
        text: &str,
        last: bool,
        on_token: &mut impl FnMut(Token<'_>, usize),
    ) -> usize {
        let bytes = text.as_bytes();
        let mut at = 0;
        while at < bytes.len() && self.stopped.is_none() {
            let line = self.lines.at(text, at);
            let end = match bytes[at] {
                b'{' | b'[' => self.open(bytes[at], line, on_token),
                b'}' | b']' => self.close(bytes[at], line, on_token),
                b'"' => match string_end(&bytes[at + 1..]) {
                    Some(length) => {
                        self.string(&text[at + 1..at + 1 + length], line, on_token);
                        Some(length + 2)
                    }
                    None if last => Some(bytes.len() - at),
                    None => None,
                },
                byte if is_between(byte) => Some(1),
                _ => match bytes[at..].iter().position(|byte| ends_word(*byte)) {
                    Some(length) => self.word(&text[at..at + length], line, on_token),
                    None if last => self.word(&text[at..], line, on_token),
                    None => None,
                },
            };
            match end {
                Some(length) => at += length,
                None if self.stopped.is_none() && bytes.len() - at <= LONGEST_PIECE_BYTES => break,
                None => {
                    self.stopped.get_or_insert((Stop::TooLong, line));
                }
            }
        }
        let used = if self.stopped.is_some() { bytes.len() } else { at };
        self.lines.consumed(text, used);
        used
    }

    fn open(&mut self, sign: u8, line: usize, on_token: &mut impl FnMut(Token<'_>, usize)) -> Option<usize> {
        if self.open.len() >= DEEPEST {
            self.stopped = Some((Stop::TooDeep, line));
            return None;
        }
        let (open, token) = match sign {
            b'{' => (Open::Object { keyed: false }, Token::OpenObject),
            _ => (Open::Array, Token::OpenArray),
        };
        self.value_comes();
        self.open.push(open);
        on_token(token, line);
        Some(1)
    }

    /// A bracket closes what it fits; one that fits nothing is passed over.
    fn close(&mut self, sign: u8, line: usize, on_token: &mut impl FnMut(Token<'_>, usize)) -> Option<usize> {
        let fits = |open: &Open| (*open == Open::Array) == (sign == b']');
        match self.open.iter().rposition(fits) {
            Some(level) => (level..self.open.len()).for_each(|_| on_token(Token::Close, line)),
            None => self.count_strange(line),
        }
        self.open.truncate(self.open.iter().rposition(fits).unwrap_or(self.open.len()));
        Some(1)
    }

    /// The key before a value is used up.
    fn value_comes(&mut self) {
        if let Some(Open::Object { keyed }) = self.open.last_mut() {
            *keyed = false;
        }
    }

    /// A string is a key where an object waits for one, and a value elsewhere.
    fn string(&mut self, inside: &str, line: usize, on_token: &mut impl FnMut(Token<'_>, usize)) {
        let unescaped =
            inside.contains('\\').then(|| serde_json::from_str::<String>(&format!("\"{inside}\"")).ok());
        let text = unescaped.as_ref().and_then(Option::as_deref).unwrap_or(inside);
        match self.open.last_mut() {
            Some(Open::Object { keyed }) if !*keyed => {
                *keyed = true;
                on_token(Token::Key(text), line);
            }
            _ => {
                self.value_comes();
                on_token(Token::Value(text), line);
            }
        }
    }

    fn word(
        &mut self,
        word: &str,
        line: usize,
        on_token: &mut impl FnMut(Token<'_>, usize),
    ) -> Option<usize> {
        let is_number = word.starts_with(|sign: char| sign.is_ascii_digit() || sign == '-');
        self.value_comes();
        match word {
            "null" => on_token(Token::Value(""), line),
            _ if is_number || matches!(word, "true" | "false") => on_token(Token::Value(word), line),
            // Some writers put what is no number as NaN or Infinity.
            _ => {
                self.count_strange(line);
                on_token(Token::Value(""), line);
            }
        }
        Some(word.len())
    }

    fn count_strange(&mut self, line: usize) {
        if self.strange == 0 {
            self.first_strange_line = line;
        }
        self.strange += 1;
    }
}

/// How long a string is whose opening mark was passed.
fn string_end(bytes: &[u8]) -> Option<usize> {
    let mut from = 0;
    loop {
        let at = from + memchr::memchr2(b'"', b'\\', bytes.get(from..)?)?;
        if bytes[at] == b'"' {
            return Some(at);
        }
        from = at + 2;
    }
}

/// Signs between values, and those that part JSON texts (RFC 7464).
fn is_between(byte: u8) -> bool {
    byte <= b' ' || matches!(byte, b',' | b':')
}

fn ends_word(byte: u8) -> bool {
    is_between(byte) || matches!(byte, b'{' | b'[' | b'}' | b']' | b'"')
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Tokens as text: `{ [ ] key: value`, the stop, and the count of what is strange.
    fn read(text: &str, chunk_bytes: usize) -> (String, Option<Stop>, usize) {
        let (mut tokens, mut seen) = (Tokens::default(), Vec::new());
        let mut blocks = crate::logs::text::Blocks::default();
        let mut take = |token: Token<'_>, _| {
            seen.push(match token {
                Token::OpenObject => "{".to_owned(),
                Token::OpenArray => "[".to_owned(),
                Token::Close => "]".to_owned(),
                Token::Key(key) => format!("{key}:"),
                Token::Value(value) => value.to_owned(),
            });
        };
        text.as_bytes()
            .chunks(chunk_bytes)
            .for_each(|chunk| blocks.feed(chunk, |text| tokens.block(text, false, &mut take)));
        tokens.block(blocks.rest(), true, &mut take);
        (seen.join(" "), tokens.stopped.map(|(stop, _)| stop), tokens.strange)
    }

    fn check(text: &str, expected: &str, strange: usize) {
        assert_eq!(read(text, 3), (expected.to_owned(), None, strange), "{text}");
    }

    #[test]
    fn tokens() {
        check("{\"a\": [1, -2.5e3, null, true], \"b\":\"x\"}", "{ a: [ 1 -2.5e3  true ] b: x ]", 0);
        check("{\"a\":{\"b\":1},\"c\":\"d\"}", "{ a: { b: 1 ] c: d ]", 0);
        check("[\"q\\\"uote\\u00e9\\\\\",\"2\"]", "[ q\"uote\u{e9}\\ 2 ]", 0);
        check("{\"a\":1}\n{\"a\":2}\n", "{ a: 1 ] { a: 2 ]", 0);
        check("[NaN,1]", "[  1 ]", 1);
    }

    #[test]
    fn damage() {
        check("{\"a\":[1,2", "{ a: [ 1 2", 0);
        check("{\"a\":\"cut", "{ a:", 0);
        check("[{\"a\":1]", "[ { a: 1 ] ]", 0);
        check("]}1", "1", 2);
        assert_eq!(read(&"[".repeat(100), 7).1, Some(Stop::TooDeep));
        let long = format!("[\"{}", "x".repeat(3 << 20));
        assert_eq!(read(&long, 1 << 16).1, Some(Stop::TooLong));
        assert_eq!(read(&"1".repeat(3 << 20), 1 << 16).1, Some(Stop::TooLong));
    }

    proptest! {
        #[test]
        fn any_text_in_any_chunks(text in "[\\[\\]{}\":,\\\\a1 \n\u{e9}]{0,60}", chunk_bytes in 1usize..9) {
            prop_assert_eq!(read(&text, chunk_bytes), read(&text, 1 << 20));
        }

        /// The library as oracle: whatever it reads has as many values as it has.
        #[test]
        fn sound_json_is_read_whole(numbers in proptest::collection::vec(any::<i32>(), 0..20), words in proptest::collection::vec("\\PC{0,9}", 0..9)) {
            let text = serde_json::json!({ "numbers": numbers, "words": words }).to_string();
            let (mut tokens, mut values) = (Tokens::default(), Vec::new());
            tokens.block(&text, true, &mut |token, _| {
                if let Token::Value(value) = token {
                    values.push(value.to_owned());
                }
            });
            let expected: Vec<String> = numbers.iter().map(i32::to_string).chain(words).collect();
            prop_assert_eq!((values, tokens.strange), (expected, 0));
        }
    }
}

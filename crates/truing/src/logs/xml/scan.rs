//! Events of the XML library to elements of a document; keeps the path of open elements across blocks of text.

use super::super::tally::{Kind, Tally, quote};
use super::super::text::{LONGEST_PIECE_BYTES, LineCounter};
use super::plain;
use crate::problem::{Problem, Severity};
use quick_xml::events::{BytesEnd, BytesRef, BytesStart, Event};
use quick_xml::{Error, Reader, errors::SyntaxError};

/// A track point lies some elements deep and extensions a few more; beyond this the file is damage.
const DEEPEST: usize = 64;
/// The names of all open elements together.
const LONGEST_NAMES_BYTES: usize = 1 << 16;
/// Longest text of a value that is read, in bytes; a longer one is no number and no time.
const LONGEST_VALUE_BYTES: usize = 128;

/// Where reading one block of text ended.
enum Stop {
    AllRead,
    /// Markup that begins at this offset is not complete yet.
    Incomplete(usize),
    /// Markup that begins at this offset is none.
    Broken(usize),
}

/// What the elements of a file are handed to.
pub(in super::super) trait Document: Default {
    /// An element begins, `depth` deep (the root is 1): whether the text up to its end is wanted.
    fn open(&mut self, name: &str, element: &BytesStart<'_>, depth: usize, place: &mut Place<'_>) -> bool;
    /// An element ends, with its text where that was wanted; elements within such a text are not told.
    fn close(&mut self, depth: usize, text: Option<&str>, place: &mut Place<'_>);
}

/// Where in a file an element is, and where troubles with it are counted.
#[derive(Debug)]
pub(in super::super) struct Place<'a> {
    lines: &'a mut LineCounter,
    text: &'a str,
    at: usize,
    pub(in super::super) tally: &'a mut Tally,
}

impl Place<'_> {
    /// The line, counted only when it is asked for.
    pub(in super::super) fn line(&mut self) -> usize {
        self.lines.at(self.text, self.at)
    }
}

/// The element that a file has to begin with.
#[derive(Copy, Clone, Debug)]
pub(in super::super) struct Root {
    /// Its local name.
    pub(in super::super) name: &'static str,
    /// What is expected, where another stands.
    pub(in super::super) says: &'static str,
}

/// Reads the elements of one file into a document.
#[derive(Debug, Default)]
pub(in super::super) struct Scan<D> {
    document: D,
    tally: Tally,
    lines: LineCounter,
    /// Names of the open elements one after the other, and where each begins.
    names: String,
    starts: Vec<usize>,
    root: Option<String>,
    /// Depth of the element whose text is wanted.
    wanted: Option<usize>,
    value: String,
    stopped: Option<Problem>,
}

impl<D: Document> Scan<D> {
    /// Reads what is complete in `text` and returns how many bytes it is done with.
    pub(in super::super) fn block(&mut self, text: &str, last: bool) -> usize {
        if self.stopped.is_some() {
            return text.len();
        }
        // Up to the last `<` both text and references are whole.
        let whole = if last { text.len() } else { memchr::memrchr(b'<', text.as_bytes()).unwrap_or(0) };
        let mut from = 0;
        let used = loop {
            match self.events(&text[..whole], from) {
                Stop::AllRead => break whole,
                Stop::Incomplete(at) => {
                    let line = self.lines.at(text, at);
                    if last {
                        self.stop(line, "the file to go on", "its end inside a tag or comment", CUT);
                    }
                    break at;
                }
                Stop::Broken(at) => {
                    let line = self.lines.at(text, at);
                    self.tally.count(BAD_MARKUP, line, || "something else after \"<!\"".into());
                    from = at + 1;
                }
            }
        };
        if text.len() - used > LONGEST_PIECE_BYTES {
            let line = self.lines.at(text, used);
            let found = "one that does not end, perhaps a quotation mark missing";
            self.stop(line, "a tag, comment or text under 1 MiB", found, "nothing after it was read");
        }
        self.lines.consumed(text, used);
        used
    }

    fn events(&mut self, text: &str, from: usize) -> Stop {
        let mut at = from;
        while at < text.len() && self.stopped.is_none() {
            if let Some((event, end)) = plain::event(text, at) {
                self.event(text, at, event);
                at = end;
                continue;
            }
            match self.other_event(text, at) {
                Ok(end) => at = end,
                Err(stop) => return stop,
            }
        }
        Stop::AllRead
    }

    /// One event by the library; where it ends.
    fn other_event(&mut self, text: &str, at: usize) -> Result<usize, Stop> {
        let mut reader = Reader::from_str(&text[at..]);
        let config = reader.config_mut();
        config.check_end_names = false;
        config.allow_unmatched_ends = true;
        config.allow_dangling_amp = true;
        let event = reader.read_event();
        let (end, wrong_at) = (at + reader.buffer_position() as usize, at + reader.error_position() as usize);
        match event {
            Ok(Event::Eof) => return Ok(text.len()),
            Ok(event) => self.event(text, at, event),
            Err(Error::Syntax(SyntaxError::InvalidBangMarkup)) => return Err(Stop::Broken(wrong_at)),
            Err(Error::Syntax(_)) => return Err(Stop::Incomplete(wrong_at)),
            // Ill-formed but readable: one goes on after it.
            Err(Error::IllFormed(_)) if end > at => {}
            Err(_) => return Err(Stop::Broken(wrong_at)),
        }
        Ok(end)
    }

    fn event(&mut self, text: &str, at: usize, event: Event<'_>) {
        match event {
            Event::Start(element) => self.open(text, at, &element, false),
            Event::Empty(element) => self.open(text, at, &element, true),
            Event::End(element) => self.close(text, at, &element),
            Event::Text(content) => self.add_to_value(&content),
            Event::CData(content) => self.add_to_value(&content),
            Event::GeneralRef(reference) => self.add_reference(&reference),
            _ => {}
        }
    }

    fn add_to_value(&mut self, text: &str) {
        if self.wanted.is_some() && self.value.len() + text.len() <= LONGEST_VALUE_BYTES {
            self.value.push_str(text);
        } else if self.wanted.is_some() {
            self.value.push(char::REPLACEMENT_CHARACTER);
        }
    }

    fn add_reference(&mut self, reference: &BytesRef<'_>) {
        let resolved = match reference.as_ref() {
            "lt" => Some('<'),
            "gt" => Some('>'),
            "amp" => Some('&'),
            "quot" => Some('"'),
            "apos" => Some('\''),
            // Entities a document type defines are never expanded: the value is then no number and told as such.
            _ => reference.resolve_char_ref().ok().flatten(),
        };
        self.add_to_value(resolved.unwrap_or(char::REPLACEMENT_CHARACTER).encode_utf8(&mut [0; 4]));
    }

    fn open(&mut self, text: &str, at: usize, element: &BytesStart<'_>, empty: bool) {
        let whole_name = element.name();
        let name = local(whole_name.as_ref());
        let depth = self.starts.len() + 1;
        if depth == 1 {
            self.root.get_or_insert_with(|| short_name(name));
        }
        if depth > DEEPEST || self.names.len() > LONGEST_NAMES_BYTES {
            let line = self.lines.at(text, at);
            let expected = "elements up to 64 deep, with names of some letters";
            return self.stop(line, expected, "more", "nothing after it was read");
        }
        if self.wanted.is_none() {
            let Self { document, lines, tally, .. } = self;
            let mut place = Place { lines, text, at, tally };
            if document.open(name, element, depth, &mut place) {
                self.wanted = Some(depth);
                self.value.clear();
            }
        }
        self.starts.push(self.names.len());
        self.names.push_str(whole_name.as_ref());
        if empty {
            self.close_innermost(text, at);
        }
    }

    fn close(&mut self, text: &str, at: usize, element: &BytesEnd<'_>) {
        let is_named = |scan: &Self, level: usize| {
            let end = scan.starts.get(level + 1).copied().unwrap_or(scan.names.len());
            scan.names[scan.starts[level]..end] == *element.name().as_ref()
        };
        let Some(level) = (0..self.starts.len()).rev().find(|&level| is_named(self, level)) else {
            let line = self.lines.at(text, at);
            return self.tally.count(BAD_NESTING, line, || format!("</{}>", element.name().as_ref()));
        };
        if level + 1 < self.starts.len() {
            let line = self.lines.at(text, at);
            self.tally.count(BAD_NESTING, line, || format!("</{}>", element.name().as_ref()));
        }
        while self.starts.len() > level {
            self.close_innermost(text, at);
        }
    }

    fn close_innermost(&mut self, text: &str, at: usize) {
        let depth = self.starts.len();
        if let Some(start) = self.starts.pop() {
            self.names.truncate(start);
        }
        // What stands inside of a value is none of the document's.
        let value = match self.wanted {
            Some(wanted) if wanted < depth => return,
            wanted => wanted.map(|_| self.value.as_str()),
        };
        let mut place = Place { lines: &mut self.lines, text, at, tally: &mut self.tally };
        self.document.close(depth, value, &mut place);
        self.wanted = None;
    }

    fn stop(&mut self, line: usize, expected: &str, found: &str, hint: &str) {
        self.stopped = Some(Problem::warning("", expected, found).at_line(line).hint(hint));
    }

    /// What the document became, with what its root and the end of the file tell. `expected` is the root with what is said of
    /// another one.
    pub(in super::super) fn finish(mut self, source: &str, expected: Root, problems: &mut Vec<Problem>) -> D {
        problems.extend(self.root_problem(source, expected));
        if let Some(mut stopped) = self.stopped.take() {
            stopped.source = source.into();
            problems.push(stopped);
        } else if let Some(&start) = self.starts.last() {
            let found = format!("its end with <{}> still open", short_name(&self.names[start..]));
            let line = self.lines.line();
            problems.push(Problem::warning(source, "the file to go on", found).at_line(line).hint(CUT));
        }
        problems.extend(self.tally.into_problems(source));
        self.document
    }

    fn root_problem(&self, source: &str, expected: Root) -> Option<Problem> {
        let found = match &self.root {
            Some(root) if root == expected.name => return None,
            Some(root) => format!("<{root}>"),
            None => "no element at all".to_owned(),
        };
        Some(Problem::error(source, expected.says, found).hint("export the drive as GPX or CSV"))
    }
}

const CUT: &str = "the file was cut short; every complete point before this line was read";
const BAD_MARKUP: Kind<'static> = Kind {
    severity: Severity::Warning,
    part: "markup",
    expected: "a comment, CDATA or document type",
    hint: "it was skipped",
};
const BAD_NESTING: Kind<'static> = Kind {
    severity: Severity::Warning,
    part: "elements",
    expected: "each element closed before the one around it",
    hint: "the file is damaged there; points around that line may be missing",
};

/// The name without its prefix.
fn local(name: &str) -> &str {
    // Names are a few letters long: a plain look is quicker than a search that has to be set up.
    name.bytes().position(|byte| byte == b':').map_or(name, |colon| &name[colon + 1..])
}

fn short_name(name: &str) -> String {
    quote(name).trim_matches('"').to_owned()
}

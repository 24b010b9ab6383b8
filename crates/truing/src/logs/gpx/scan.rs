//! Events of the XML library to fixes; keeps the path of open elements across blocks of text.

use super::super::tally::{Kind, Tally, quote};
use super::super::text::{LONGEST_PIECE_BYTES, LineCounter};
use super::super::{Clock, Track};
use super::plain;
use super::point::{Leaf, Point};
use crate::problem::{Problem, Severity};
use quick_xml::events::{BytesEnd, BytesRef, BytesStart, Event};
use quick_xml::{Error, Reader, errors::SyntaxError};

/// A track point lies four elements deep and extensions a few more; beyond this the file is damage.
const DEEPEST: usize = 64;
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

#[derive(Debug, Default)]
pub(super) struct Scan {
    track: Track,
    tally: Tally,
    lines: LineCounter,
    /// Names of the open elements one after the other, and where each begins.
    names: String,
    starts: Vec<usize>,
    root: Option<String>,
    /// The point being read and its depth.
    point: Option<(Point, usize)>,
    /// The value being read and its depth.
    leaf: Option<(Leaf, usize)>,
    value: String,
    segment_starts: bool,
    points: usize,
    routes_and_waypoints: usize,
    stopped: Option<Problem>,
}

impl Scan {
    /// Reads what is complete in `text` and returns how many bytes it is done with.
    pub(super) fn block(&mut self, text: &str, last: bool) -> usize {
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
        if self.leaf.is_some() && self.value.len() + text.len() <= LONGEST_VALUE_BYTES {
            self.value.push_str(text);
        } else if self.leaf.is_some() {
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
            self.root.get_or_insert_with(|| name.to_owned());
        }
        if depth > DEEPEST {
            let line = self.lines.at(text, at);
            return self.stop(line, "elements up to 64 deep", "more", "nothing after it was read");
        }
        match (name, &self.point) {
            ("trkpt", None) => self.open_point(text, at, element, depth),
            ("trkseg", None) => self.segment_starts = true,
            ("rtept" | "wpt", None) => self.routes_and_waypoints += 1,
            (local, Some((_, point_depth))) if self.leaf.is_none() => {
                self.leaf = Leaf::of(local, depth == point_depth + 1).map(|leaf| (leaf, depth));
                self.value.clear();
            }
            _ => {}
        }
        self.starts.push(self.names.len());
        self.names.push_str(whole_name.as_ref());
        if empty {
            self.close_innermost(text, at);
        }
    }

    fn open_point(&mut self, text: &str, at: usize, element: &BytesStart<'_>, depth: usize) {
        self.points += 1;
        let line = self.lines.at(text, at);
        self.point = Some((Point::start(element, line, &mut self.tally), depth));
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
        if let Some((leaf, _)) = self.leaf.take_if(|(_, leaf_depth)| *leaf_depth == depth) {
            let Self { point, lines, value, tally, .. } = self;
            if let Some((point, _)) = point {
                point.set(leaf, value, || lines.at(text, at), tally);
            }
        }
        if let Some((mut point, _)) = self.point.take_if(|(_, point_depth)| *point_depth == depth)
            && point.usable
        {
            point.fix.starts_segment = core::mem::take(&mut self.segment_starts);
            self.track.fixes.push(point.fix);
        }
    }

    fn stop(&mut self, line: usize, expected: &str, found: &str, hint: &str) {
        self.stopped = Some(Problem::warning("", expected, found).at_line(line).hint(hint));
    }

    /// The track, with what the end of the file tells.
    pub(super) fn finish(mut self, source: &str, problems: &mut Vec<Problem>) -> Track {
        problems.extend(self.root_problem(source));
        if let Some(mut stopped) = self.stopped.take() {
            stopped.source = source.to_owned();
            problems.push(stopped);
        } else if let Some(&start) = self.starts.last() {
            let found = format!("its end with <{}> still open", short_name(&self.names[start..]));
            let line = self.lines.line();
            problems.push(Problem::warning(source, "the file to go on", found).at_line(line).hint(CUT));
        }
        problems.extend(self.tally.into_problems(source));
        if self.points == 0 && self.routes_and_waypoints > 0 {
            let found = "only a route or single places";
            let hint = "export the recorded track, not the planned route";
            problems.push(Problem::warning(source, "track points (trkpt)", found).hint(hint));
        }
        let timed = self.track.fixes.iter().any(|fix| fix.time.is_some());
        self.track.clock = if timed { Clock::Absolute } else { Clock::None };
        self.track
    }

    fn root_problem(&self, source: &str) -> Option<Problem> {
        let found = match &self.root {
            Some(root) if root == "gpx" => return None,
            Some(root) => format!("<{}>", short_name(root)),
            None => "no element at all".to_owned(),
        };
        Some(
            Problem::error(source, "a GPX file, which begins with <gpx>", found)
                .hint("export the drive as GPX or CSV"),
        )
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

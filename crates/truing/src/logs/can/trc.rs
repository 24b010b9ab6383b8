//! Frames in TRC text, versions 1.0 to 2.1: `     1)   1059.9  Rx  0300  4  00 11 22 33`.
//!
//! Times are milliseconds since the start, which the header gives in days since 1899-12-30. From version 2.0 on the header names
//! the columns. Source: the published description of the format, as an open reader of it has it; versions 1.2 and 1.3 from memory.

use super::super::bounds;
use super::dialect::{bytes_of_code, whole, word};
use super::frame::{Frame, Refusal, When, Writing, hex_identifier};

/// Day 25 569 is 1970-01-01.
const DAYS_TO_1970: f64 = 25_569.0;
const DAY_S: f64 = 86_400.0;
/// More columns than any version has.
const MOST_COLUMNS: usize = 16;

/// What the header said so far.
#[derive(Debug, Default)]
pub(super) struct Trc {
    start_s: f64,
    /// Letters of the columns; none for versions before 2.0.
    columns: Vec<u8>,
}

impl Trc {
    /// Whether a line is the header of such a log, or a frame in it.
    pub(super) fn is_shown_by(line: &[u8]) -> bool {
        let line = line.trim_ascii();
        line.starts_with(b";$FILEVERSION") || Self::default().line(line).is_ok()
    }

    /// What a line is.
    pub(super) fn line<'a>(&mut self, line: &'a [u8]) -> Result<Frame<'a>, Refusal> {
        let line = line.trim_ascii();
        if line.starts_with(b";") {
            self.header(line);
            return Err(Refusal::NoFrame);
        }
        if self.columns.is_empty() { self.first_version(line) } else { self.by_columns(line) }
    }

    fn header(&mut self, line: &[u8]) {
        let value = |name: &[u8]| line.strip_prefix(name).map(<[u8]>::trim_ascii);
        if let Some(days) =
            value(b";$STARTTIME=").and_then(bounds::number).filter(|days| *days > DAYS_TO_1970)
        {
            self.start_s = (days - DAYS_TO_1970) * DAY_S;
        }
        // The version tells the columns where the header does not name them.
        let usual: &[u8] = match value(b";$FILEVERSION=") {
            Some([b'2', b'.', b'0', ..]) => b"N,O,T,I,d,l,D",
            Some([b'2', ..]) => b"N,O,T,B,I,d,R,L,D",
            _ => b"",
        };
        let columns = value(b";$COLUMNS=").unwrap_or(usual);
        if !columns.is_empty() {
            let letters = columns.split(|sign| *sign == b',').filter_map(|word| word.trim_ascii().first());
            self.columns = letters.copied().take(MOST_COLUMNS).collect();
        }
    }

    /// Number with a bracket, time, bus and direction where there are such, identifier, a dash where there is one, length, data.
    fn first_version<'a>(&self, line: &'a [u8]) -> Result<Frame<'a>, Refusal> {
        let mut rest = line;
        let number = word(&mut rest).and_then(|word| word.strip_suffix(b")")).and_then(whole);
        let time = word(&mut rest);
        let (Some(_), Some(time)) = (number, time) else { return Err(Refusal::NoFrame) };
        let mut next = || word(&mut rest).ok_or(Refusal::Damaged);
        let mut id = next()?;
        let mut interface: &[u8] = b"";
        // A bus has one or two digits, an identifier four or more.
        if id.len() <= 2 && whole(id).is_some() {
            interface = id;
            id = next()?;
        }
        if matches!(id, b"Rx" | b"Tx") {
            id = next()?;
        } else if !id.iter().all(u8::is_ascii_hexdigit) {
            // Warnings and errors.
            return Err(Refusal::NoFrame);
        }
        let mut length = next()?;
        if length == b"-" {
            length = next()?;
        }
        let length = whole(length).filter(|length| *length <= 8).ok_or(Refusal::Damaged)?;
        self.frame(time, interface, id, rest, length)
    }

    fn by_columns<'a>(&self, line: &'a [u8]) -> Result<Frame<'a>, Refusal> {
        let mut rest = line;
        let (mut time, mut id, mut interface): (_, _, &[u8]) = (None, None, b"");
        let mut length = None;
        for letter in &self.columns {
            if *letter == b'D' {
                break;
            }
            let word = word(&mut rest).ok_or(Refusal::Damaged)?;
            match letter {
                b'O' => time = Some(word),
                b'T' if !matches!(word, b"DT" | b"FD" | b"FB" | b"FE" | b"BI") => {
                    return Err(Refusal::NoFrame);
                }
                b'B' => interface = word,
                b'I' => id = Some(word),
                b'l' => length = whole(word).filter(|length| *length <= 64),
                b'L' => length = whole(word).and_then(bytes_of_code),
                _ => {}
            }
        }
        let (Some(time), Some(id), Some(length)) = (time, id, length) else { return Err(Refusal::Damaged) };
        self.frame(time, interface, id, rest, length)
    }

    fn frame<'a>(
        &self,
        time: &[u8],
        interface: &'a [u8],
        id: &[u8],
        data: &'a [u8],
        length: usize,
    ) -> Result<Frame<'a>, Refusal> {
        let time_ms =
            bounds::number(time).filter(|time| (0.0..1e14).contains(time)).ok_or(Refusal::Damaged)?;
        // The line of a bus's state has an identifier of all ones.
        if id == b"FFFFFFFF" {
            return Err(Refusal::NoFrame);
        }
        let extended = id.len() > 4;
        let id = hex_identifier(id).ok_or(Refusal::Damaged)?;
        let when = When::Seconds(self.start_s + time_ms / 1000.0);
        let writing = Writing::Parted { decimal: false };
        Ok(Frame { when, interface, id, extended, data, length: Some(length), writing })
    }
}

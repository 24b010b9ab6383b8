//! Tables of frames: `time,id,dlc,data` with the data in one column, or in one column for each byte.
//!
//! The header names the columns and may say the unit of the time. Whether identifiers and bytes are hexadecimal is seen from
//! the first rows: a letter among them, or `0x`, settles it; four to seven or more than eight digits and no letter are a decimal
//! identifier, three digits a decimal byte. What leaves it open is taken as hexadecimal, and said.

use super::super::csv::clock::{Cell, TimeColumn};
use super::super::csv::records::Cells;
use super::super::csv::table::time_unit;
use super::super::tally::{Kind, Tally};
use super::Bus;
use super::dialect::whole;
use super::frame::{Frame, LARGEST_ID, Refusal, When, Writing, hex_identifier};
use crate::problem::Severity;
use core::ops::Range;

/// Rows looked at together before it is settled how numbers are written.
const LOOKED_AT_ROWS: usize = 64;
/// More columns than a frame of 64 bytes needs.
const MOST_COLUMNS: usize = 100;
/// Largest identifier of eleven bits.
const LARGEST_SHORT_ID: u32 = 0x7FF;

const IDS: [&str; 11] = [
    "id",
    "canid",
    "arbitrationid",
    "identifier",
    "msgid",
    "messageid",
    "frameid",
    "arbid",
    "canidentifier",
    "idhex",
    "canidhex",
];
const LENGTHS: [&str; 6] = ["dlc", "len", "length", "datalength", "databytes", "size"];
const DATA: [&str; 6] = ["data", "payload", "datahex", "bytes", "databytes", "datafield"];
const EXTENDED: [&str; 5] = ["extended", "ext", "ide", "isextended", "isextendedid"];
const BUSES: [&str; 5] = ["bus", "channel", "interface", "canbus", "port"];
const REMOTE: [&str; 4] = ["rtr", "remote", "isremoteframe", "isremote"];

/// A table whose header was read.
#[derive(Debug)]
pub(super) struct Table {
    separator: u8,
    columns: Columns,
    time: TimeColumn,
    time_has_unit: bool,
    early: Vec<(usize, Vec<u8>)>,
    settled: bool,
    decimal_ids: bool,
    decimal_data: bool,
    tally: Tally,
}

#[derive(Clone, Debug, Default, PartialEq)]
struct Columns {
    id: usize,
    length: Option<usize>,
    /// The first and the last column of data.
    data: (usize, usize),
    extended: Option<usize>,
    bus: Option<usize>,
    remote: Option<usize>,
}

impl Table {
    /// The header of such a table in a line: it names times, identifiers and data.
    pub(super) fn of_header(line: &[u8]) -> Option<Self> {
        let text = core::str::from_utf8(line).ok()?;
        [b',', b';', b'\t', b'|'].into_iter().find_map(|separator| Self::new(text, separator))
    }

    fn new(text: &str, separator: u8) -> Option<Self> {
        let names: Vec<&str> = text.split(char::from(separator)).take(MOST_COLUMNS + 1).map(bare).collect();
        if names.len() < 3 || names.len() > MOST_COLUMNS {
            return None;
        }
        let plain: Vec<String> = names.iter().map(|name| plain(name)).collect();
        let find = |known: &[&str]| plain.iter().position(|name| known.contains(&name.as_str()));
        let byte = |name: &&String| byte_number(name).is_some();
        let first_byte = plain.iter().position(|name| byte(&name));
        // One column for each byte stand beside each other.
        let data = match first_byte {
            Some(first) => (first, first + plain[first..].iter().take_while(byte).count() - 1),
            None => find(&DATA).map(|index| (index, index))?,
        };
        let (time, factor) =
            names.iter().enumerate().find_map(|(index, name)| Some((index, time_unit(name)?)))?;
        let columns = Columns {
            id: find(&IDS)?,
            length: find(&LENGTHS).filter(|index| *index < data.0 || *index > data.1),
            data,
            extended: find(&EXTENDED),
            bus: find(&BUSES),
            remote: find(&REMOTE),
        };
        Some(Self {
            separator,
            columns,
            time: TimeColumn::new(time, None, names[time], factor),
            time_has_unit: factor.is_some(),
            early: Vec::new(),
            settled: false,
            decimal_ids: false,
            decimal_data: false,
            tally: Tally::default(),
        })
    }

    /// Takes a row in.
    pub(super) fn line(&mut self, line: usize, text: &[u8], bus: &mut Bus) {
        if self.settled {
            return self.row(line, text, bus);
        }
        self.early.push((line, text.to_vec()));
        if self.early.len() >= LOOKED_AT_ROWS {
            self.settle(bus);
        }
    }

    /// Hands on what still waits, and what was counted.
    pub(super) fn end(&mut self, bus: &mut Bus) {
        self.settle(bus);
        bus.tallies.push(core::mem::take(&mut self.tally));
    }

    fn settle(&mut self, bus: &mut Bus) {
        let early = core::mem::take(&mut self.early);
        if !core::mem::replace(&mut self.settled, true) {
            self.look_at(&early);
        }
        early.iter().for_each(|(line, text)| self.row(*line, text, bus));
    }

    /// How identifiers and bytes are written.
    fn look_at(&mut self, rows: &[(usize, Vec<u8>)]) {
        let (mut ids, mut bytes): (Vec<String>, Vec<String>) = (Vec::new(), Vec::new());
        let mut whole_times = true;
        for (_, text) in rows {
            let text = String::from_utf8_lossy(text);
            let cells: Vec<&str> = text.split(char::from(self.separator)).map(bare).collect();
            ids.extend(cells.get(self.columns.id).map(|cell| (*cell).to_owned()));
            whole_times &=
                cells.get(self.time.index).is_none_or(|cell| cell.bytes().all(|sign| sign.is_ascii_digit()));
            let data = cells.get(self.columns.data.0..=self.columns.data.1).unwrap_or_default();
            let words = data.iter().flat_map(|cell| cell.split(|sign: char| !sign.is_ascii_alphanumeric()));
            bytes.extend(words.filter(|word| !word.is_empty()).map(str::to_owned));
        }
        let is_hex = |text: &String| text.bytes().any(|sign| sign.is_ascii_alphabetic());
        let hex_ids = ids.iter().any(is_hex);
        self.decimal_ids = !hex_ids && ids.iter().any(|id| matches!(id.len(), 4..=7 | 9..));
        // A byte of three digits is decimal; longer ones are bytes one after the other.
        let hex_bytes = bytes.iter().any(|word| is_hex(word) || word.len() > 3);
        self.decimal_data = !hex_bytes && bytes.iter().any(|word| word.len() == 3);
        let line = rows.first().map_or(0, |(line, _)| *line);
        let open =
            [("identifiers", !hex_ids && !self.decimal_ids), ("data", !hex_bytes && !self.decimal_data)];
        for (part, _) in open.into_iter().filter(|(_, open)| *open && !rows.is_empty()) {
            let hint = "taken as hexadecimal";
            let (severity, expected) = (Severity::Note, "digits that show whether they are hexadecimal");
            self.tally.count(Kind { severity, part, expected, hint }, line, || "none that does".to_owned());
        }
        if whole_times && !self.time_has_unit && !rows.is_empty() {
            let hint = "say it in the name of the column, such as time_ms or time_us; seconds were assumed";
            let (severity, expected) = (Severity::Warning, "the unit of times without a fraction");
            self.tally.count(Kind { severity, part: "time", expected, hint }, line, || "none".to_owned());
        }
    }

    fn row(&mut self, line: usize, text: &[u8], bus: &mut Bus) {
        let Ok(text) = core::str::from_utf8(text) else { return bus.found(line, Err(Refusal::Damaged)) };
        let bounds = self.bounds(text);
        let time = match self.time.read(Cells::new(text, &bounds), line, &mut self.tally) {
            Cell::Seconds(seconds) => When::Seconds(seconds),
            // Told already, or an empty row.
            Cell::Unreadable | Cell::Empty => return,
        };
        let frame = self.frame(text, &bounds, time);
        bus.found(line, frame);
    }

    /// Where the cells of a row stand, without quotation marks and blanks.
    fn bounds(&self, text: &str) -> Vec<Range<usize>> {
        let mut start = 0;
        let cells = text.split(char::from(self.separator)).take(MOST_COLUMNS);
        cells
            .map(|cell| {
                let inside = bare(cell);
                let from = start + cell.find(inside).unwrap_or(0);
                start += cell.len() + 1;
                from..from + inside.len()
            })
            .collect()
    }

    fn frame<'a>(
        &self,
        text: &'a str,
        bounds: &[Range<usize>],
        when: When<'a>,
    ) -> Result<Frame<'a>, Refusal> {
        let cell = |index: usize| bounds.get(index).map_or("", |place| &text[place.clone()]);
        let said = |index: Option<usize>| index.map(cell);
        let yes =
            |text: &str| matches!(text.to_ascii_lowercase().as_str(), "1" | "true" | "yes" | "x" | "ext");
        if said(self.columns.remote).is_some_and(yes) {
            return Err(Refusal::NoFrame);
        }
        let digits = cell(self.columns.id);
        let marked = digits.strip_suffix(['x', 'X', 'h']).unwrap_or(digits);
        let id = if self.decimal_ids {
            digits.parse().ok().filter(|id| *id <= LARGEST_ID)
        } else {
            hex_identifier(marked.as_bytes())
        };
        let id = id.ok_or(Refusal::Damaged)?;
        let by_size =
            id > LARGEST_SHORT_ID || (!self.decimal_ids && marked.trim_start_matches("0x").len() == 8);
        let extended = said(self.columns.extended).map_or(by_size, |cell| yes(cell) || id > LARGEST_SHORT_ID);
        let (first, last) = self.columns.data;
        let start = bounds.get(first).map(|place| place.start).ok_or(Refusal::Damaged)?;
        let end = bounds[..bounds.len().min(last + 1)].last().map_or(start, |place| place.end.max(start));
        let length = said(self.columns.length).filter(|cell| !cell.is_empty());
        let length = match length.map(|cell| whole(cell.as_bytes())) {
            Some(None) => return Err(Refusal::Damaged),
            Some(length) => length.filter(|length| *length <= 64),
            None => None,
        };
        Ok(Frame {
            when,
            interface: said(self.columns.bus).unwrap_or_default().as_bytes(),
            id,
            extended,
            data: &text.as_bytes()[start..end],
            length,
            writing: Writing::Parted { decimal: self.decimal_data },
        })
    }
}

/// A cell without the blanks and quotation marks around it.
fn bare(cell: &str) -> &str {
    cell.trim().trim_matches('"').trim()
}

/// A name in small letters and digits alone, without what stands in brackets.
fn plain(name: &str) -> String {
    let outside = name.split(['(', '[']).next().unwrap_or_default();
    outside
        .chars()
        .filter(|sign| sign.is_ascii_alphanumeric())
        .map(|sign| sign.to_ascii_lowercase())
        .collect()
}

/// `d0`, `data1`, `byte2`, `b3`: the number of a byte.
fn byte_number(plain: &str) -> Option<u8> {
    let names = ["databyte", "data", "byte", "d", "b"];
    let digits = names.iter().find_map(|name| plain.strip_prefix(name))?;
    digits.parse().ok().filter(|number| *number <= 64)
}

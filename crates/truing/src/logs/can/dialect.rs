//! The texts in which frames are logged, recognised by their first lines.
//!
//! | text | frame |
//! |---|---|
//! | candump | `(1735270496.916858) can0 110#00112233` |
//! | ASC | `0.012345 1  18FEF100x  Rx  d 8 FF 00 64 FF FF FF FF FF` |
//! | TRC 1.0 to 2.1 | `     1)   1059.9  Rx  0300  4  00 11 22 33` |
//! | a table | `time,id,dlc,data`, data in one column or in one for each byte |

use super::Bus;
use super::asc::Asc;
use super::frame::{Frame, Refusal};
use super::table::Table;
use super::trc::Trc;

/// Lines after which a log that shows nothing else is taken for candump text.
const LINES_LOOKED_AT: usize = 200;

/// How the frames of a log are written.
#[derive(Debug)]
pub(super) enum Dialect {
    /// Not known yet, after so many lines.
    Looking(usize),
    Candump,
    Asc(Asc),
    Trc(Trc),
    Table(Box<Table>),
}

impl Default for Dialect {
    fn default() -> Self {
        Self::Looking(0)
    }
}

impl Dialect {
    /// What a line shows of it.
    pub(super) fn new(line: &[u8]) -> Option<Self> {
        if candump(line).is_ok_and(|frame| frame.data().is_some()) {
            return Some(Self::Candump);
        }
        if Trc::is_shown_by(line) {
            return Some(Self::Trc(Trc::default()));
        }
        if Asc::is_shown_by(line) {
            return Some(Self::Asc(Asc::default()));
        }
        Table::of_header(line).map(|table| Self::Table(Box::new(table)))
    }

    /// Takes a line in and hands on what it is.
    pub(super) fn line(&mut self, line: usize, text: &[u8], bus: &mut Bus) {
        if let Self::Looking(lines) = self {
            match Self::new(text) {
                // The names of the columns are no row.
                Some(Self::Table(table)) => return *self = Self::Table(table),
                Some(dialect) => *self = dialect,
                None if *lines >= LINES_LOOKED_AT => *self = Self::Candump,
                None => {
                    *lines += 1;
                    return bus.found(line, candump(text));
                }
            }
        }
        match self {
            Self::Looking(_) | Self::Candump => bus.found(line, candump(text)),
            Self::Asc(asc) => {
                let found = asc.line(text);
                bus.found(line, found);
            }
            Self::Trc(trc) => {
                let found = trc.line(text);
                bus.found(line, found);
            }
            Self::Table(table) => table.line(line, text, bus),
        }
        if let Self::Asc(asc) = self
            && core::mem::take(&mut asc.zone_missing)
        {
            bus.count_zone(line);
        }
    }

    /// Hands on what still waits.
    pub(super) fn end(&mut self, bus: &mut Bus) {
        if let Self::Table(table) = self {
            table.end(bus);
        }
    }
}

/// Reads a line of candump text where that is not the common case.
#[inline(never)]
fn candump(line: &[u8]) -> Result<Frame<'_>, Refusal> {
    Frame::new(line)
}

/// The next word of a text and what follows it.
pub(super) fn word<'a>(rest: &mut &'a [u8]) -> Option<&'a [u8]> {
    let text = rest.trim_ascii_start();
    let length = text.iter().position(u8::is_ascii_whitespace).unwrap_or(text.len());
    let (word, after) = text.split_at(length);
    *rest = after;
    (!word.is_empty()).then_some(word)
}

/// A whole number in decimal digits.
pub(super) fn whole(text: &[u8]) -> Option<usize> {
    core::str::from_utf8(text).ok()?.parse().ok()
}

/// How many bytes a code of length stands for (ISO 11898-1: above eight in steps).
pub(super) fn bytes_of_code(code: usize) -> Option<usize> {
    const LONGER: [usize; 7] = [12, 16, 20, 24, 32, 48, 64];
    if code <= 8 { Some(code) } else { LONGER.get(code - 9).copied() }
}

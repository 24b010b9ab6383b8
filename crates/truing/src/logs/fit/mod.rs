//! Activity files (FIT), fed in chunks of any size.
//!
//! Read are the `record` messages: time, position, height and speed, the finer of two where both are there. A timer that starts
//! begins a segment. Several files one after the other are read as one. A file that was not closed (size of zero), was cut or
//! does not fit its checksum is read as far as its messages make sense, and said.
//!
//! Own code, because what is published reads through a second library of time, panics on unknown fields, or brings a hundred
//! thousand lines of tables of which eight fields are wanted.
//!
//! Source: the published description of the protocol; numbers, scales and invalid values of fields from memory, the same as in
//! the tables of a published decoder.

use super::{Clock, Fix, Track, bounds};
use crate::problem::Problem;
use metrology::quantity::{Angle, Instant, Length, Quantity, Speed};

/// Seconds from 1970 to 1989-12-31T00:00:00Z, from which times count.
const START_S: f64 = 631_065_600.0;
/// Smaller times count from when the device was switched on.
const EARLIEST_DATE: u32 = 0x1000_0000;
/// Number of the message that holds a fix, and of the one about the timer.
const RECORD: u16 = 20;
const EVENT: u16 = 21;
/// Number of the field of times, the same in every message.
const TIMESTAMP: u8 = 253;
/// Half a turn in the unit of positions.
const HALF_TURN: f64 = 2_147_483_648.0;

/// Whether a file that begins so is of this kind.
pub(super) fn begins_like_one(head: &[u8]) -> bool {
    matches!(head.first(), Some(12..=64)) && head.get(8..12) == Some(b".FIT")
}

/// A push parser for one FIT file; memory is bounded by one message beside the fixes themselves.
#[derive(Debug)]
pub struct FitReader {
    source: String,
    waiting: Vec<u8>,
    /// How many of the waiting bytes are done with.
    done: usize,
    state: State,
    definitions: [Option<Definition>; 16],
    last_time: u32,
    checksum: u16,
    starts_segment: bool,
    track: Track,
    messages: usize,
    wrong_checksums: usize,
    problems: Vec<Problem>,
}

#[derive(Copy, Clone, Debug, PartialEq, Eq)]
enum State {
    Header,
    /// In the messages, with the bytes to go where they are known.
    Messages(Option<usize>),
    Checksum,
    Stopped,
}

/// What the messages of a local number hold.
#[derive(Clone, Debug, Default)]
struct Definition {
    message: u16,
    big_endian: bool,
    bytes: usize,
    /// Number, place and size of the fields that are read.
    fields: Vec<(u8, usize, usize)>,
}

/// Bytes that are there, or not yet.
enum Available {
    Done,
    Waiting,
}

impl FitReader {
    /// A reader of the input called `source` in problems.
    pub fn new(source: impl Into<String>) -> Self {
        Self {
            source: source.into(),
            waiting: Vec::new(),
            done: 0,
            state: State::Header,
            definitions: Default::default(),
            last_time: 0,
            checksum: 0,
            starts_segment: true,
            track: Track::default(),
            messages: 0,
            wrong_checksums: 0,
            problems: Vec::new(),
        }
    }

    /// Takes the next bytes, in chunks of any size.
    pub fn feed(&mut self, bytes: &[u8]) {
        // Pieces keep what waits small, however large the chunk is.
        for piece in bytes.chunks(1 << 16) {
            self.waiting.extend_from_slice(piece);
            while matches!(self.step(), Available::Done) {}
            self.waiting.drain(..self.done);
            self.done = 0;
        }
    }

    /// What was understood, and what was not.
    pub fn finish(mut self) -> (Track, Vec<Problem>) {
        let cut = match self.state {
            State::Header => self.messages == 0 || !self.waiting.is_empty(),
            // A file that was not closed ends where its messages end.
            State::Messages(None) => !self.waiting.is_empty(),
            State::Messages(Some(_)) | State::Checksum => true,
            State::Stopped => false,
        };
        if cut {
            let problem = Problem::warning(&self.source, "the file to go on", "its end within a message");
            self.problems
                .push(problem.hint("the file was cut short; every complete message before was read"));
        }
        if self.wrong_checksums > 0 {
            let problem = Problem::warning(&self.source, "a checksum that fits", "another");
            self.problems
                .push(problem.hint("the file is damaged somewhere; copy it again, or look at the track"));
        }
        let first = self.track.fixes.iter().find_map(|fix| fix.time);
        self.track.clock = match first {
            None => Clock::None,
            Some(time) if time.s() >= START_S => Clock::Absolute,
            Some(_) => Clock::Elapsed,
        };
        (self.track, self.problems)
    }

    /// The next bytes, once there are so many.
    fn take(&mut self, count: usize) -> Option<Vec<u8>> {
        let bytes = self.waiting.get(self.done..self.done + count)?.to_vec();
        self.done += count;
        Some(bytes)
    }

    fn step(&mut self) -> Available {
        match self.state {
            State::Header => self.header(),
            State::Messages(Some(0)) => {
                self.state = State::Checksum;
                Available::Done
            }
            State::Messages(left) => self.message(left),
            State::Checksum => {
                let Some(bytes) = self.take(2) else { return Available::Waiting };
                self.wrong_checksums +=
                    usize::from(u16::from_le_bytes([bytes[0], bytes[1]]) != self.checksum);
                (self.state, self.definitions) = (State::Header, Default::default());
                Available::Done
            }
            State::Stopped => {
                self.done = self.waiting.len();
                Available::Waiting
            }
        }
    }

    fn header(&mut self) -> Available {
        let Some(&length) = self.waiting.get(self.done) else { return Available::Waiting };
        let length = usize::from(length);
        if length < 12 {
            return self.stop("a header of a file", "other bytes");
        }
        let Some(bytes) = self.take(length) else { return Available::Waiting };
        if &bytes[8..12] != b".FIT" {
            return self.stop("a header of a file", "other bytes");
        }
        let size = u32::from_le_bytes([bytes[4], bytes[5], bytes[6], bytes[7]]);
        self.checksum = crc(0, &bytes);
        self.state = State::Messages((size > 0).then_some(size as usize));
        Available::Done
    }

    fn message(&mut self, left: Option<usize>) -> Available {
        let Some(&head) = self.waiting.get(self.done) else { return Available::Waiting };
        let local = if head & 0x80 != 0 { head >> 5 & 0x03 } else { head & 0x0F };
        let is_definition = head & 0xC0 == 0x40;
        let length = if is_definition {
            let Some(length) = self.definition_bytes(head & 0x20 != 0) else { return Available::Waiting };
            length
        } else {
            match &self.definitions[usize::from(local)] {
                Some(definition) => 1 + definition.bytes,
                None => return self.stop("messages that were defined before", "another"),
            }
        };
        if left.is_some_and(|left| length > left) {
            return self.stop("messages within the size that the header says", "one beyond it");
        }
        let Some(bytes) = self.take(length) else { return Available::Waiting };
        self.checksum = crc(self.checksum, &bytes);
        self.state = State::Messages(left.map(|left| left - length));
        self.messages += 1;
        if is_definition {
            self.definitions[usize::from(local)] = Some(Definition::new(&bytes[1..]));
        } else if let Some(definition) = self.definitions[usize::from(local)].take() {
            self.data(head, &definition, &bytes[1..]);
            self.definitions[usize::from(local)] = Some(definition);
        }
        Available::Done
    }

    /// How long a definition is, with its head; `None` while too little of it is there.
    fn definition_bytes(&self, with_developer_fields: bool) -> Option<usize> {
        let count = |at: usize| self.waiting.get(self.done + at).copied().map(usize::from);
        let own = 6 + 3 * count(5)?;
        Some(if with_developer_fields { own + 1 + 3 * count(own)? } else { own })
    }

    fn data(&mut self, head: u8, definition: &Definition, bytes: &[u8]) {
        let value = |number: u8| definition.value(number, bytes);
        if head & 0x80 != 0 {
            // Five bits of the time; the rest is that of the last one.
            let offset = u32::from(head & 0x1F);
            self.last_time = self.last_time.wrapping_add(offset.wrapping_sub(self.last_time) & 0x1F);
        } else if let Some(time) = value(TIMESTAMP) {
            self.last_time = time;
        }
        match definition.message {
            // Event 0 is the timer, type 0 its start.
            EVENT if value(0) == Some(0) && value(1) == Some(0) => self.starts_segment = true,
            RECORD => self.fix(&value, head & 0x80 != 0 || value(TIMESTAMP).is_some()),
            _ => {}
        }
    }

    fn fix(&mut self, value: &impl Fn(u8) -> Option<u32>, timed: bool) {
        let degrees = |number| value(number).map(|bits| f64::from(bits as i32) / HALF_TURN * 180.0);
        let position =
            degrees(0).zip(degrees(1)).filter(|(latitude, _)| latitude.abs() <= bounds::LATITUDE_DEG);
        let either = |fine, coarse| value(fine).or_else(|| value(coarse)).map(f64::from);
        let speed = either(73, 6).map(|count| count / 1000.0).filter(|speed| bounds::is_speed(*speed));
        let height =
            either(78, 2).map(|count| count / 5.0 - 500.0).filter(|height| bounds::is_elevation(*height));
        if position.is_none() && speed.is_none() {
            return;
        }
        let start_s = if self.last_time >= EARLIEST_DATE { START_S } else { 0.0 };
        self.track.fixes.push(Fix {
            time: timed.then(|| Instant::from_s(f64::from(self.last_time) + start_s)),
            latitude: position.map(|(latitude, _)| Angle::from_deg(latitude)),
            longitude: position.map(|(_, longitude)| Angle::from_deg(longitude)),
            elevation: height.map(Length::from_m),
            speed: speed.map(Speed::from_si),
            starts_segment: core::mem::take(&mut self.starts_segment),
            ..Fix::default()
        });
    }

    fn stop(&mut self, expected: &str, found: &str) -> Available {
        let problem = Problem::warning(&self.source, expected, found);
        self.problems.push(problem.hint("the file is damaged there; what came before was read"));
        self.state = State::Stopped;
        Available::Done
    }
}

impl Definition {
    /// From its bytes behind the head.
    fn new(bytes: &[u8]) -> Self {
        let big_endian = bytes[1] == 1;
        let message = if big_endian {
            u16::from_be_bytes([bytes[2], bytes[3]])
        } else {
            u16::from_le_bytes([bytes[2], bytes[3]])
        };
        let count = usize::from(bytes[4]);
        let (own, more) = bytes[5..].split_at(3 * count);
        let wanted = |number: u8| match message {
            RECORD => matches!(number, TIMESTAMP | 0 | 1 | 2 | 6 | 73 | 78),
            EVENT => matches!(number, TIMESTAMP | 0 | 1),
            _ => number == TIMESTAMP,
        };
        let (mut at, mut fields) = (0, Vec::new());
        for field in own.as_chunks::<3>().0 {
            let size = usize::from(field[1]);
            if wanted(field[0]) && matches!(size, 1 | 2 | 4) {
                fields.push((field[0], at, size));
            }
            at += size;
        }
        // Fields of the device's own come behind; only their sizes matter.
        let developers = more.get(1..).unwrap_or_default().as_chunks::<3>().0;
        let bytes = at + developers.iter().map(|field| usize::from(field[1])).sum::<usize>();
        Self { message, big_endian, bytes, fields }
    }

    /// A whole number of up to four bytes; `None` where it is missing or marked as invalid.
    fn value(&self, number: u8, bytes: &[u8]) -> Option<u32> {
        let (_, at, size) = *self.fields.iter().find(|(own, ..)| *own == number)?;
        let bytes = bytes.get(at..at + size)?;
        let add = |sum: u32, byte: &u8| sum << 8 | u32::from(*byte);
        let value = if self.big_endian { bytes.iter().fold(0, add) } else { bytes.iter().rev().fold(0, add) };
        // Positions are signed: their largest value is the invalid one.
        let invalid = match (self.message, number) {
            (RECORD, 0 | 1) => 0x7FFF_FFFF,
            _ => u32::MAX >> (32 - 8 * size),
        };
        (value != invalid).then_some(value)
    }
}

/// CRC-16 with the polynomial 0x8005, lowest bit first (known as ARC), by nibbles.
fn crc(start: u16, bytes: &[u8]) -> u16 {
    let nibble = |crc: u16, value: u16| {
        (0..4).fold(crc ^ value, |crc, _| if crc & 1 == 1 { crc >> 1 ^ 0xA001 } else { crc >> 1 })
    };
    bytes.iter().fold(start, |crc, byte| nibble(nibble(crc, u16::from(byte & 0x0F)), u16::from(byte >> 4)))
}

#[cfg(test)]
mod tests;

//! WAV sound files, fed in chunks of any size.
//!
//! PCM of 8, 16, 24 and 32 bits, float of 32 and 64, plain and extensible headers, RIFF, RF64 and BW64. A recorder that was
//! truncated leaves sizes of zero, of all ones, or larger than the file: then the data go on to the end. A frame that is not
//! whole is dropped and said.
//!
//! Source: Multimedia Programming Interface and Data Specifications 1.0 (1991), chapter 3; EBU Tech 3306 (RF64) (from memory).

use super::recording::{Piece, RecordingOptions, channel};
use crate::problem::Problem;
use metrology::quantity::Frequency;

/// A chunk before the data that is longer than this is skipped without being kept.
const KEPT_CHUNK_BYTES: usize = 1 << 12;
/// Size that stands for "not known".
const UNKNOWN_SIZE: u32 = u32::MAX;

/// What the header says.
#[derive(Copy, Clone, Debug, PartialEq)]
struct Format {
    channels: usize,
    rate: Frequency,
    sample: Sample,
    chosen: usize,
}

/// How a sample is written.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
enum Sample {
    Unsigned8,
    Signed(usize),
    Float32,
    Float64,
}

impl Sample {
    fn bytes(self) -> usize {
        match self {
            Self::Unsigned8 => 1,
            Self::Signed(bytes) => bytes,
            Self::Float32 => 4,
            Self::Float64 => 8,
        }
    }

    /// The value at the start of `bytes`, full scale 1.
    fn read(self, bytes: &[u8]) -> f64 {
        let mut eight = [0; 8];
        let own = self.bytes();
        eight[8 - own..].copy_from_slice(&bytes[..own]);
        match self {
            Self::Unsigned8 => (f64::from(bytes[0]) - 128.0) / 128.0,
            // Shifted to the top of 64 bits, the sign is in its place.
            Self::Signed(_) => -(i64::from_le_bytes(eight) as f64 / i64::MIN as f64),
            Self::Float32 => f64::from(f32::from_le_bytes([bytes[0], bytes[1], bytes[2], bytes[3]])),
            Self::Float64 => f64::from_le_bytes(eight),
        }
    }
}

#[derive(Debug)]
enum State {
    /// Gathering the twelve bytes in front.
    Front,
    /// Gathering a chunk's name and size.
    Head,
    /// Gathering the `fmt ` chunk of so many bytes.
    FormatChunk(usize),
    /// Passing over so many bytes.
    Skip(u64),
    /// In the data, so many bytes to go where known.
    Data(Option<u64>),
    Refused,
}

/// A push parser for one WAV file; memory is one chunk of bytes.
#[derive(Debug)]
pub struct WavReader {
    source: String,
    options: RecordingOptions,
    state: State,
    waiting: Vec<u8>,
    format: Option<Format>,
    values: Vec<f64>,
    frames: u64,
    problems: Vec<Problem>,
}

impl WavReader {
    /// A reader of the input called `source` in problems.
    pub fn new(source: impl Into<String>, options: RecordingOptions) -> Self {
        Self {
            source: source.into(),
            options,
            state: State::Front,
            waiting: Vec::new(),
            format: None,
            values: Vec::new(),
            frames: 0,
            problems: Vec::new(),
        }
    }

    /// Takes the next bytes, in chunks of any size.
    pub fn feed(&mut self, bytes: &[u8], sink: &mut dyn FnMut(Piece)) {
        self.waiting.extend_from_slice(bytes);
        while self.step(sink) {}
    }

    /// What was not understood.
    pub fn finish(mut self) -> Vec<Problem> {
        match self.state {
            State::Data(Some(left)) if left > self.waiting.len() as u64 => {
                let found = format!("{left} bytes fewer");
                let note = Problem::note(&self.source, "as many samples as its header says", found);
                self.problems.push(
                    note.hint("the recording was truncated or the copy is not whole; what is there was read"),
                );
            }
            State::Refused => return self.problems,
            _ => {}
        }
        if matches!(self.state, State::Data(_)) && !self.waiting.is_empty() {
            let found = format!("{} bytes more than whole samples", self.waiting.len());
            self.problems
                .push(Problem::note(&self.source, "whole samples", found).hint("they were left out"));
        }
        if self.frames == 0 && !self.problems.iter().any(Problem::is_error) {
            let problem = Problem::error(&self.source, "a WAV file with samples", "no samples");
            self.problems.push(problem.hint("the recording may not have started"));
        }
        self.problems
    }

    /// One step; false when more bytes are needed.
    fn step(&mut self, sink: &mut dyn FnMut(Piece)) -> bool {
        match self.state {
            State::Front => self.take(12).map(|_| self.state = State::Head).is_some(),
            State::Head => self.take(8).map(|head| self.begin(&head)).is_some(),
            State::FormatChunk(size) => self.take(size).map(|chunk| self.read_format(&chunk)).is_some(),
            State::Skip(left) => {
                let gone = (self.waiting.len() as u64).min(left);
                self.waiting.drain(..gone as usize);
                self.state = if gone == left { State::Head } else { State::Skip(left - gone) };
                gone == left
            }
            State::Data(left) => self.read_data(left, sink),
            State::Refused => {
                self.waiting.clear();
                false
            }
        }
    }

    fn take(&mut self, count: usize) -> Option<Vec<u8>> {
        (self.waiting.len() >= count).then(|| self.waiting.drain(..count).collect())
    }

    fn begin(&mut self, head: &[u8]) {
        let size = u32::from_le_bytes([head[4], head[5], head[6], head[7]]);
        // Chunks are padded to an even length.
        let padded = u64::from(size) + u64::from(size % 2);
        self.state = match &head[..4] {
            b"fmt " if size as usize <= KEPT_CHUNK_BYTES => State::FormatChunk(padded as usize),
            b"data" if self.format.is_some() => {
                State::Data((size != 0 && size != UNKNOWN_SIZE).then_some(u64::from(size)))
            }
            b"data" => self.refuse("its format before the data", "data without a format"),
            _ => State::Skip(padded),
        };
    }

    fn refuse(&mut self, expected: &str, found: impl Into<String>) -> State {
        let problem = Problem::error(&self.source, expected, found);
        self.problems
            .push(problem.hint("record or export it as WAV, PCM 16 bit, 44100 or 48000 samples per second"));
        State::Refused
    }

    fn read_format(&mut self, chunk: &[u8]) {
        if chunk.len() < 16 {
            self.state = self.refuse("a format of at least 16 bytes", format!("{} bytes", chunk.len()));
            return;
        }
        let two = |at: usize| u16::from_le_bytes([chunk[at], chunk[at + 1]]);
        let (channels, bits) = (usize::from(two(2)), two(14));
        let rate_hz = f64::from(u32::from_le_bytes([chunk[4], chunk[5], chunk[6], chunk[7]]));
        // The extensible form holds the true code at the start of its identifier.
        let code = if two(0) == 0xFFFE && chunk.len() >= 26 { two(24) } else { two(0) };
        let sample = match (code, bits) {
            (1, 8) => Sample::Unsigned8,
            (1, 16 | 24 | 32) => Sample::Signed(usize::from(bits / 8)),
            (3, 32) => Sample::Float32,
            (3, 64) => Sample::Float64,
            _ => {
                self.state = self.refuse(
                    "samples of 8, 16, 24 or 32 bits, or float",
                    format!("format code {code} with {bits} bits, which is compressed or unknown"),
                );
                return;
            }
        };
        if channels == 0 || rate_hz == 0.0 {
            let found = format!("{channels} channels, {rate_hz} samples per second");
            self.state = self.refuse("at least one channel and a rate", found);
            return;
        }
        let names: Vec<String> = (1..=channels).map(|number| number.to_string()).collect();
        let (chosen, problem) = channel(&self.source, &self.options, &names);
        self.problems.extend(problem);
        let rate = Frequency::from_hz(rate_hz);
        self.state = if chosen.is_some() { State::Head } else { State::Refused };
        self.format = chosen.map(|chosen| Format { channels, rate, sample, chosen });
    }

    fn read_data(&mut self, left: Option<u64>, sink: &mut dyn FnMut(Piece)) -> bool {
        let Some(Format { channels, rate, sample, chosen }) = self.format else { return false };
        let frame = channels * sample.bytes();
        let here =
            left.map_or(self.waiting.len() as u64, |left| left.min(self.waiting.len() as u64)) as usize;
        let frames = here / frame;
        self.values.clear();
        let offset = chosen * sample.bytes();
        self.values
            .extend(self.waiting.chunks_exact(frame).take(frames).map(|bytes| sample.read(&bytes[offset..])));
        self.frames += frames as u64;
        if frames > 0 {
            sink(Piece::Samples { rate, values: &self.values });
        }
        self.waiting.drain(..frames * frame);
        let left = left.map(|left| left - (frames * frame) as u64);
        self.state = State::Data(left);
        // Behind the data other chunks may follow; a rest smaller than a frame is passed over with them.
        match left {
            Some(rest) if rest < frame as u64 && self.waiting.len() as u64 >= rest => {
                self.state = State::Skip(rest);
                true
            }
            _ => false,
        }
    }
}

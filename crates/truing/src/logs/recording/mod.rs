//! Recordings of a signal: sound files, logic analysers' CSV and value change dumps, by one door.
//!
//! The first bytes tell the format, never the name. What was recorded is handed on piece by piece, so a recording of any
//! length takes the memory of one piece.
//!
//! ```
//! use truing::logs::recording::{Piece, RecordingOptions, RecordingReader};
//! let mut rising = 0;
//! let mut count = |piece: Piece| rising += usize::from(matches!(piece, Piece::Edge { rising: true, .. }));
//! let mut reader = RecordingReader::new("bench.csv", RecordingOptions::default());
//! reader.feed(b"time_s,level\n0,0\n0.5,1\n0.75,0\n1.0,1\n", &mut count);
//! let problems = reader.finish(&mut count);
//! assert!(problems.is_empty() && rising == 2);
//! ```

use super::logic::LogicReader;
use super::vcd::VcdReader;
use super::wav::WavReader;
use crate::problem::{Field, Problem, Problems, Wording};
use metrology::quantity::{Duration, Frequency};

/// So many bytes are looked at before a reader is chosen.
const LOOKED_AT_BYTES: usize = 512;

/// Changes of a line that are handed on: an hour of a sensor at two thousand pulses a second has fourteen million.
const MOST_EDGES: usize = 1 << 24;

/// A part of a recording.
#[derive(Copy, Clone, Debug, PartialEq)]
pub enum Piece<'a> {
    /// Samples of a wave; full scale is 1 where the format has one.
    Samples {
        /// How many in a second.
        rate: Frequency,
        /// The samples.
        values: &'a [f64],
    },
    /// A change of a line that knows two levels only.
    Edge {
        /// Since the start of the recording.
        time: Duration,
        /// Upwards.
        rising: bool,
    },
    /// The samples that follow were coded with loss: the times of their crossings are less certain.
    Lossy,
    /// The recording went on until here without a further change.
    End {
        /// Since the start of the recording.
        time: Duration,
    },
}

/// What cannot be found out from the file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct RecordingOptions {
    /// Channel by number from 1, or by name; the first where not said.
    pub channel: Option<String>,
}

/// A reader of any known format.
#[derive(Debug)]
pub struct RecordingReader {
    source: String,
    options: RecordingOptions,
    state: State,
    edges: Edges,
}

/// How many changes of a line were handed on, and how many may be: who listens keeps each of them.
#[derive(Debug)]
struct Edges {
    count: usize,
    most: usize,
}

impl Edges {
    /// Hands a piece on; nothing any more once there were too many, so that the time ends with the last of them.
    fn pass(&mut self, piece: Piece, sink: &mut dyn FnMut(Piece)) {
        self.count += usize::from(matches!(piece, Piece::Edge { .. }));
        if self.count <= self.most {
            sink(piece);
        }
    }

    fn problem(&self, source: &str) -> Option<Problem> {
        let expected = format!("at most {} changes of the line", self.most);
        let problem = Problem::warning(source, expected, self.count.to_string());
        let hint =
            "what came after that many was not read; record a shorter stretch, or the sensor's channel";
        (self.count > self.most).then(|| problem.hint(hint))
    }
}

#[derive(Debug)]
enum State {
    Looking(Vec<u8>),
    Wav(Box<WavReader>),
    Vcd(Box<VcdReader>),
    Logic(Box<LogicReader>),
    Refused(&'static str),
}

impl RecordingReader {
    /// A reader of the input called `source` in problems.
    pub fn new(source: impl Into<String>, options: RecordingOptions) -> Self {
        Self::with_most_edges(source.into(), options, MOST_EDGES)
    }

    fn with_most_edges(source: String, options: RecordingOptions, most: usize) -> Self {
        Self { source, options, state: State::Looking(Vec::new()), edges: Edges { count: 0, most } }
    }

    /// Takes the next bytes, in chunks of any size.
    pub fn feed(&mut self, bytes: &[u8], sink: &mut dyn FnMut(Piece)) {
        let edges = &mut self.edges;
        match &mut self.state {
            State::Looking(head) => {
                head.extend_from_slice(bytes);
                if head.len() >= LOOKED_AT_BYTES {
                    self.choose(sink);
                }
            }
            State::Wav(reader) => reader.feed(bytes, sink),
            State::Vcd(reader) => reader.feed(bytes, &mut |piece| edges.pass(piece, sink)),
            State::Logic(reader) => reader.feed(bytes, &mut |piece| edges.pass(piece, sink)),
            State::Refused(_) => {}
        }
    }

    /// What was not understood.
    pub fn finish(mut self, sink: &mut dyn FnMut(Piece)) -> Vec<Problem> {
        if matches!(self.state, State::Looking(_)) {
            self.choose(sink);
        }
        let edges = &mut self.edges;
        let mut problems = match self.state {
            State::Wav(reader) => reader.finish(),
            State::Vcd(reader) => reader.finish(&mut |piece| edges.pass(piece, sink)),
            State::Logic(reader) => reader.finish(&mut |piece| edges.pass(piece, sink)),
            State::Looking(_) => Vec::new(),
            State::Refused(found) => {
                let expected = "a WAV file, a logic analyser's CSV or a value change dump (VCD)";
                let hint = match found {
                    "an empty file" => "check the export or the copy; the recording may not have started",
                    _ if DECODED.iter().any(|(_, _, name)| *name == found) => {
                        "compressed sound is decoded from the file itself: take it out of the archive"
                    }
                    _ => "record or export it as WAV (uncompressed), 44100 or 48000 samples per second",
                };
                Problems::from(Problem::error(&self.source, expected, found).hint(hint)).into()
            }
        };
        problems.extend(edges.problem(&self.source));
        problems
    }

    fn choose(&mut self, sink: &mut dyn FnMut(Piece)) {
        let State::Looking(head) = &mut self.state else { return };
        let head = std::mem::take(head);
        let (source, options) = (self.source.clone(), self.options.clone());
        // What is judged does not depend on how the bytes arrive.
        self.state = match Format::new(&head[..head.len().min(LOOKED_AT_BYTES)]) {
            Format::Wav => State::Wav(Box::new(WavReader::new(source, options))),
            Format::Vcd => State::Vcd(Box::new(VcdReader::new(source, options))),
            Format::Text => State::Logic(Box::new(LogicReader::new(source, options))),
            Format::Other(found) => State::Refused(found),
        };
        self.feed(&head, sink);
    }
}

/// Where a mark stands in a file, the mark, and what begins so.
type Mark = (usize, &'static [u8], &'static str);

/// Sound that the faces decode: they need to go back and forth in the file, which a pushed reader cannot.
const DECODED: [Mark; 4] = [
    (4, b"ftyp", "compressed sound (MPEG-4)"),
    (0, b"ID3", "compressed sound (MP3)"),
    (0, b"OggS", "compressed sound (Ogg)"),
    (0, b"fLaC", "compressed sound (FLAC)"),
];
const NOT_DECODED: [Mark; 5] = [
    (0, b"#!AMR", "compressed sound (AMR)"),
    (0, b"\x1a\x45\xdf\xa3", "compressed sound (Matroska or WebM)"),
    (0, b"caff", "a CAF file"),
    (0, b"FORM", "an AIFF file"),
    (0, b"PK\x03\x04", "a zip archive"),
];

fn marked(head: &[u8], marks: &[Mark]) -> Option<&'static str> {
    let is_there = |(at, mark, _): &&Mark| head.get(*at..).is_some_and(|rest| rest.starts_with(mark));
    marks.iter().find(is_there).map(|(_, _, name)| *name)
}

/// The name of the compressed sound that a file begins like, if it is of a kind that the faces decode.
pub fn compressed(head: &[u8]) -> Option<&'static str> {
    let frame = match head {
        // Eleven ones begin a frame of MPEG sound, twelve one of AAC by itself; two bits behind them name the layer, which
        // is 0 for AAC and 1 for MP3.
        [0xff, second, ..] if second & 0xf6 == 0xf0 => Some("compressed sound (AAC)"),
        [0xff, second, ..] if second & 0xe6 == 0xe2 => Some("compressed sound (MP3)"),
        _ => None,
    };
    frame.or_else(|| marked(head, &DECODED))
}

#[derive(Copy, Clone, Debug, PartialEq, Eq)]
enum Format {
    Wav,
    Vcd,
    Text,
    Other(&'static str),
}

impl Format {
    fn new(head: &[u8]) -> Self {
        let is_wav = [&b"RIFF"[..], b"RF64", b"BW64"].iter().any(|start| head.starts_with(start));
        if is_wav {
            return Self::Wav;
        }
        if let Some(name) = compressed(head).or_else(|| marked(head, &NOT_DECODED)) {
            return Self::Other(name);
        }
        if head.iter().all(u8::is_ascii_whitespace) {
            return Self::Other("an empty file");
        }
        if super::has_zeros_of_binary(head) {
            return Self::Other("binary data");
        }
        let text = head.trim_ascii_start();
        let declares = |word: &[u8]| text.windows(word.len()).any(|piece| piece == word);
        if text.starts_with(b"$") && (declares(b"$end") || declares(b"$date") || declares(b"$timescale")) {
            return Self::Vcd;
        }
        Self::Text
    }
}

/// The channel asked for among `names`: by number from 1, or by name; the first where none was asked for, with a note
/// when there are others. Counted from 0; none with an error.
pub fn channel(
    source: &str,
    options: &RecordingOptions,
    names: &[String],
) -> (Option<usize>, Option<Problem>) {
    let list = || names.iter().take(12).cloned().collect::<Vec<_>>().join(", ");
    match &options.channel {
        None if names.len() > 1 => {
            let found = format!("{}: {}", names.len(), list());
            let note = Problem::note(source, "one channel", found);
            (
                Some(0),
                Some(
                    note.hint(
                        Wording::from("the first was taken; choose another with ").field(Field::Channel),
                    ),
                ),
            )
        }
        None => ((!names.is_empty()).then_some(0), None),
        Some(asked) => {
            let by_name = names.iter().position(|name| name.eq_ignore_ascii_case(asked.trim()));
            let by_number = || {
                asked.trim().parse::<usize>().ok().filter(|n| (1..=names.len()).contains(n)).map(|n| n - 1)
            };
            match by_name.or_else(by_number) {
                Some(index) => (Some(index), None),
                None => {
                    let expected = format!("one of the channels {}", list());
                    let problem =
                        Problem::error(source, expected, super::tally::quote(asked)).in_part(Field::Channel);
                    (None, Some(problem.hint("name one, or number it from 1")))
                }
            }
        }
    }
}

#[cfg(test)]
mod tests;

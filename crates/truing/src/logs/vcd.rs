//! Value change dumps as logic analysers and simulators write them, fed in chunks of any size.
//!
//! One-bit variables are channels, named with their scopes. `x` and `z` are neither level: the line keeps the one it had.
//!
//! Source: IEEE Std 1364-2005, clause 18 (from memory).

use super::recording::{Piece, RecordingOptions, channel};
use super::tally::quote;
use super::text::{Blocks, LONGEST_PIECE_BYTES};
use crate::problem::Problem;
use metrology::quantity::Duration;

/// One-bit variables that are kept beside those that are called as asked. A logic analyser has some dozens.
const MOST_LINES: usize = 4096;
/// Scopes inside each other; beyond this the file is damage.
const DEEPEST: usize = 64;
/// Longest name and identifier that is kept, in bytes; a longer one is cut.
const LONGEST_NAME_BYTES: usize = 256;

/// A push parser for one value change dump; memory is bounded by a limit on its declarations.
#[derive(Debug)]
pub struct VcdReader {
    blocks: Blocks,
    scan: Scan,
}

#[derive(Debug, Default)]
struct Scan {
    source: String,
    options: RecordingOptions,
    /// Words of the declaration that is open.
    open: Option<Vec<String>>,
    scopes: Vec<String>,
    /// Scopes that are open beyond those that are kept.
    deeper: usize,
    /// One-bit variables that were not kept.
    left_out: usize,
    /// Identifier and name of each one-bit variable.
    lines: Vec<(String, String)>,
    unit_s: f64,
    chosen: Option<String>,
    in_values: bool,
    /// A vector's identifier follows its value.
    after_vector: bool,
    ticks: u64,
    first_ticks: Option<u64>,
    level: Option<bool>,
    not_understood: Option<String>,
    problems: Vec<Problem>,
}

impl VcdReader {
    /// A reader of the input called `source` in problems.
    pub fn new(source: impl Into<String>, options: RecordingOptions) -> Self {
        // One nanosecond where nothing is said: common practice, no source.
        let scan = Scan { source: source.into(), options, unit_s: 1e-9, ..Scan::default() };
        Self { blocks: Blocks::default(), scan }
    }

    /// Takes the next bytes, in chunks of any size.
    pub fn feed(&mut self, bytes: &[u8], sink: &mut dyn FnMut(Piece)) {
        let Self { blocks, scan } = self;
        blocks.feed(bytes, |text| scan.block(text, false, sink));
    }

    /// What was not understood.
    pub fn finish(mut self, sink: &mut dyn FnMut(Piece)) -> Vec<Problem> {
        self.scan.block(self.blocks.rest(), true, sink);
        let mut scan = self.scan;
        if !scan.in_values {
            scan.choose();
        }
        scan.problems.extend(super::zeros_problem(&self.blocks.decoder, &scan.source));
        if scan.chosen.is_some() && scan.first_ticks.is_none() {
            let problem = Problem::error(&scan.source, "changes of the line with their times", "none");
            scan.problems.push(problem.hint("the recording may not have started"));
        } else {
            sink(Piece::End { time: scan.time() });
        }
        if let Some(word) = scan.not_understood {
            let problem = Problem::warning(&scan.source, "a time or a change of a value", quote(&word));
            scan.problems.push(problem.hint("it and its like were left out"));
        }
        scan.problems
    }
}

/// A word, cut where it is longer than any.
fn short(word: &str) -> &str {
    &word[..word.floor_char_boundary(word.len().min(LONGEST_NAME_BYTES))]
}

impl Scan {
    /// Takes whole words; returns the bytes used.
    fn block(&mut self, text: &str, last: bool, sink: &mut dyn FnMut(Piece)) -> usize {
        let end = if last { text.len() } else { text.rfind(char::is_whitespace).map_or(0, |at| at + 1) };
        text[..end].split_whitespace().for_each(|word| self.word(word, sink));
        // A word longer than any is damage.
        if end == 0 && text.len() > LONGEST_PIECE_BYTES { text.len() } else { end }
    }

    fn word(&mut self, word: &str, sink: &mut dyn FnMut(Piece)) {
        if let Some(words) = &mut self.open {
            if word == "$end" {
                let words = self.open.take().unwrap_or_default();
                self.declaration(&words);
            } else if words.len() < 8 {
                words.push(short(word).to_owned());
            }
        } else if let Some(name) = word.strip_prefix('$') {
            // Dumps of all values are values like others.
            if !matches!(name, "end" | "dumpvars" | "dumpall" | "dumpon" | "dumpoff") {
                self.open = Some(vec![short(name).to_owned()]);
            }
        } else if !std::mem::take(&mut self.after_vector) {
            self.value(word, sink);
        }
    }

    fn declaration(&mut self, words: &[String]) {
        let word = |at: usize| words.get(at).map_or("", String::as_str);
        match word(0) {
            "scope" if self.scopes.len() >= DEEPEST => self.deeper += 1,
            "scope" => self.scopes.push(word(2).to_owned()),
            "upscope" if self.deeper > 0 => self.deeper -= 1,
            "upscope" => {
                self.scopes.pop();
            }
            "timescale" => self.timescale(&words[1..].concat()),
            "var" if word(2) == "1" => self.variable(word(3), word(4)),
            "enddefinitions" => self.choose(),
            _ => {}
        }
    }

    /// Keeps a one-bit variable under its name with the scopes around it.
    fn variable(&mut self, identifier: &str, own_name: &str) {
        if self.in_values {
            return;
        }
        let asked = self.options.channel.as_deref().map(str::trim);
        let is_asked = asked.is_some_and(|asked| asked.eq_ignore_ascii_case(own_name));
        if self.lines.len() >= MOST_LINES && !(is_asked && self.lines.len() < 2 * MOST_LINES) {
            self.left_out += 1;
            return;
        }
        let names = self.scopes.iter().map(String::as_str).chain([own_name]);
        let name = names.collect::<Vec<_>>().join(".");
        // The end of a name tells more than its beginning.
        let start = name.ceil_char_boundary(name.len().saturating_sub(2 * LONGEST_NAME_BYTES));
        self.lines.push((identifier.to_owned(), name[start..].to_owned()));
    }

    fn timescale(&mut self, text: &str) {
        if self.in_values {
            return;
        }
        let digits = text.find(|sign: char| !sign.is_ascii_digit()).unwrap_or(text.len());
        let unit = match &text[digits..] {
            "s" => Some(1.0),
            "ms" => Some(1e-3),
            "us" => Some(1e-6),
            "ns" => Some(1e-9),
            "ps" => Some(1e-12),
            "fs" => Some(1e-15),
            _ => None,
        };
        match (text[..digits].parse::<u32>(), unit) {
            (Ok(count), Some(unit)) if count > 0 => self.unit_s = f64::from(count) * unit,
            // One of them is enough to say it.
            _ if self.problems.is_empty() => {
                let problem = Problem::error(&self.source, "a time scale such as 10 ns", quote(text));
                self.problems.push(problem.in_part("$timescale").hint("correct the line in the file"));
            }
            _ => {}
        }
    }

    fn choose(&mut self) {
        // A second end of the declarations changes nothing.
        if core::mem::replace(&mut self.in_values, true) {
            return;
        }
        if self.left_out > 0 {
            let found = format!("{} more", self.left_out);
            let note = Problem::note(&self.source, format!("at most {MOST_LINES} lines of one bit"), found);
            self.problems
                .push(note.hint("they were left out, unless the channel that was asked for is among them"));
        }
        // By full name, or by the last part of it.
        let mut names: Vec<String> = self.lines.iter().map(|(_, name)| name.clone()).collect();
        if let Some(asked) = &self.options.channel {
            for name in &mut names {
                if name.rsplit('.').next().is_some_and(|end| end.eq_ignore_ascii_case(asked.trim())) {
                    asked.trim().clone_into(name);
                }
            }
        }
        if names.is_empty() {
            let problem = Problem::error(&self.source, "a line of one bit ($var wire 1 ...)", "none");
            self.problems.push(problem.hint("export the digital channel of the sensor"));
            return;
        }
        let (chosen, problem) = channel(&self.source, &self.options, &names);
        self.problems.extend(problem);
        self.chosen = chosen.map(|index| self.lines[index].0.clone());
    }

    fn strange(&mut self, word: &str) {
        self.not_understood.get_or_insert_with(|| short(word).to_owned());
    }

    fn time(&self) -> Duration {
        Duration::from_s((self.ticks - self.first_ticks.unwrap_or(0)) as f64 * self.unit_s)
    }

    fn value(&mut self, word: &str, sink: &mut dyn FnMut(Piece)) {
        let (first, rest) = word.split_at(word.chars().next().map_or(0, char::len_utf8));
        match first {
            "#" => match rest.parse::<u64>() {
                Ok(ticks) if ticks >= self.ticks => {
                    self.ticks = ticks;
                    self.first_ticks.get_or_insert(ticks);
                }
                _ => self.strange(word),
            },
            "0" | "1" if self.chosen.as_deref() == Some(rest) => {
                let level = first == "1";
                if self.level.is_some_and(|before| before != level) {
                    sink(Piece::Edge { time: self.time(), rising: level });
                }
                self.level = Some(level);
            }
            "0" | "1" | "x" | "X" | "z" | "Z" => {}
            "b" | "B" | "r" | "R" | "s" | "S" => self.after_vector = true,
            _ => self.strange(word),
        }
    }
}

//! CSV of logic analysers and oscilloscopes, fed in chunks of any size: times beside levels, or beside volts.
//!
//! Rows with times and levels 0 and 1 (or low and high) are taken as levels from that time on, whether each row is a change
//! or a sample. Other numbers are a wave, whose times must be evenly spaced. One column of times alone is one rising edge
//! each. The unit of time stands in its name (`time_s`, `Time [ms]`); seconds are assumed, and said, where there is none.

use super::recording::{Piece, RecordingOptions, channel};
use super::tally::{Kind, Tally, quote};
use super::text::{Blocks, LONGEST_PIECE_BYTES};
use super::units::{Dimension, factor, number};
use crate::problem::{Problem, Severity};
use metrology::quantity::{Duration, Frequency};

/// Rows looked at before it is settled what they hold.
const LOOKED_AT_ROWS: usize = 64;
/// Times of a sampled wave may be off an even spacing by this share of it: they are printed with few digits.
const UNEVEN: f64 = 0.5;
/// Samples handed on at a time.
const SAMPLES: usize = 4096;

/// A push parser for one CSV file; memory is bounded by one piece.
#[derive(Debug)]
pub struct LogicReader {
    blocks: Blocks,
    rows: Rows,
}

#[derive(Debug, Default)]
struct Rows {
    source: String,
    options: RecordingOptions,
    line: usize,
    separator: char,
    columns: Option<Columns>,
    refused: bool,
    kind: Option<Content>,
    /// Rows before it was settled what they hold.
    early: Vec<(f64, Option<f64>)>,
    values: Vec<f64>,
    first_s: Option<f64>,
    last_s: f64,
    level: Option<bool>,
    tally: Tally,
    problems: Vec<Problem>,
}

#[derive(Copy, Clone, Debug, PartialEq)]
struct Columns {
    time: usize,
    time_unit_s: f64,
    value: Option<usize>,
}

/// What the rows hold.
#[derive(Copy, Clone, Debug, PartialEq)]
enum Content {
    Times,
    Levels,
    Wave { rate: Frequency },
}

impl LogicReader {
    /// A reader of the input called `source` in problems.
    pub fn new(source: impl Into<String>, options: RecordingOptions) -> Self {
        Self { blocks: Blocks::default(), rows: Rows { source: source.into(), options, ..Rows::default() } }
    }

    /// Takes the next bytes, in chunks of any size.
    pub fn feed(&mut self, bytes: &[u8], sink: &mut dyn FnMut(Piece)) {
        let Self { blocks, rows } = self;
        blocks.feed(bytes, |text| rows.block(text, false, sink));
    }

    /// What was not understood.
    pub fn finish(mut self, sink: &mut dyn FnMut(Piece)) -> Vec<Problem> {
        self.rows.block(self.blocks.rest(), true, sink);
        let mut problems = super::encoding_problems(&self.blocks.decoder, &self.rows.source);
        let mut rows = self.rows;
        if !rows.refused && rows.kind.is_none() {
            rows.settle(sink);
        }
        rows.flush(sink);
        if let (Some(first_s), Some(Content::Times | Content::Levels)) = (rows.first_s, rows.kind) {
            sink(Piece::End { time: Duration::from_s(rows.last_s - first_s) });
        }
        problems.append(&mut rows.problems);
        problems.extend(rows.tally.into_problems(&rows.source));
        problems
    }
}

impl Rows {
    fn block(&mut self, text: &str, last: bool, sink: &mut dyn FnMut(Piece)) -> usize {
        let end = if last { text.len() } else { text.rfind('\n').map_or(0, |at| at + 1) };
        for line in text[..end].lines() {
            self.line += 1;
            let line = line.trim_start_matches('\u{feff}').trim();
            if !line.is_empty() && !self.refused {
                self.row(line, sink);
            }
        }
        if end == 0 && text.len() > LONGEST_PIECE_BYTES { text.len() } else { end }
    }

    fn row(&mut self, line: &str, sink: &mut dyn FnMut(Piece)) {
        if self.columns.is_none() {
            self.separator = ['\t', ';', ','].into_iter().find(|sign| line.contains(*sign)).unwrap_or(',');
        }
        let cells: Vec<&str> = line.split(self.separator).map(|cell| cell.trim().trim_matches('"')).collect();
        let Some(columns) = self.columns else {
            // What stands before the names of the columns are remarks.
            if line.starts_with(['#', ';', '%', '/']) {
                return;
            }
            let is_header = number(cells[0]).is_none();
            self.name(&cells, is_header);
            if !is_header && !self.refused {
                self.row(line, sink);
            }
            return;
        };
        let time = cells.get(columns.time).and_then(|cell| number(cell));
        let value = columns.value.map(|index| cells.get(index).and_then(|cell| level_or_number(cell)));
        match (time, value) {
            (Some(time), None) => self.take(time * columns.time_unit_s, None, sink),
            (Some(time), Some(Some(value))) => self.take(time * columns.time_unit_s, Some(value), sink),
            _ => {
                let kind = Kind {
                    severity: Severity::Warning,
                    part: "row",
                    expected: "a time and a level or a number",
                    hint: "such rows were left out",
                };
                self.tally.count(kind, self.line, || quote(line));
            }
        }
    }

    /// Settles which column is what.
    fn name(&mut self, cells: &[&str], is_header: bool) {
        let names: Vec<String> = cells
            .iter()
            .enumerate()
            .skip(1)
            .map(|(index, cell)| if is_header { (*cell).to_owned() } else { index.to_string() })
            .collect();
        let unit = is_header.then(|| time_unit(cells[0])).flatten();
        if is_header && !cells[0].to_lowercase().contains("time") && unit.is_none() {
            let problem = Problem::error(
                &self.source,
                "the time in the first column, such as time_s,level",
                quote(cells[0]),
            );
            self.problems
                .push(problem.at_line(self.line).hint("export with times; a rate cannot be guessed"));
            self.refused = true;
            return;
        }
        if unit.is_none() {
            let note =
                Problem::note(&self.source, "a unit of time in the name of the column", quote(cells[0]));
            self.problems
                .push(note.at_line(self.line).hint("seconds were assumed; write time_ms or the like if not"));
        }
        let value = if names.is_empty() {
            None
        } else {
            let (chosen, problem) = channel(&self.source, &self.options, &names);
            self.problems.extend(problem);
            self.refused = chosen.is_none();
            chosen.map(|index| index + 1)
        };
        self.columns = Some(Columns { time: 0, time_unit_s: unit.unwrap_or(1.0), value });
    }

    fn take(&mut self, time_s: f64, value: Option<f64>, sink: &mut dyn FnMut(Piece)) {
        match self.kind {
            None => {
                self.early.push((time_s, value));
                if self.early.len() >= LOOKED_AT_ROWS {
                    self.settle(sink);
                }
            }
            Some(kind) => self.put(kind, time_s, value, sink),
        }
    }

    fn settle(&mut self, sink: &mut dyn FnMut(Piece)) {
        let early = std::mem::take(&mut self.early);
        let Some((first_s, value)) = early.first().copied() else {
            let problem = Problem::error(&self.source, "rows of times and levels", "none");
            self.problems.push(problem.hint("the recording may not have started"));
            return;
        };
        let two_levels = early.iter().all(|(_, value)| value.is_some_and(|v| v == 0.0 || v == 1.0));
        let kind = if value.is_none() {
            Content::Times
        } else if two_levels {
            Content::Levels
        } else {
            let steps = (early.len() - 1).max(1) as f64;
            let step_s = (early[early.len() - 1].0 - first_s) / steps;
            let even = early.windows(2).all(|two| (two[1].0 - two[0].0 - step_s).abs() <= UNEVEN * step_s);
            if step_s <= 0.0 || !even {
                let problem = Problem::error(
                    &self.source,
                    "levels 0 and 1, or a wave at evenly spaced times",
                    "numbers at uneven times",
                );
                self.problems.push(problem.hint("export the samples of the wave, or the digital channel"));
                self.refused = true;
                return;
            }
            Content::Wave { rate: Frequency::from_hz(1.0 / step_s) }
        };
        self.kind = Some(kind);
        early.into_iter().for_each(|(time_s, value)| self.put(kind, time_s, value, sink));
    }

    fn put(&mut self, kind: Content, time_s: f64, value: Option<f64>, sink: &mut dyn FnMut(Piece)) {
        let first_s = *self.first_s.get_or_insert(time_s);
        if time_s < self.last_s && self.last_s > first_s {
            let kind = Kind {
                severity: Severity::Warning,
                part: "time",
                expected: "times that rise",
                hint: "rows out of order were left out",
            };
            self.tally.count(kind, self.line, || "a time before the last".to_owned());
            return;
        }
        self.last_s = time_s;
        let time = Duration::from_s(time_s - first_s);
        match kind {
            Content::Times => sink(Piece::Edge { time, rising: true }),
            Content::Levels => {
                let level = value.unwrap_or(0.0) > 0.5;
                if self.level.is_some_and(|before| before != level) {
                    sink(Piece::Edge { time, rising: level });
                }
                self.level = Some(level);
            }
            Content::Wave { .. } => {
                self.values.push(value.unwrap_or(0.0));
                if self.values.len() >= SAMPLES {
                    self.flush(sink);
                }
            }
        }
    }

    fn flush(&mut self, sink: &mut dyn FnMut(Piece)) {
        if let Some(Content::Wave { rate }) = self.kind
            && !self.values.is_empty()
        {
            sink(Piece::Samples { rate, values: &self.values });
            self.values.clear();
        }
    }
}

/// Seconds in the unit that a name of a column ends with: `time_s`, `Time [ms]`, `Time(us)`.
fn time_unit(name: &str) -> Option<f64> {
    let unit = name.rsplit(['_', ' ', '[', '(']).next()?;
    factor(Dimension::Time, unit)
}

fn level_or_number(cell: &str) -> Option<f64> {
    match cell.to_ascii_lowercase().as_str() {
        "low" | "l" | "false" => Some(0.0),
        "high" | "h" | "true" => Some(1.0),
        _ => number(cell),
    }
}

//! Tokens to rows: each object in an array is one, and so is each place of a line.

use super::super::csv::table::{Table, is_known_name, wanted};
use super::super::csv::{CsvOptions, Output};
use super::super::tally::{Kind, Tally};
use super::tokens::Token;
use crate::problem::{Problem, Severity};

/// Rows looked at before the columns are settled: a value may be missing in the first of them.
const LOOKED_AT_ROWS: usize = 64;
/// Values kept of one object.
const MOST_CELLS: usize = 256;
/// Longest name with those around it, and longest value that is kept, in bytes.
const LONGEST_BYTES: usize = 256;
/// Longest value that is kept of a list: a number or a time.
const LONGEST_LISTED_BYTES: usize = 48;
/// Different names remembered.
const MOST_NAMES: usize = 1024;
/// Sets of columns one after the other; beyond this what comes new is left out.
const MOST_HEADERS: usize = 32;
/// Names told in a message at most.
const NAMES_TOLD: usize = 12;
/// Columns of a position in GeoJSON (RFC 7946, section 3.1.1).
const PLACE: [&str; 3] = ["longitude", "latitude", "elevation"];
/// Column of the number of a line.
const SEGMENT: &str = "segment";
/// The speed of a position by the standard interface of browsers is in m/s (W3C Geolocation, section 7).
const IN_M_PER_S: &str = "coords.speed";

const LENGTHS: Kind<'static> = Kind {
    severity: Severity::Warning,
    part: "list",
    expected: "as many values as positions",
    hint: "the list was left out",
};

/// What is open.
#[derive(Debug)]
struct Level {
    is_object: bool,
    /// An object that may be a row of its own.
    is_record: bool,
    /// Length of the path up to here.
    path: usize,
    /// The list that values here belong to.
    list: Option<usize>,
    /// Values here so far.
    values: usize,
    /// Positions among what was closed here.
    positions: bool,
}

/// An object that may be a row.
#[derive(Debug, Default)]
struct Frame {
    line: usize,
    path: usize,
    cells: Vec<(String, String)>,
    lists: Vec<(String, List)>,
    places: [List; 3],
    segments: List,
}

/// Texts one after the other.
#[derive(Debug, Default)]
struct List {
    text: String,
    ends: Vec<usize>,
}

impl List {
    fn push(&mut self, text: &str) {
        // What is beyond the limit would find no place among the rows either, where it is said.
        if self.ends.len() < super::super::bounds::MOST_KEPT {
            self.text.push_str(&text[..text.floor_char_boundary(text.len().min(LONGEST_LISTED_BYTES))]);
            self.ends.push(self.text.len());
        }
    }

    fn get(&self, index: usize) -> &str {
        let start = index.checked_sub(1).and_then(|before| self.ends.get(before)).copied().unwrap_or(0);
        self.ends.get(index).map_or("", |end| &self.text[start..*end])
    }

    fn len(&self) -> usize {
        self.ends.len()
    }
}

/// Makes rows of tokens.
#[derive(Debug)]
pub(super) struct Records<T> {
    table: Table<T>,
    chosen: Vec<String>,
    open: Vec<Level>,
    frames: Vec<Frame>,
    /// Names of what is open, parted by points.
    path: String,
    /// Names met, and whether they say what a value is.
    names: Vec<(String, bool)>,
    early: Vec<(Vec<(String, String)>, usize)>,
    settled: bool,
    headers: usize,
    lines: usize,
    objects: usize,
    tally: Tally,
}

impl<T: Output> Records<T> {
    pub(super) fn new(source: String, options: CsvOptions) -> Self {
        Self {
            chosen: options.chosen_names().map(str::to_lowercase).collect(),
            table: Table::new(source, options),
            open: Vec::new(),
            frames: Vec::new(),
            path: String::new(),
            names: Vec::new(),
            early: Vec::new(),
            settled: false,
            headers: 0,
            lines: 0,
            objects: 0,
            tally: Tally::default(),
        }
    }

    pub(super) fn take(&mut self, token: Token<'_>, line: usize) {
        match token {
            Token::OpenObject => self.open_object(line),
            Token::OpenArray => self.open_array(),
            Token::Close => self.close(),
            Token::Key(key) => {
                let start = self.open.last().map_or(0, |level| level.path);
                self.path.truncate(start);
                if self.path.len() + key.len() < LONGEST_BYTES {
                    self.path.push('.');
                    self.path.push_str(key);
                }
            }
            Token::Value(text) => self.value(text),
        }
    }

    fn open_object(&mut self, line: usize) {
        let is_record = self.open.last().is_none_or(|level| !level.is_object);
        let path = self.path.len();
        if is_record {
            self.objects += 1;
            self.frames.push(Frame { line, path, ..Frame::default() });
        }
        self.open.push(Level { is_object: true, is_record, path, list: None, values: 0, positions: false });
    }

    fn open_array(&mut self) {
        let inherited = self.open.last().filter(|level| !level.is_object).and_then(|level| level.list);
        let list = inherited.or_else(|| self.list_of_path());
        let path = self.path.len();
        self.open.push(Level { is_object: false, is_record: false, path, list, values: 0, positions: false });
    }

    /// The list that is named by the path, where its name says what its values are.
    fn list_of_path(&mut self) -> Option<usize> {
        let name = self.name()?;
        // `times`, `coordTimes`: many of what one is called.
        let name = name.strip_suffix('s').filter(|one| is_known_name(one)).unwrap_or(&name).to_owned();
        if !self.is_known(&name) {
            return None;
        }
        let frame = self.frames.last_mut()?;
        let known = frame.lists.iter().position(|(known, _)| *known == name);
        known.or_else(|| {
            (frame.lists.len() < MOST_CELLS).then(|| {
                frame.lists.push((name, List::default()));
                frame.lists.len() - 1
            })
        })
    }

    /// The name of a value here: those of the objects around it up to the one that is a row.
    fn name(&self) -> Option<String> {
        let name = self.path.get(self.frames.last()?.path..)?.trim_start_matches('.');
        let within = |part| name.strip_prefix(part);
        Some(within("properties.").or_else(|| within("geometry.")).unwrap_or(name).to_owned())
    }

    fn is_known(&mut self, name: &str) -> bool {
        if let Some((_, known)) = self.names.iter().find(|(met, _)| met == name) {
            return *known;
        }
        let known = is_known_name(name) || name == SEGMENT || self.chosen.contains(&name.to_lowercase());
        if self.names.len() < MOST_NAMES {
            self.names.push((name.to_owned(), known));
        }
        known
    }

    fn value(&mut self, text: &str) {
        let Some(level) = self.open.last_mut() else { return };
        level.values += 1;
        let (is_object, list, place) = (level.is_object, level.list, level.values - 1);
        if !is_object {
            let of_positions = self.path.ends_with("coordinates");
            let Some(frame) = self.frames.last_mut() else { return };
            match (list, PLACE.get(place)) {
                (Some(list), _) => frame.lists[list].1.push(text),
                (None, Some(_)) if of_positions => frame.places[place].push(text),
                _ => {}
            }
            return;
        }
        let Some(name) = self.name() else { return };
        if let Some(frame) = self.frames.last_mut().filter(|frame| frame.cells.len() < MOST_CELLS) {
            frame.cells.push((name, short(text).to_owned()));
        }
    }

    fn close(&mut self) {
        let Some(level) = self.open.pop() else { return };
        if level.is_record {
            if let Some(frame) = self.frames.pop() {
                self.row_of(frame);
            }
        } else if !level.is_object && level.list.is_none() && self.path.ends_with("coordinates") {
            self.end_of_positions(&level);
        }
        self.path.truncate(level.path);
    }

    fn end_of_positions(&mut self, level: &Level) {
        let lines = self.lines;
        if level.positions {
            self.lines += 1;
        }
        let Some(frame) = self.frames.last_mut().filter(|_| level.values > 0) else { return };
        let length = frame.places[0].len();
        // A height may be missing, and so may anything in a damaged file.
        frame.places.iter_mut().filter(|list| list.len() < length).for_each(|list| list.push(""));
        frame.segments.push(&lines.to_string());
        if let Some(around) = self.open.last_mut() {
            around.positions = true;
        }
    }

    /// What stands behind the last closing bracket of a file that was cut short.
    pub(super) fn cut_short(&mut self) {
        while !self.open.is_empty() {
            self.close();
        }
    }

    fn row_of(&mut self, mut frame: Frame) {
        let positions = frame.places[0].len();
        let of_lists = frame.lists.iter().map(|(_, list)| list.len()).max().unwrap_or(0);
        let length = if positions > 0 { positions } else { of_lists };
        if length > 1 {
            return self.rows_of_lists(frame, length);
        }
        if positions == 1 {
            let places = PLACE.iter().zip(&frame.places);
            frame.cells.extend(places.map(|(name, list)| ((*name).to_owned(), list.get(0).to_owned())));
        }
        frame.cells.extend(frame.lists.into_iter().map(|(name, list)| (name, list.get(0).to_owned())));
        self.object(frame.cells, frame.line);
    }

    /// Takes an object as a row where it says two things known; one around others has a name or a date, and is none.
    fn object(&mut self, cells: Vec<(String, String)>, line: usize) {
        let known = cells.iter().filter(|(name, _)| self.is_known(name)).count();
        if known < 2 && self.chosen.is_empty() {
            return;
        }
        if self.settled {
            return self.put(&cells, line);
        }
        self.early.push((cells, line));
        if self.early.len() >= LOOKED_AT_ROWS {
            self.settle();
        }
    }

    /// Settles the columns from the first rows.
    fn settle(&mut self) {
        self.settled = true;
        let early = core::mem::take(&mut self.early);
        let names = early.iter().flat_map(|(cells, _)| cells).map(|(name, _)| name.as_str());
        let names = with_new(Vec::new(), names);
        if let Some((_, line)) = early.first() {
            self.header(&names, *line);
        }
        early.iter().for_each(|(cells, line)| self.put(cells, *line));
    }

    fn header(&mut self, names: &[String], line: usize) {
        if self.headers < MOST_HEADERS {
            self.headers += 1;
            let units: Vec<&str> =
                names.iter().map(|name| if name.ends_with(IN_M_PER_S) { "m/s" } else { "" }).collect();
            self.table.header(names, &units, line);
        }
    }

    fn put(&mut self, cells: &[(String, String)], line: usize) {
        let is_new = |name: &String| !self.table.names().contains(name);
        if cells.iter().any(|(name, _)| is_new(name)) && self.headers < MOST_HEADERS {
            let names = with_new(self.table.names().to_vec(), cells.iter().map(|(name, _)| name.as_str()));
            self.header(&names, line);
        }
        let cell =
            |name: &String| cells.iter().find(|(own, _)| own == name).map_or("", |(_, text)| text.as_str());
        let row: Vec<&str> = self.table.names().iter().map(cell).collect();
        self.table.row(row.into_iter(), line);
    }

    /// The rows of a line: positions, and what is listed beside them.
    fn rows_of_lists(&mut self, frame: Frame, length: usize) {
        self.settle();
        let Frame { line, lists, places, segments, .. } = frame;
        let (fitting, others): (Vec<_>, Vec<_>) =
            lists.into_iter().partition(|(_, list)| list.len() == length);
        for (name, list) in others {
            let found = || format!("{} of \"{name}\" beside {length}", list.len());
            self.tally.count(LENGTHS, line, found);
        }
        let of_places = PLACE.iter().copied().zip(&places).chain([(SEGMENT, &segments)]);
        let of_places = of_places.filter(|(_, list)| list.len() == length);
        let columns: Vec<(&str, &List)> =
            of_places.chain(fitting.iter().map(|(name, list)| (name.as_str(), list))).collect();
        let names: Vec<String> = columns.iter().map(|(name, _)| (*name).to_owned()).collect();
        if names != self.table.names() {
            self.header(&names, line);
        }
        if names == self.table.names() {
            (0..length)
                .for_each(|index| self.table.row(columns.iter().map(|(_, list)| list.get(index)), line));
        }
    }

    /// What was understood, and what was not.
    pub(super) fn finish(mut self, source: &str, problems: &mut Vec<Problem>) -> Option<T> {
        self.settle();
        problems.extend(self.tally.into_problems(source));
        let output = self.table.finish(problems);
        if output.is_none() {
            let names: Vec<&str> =
                self.names.iter().take(NAMES_TOLD).map(|(name, _)| name.as_str()).collect();
            let found = match (self.objects, names.as_slice()) {
                (0, _) => "no object".to_owned(),
                (count, []) => format!("{count} objects without such names"),
                (count, names) => format!("{count} objects with the names {}", names.join(", ")),
            };
            let hint =
                "say which names are meant where columns are chosen, or export the drive as GPX or CSV";
            let expected = format!("objects with a time and {}", wanted::<T>());
            problems.push(Problem::error(source, expected, found).hint(hint));
        }
        output
    }
}

/// These names, and those that are not among them.
fn with_new<'a>(mut names: Vec<String>, others: impl Iterator<Item = &'a str>) -> Vec<String> {
    for name in others {
        if names.len() < MOST_CELLS && !names.iter().any(|known| known == name) {
            names.push(name.to_owned());
        }
    }
    names
}

/// A text, cut where it is longer than any value.
fn short(text: &str) -> &str {
    &text[..text.floor_char_boundary(text.len().min(LONGEST_BYTES))]
}

//! Logs with one reading in each row: when, of what, how much, in which unit; a position may stand beside it.

use super::columns::{Channel, MOST_COLUMNS, Role, classify};
use super::names::words;
use crate::logs::units::number;
use core::ops::Range;

/// Names of the column that says what was read.
const NAMES: [&str; 9] =
    ["pid", "name", "parameter", "signal", "sensor", "channel", "key", "variable", "item"];
/// Names of the column that holds the reading.
const VALUES: [&str; 3] = ["value", "reading", "val"];
/// What a track is gathered from, in the order of its row behind the time.
const GATHERED: [Role; 5] = [Role::Latitude, Role::Longitude, Role::Elevation, Role::Speed, Role::Course];
const LATITUDE: usize = 0;
const LONGITUDE: usize = 1;
const SPEED: usize = 3;
/// Different names remembered.
const MOST_NAMES: usize = 256;

/// The places of the columns.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Long {
    time: usize,
    time_name: String,
    name: usize,
    value: usize,
    unit: Option<usize>,
    /// Columns of latitude and longitude beside the readings, with their names.
    places: [Option<(usize, String)>; 2],
    /// What the rows that are read say they are, once the first was met.
    reads: Option<String>,
    /// The header of the table of their own, when it has just become known.
    pub(super) header: Option<Vec<String>>,
    /// Names met, with what they are and whose.
    met: Vec<(String, Option<(usize, Channel)>)>,
    /// What each part of a gathered row is called.
    names: [Option<(String, Channel)>; GATHERED.len()],
    waiting: Option<Gathered>,
}

/// Readings of one moment.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Gathered {
    /// Line of the first of them.
    pub(super) line: usize,
    time: String,
    values: [Option<String>; GATHERED.len()],
}

impl Gathered {
    /// The cells of a row: the time, and each part that is called something.
    pub(super) fn cells(&self) -> impl Iterator<Item = &str> {
        let values = self.values.iter().map(|value| value.as_deref().unwrap_or_default());
        core::iter::once(self.time.as_str()).chain(values)
    }

    fn waits_for_half_a_position(&self) -> bool {
        self.values[LATITUDE].is_some() != self.values[LONGITUDE].is_some()
    }
}

impl Long {
    /// The header of such a log in these cells.
    pub(super) fn new(cells: &[&str]) -> Option<Self> {
        if cells.len() > MOST_COLUMNS {
            return None;
        }
        let one_of = |index: usize, known: &[&str]| match words(cells[index])[..] {
            [ref word] => known.contains(&word.as_str()),
            _ => false,
        };
        let find = |known: &[&str]| (0..cells.len()).find(|index| one_of(*index, known));
        let role = |index: usize| classify(index, cells[index]).map(|column| column.role);
        let of_role = |wanted: Role| (0..cells.len()).find(|index| role(*index) == Some(wanted));
        let place = |wanted: Role| of_role(wanted).map(|index| (index, cells[index].trim().to_owned()));
        // A column of speeds of its own makes it a table like others.
        if of_role(Role::Speed).is_some() {
            return None;
        }
        let (name, value, unit) = (find(&NAMES)?, find(&VALUES)?, find(&["unit", "units"]));
        let (time, time_name) = place(Role::Time)?;
        let places = [place(Role::Latitude), place(Role::Longitude)];
        Some(Self { time, time_name, name, value, unit, places, ..Self::default() })
    }

    /// Time and speed of a row of a vehicle's log, as the cells of a table of their own. Nothing for a row about something else.
    pub(super) fn row(&mut self, cells: &[&str], bounds: &[Range<usize>]) -> Option<[Range<usize>; 2]> {
        let name = cells.get(self.name)?;
        if self.reads.is_none() {
            self.begin(cells, name)?;
        }
        let reads = self.reads.as_ref().is_some_and(|reads| reads == name);
        reads.then_some([bounds.get(self.time)?.clone(), bounds.get(self.value)?.clone()])
    }

    /// The first row with a speed of the vehicle says what all are about, and in which unit.
    fn begin(&mut self, cells: &[&str], name: &str) -> Option<()> {
        let column = classify(0, name)?;
        if column.role != Role::Speed || column.channel == Channel::Gnss {
            return None;
        }
        number(cells.get(self.value)?)?;
        self.reads = Some(name.to_owned());
        self.header = Some(vec![self.time_name.clone(), self.with_unit(cells, name)]);
        Some(())
    }

    /// A name with the unit that stands in the same row.
    fn with_unit(&self, cells: &[&str], name: &str) -> String {
        let unit = self.unit.and_then(|unit| cells.get(unit)).map(|unit| unit.trim()).unwrap_or_default();
        if unit.is_empty() { name.trim().to_owned() } else { format!("{} ({unit})", name.trim()) }
    }

    /// Takes the readings of a row of a track; hands on each row that is complete.
    pub(super) fn gather(
        &mut self,
        cells: &[&str],
        line: usize,
        on_row: &mut impl FnMut(&mut Self, Gathered),
    ) {
        let Some(time) = cells.get(self.time).map(|time| time.trim()).filter(|time| !time.is_empty()) else {
            return;
        };
        for part in [LATITUDE, LONGITUDE] {
            let Some((index, name)) = self.places[part].clone() else { continue };
            if let Some(value) = cells.get(index).filter(|value| !value.trim().is_empty()) {
                self.name_part(part, &name, Channel::Gnss);
                self.put(part, time, value, line, on_row);
            }
        }
        let (Some(name), Some(value)) = (cells.get(self.name), cells.get(self.value)) else { return };
        let Some((part, channel)) = self.part(name) else { return };
        if value.trim().is_empty()
            || (part == SPEED && channel == Channel::Vehicle)
            || self.places.get(part).is_some_and(Option::is_some)
        {
            return;
        }
        let called = self.with_unit(cells, name);
        if self.name_part(part, &called, channel) {
            self.put(part, time, value, line, on_row);
        }
    }

    /// Which part of a row a name stands for.
    fn part(&mut self, name: &str) -> Option<(usize, Channel)> {
        if let Some((_, known)) = self.met.iter().find(|(met, _)| met == name) {
            return *known;
        }
        let column = classify(0, name);
        let part = column.and_then(|column| {
            let part = GATHERED.iter().position(|role| *role == column.role)?;
            Some((part, column.channel))
        });
        if self.met.len() < MOST_NAMES {
            self.met.push((name.to_owned(), part));
        }
        part
    }

    /// Whether a part is read under this name: the first one, until a receiver's comes.
    fn name_part(&mut self, part: usize, name: &str, channel: Channel) -> bool {
        let better = match &self.names[part] {
            None => true,
            Some((_, known)) => part == SPEED && *known == Channel::Untold && channel == Channel::Gnss,
        };
        if better {
            self.names[part] = Some((name.to_owned(), channel));
            let called =
                self.names.iter().map(|name| name.as_ref().map_or(String::new(), |(name, _)| name.clone()));
            self.header = Some(core::iter::once(self.time_name.clone()).chain(called).collect());
        }
        self.names[part].as_ref().is_some_and(|(known, _)| known == name)
    }

    /// Puts a reading to those of its moment. Latitude and longitude belong together though their times differ.
    fn put(
        &mut self,
        part: usize,
        time: &str,
        value: &str,
        line: usize,
        on_row: &mut impl FnMut(&mut Self, Gathered),
    ) {
        let is_place = part == LATITUDE || part == LONGITUDE;
        let value = value.trim();
        if let Some(waiting) = self.waiting.as_mut().filter(|waiting| waiting.values[part].is_none()) {
            let half = waiting.waits_for_half_a_position();
            if waiting.time == time || (half && is_place) {
                waiting.values[part] = Some(value.to_owned());
                return;
            }
            // A position that is not whole yet waits on.
            if half {
                let mut own = Gathered { line, time: time.to_owned(), ..Gathered::default() };
                own.values[part] = Some(value.to_owned());
                return on_row(self, own);
            }
        } else if self
            .waiting
            .as_ref()
            .is_some_and(|waiting| waiting.time == time && waiting.values[part].as_deref() == Some(value))
        {
            // A position that is repeated beside each reading.
            return;
        }
        self.flush(on_row);
        let mut begun = Gathered { line, time: time.to_owned(), ..Gathered::default() };
        begun.values[part] = Some(value.to_owned());
        self.waiting = Some(begun);
    }

    /// Hands on what waits.
    pub(super) fn flush(&mut self, on_row: &mut impl FnMut(&mut Self, Gathered)) {
        if let Some(waiting) = self.waiting.take() {
            on_row(self, waiting);
        }
    }
}

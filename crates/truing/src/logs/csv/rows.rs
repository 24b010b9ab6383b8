//! Records to rows of numbers, and rows to what is wanted: fixes of a track or samples of a vehicle log.

use super::super::tally::{Kind, Tally, shape};
use super::super::{Clock, Fix, Sample, Track, VehicleLog, bounds, units};
use super::clock::{Cell, TimeColumn};
use super::columns::{ROLES, Role};
use super::records::Cells;
use super::select::{NumberColumn, Plan, Want};
use super::step::{Writing, step, usual_interval};
use crate::problem::{Field, Severity};
use metrology::quantity::{Angle, Length, Quantity, Speed};

/// One record understood.
#[derive(Copy, Clone, Debug)]
pub struct Row {
    line: usize,
    time_unreadable: bool,
    /// SI values by role, no number where a cell was empty or unreadable.
    values: [f64; ROLES.len()],
    speed_unreadable: bool,
    /// Digits after the decimal mark of the speed; `None` where it has an exponent.
    pub(super) speed_decimals: Option<i32>,
    segment_changes: bool,
}

impl Row {
    /// Nothing yet, on this line.
    pub(super) fn at(line: usize) -> Self {
        Self {
            line,
            time_unreadable: false,
            values: [f64::NAN; ROLES.len()],
            speed_unreadable: false,
            speed_decimals: Some(0),
            segment_changes: false,
        }
    }

    pub(super) fn set(&mut self, role: Role, si: f64) {
        self.values[role as usize] = si;
    }

    fn si(&self, role: Role) -> Option<f64> {
        Some(self.values[role as usize]).filter(|si| !si.is_nan())
    }

    fn value<Q: Quantity>(&self, role: Role) -> Option<Q> {
        self.si(role).map(Q::from_si)
    }
}

impl Plan {
    pub(super) fn row(&mut self, record: Cells<'_>, line: usize, tally: &mut Tally) -> Row {
        let mut row = Row::at(line);
        if record.get(self.width).is_some_and(|cell| !cell.trim_ascii().is_empty()) {
            count_surplus(line, tally);
        }
        match self.time.as_mut().map_or(Cell::Empty, |column| column.read(record, line, tally)) {
            Cell::Seconds(seconds) => row.set(Role::Time, seconds),
            Cell::Unreadable => row.time_unreadable = true,
            Cell::Empty => {}
        }
        if let Some((index, last)) = &mut self.segment {
            let cell = record.get(*index).unwrap_or_default();
            if cell != last {
                row.segment_changes = true;
                cell.clone_into(last);
            }
        }
        for column in &self.numbers {
            let cell = record.get(column.index).unwrap_or_default();
            if column.role == Role::Speed {
                row.speed_decimals = units::decimals(cell);
            }
            let value = match bounds::plain_decimal(cell.as_bytes()) {
                None if cell.trim_ascii().is_empty() => continue,
                None => column.si(cell),
                plain => plain.map(|value| value * column.factor),
            };
            match value.filter(|&si| is_position(column.role) || possible(column.role, si)) {
                Some(si) => row.set(column.role, si),
                None => {
                    row.speed_unreadable |= column.role == Role::Speed;
                    count_unreadable(column, cell.trim_ascii(), line, tally);
                }
            }
        }
        self.turn_position(record, &mut row, tally);
        row
    }

    /// Brings a position to degrees with their sign, and leaves out what is none on a globe.
    fn turn_position(&mut self, record: Cells<'_>, row: &mut Row, tally: &mut Tally) {
        let places = [Role::Latitude as usize, Role::Longitude as usize];
        let read = places.map(|place| row.si(ROLES[place]));
        let turned = if self.positions.are_plain() { read } else { self.positions.read(record, read) };
        for (place, (was, si)) in places.into_iter().zip(read.into_iter().zip(turned)) {
            let role = ROLES[place];
            row.values[place] = si.filter(|&si| possible(role, si)).unwrap_or(f64::NAN);
            if was.is_some() && row.si(role).is_none() {
                let column = self.numbers.iter().find(|column| column.role == role);
                let cell = |column: &NumberColumn| record.get(column.index).unwrap_or_default().trim_ascii();
                column.into_iter().for_each(|column| count_unreadable(column, cell(column), row.line, tally));
            }
        }
    }

    pub(super) fn clock(&self) -> Clock {
        self.time.as_ref().map_or(Clock::None, |column: &TimeColumn| column.clock)
    }

    /// The speed column, for the digits its cells are written with.
    pub(super) fn speed_column(&self) -> Option<&NumberColumn> {
        self.numbers.iter().find(|column| column.role == Role::Speed)
    }
}

pub(super) fn is_position(role: Role) -> bool {
    matches!(role, Role::Latitude | Role::Longitude)
}

#[inline]
pub(super) fn possible(role: Role, si: f64) -> bool {
    match role {
        Role::Latitude => Angle::from_rad(si).deg().abs() <= bounds::LATITUDE_DEG,
        Role::Longitude => Angle::from_rad(si).deg().abs() <= bounds::LONGITUDE_DEG,
        Role::Elevation => bounds::is_elevation(si),
        Role::Speed => bounds::is_speed(si),
        Role::Course => bounds::is_course(Angle::from_rad(si).deg()),
        Role::Hdop => bounds::is_hdop(si),
        Role::Time => true,
    }
}

fn count_unreadable(column: &NumberColumn, cell: &str, line: usize, tally: &mut Tally) {
    let expected = match column.role {
        Role::Latitude => "a latitude from -90 to 90 degrees",
        Role::Longitude => "a longitude from -180 to 180 degrees",
        Role::Elevation => "a height",
        Role::Speed => "a speed from 0 to 500 m/s",
        Role::Course => "a course from 0 to 360 degrees",
        Role::Hdop | Role::Time => "a dilution of precision from 0 to 1000",
    };
    let (severity, part) = (Severity::Warning, column.name.as_str());
    let found = || shape(cell);
    if column.role == Role::Latitude {
        let hint = "the cell was left out; if latitude and longitude are exchanged, name the columns: ";
        let columns = Field::TrackColumns.such_as("lat=..., lon=...");
        tally.count_naming(Kind { severity, part, expected, hint }, Some(columns), line, found);
    } else {
        tally.count(Kind { severity, part, expected, hint: "the cell was left out" }, line, found);
    }
}

/// A decimal comma in a file whose cells are parted by commas, or one separator too many: every later cell is one too far.
fn count_surplus(line: usize, tally: &mut Tally) {
    let (part, expected) = ("row", "as many cells as the header has");
    let hint = "cells may be shifted: quote cells with a comma in them, or part cells by semicolons";
    tally.count(Kind { severity: Severity::Warning, part, expected, hint }, line, || "more".to_owned());
}

/// What is made of rows. It lives in a private module: only the two kinds here exist.
pub trait Output: Default {
    /// Which of several speeds is wanted.
    const WANT: Want;
    /// Takes a row in.
    fn take(&mut self, row: &Row, lack: &mut impl FnMut(Lack, usize));
    /// Completes it at the end.
    fn complete(&mut self, clock: Clock, speed_unit: f64, speed_decimals: Option<i32>);
}

/// Why a row was of no use.
#[derive(Copy, Clone, Debug)]
pub enum Lack {
    /// Neither a position nor a speed.
    Content,
    /// Half a position.
    HalfPosition,
    /// No time.
    Time,
    /// No speed.
    Speed,
    /// There are more than can be kept.
    Place,
}

impl Lack {
    pub(super) fn count(self, tally: &mut Tally, line: usize) {
        let (severity, part, expected, found) = match self {
            Self::Content => (Severity::Note, "row", "a position or a speed", "neither"),
            Self::HalfPosition => {
                (Severity::Warning, "row", "a latitude and a longitude", "only one of them")
            }
            Self::Time => (Severity::Warning, "row", "a time", "none"),
            Self::Speed => (Severity::Note, "row", "a speed", "none"),
            Self::Place => (Severity::Warning, "row", "at most 8640000 rows", "more"),
        };
        let hint = match self {
            Self::HalfPosition => "the row was read without its position",
            _ => "the row was left out",
        };
        tally.count(Kind { severity, part, expected, hint }, line, || found.to_owned());
    }
}

impl Output for Track {
    const WANT: Want = Want::Track;

    fn take(&mut self, row: &Row, lack: &mut impl FnMut(Lack, usize)) {
        let position = row.value::<Angle>(Role::Latitude).zip(row.value::<Angle>(Role::Longitude));
        if position.is_none() && (row.si(Role::Latitude).is_some() || row.si(Role::Longitude).is_some()) {
            lack(Lack::HalfPosition, row.line);
        }
        let speed = row.value::<Speed>(Role::Speed);
        if position.is_none() && speed.is_none() {
            return lack(Lack::Content, row.line);
        }
        self.fixes.push(Fix {
            line: row.line,
            time: row.value(Role::Time),
            latitude: position.map(|(latitude, _)| latitude),
            longitude: position.map(|(_, longitude)| longitude),
            elevation: row.value::<Length>(Role::Elevation),
            speed,
            course: row.value::<Angle>(Role::Course),
            hdop: row.si(Role::Hdop),
            starts_segment: self.fixes.is_empty() || row.segment_changes,
        });
    }

    fn complete(&mut self, clock: Clock, _: f64, _: Option<i32>) {
        self.clock = clock;
    }
}

impl Output for VehicleLog {
    const WANT: Want = Want::Vehicle;

    fn take(&mut self, row: &Row, lack: &mut impl FnMut(Lack, usize)) {
        match (row.value(Role::Time), row.value::<Speed>(Role::Speed)) {
            (Some(time), Some(speed)) => {
                let sample = Sample { line: row.line, time, speed };
                if !bounds::keep_within(bounds::MOST_KEPT, &mut self.samples, sample) {
                    lack(Lack::Place, row.line);
                }
            }
            (_, None) if !row.speed_unreadable => lack(Lack::Speed, row.line),
            (None, _) if !row.time_unreadable => lack(Lack::Time, row.line),
            // Told already when the cell was read.
            _ => {}
        }
    }

    fn complete(&mut self, clock: Clock, speed_unit: f64, speed_decimals: Option<i32>) {
        self.clock = clock;
        self.interval = usual_interval(&self.samples);
        self.step = step(&self.samples, Writing { factor: speed_unit, decimals: speed_decimals });
    }
}

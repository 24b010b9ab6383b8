//! The time column: its first readable cell tells the form, the rest must follow it.

use super::super::tally::{Kind, Tally, shape};
use super::super::time::{DateOrder, calendar_time_in, time_of_day_s};
use super::super::{Clock, units};
use super::records::Cells;
use crate::problem::Severity;

/// Seconds of the year 1979 since 1970: less is elapsed time, more is a date. No log here is older.
const EARLIEST_DATE_S: f64 = 3e8;
/// A number from the limit on is a date in that unit (in seconds); in the next smaller one it would lie before 1974.
const EPOCH_UNITS: [(f64, f64); 4] = [(1e17, 1e-9), (1e14, 1e-6), (1e11, 1e-3), (EARLIEST_DATE_S, 1.0)];
/// A time of day that falls back by more than half a day has passed midnight.
const HALF_DAY_S: f64 = 43_200.0;
/// The same for an hour, where minutes and seconds alone are written.
const HALF_HOUR_S: f64 = 1_800.0;
/// Spreadsheets count days from 1899-12-30; 1970-01-01 is this one of them.
const SERIAL_1970: f64 = 25_569.0;
const DAY_S: f64 = 86_400.0;
/// Largest number of seconds that is a time: the year 9999.
pub(super) const LATEST_S: f64 = 2.6e11;

#[derive(Copy, Clone, Debug, PartialEq)]
pub(super) enum Form {
    Calendar,
    DateBesideTime,
    TimeOfDay,
    /// Minutes and seconds since a start.
    MinutesSeconds,
    Number {
        factor: f64,
    },
}

/// Reads times of one column, with a column of dates beside it where there is one.
#[derive(Clone, Debug)]
pub(in super::super) struct TimeColumn {
    pub(in super::super) index: usize,
    date_index: Option<usize>,
    name: String,
    factor: Option<f64>,
    pub(super) date_order: Option<DateOrder>,
    /// Known once a time was read.
    pub(super) form: Option<Form>,
    starts: f64,
    last_time_s: f64,
    pub(super) clock: Clock,
}

/// What a time cell holds.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(in super::super) enum Cell {
    Empty,
    Unreadable,
    Seconds(f64),
}

impl TimeColumn {
    /// `factor` is the unit in seconds where it is known.
    pub(in super::super) fn new(
        index: usize,
        date_index: Option<usize>,
        name: &str,
        factor: Option<f64>,
    ) -> Self {
        let (form, clock) = (None, Clock::None);
        let (starts, last_time_s) = (0.0, 0.0);
        let name = name.to_owned();
        let date_order = None;
        Self { index, date_index, name, factor, date_order, form, starts, last_time_s, clock }
    }

    /// The same with dates such as 05/06/2019 in this order.
    pub(super) fn with_date_order(self, date_order: Option<DateOrder>) -> Self {
        Self { date_order, ..self }
    }

    /// Goes on with the form and the midnights that another header of the same log had shown.
    pub(super) fn go_on_from(&mut self, before: &Self) {
        if self.name == before.name {
            (self.form, self.clock) = (before.form, before.clock);
            (self.starts, self.last_time_s) = (before.starts, before.last_time_s);
        }
    }

    /// The column that holds more than one word, in a row with more words than columns: the dates where they come first and the
    /// word in the place of the time is none, else the times.
    pub(super) fn of_words(&self, record: Cells<'_>) -> usize {
        let is_time = record.get(self.index).is_some_and(|cell| cell.contains(':'));
        self.date_index.filter(|date| *date < self.index && !is_time).unwrap_or(self.index)
    }

    /// The time of a row, in seconds on the clock of the log.
    pub(in super::super) fn read(&mut self, record: Cells<'_>, line: usize, tally: &mut Tally) -> Cell {
        let cell = record.get(self.index).unwrap_or_default().trim_ascii();
        let date = self.date_index.and_then(|index| record.get(index)).unwrap_or_default().trim_ascii();
        if cell.is_empty() {
            return Cell::Empty;
        }
        if self.form.is_none() {
            self.choose_form(cell, date, line, tally);
        }
        let seconds = self.form.and_then(|form| self.seconds(form, cell, date, line, tally));
        if let Some(seconds) = seconds.filter(|seconds| seconds.abs() <= LATEST_S) {
            return Cell::Seconds(seconds);
        }
        let expected = match self.form {
            None => "a time: 2024-05-24T11:50:21Z, 24.05.2024 11:50:21, 11:50:21, or a number",
            Some(Form::Number { .. }) => "a number, like the first time of the column",
            Some(_) => "a time written like the first one of the column",
        };
        let either = cell.contains('/') || date.contains('/');
        let coarse = cell.len() <= 5 && cell.matches(':').count() == 1;
        let hint = if self.form.is_none() && coarse {
            "times of whole minutes are too coarse; if these are minutes and seconds, export them as 0:23:15 or 23:15.0"
        } else if self.form.is_none() && either {
            "if day and month could be exchanged, say dates=day-first or dates=month-first with the columns"
        } else {
            "the row was read without a time"
        };
        let kind = Kind { severity: Severity::Warning, part: &self.name, expected, hint };
        tally.count(kind, line, || shape(cell));
        Cell::Unreadable
    }

    fn choose_form(&mut self, cell: &str, date: &str, line: usize, tally: &mut Tally) {
        let form = if let Some(value) = units::number(cell) {
            Some(Form::Number { factor: self.number_factor(value, line, tally) })
        } else if calendar_time_in(cell, self.date_order).is_some() {
            Some(Form::Calendar)
        } else if calendar_time_in(&format!("{date} {cell}"), self.date_order).is_some() {
            Some(Form::DateBesideTime)
        } else {
            let minutes = || minutes_seconds_s(cell).map(|_| Form::MinutesSeconds);
            time_of_day_s(cell).map(|_| Form::TimeOfDay).or_else(minutes)
        };
        self.form = form;
        self.clock = match form {
            None => Clock::None,
            Some(Form::Calendar | Form::DateBesideTime) => Clock::Absolute,
            Some(Form::TimeOfDay | Form::MinutesSeconds) => Clock::Elapsed,
            Some(Form::Number { factor }) => {
                let seconds = of_number(units::number(cell).unwrap_or(0.0), factor);
                if seconds >= EARLIEST_DATE_S { Clock::Absolute } else { Clock::Elapsed }
            }
        };
    }

    fn number_factor(&self, value: f64, line: usize, tally: &mut Tally) -> f64 {
        let by_size = EPOCH_UNITS.iter().find(|(limit, _)| value >= *limit).map(|(_, factor)| *factor);
        self.factor.or(by_size).unwrap_or_else(|| {
            let kind = Kind {
                severity: Severity::Note,
                part: &self.name,
                expected: "the unit of elapsed times in the column name",
                hint: "taken as seconds; if it is another unit, choose the column with its unit",
            };
            tally.count(kind, line, || "none".to_owned());
            1.0
        })
    }

    fn seconds(&mut self, form: Form, cell: &str, date: &str, line: usize, tally: &mut Tally) -> Option<f64> {
        let time = match form {
            Form::Number { factor } => return Some(of_number(units::number(cell)?, factor)),
            Form::TimeOfDay => return Some(self.starts_again(time_of_day_s(cell)?, HALF_DAY_S)),
            Form::MinutesSeconds => return Some(self.starts_again(minutes_seconds_s(cell)?, HALF_HOUR_S)),
            Form::Calendar => calendar_time_in(cell, self.date_order)?,
            Form::DateBesideTime => calendar_time_in(&format!("{date} {cell}"), self.date_order)?,
        };
        if !time.zone_said {
            let (expected, hint) = ("times with their zone, such as Z", "taken as UTC");
            let kind = Kind { severity: Severity::Note, part: &self.name, expected, hint };
            tally.count(kind, line, || format!("{} without a zone", shape(cell)));
        }
        Some(time.unix_s)
    }

    /// A time of a clock that starts again after twice `half_s`: at midnight, or after an hour.
    fn starts_again(&mut self, time_s: f64, half_s: f64) -> f64 {
        if self.last_time_s - time_s > half_s {
            self.starts += 1.0;
        }
        self.last_time_s = time_s;
        time_s + self.starts * 2.0 * half_s
    }
}

/// A number in a unit of so many seconds. Days of a spreadsheet become seconds since 1970.
pub(super) fn of_number(value: f64, factor: f64) -> f64 {
    if factor == DAY_S && value > SERIAL_1970 { (value - SERIAL_1970) * DAY_S } else { value * factor }
}

/// `23:15.0`, as spreadsheets show times: only the fraction tells seconds from minutes, so it must be there.
fn minutes_seconds_s(text: &str) -> Option<f64> {
    let (minutes, seconds) = text.trim().split_once(':')?;
    let is_fine = seconds.len() > 3 && matches!(seconds.as_bytes()[2], b'.' | b',');
    let minutes: u16 = minutes.parse().ok()?;
    let seconds = units::number(seconds).filter(|seconds| is_fine && (0.0..60.0).contains(seconds))?;
    Some(f64::from(minutes) * 60.0 + seconds)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Reads these cells (`date|time` with a date beside) and compares times, clock and problems.
    fn check(factor: Option<f64>, cells: &[&str], expected: &[f64], clock: Clock, problems: usize) {
        let mut column = TimeColumn::new(0, Some(1), "time", factor);
        let mut tally = Tally::default();
        let mut read = |cell: &str| {
            let (date, time) = cell.split_once('|').unwrap_or(("", cell));
            let text = format!("{time}{date}");
            let bounds = [0..time.len(), time.len()..text.len()];
            match column.read(Cells::new(&text, &bounds), 1, &mut tally) {
                Cell::Seconds(seconds) => seconds,
                Cell::Empty | Cell::Unreadable => -1.0,
            }
        };
        let found: Vec<f64> = cells.iter().map(|cell| read(cell)).collect();
        for (found, expected) in found.iter().zip(expected) {
            // A quarter of a microsecond is what a double holds of a date.
            assert!((found - expected).abs() < 1e-6, "{cells:?}: {found} {expected}");
        }
        assert_eq!(column.clock, clock, "{cells:?}");
        assert_eq!(tally.into_problems("log").count(), problems, "{cells:?}");
    }

    #[test]
    fn forms() {
        check(None, &["1558467126", "1558467127.5"], &[1_558_467_126.0, 1_558_467_127.5], Clock::Absolute, 0);
        check(None, &["1558467126220"], &[1_558_467_126.22], Clock::Absolute, 0);
        check(None, &["1558467126220000"], &[1_558_467_126.22], Clock::Absolute, 0);
        check(None, &["1558467126220000000"], &[1_558_467_126.22], Clock::Absolute, 0);
        check(None, &["0", "0.5", "1,5"], &[0.0, 0.5, 1.5], Clock::Elapsed, 1);
        check(Some(1.0), &["331955.6"], &[331_955.6], Clock::Elapsed, 0);
        check(Some(1e-3), &["0", "200"], &[0.0, 0.2], Clock::Elapsed, 0);
        check(Some(1e-3), &["1558467126220"], &[1_558_467_126.22], Clock::Absolute, 0);
        check(None, &["2019-05-24T11:50:21Z"], &[1_558_698_621.0], Clock::Absolute, 0);
        check(
            None,
            &["2019-05-24 11:50:21", "2019-05-24 11:50:22"],
            &[1_558_698_621.0; 1],
            Clock::Absolute,
            1,
        );
        check(
            None,
            &["2019-05-24|11:50:21", "24.05.2019|11:50:21"],
            &[1_558_698_621.0; 2],
            Clock::Absolute,
            1,
        );
        check(
            None,
            &["23:59:59", "00:00:01", "00:00:00.5"],
            &[86_399.0, 86_401.0, 86_400.5],
            Clock::Elapsed,
            0,
        );
        check(
            None,
            &["soon", "", "2019-05-24T11:50:21Z", "7"],
            &[-1.0, -1.0, 1_558_698_621.0, -1.0],
            Clock::Absolute,
            2,
        );
        check(None, &["59:58.5", "59:59.5", "00:00.5"], &[3598.5, 3599.5, 3600.5], Clock::Elapsed, 0);
        check(None, &["23:15", "23:16"], &[-1.0, -1.0], Clock::None, 1);
        // Day 45436 is 2024-05-24; 17:50:21 is 0.743 298 611 of it. 1716573021 by `date -u -d "2024-05-24 17:50:21" +%s`.
        check(Some(86_400.0), &["45436.743298611111"], &[1_716_573_021.0], Clock::Absolute, 0);
        check(Some(86_400.0), &["0.5"], &[43_200.0], Clock::Elapsed, 0);
        check(None, &["1e300"], &[-1.0], Clock::Absolute, 1);
    }
}

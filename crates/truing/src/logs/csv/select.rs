//! From a header to the columns that are read, with every refusal and every choice said.

use super::cells::Positions;
use super::clock::TimeColumn;
use super::columns::{Channel, Column, Header, ROLES, Role};
use super::names::{date_order, told};
use super::options::CsvOptions;
use super::records::Cells;
use crate::problem::{Field, Problem, Severity, Wording, any_error};
use core::ops::Range;

/// More words than a date and a time are written in, beyond the first.
const MOST_WORDS: usize = 5;

/// Whose speed is wanted.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Want {
    /// Where and how fast, as the truth.
    Track,
    /// What the vehicle indicated.
    Vehicle,
}

impl Want {
    /// The field in which the columns are named.
    pub(super) fn columns(self) -> Field {
        match self {
            Self::Track => Field::TrackColumns,
            Self::Vehicle => Field::VehicleColumns,
        }
    }

    fn channel(self) -> Channel {
        match self {
            Self::Track => Channel::Gnss,
            Self::Vehicle => Channel::Vehicle,
        }
    }

    pub(super) fn speed_wanted(self) -> &'static str {
        match self {
            Self::Track => "a speed over ground",
            Self::Vehicle => "a speed that the vehicle indicated",
        }
    }
}

/// A column of numbers and the factor of its unit into SI units.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct NumberColumn {
    pub(super) role: Role,
    pub(super) index: usize,
    pub(super) name: String,
    pub(super) factor: f64,
}

/// The columns that are read.
#[derive(Clone, Debug)]
pub(super) struct Plan {
    pub(super) time: Option<TimeColumn>,
    /// Those of all roles but the time.
    pub(super) numbers: Vec<NumberColumn>,
    /// Column whose change starts a new segment, and what it said last.
    pub(super) segment: Option<(usize, String)>,
    /// How many columns the header names.
    pub(super) width: usize,
    /// How positions are written.
    pub(super) positions: Positions,
}

impl Plan {
    /// Where the cells of a row stand whose columns are aligned by blanks: a time of several words is one cell. False when the
    /// row has another number of cells than the header.
    pub(super) fn aligned(&self, record: Cells<'_>, whole: &mut Vec<Range<usize>>) -> bool {
        let bounds = record.bounds();
        let Some(surplus) = bounds.len().checked_sub(self.width) else { return false };
        let wide = self.time.as_ref().map(|time| time.of_words(record));
        match wide {
            _ if surplus == 0 => whole.extend_from_slice(bounds),
            Some(first) if surplus <= MOST_WORDS && first + surplus < bounds.len() => {
                whole.extend_from_slice(&bounds[..first]);
                whole.push(bounds[first].start..bounds[first + surplus].end);
                whole.extend_from_slice(&bounds[first + surplus + 1..]);
            }
            _ => return false,
        }
        true
    }
}

/// Chooses columns for what is wanted.
pub(super) struct Selection<'a> {
    pub(super) header: &'a Header,
    pub(super) options: &'a CsvOptions,
    pub(super) want: Want,
    pub(super) source: &'a str,
    pub(super) line: usize,
    pub(super) problems: &'a mut Vec<Problem>,
}

impl Selection<'_> {
    /// The columns to read; `None` when an error was told.
    pub(super) fn plan(mut self) -> Option<Plan> {
        let already = self.problems.len();
        let time = self.time();
        let positions = matches!(self.want, Want::Track);
        let of_a_track =
            ROLES.into_iter().filter(|role| positions && !matches!(role, Role::Time | Role::Speed));
        let mut numbers: Vec<NumberColumn> = of_a_track.filter_map(|role| self.number(role)).collect();
        let has = |role| numbers.iter().any(|column| column.role == role);
        let has_position = has(Role::Latitude) && has(Role::Longitude);
        numbers.extend(self.speed(has_position));
        let said = self.header.names.iter().find_map(|name| date_order(name));
        let time = time.map(|column| column.with_date_order(self.options.dates.or(said)));
        let segment = self.header.segment.map(|index| (index, String::new()));
        let width = self.header.names.len();
        let positions = Positions::with_sides(self.header.sides());
        let plan = Plan { time, numbers, segment, width, positions };
        (!any_error(&self.problems[already..])).then_some(plan)
    }

    fn tell(
        &mut self,
        severity: Severity,
        part: &str,
        expected: &str,
        found: &str,
        hint: impl Into<Wording>,
    ) {
        let problem = Problem::new(severity, self.source, expected, found);
        self.problems.push(problem.at_line(self.line).in_part(part).hint(hint));
    }

    /// Says what a column was taken for, where its name does not quite say it.
    fn tell_taken(&mut self, role: Role, column: &Column) {
        if let Some(taken_for) = column.taken_for {
            let found = format!("\"{}\"", column.name);
            let hint = format!("taken as {taken_for}");
            self.tell(Severity::Note, role.key(), "a usual name of the column", &found, hint);
        }
    }

    /// The column the options name: told when it is not there.
    fn chosen(&mut self, role: Role) -> Option<Option<Column>> {
        match self.header.chosen(role, self.options)? {
            Ok(column) => Some(Some(column)),
            Err(choice) => {
                let found = format!("the columns {}", told(&self.header.names));
                let hint = Wording::from("name one of them in ")
                    .field(self.want.columns().such_as(format!("{}=...", role.key())));
                self.tell(
                    Severity::Error,
                    role.key(),
                    &format!("a column \"{}\"", choice.name),
                    &found,
                    hint,
                );
                Some(None)
            }
        }
    }

    fn time(&mut self) -> Option<TimeColumn> {
        let header = self.header;
        let date = header.columns.iter().find(|column| column.is_date);
        if let Some(chosen) = self.chosen(Role::Time) {
            let column = chosen?;
            return Some(TimeColumn::new(
                column.index,
                date.map(|date| date.index),
                &column.name,
                column.factor,
            ));
        }
        let mut candidates = header.candidates(Role::Time).chain(date);
        let Some(first) = candidates.next() else {
            let found = format!("the columns {}", told(&header.names));
            let hint = Wording::from("name it in ").field(self.want.columns().such_as("time=NAME UNIT"));
            self.tell(Severity::Error, "time", "a column of times", &found, hint);
            return None;
        };
        let others: Vec<String> =
            candidates.filter(|column| !column.is_date).map(|column| column.name.clone()).collect();
        if !others.is_empty() {
            let found = format!("\"{}\" (used), {}", first.name, told(&others));
            let hint = Wording::from("to use another, say ").field(self.want.columns().such_as("time=NAME"));
            self.tell(Severity::Note, "time", "one column of times", &found, hint);
        }
        self.tell_taken(Role::Time, first);
        Some(TimeColumn::new(first.index, date.map(|date| date.index), &first.name, first.factor))
    }

    fn number(&mut self, role: Role) -> Option<NumberColumn> {
        let header = self.header;
        let column = match self.chosen(role) {
            Some(chosen) => chosen?,
            None => header.candidates(role).next()?.clone(),
        };
        self.tell_taken(role, &column);
        // Degrees, metres and plain numbers are what every logger writes where it does not say.
        let usual = match role {
            Role::Latitude | Role::Longitude | Role::Course => core::f64::consts::PI / 180.0,
            _ => 1.0,
        };
        Some(NumberColumn {
            role,
            index: column.index,
            name: column.name,
            factor: column.factor.unwrap_or(usual),
        })
    }

    fn speed(&mut self, has_position: bool) -> Option<NumberColumn> {
        let column = match self.chosen(Role::Speed) {
            Some(chosen) => chosen?,
            None => self.speed_by_name(has_position)?,
        };
        self.tell_taken(Role::Speed, &column);
        let Some(factor) = column.factor else {
            let example = self.want.columns().such_as(format!("speed={} km/h", column.name));
            let found = format!("column \"{}\", which does not say it", column.name);
            let hint = Wording::from("say it, for example ")
                .field(example)
                .text(", with mph, m/s or knots as it may be");
            let severity = self.severity(has_position);
            self.tell(severity, "speed", "the unit of the speed", &found, hint);
            return None;
        };
        Some(NumberColumn { role: Role::Speed, index: column.index, name: column.name, factor })
    }

    /// A track with positions can do without speeds; nothing else can.
    fn severity(&self, has_position: bool) -> Severity {
        if self.want == Want::Track && has_position { Severity::Warning } else { Severity::Error }
    }

    fn speed_by_name(&mut self, has_position: bool) -> Option<Column> {
        let header = self.header;
        let of = |channel| -> Vec<&Column> {
            header.candidates(Role::Speed).filter(|column| column.channel == channel).collect()
        };
        let own = of(self.want.channel());
        let fitting = if own.is_empty() { of(Channel::Untold) } else { own };
        let names = |columns: &[&Column]| {
            told(&columns.iter().map(|column| format!("\"{}\"", column.name)).collect::<Vec<_>>())
        };
        let name_it = Wording::from("name it in ").field(self.want.columns().such_as("speed=NAME UNIT"));
        let severity = self.severity(has_position);
        match fitting.as_slice() {
            [only] => {
                if self.want == Want::Vehicle && only.channel == Channel::Untold && self.holds_positions() {
                    let found = format!("\"{}\" beside positions", only.name);
                    let hint = "if it is the receiver's speed, comparing it with the track shows nothing";
                    self.tell(Severity::Warning, "speed", self.want.speed_wanted(), &found, hint);
                }
                Some((*only).clone())
            }
            [] => {
                let others: Vec<&Column> = header.candidates(Role::Speed).collect();
                if others.is_empty() && severity == Severity::Warning {
                    return None;
                }
                let found = if others.is_empty() {
                    format!("the columns {}", told(&header.names))
                } else {
                    format!("only {}", names(&others))
                };
                let severity =
                    if self.want == Want::Track && has_position { Severity::Note } else { severity };
                self.tell(severity, "speed", self.want.speed_wanted(), &found, name_it);
                None
            }
            several => {
                self.tell(severity, "speed", "one column of speeds", &names(several), name_it);
                None
            }
        }
    }

    fn holds_positions(&self) -> bool {
        let has = |role| self.header.candidates(role).next().is_some();
        has(Role::Latitude) && has(Role::Longitude)
    }
}

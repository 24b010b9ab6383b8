//! Header words to columns: what each column is, in which unit, and which of several is meant.

use super::super::units::{Dimension, factor, number};
use super::names::{SIDE_WORDS, SIDES_OF_LATITUDES, SIDES_OF_LONGITUDES, is_date, meant, words};
use super::options::{ColumnChoice, CsvOptions};

/// What a column can be.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(super) enum Role {
    Time,
    Latitude,
    Longitude,
    Elevation,
    Speed,
    Course,
    Hdop,
}

/// All roles, in the order of a row.
pub(super) const ROLES: [Role; 7] =
    [Role::Time, Role::Latitude, Role::Longitude, Role::Elevation, Role::Speed, Role::Course, Role::Hdop];

impl Role {
    /// The word for it in a column choice.
    pub(super) fn key(self) -> &'static str {
        match self {
            Self::Time => "time",
            Self::Latitude => "lat",
            Self::Longitude => "lon",
            Self::Elevation => "ele",
            Self::Speed => "speed",
            Self::Course => "course",
            Self::Hdop => "hdop",
        }
    }

    pub(super) fn dimension(self) -> Dimension {
        match self {
            Self::Time => Dimension::Time,
            Self::Latitude | Self::Longitude | Self::Course => Dimension::Angle,
            Self::Elevation => Dimension::Length,
            Self::Speed => Dimension::Speed,
            Self::Hdop => Dimension::Plain,
        }
    }

    fn words(self) -> &'static [&'static str] {
        match self {
            Self::Time => &[
                "time",
                "timestamp",
                "datetime",
                "utc",
                "epoch",
                "unix",
                "unixtime",
                "ts",
                "elapsed",
                "sec",
                "secs",
                "second",
                "seconds",
                "millis",
                "clock",
                "zeit",
                "uhrzeit",
                "heure",
                "hora",
            ],
            Self::Latitude => &["lat", "latitude", "breite"],
            Self::Longitude => &["lon", "long", "lng", "longitude"],
            Self::Elevation => &["ele", "elev", "elevation", "alt", "altitude", "height"],
            Self::Speed => {
                &["speed", "velocity", "vel", "spd", "sog", "vss", "geschwindigkeit", "vitesse", "velocidad"]
            }
            Self::Course => &["course", "heading", "bearing", "cog", "azimuth"],
            Self::Hdop => &["hdop"],
        }
    }
}

/// Words that turn a column about speed or time into one about something else.
const OTHER_THINGS: [&str; 32] = [
    "accuracy",
    "acc",
    "error",
    "err",
    "sigma",
    "std",
    "sd",
    "uncertainty",
    "limit",
    "source",
    "max",
    "min",
    "avg",
    "average",
    "mean",
    "engine",
    "rpm",
    "fan",
    "wind",
    "target",
    "set",
    "cruise",
    "quality",
    "valid",
    "count",
    "zone",
    "timezone",
    "turbine",
    "change",
    "difference",
    "diff",
    "delta",
];
/// Words for what a receiver measured; those that can be said of nothing else, and others.
const RECEIVER_WORDS: [&str; 2] = ["gps", "gnss"];
const GROUND_WORDS: [&str; 9] =
    ["ref", "reference", "truth", "true", "ground", "sog", "receiver", "location", "doppler"];
/// Words for what the vehicle itself indicated; those that can be said of nothing else, and others.
const INDICATED_WORDS: [&str; 20] = [
    "obd",
    "obd2",
    "obdii",
    "can",
    "ecu",
    "ecm",
    "tcm",
    "pcm",
    "wheel",
    "wheels",
    "indicated",
    "speedometer",
    "speedo",
    "tacho",
    "tachograph",
    "dash",
    "vss",
    "pid",
    "j1939",
    "dashboard",
];
const VEHICLE_WORDS: [&str; 2] = ["vehicle", "veh"];
/// Writings of the parameter of OBD-II that is the vehicle's speed, in km/h (SAE J1979).
const SPEED_PARAMETER: [&str; 4] = ["010d", "0d", "0x0d", "0x010d"];
/// A longer name, or more of them, is no header of a log.
const LONGEST_NAME_BYTES: usize = 256;
pub(super) const MOST_COLUMNS: usize = 4096;

/// Whose channel a column belongs to, as far as its name tells.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(super) enum Channel {
    Gnss,
    Vehicle,
    Untold,
}

/// One column whose role the header tells.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Column {
    pub(super) index: usize,
    pub(super) name: String,
    pub(super) role: Role,
    pub(super) channel: Channel,
    /// Factor into SI units, where a unit was told.
    pub(super) factor: Option<f64>,
    /// A column of dates beside one of times of day.
    pub(super) is_date: bool,
    /// What it was taken for, where its name does not quite say it.
    pub(super) taken_for: Option<&'static str>,
}

/// Reads one cell of a header.
pub(super) fn classify(index: usize, name: &str) -> Option<Column> {
    if name.len() > LONGEST_NAME_BYTES {
        return None;
    }
    let words = words(name);
    let has = |known: &[&str]| words.iter().any(|word| known.contains(&word.as_str()));
    let is_parameter = has(&SPEED_PARAMETER);
    let surely = (has(&RECEIVER_WORDS), has(&INDICATED_WORDS) || is_parameter);
    let channel = match (surely, (has(&GROUND_WORDS), has(&VEHICLE_WORDS))) {
        ((true, false), _) | ((false, false), (true, false)) => Channel::Gnss,
        ((false, true), _) | ((false, false), (false, true)) => Channel::Vehicle,
        _ => Channel::Untold,
    };
    let column = |role: Role| Column {
        index,
        name: name.trim().to_owned(),
        role,
        channel,
        factor: unit(name, role),
        is_date: false,
        taken_for: None,
    };
    if is_date(&words) {
        return Some(Column { is_date: true, ..column(Role::Time) });
    }
    let is_side = has(&SIDE_WORDS) && (has(Role::Latitude.words()) || has(Role::Longitude.words()));
    if has(&OTHER_THINGS) || is_side {
        return None;
    }
    // Time is asked last: "speed_ms" is a speed, "speed time" hardly exists.
    let order =
        [Role::Hdop, Role::Latitude, Role::Longitude, Role::Speed, Role::Course, Role::Elevation, Role::Time];
    let by_word =
        order.into_iter().find(|role| has(role.words())).or_else(|| is_lone_t(&words).then_some(Role::Time));
    if by_word.is_none() && is_parameter {
        let own = column(Role::Speed);
        let (factor, taken_for) = match own.factor {
            Some(factor) => (factor, None),
            None => (1.0 / 3.6, Some("the vehicle's speed in km/h, as the standard has it")),
        };
        return Some(Column { factor: Some(factor), taken_for, ..own });
    }
    by_word.or_else(|| is_speed_unit(name).then_some(Role::Speed)).map(column)
}

/// The same for a name that is misspelt; only the roles of long names can be told so.
fn classify_misspelt(index: usize, name: &str) -> Option<Column> {
    if name.len() > LONGEST_NAME_BYTES {
        return None;
    }
    let words = words(name);
    let (place, meant) = words.iter().enumerate().find_map(|(place, word)| Some((place, meant(word)?)))?;
    let spelt: Vec<&str> =
        words.iter().enumerate().map(|(at, word)| if at == place { meant } else { word.as_str() }).collect();
    let column = classify(index, &spelt.join(" "))?;
    Some(Column { name: name.trim().to_owned(), taken_for: Some(meant), ..column })
}

/// "t" is time alone or with its unit; in "t_coolant" it is something else.
fn is_lone_t(words: &[String]) -> bool {
    words.first().is_some_and(|word| word == "t")
        && words[1..].iter().all(|word| factor(Dimension::Time, word).is_some())
}

/// A header that is a unit of speed and nothing else.
fn is_speed_unit(name: &str) -> bool {
    let name = name.trim().to_lowercase();
    ["kmh", "km/h", "kph", "mph", "m/s", "knots"].contains(&name.as_str())
}

/// The unit in a column name: in brackets, or the last one to three words.
pub(super) fn unit(name: &str, role: Role) -> Option<f64> {
    let dimension = role.dimension();
    let in_brackets =
        name.split(['(', '[', '{']).skip(1).filter_map(|part| part.split([')', ']', '}']).next());
    let outside: String = name.split(['(', '[', '{']).next().unwrap_or_default().to_owned();
    let words = words(&outside);
    let at_end = (1..=words.len().min(3)).rev().map(|count| words[words.len() - count..].concat());
    // A symbol such as a slash tells more than a word: the whole last token is tried before its parts.
    let last_token = outside.split([' ', '_', ',']).next_back().unwrap_or_default().to_owned();
    // `Speed (GPS) km/h`
    let behind = name.rsplit_once([')', ']', '}']).map(|(_, behind)| behind.trim().to_owned());
    in_brackets
        .map(str::to_owned)
        .chain(behind)
        .chain([last_token])
        .chain(at_end)
        .filter(|word| !word.is_empty())
        .find_map(|word| factor(dimension, &word))
}

/// The columns of a header row, and for each role those that could be meant.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Header {
    pub(super) names: Vec<String>,
    pub(super) columns: Vec<Column>,
    /// Units below the names, where there is a row of them.
    units: Vec<String>,
    /// Column whose change starts a new segment of a track.
    pub(super) segment: Option<usize>,
}

/// Names of columns that number the segments of a track.
const SEGMENT_NAMES: [&str; 6] =
    ["segment", "seg", "segment id", "segment no", "track segment", "segment number"];

impl Header {
    /// The header in these cells; `None` when they name neither what was chosen nor two things known.
    pub(super) fn new(cells: &[&str], options: &CsvOptions) -> Option<Self> {
        if cells.len() > MOST_COLUMNS {
            return None;
        }
        let names: Vec<String> = cells.iter().map(|cell| cell.trim().to_owned()).collect();
        let mut columns: Vec<Column> =
            names.iter().enumerate().filter_map(|(index, name)| classify(index, name)).collect();
        for (index, name) in names.iter().enumerate() {
            // What is spelt right comes first.
            let is_free = |column: &Column| columns.iter().all(|known| known.role != column.role);
            let column = classify_misspelt(index, name).filter(is_free);
            columns.extend(column);
        }
        let roles = ROLES.iter().filter(|&&role| columns.iter().any(|column| column.role == role)).count();
        let chosen = ROLES
            .iter()
            .filter_map(|&role| options.choice(role))
            .any(|choice| find(&names, choice).is_some());
        let segment = names.iter().position(|name| SEGMENT_NAMES.contains(&words(name).join(" ").as_str()));
        (roles >= 2 || chosen).then_some(Self { names, columns, units: Vec::new(), segment })
    }

    /// The same with the units of a row below it; `None` when the row holds something else.
    pub(super) fn with_units(&self, cells: &[&str]) -> Option<Self> {
        let words: Vec<String> = cells
            .iter()
            .map(|cell| cell.trim_matches(['(', ')', '[', ']', '{', '}', ' ']).to_owned())
            .collect();
        if cells.iter().any(|cell| number(cell).is_some()) {
            return None;
        }
        let said = |column: &Column| factor(column.role.dimension(), words.get(column.index)?);
        self.columns.iter().find_map(said)?;
        let columns = self
            .columns
            .iter()
            .map(|column| Column { factor: column.factor.or(said(column)), ..column.clone() });
        Some(Self { columns: columns.collect(), units: words.clone(), ..self.clone() })
    }

    /// The chosen column of a role: the choice does not stand in the header when this is an error.
    pub(super) fn chosen(&self, role: Role, options: &CsvOptions) -> Option<Result<Column, ColumnChoice>> {
        let choice = options.choice(role)?;
        let Some((index, said_in_name)) = find(&self.names, choice) else {
            return Some(Err(choice.clone()));
        };
        let name = self.names[index].clone();
        let said = choice.unit.as_deref().filter(|_| !said_in_name);
        let below = || self.units.get(index).and_then(|word| factor(role.dimension(), word));
        let factor =
            said.map_or_else(|| unit(&name, role).or_else(below), |word| factor(role.dimension(), word));
        let (channel, is_date, taken_for) = (Channel::Untold, false, None);
        Some(Ok(Column { index, name, role, channel, factor, is_date, taken_for }))
    }

    /// Columns that hold the letters of the sides: those of latitudes, those of longitudes.
    pub(super) fn sides(&self) -> [Option<usize>; 2] {
        let named =
            |index: &usize, own: &[&str]| own.contains(&words(&self.names[*index]).join(" ").as_str());
        [SIDES_OF_LATITUDES, SIDES_OF_LONGITUDES]
            .map(|own| (0..self.names.len()).find(|index| named(index, own)))
    }

    /// The columns that could have a role by their names.
    pub(super) fn candidates(&self, role: Role) -> impl Iterator<Item = &Column> {
        self.columns.iter().filter(move |column| column.role == role && !column.is_date)
    }
}

/// Index of a chosen column; whether the unit word turned out to be part of its name.
fn find(names: &[String], choice: &ColumnChoice) -> Option<(usize, bool)> {
    let position = |wanted: &str| names.iter().position(|name| name.to_lowercase() == wanted.to_lowercase());
    let with_unit = choice.unit.as_ref().map(|unit| format!("{} {unit}", choice.name));
    position(&choice.name)
        .map(|index| (index, false))
        .or_else(|| with_unit.and_then(|name| position(&name)).map(|index| (index, true)))
}

#[cfg(test)]
mod tests;

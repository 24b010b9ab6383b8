//! Which column is what, where the header does not say it: the text of a flag to choices.

pub use super::super::time::DateOrder;
use super::super::units::{Dimension, factor};
use super::columns::{ROLES, Role};
use crate::problem::Problem;

/// A column by its name in the header, and the unit of its values where the name does not say it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ColumnChoice {
    /// Name as it stands in the header; capitals do not matter.
    pub name: String,
    /// Unit word, such as `m/s`.
    pub unit: Option<String>,
}

/// Choices for a CSV reader; what is `None` is found by the header words.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct CsvOptions {
    /// Column of times.
    pub time: Option<ColumnChoice>,
    /// Column of latitudes.
    pub latitude: Option<ColumnChoice>,
    /// Column of longitudes.
    pub longitude: Option<ColumnChoice>,
    /// Column of heights.
    pub elevation: Option<ColumnChoice>,
    /// Column of speeds.
    pub speed: Option<ColumnChoice>,
    /// Column of courses over ground.
    pub course: Option<ColumnChoice>,
    /// Column of horizontal dilutions of precision.
    pub hdop: Option<ColumnChoice>,
    /// What stands first in dates such as 05/06/2019.
    pub dates: Option<DateOrder>,
}

impl CsvOptions {
    /// Reads `time=gps_sec s, speed="Speed, measured" km/h`: key, column name, unit where it is needed.
    pub fn parse(text: &str) -> Result<Self, Problem> {
        let mut options = Self::default();
        for entry in split_outside_quotes(text).into_iter().filter(|entry| !entry.trim().is_empty()) {
            let Some((key, value)) = entry.split_once('=') else {
                return Err(refused(entry.trim(), "an entry such as speed=obd_speed km/h", "no equals sign"));
            };
            if key.trim().to_lowercase() == "dates" {
                options.dates = Some(date_order(entry.trim(), value.trim())?);
                continue;
            }
            let known = ROLES.iter().find(|role| role.key() == key.trim().to_lowercase());
            let Some(&role) = known else {
                let keys = format!("{}, dates", ROLES.map(Role::key).join(", "));
                return Err(refused(
                    entry.trim(),
                    &format!("one of the keys {keys}"),
                    &format!("\"{}\"", key.trim()),
                ));
            };
            let choice = parse_choice(value.trim(), role.dimension());
            *options.place(role) = Some(choice.map_err(|found| {
                let expected =
                    format!("a column name, then a unit if needed ({})", role.dimension().examples());
                refused(entry.trim(), &expected, &found)
            })?);
        }
        Ok(options)
    }

    /// The names of the columns that were chosen.
    pub(in super::super) fn chosen_names(&self) -> impl Iterator<Item = &str> {
        ROLES.iter().filter_map(|role| self.choice(*role)).map(|choice| choice.name.as_str())
    }

    fn place(&mut self, role: Role) -> &mut Option<ColumnChoice> {
        match role {
            Role::Time => &mut self.time,
            Role::Latitude => &mut self.latitude,
            Role::Longitude => &mut self.longitude,
            Role::Elevation => &mut self.elevation,
            Role::Speed => &mut self.speed,
            Role::Course => &mut self.course,
            Role::Hdop => &mut self.hdop,
        }
    }

    pub(super) fn choice(&self, role: Role) -> Option<&ColumnChoice> {
        match role {
            Role::Time => &self.time,
            Role::Latitude => &self.latitude,
            Role::Longitude => &self.longitude,
            Role::Elevation => &self.elevation,
            Role::Speed => &self.speed,
            Role::Course => &self.course,
            Role::Hdop => &self.hdop,
        }
        .as_ref()
    }
}

fn date_order(entry: &str, value: &str) -> Result<DateOrder, Problem> {
    match value {
        "day-first" => Ok(DateOrder::DayFirst),
        "month-first" => Ok(DateOrder::MonthFirst),
        other => Err(refused(entry, "dates=day-first or dates=month-first", &format!("\"{other}\""))),
    }
}

fn refused(entry: &str, expected: &str, found: &str) -> Problem {
    let hint = "write for example: time=gps_sec s, speed=obd_speed m/s";
    Problem::error("column choice", expected, found).in_part(format!("\"{entry}\"")).hint(hint)
}

fn split_outside_quotes(text: &str) -> Vec<&str> {
    let mut quoted = false;
    text.split(|sign| {
        quoted ^= sign == '"';
        sign == ',' && !quoted
    })
    .collect()
}

/// `name`, `name unit`, `"name"` or `"name" unit`; what is wrong otherwise.
fn parse_choice(value: &str, dimension: Dimension) -> Result<ColumnChoice, String> {
    let (name, rest) = match value.strip_prefix('"') {
        Some(quoted) => quoted.split_once('"').ok_or("a quotation mark without its partner")?,
        None => match value.rsplit_once(char::is_whitespace) {
            Some((name, unit)) if factor(dimension, unit).is_some() => (name, unit),
            _ => (value, ""),
        },
    };
    let (name, unit) = (name.trim(), rest.trim());
    if name.is_empty() {
        return Err("no column name".to_owned());
    }
    if !unit.is_empty() && factor(dimension, unit).is_none() {
        return Err(format!("\"{unit}\" after the name"));
    }
    Ok(ColumnChoice { name: name.to_owned(), unit: (!unit.is_empty()).then(|| unit.to_owned()) })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn choice(name: &str, unit: Option<&str>) -> Option<ColumnChoice> {
        Some(ColumnChoice { name: name.to_owned(), unit: unit.map(str::to_owned) })
    }

    #[test]
    fn choices() {
        let options = CsvOptions::parse("time=gps_sec s, speed=obd_speed m/s").unwrap();
        assert_eq!(options.time, choice("gps_sec", Some("s")));
        assert_eq!(options.speed, choice("obd_speed", Some("m/s")));
        assert_eq!(options.latitude, None);
        assert_eq!(CsvOptions::parse(" ").unwrap(), CsvOptions::default());
        let speed = |text: &str| CsvOptions::parse(text).unwrap().speed;
        assert_eq!(speed("speed=Speed over ground"), choice("Speed over ground", None));
        assert_eq!(speed("Speed = GPS Speed km/h"), choice("GPS Speed", Some("km/h")));
        assert_eq!(speed("speed=\"Speed, GPS\" mph"), choice("Speed, GPS", Some("mph")));
        assert_eq!(speed("speed=\"Speed mph\""), choice("Speed mph", None));
    }

    #[test]
    fn refusals() {
        let check = |text: &str, expected: &str| {
            let told = CsvOptions::parse(text).unwrap_err().to_string();
            assert!(told.contains(expected), "{text}: {told}");
        };
        check("speed", "no equals sign");
        check(
            "velocity=v m/s",
            "one of the keys time, lat, lon, ele, speed, course, hdop, dates; found \"velocity\"",
        );
        check("dates=5/6", "dates=day-first or dates=month-first; found \"5/6\"");
        check("speed=", "no column name");
        check("speed=\"v", "without its partner");
        check("speed=\"v\" furlongs", "(km/h, mph, m/s, knots); found \"furlongs\" after the name");
    }
}

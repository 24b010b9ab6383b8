//! The unit of a field, which stands beside it, and what a number without one means there.

use truing::describe::{AnyKey, Measure};
use truing::units::Units;

/// The unit that a field's number has where none is typed.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Of a dial.
    Speed,
    /// Of a road.
    Road,
    /// Of a tape along the ground.
    Tape,
    /// Of a tape or a ruler on the tire.
    Ruler,
    /// Of a tread gauge.
    Tread,
    /// Of a stopwatch.
    Stopwatch,
    /// One that never changes.
    Fixed(&'static str),
}

/// The unit of a key's value, where it has one.
pub fn unit(key: &dyn AnyKey) -> Option<Unit> {
    let by_name = match key.name() {
        "length" | "lengths" | "measured_to_nearest" => Unit::Tape,
        "radius" | "diameter" => Unit::Ruler,
        "tread_depth" | "tread_depth_new" | "tread_at_end" => Unit::Tread,
        "seconds" => Unit::Stopwatch,
        "rpm" => Unit::Fixed("turns a minute"),
        "miles" => Unit::Fixed("mi"),
        "km" => Unit::Fixed("km"),
        name if name.ends_with("_psi") => Unit::Fixed("psi"),
        name if name.ends_with("_kpa") => Unit::Fixed("kPa"),
        name if name.ends_with("_km_h") => Unit::Fixed("km/h"),
        name if name.ends_with("_percent") => Unit::Fixed("%"),
        name if name.ends_with("_mph") => Unit::Fixed("mph"),
        _ => match key.measure()? {
            Measure::Speed => Unit::Speed,
            Measure::Length | Measure::Reading => Unit::Road,
        },
    };
    Some(by_name)
}

impl Unit {
    /// Whether the unit is part of what stands in the file.
    pub fn is_typed(self) -> bool {
        !matches!(self, Self::Fixed(_) | Self::Stopwatch)
    }

    /// As it stands beside the field.
    pub fn beside(self, units: Units) -> &'static str {
        match self {
            Self::Speed => units.speed_word(),
            Self::Road => units.road_word(),
            Self::Tape if units.in_feet() => "in",
            Self::Tape => "m",
            Self::Ruler if units.in_feet() => "in",
            Self::Ruler => "mm",
            Self::Tread if units.in_feet() => "/32 in",
            Self::Tread => "mm",
            Self::Stopwatch => "s",
            Self::Fixed(unit) => unit,
        }
    }

    /// What was typed with this unit behind it, where none was typed.
    pub fn behind(self, typed: &str, units: Units) -> String {
        let is_bare =
            typed.chars().all(|c| c.is_ascii_digit() || " ./+-\u{b1}\u{bd}\u{bc}\u{be}".contains(c));
        let ends_bare = typed.ends_with(|c: char| c.is_ascii_digit() || "\u{bd}\u{bc}\u{be}".contains(c));
        match self {
            _ if typed.is_empty() || !self.is_typed() => typed.to_string(),
            Self::Tread if is_bare && units.in_feet() && typed.contains('/') => format!("{typed} in"),
            Self::Tread if is_bare && units.in_feet() => format!("{typed}/32 in"),
            _ if is_bare && ends_bare => format!("{typed} {}", self.beside(units)),
            Self::Tape | Self::Ruler | Self::Tread => in_words(typed),
            _ => typed.to_string(),
        }
    }

    /// Something typed as it could be, in the owner's units.
    pub fn example(self, units: Units) -> Option<&'static str> {
        let (miles, feet) = (units.in_miles(), units.in_feet());
        let plain = match self {
            Self::Speed if miles => "60",
            Self::Speed => "90",
            Self::Road if miles => "9.70",
            Self::Road => "15.61",
            Self::Tape if feet => "42 ft 10 3/4 in",
            Self::Tape => "13.07",
            Self::Ruler if feet => "15 3/8",
            Self::Ruler => "390",
            Self::Tread if feet => "10",
            Self::Tread => "8",
            Self::Stopwatch => "1:02.4",
            Self::Fixed(_) => return None,
        };
        Some(plain)
    }
}

/// Feet and inches in words, as they stand best in a file; after feet only inches can follow.
fn in_words(typed: &str) -> String {
    let feet = ['\'', '\u{2032}', '\u{2019}'];
    let double = typed.replace("''", "\"");
    let inches =
        if double.contains(feet) && double.ends_with(|c: char| c.is_ascii_digit()) { "\"" } else { "" };
    let words =
        format!("{double}{inches}").replace(feet, " ft ").replace(['"', '\u{2033}', '\u{201d}'], " in");
    words.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bare_number_means_the_unit_beside_the_field() {
        let check = |unit: Unit, typed: &str, us: &str, metric: &str| {
            assert_eq!(unit.behind(typed, Units::Us), us, "{typed}");
            assert_eq!(unit.behind(typed, Units::Metric), metric, "{typed}");
        };
        check(Unit::Tape, "495", "495 in", "495 m");
        check(Unit::Tape, "41'2.5", "41 ft 2.5 in", "41 ft 2.5 in");
        check(Unit::Tape, "41' 2 1/2\"", "41 ft 2 1/2 in", "41 ft 2 1/2 in");
        check(Unit::Tape, "41'", "41 ft", "41 ft");
        check(Unit::Tape, "12.55 m", "12.55 m", "12.55 m");
        check(Unit::Ruler, "15 3/8", "15 3/8 in", "15 3/8 mm");
        check(Unit::Tread, "10", "10/32 in", "10 mm");
        check(Unit::Tread, "10/32", "10/32 in", "10/32 mm");
        check(Unit::Road, "128411", "128411 mi", "128411 km");
        check(Unit::Road, "9.70 +/- 0.02", "9.70 +/- 0.02 mi", "9.70 +/- 0.02 km");
        check(Unit::Speed, "60", "60 mph", "60 km/h");
        check(Unit::Speed, "", "", "");
        check(Unit::Fixed("psi"), "35", "35", "35");
    }
}

//! Cells that are more than a plain number: a unit behind it, degrees with their side, minutes or seconds.

use super::super::bounds;
use super::super::units::{factor, number};
use super::columns::Role;
use super::records::Cells;
use super::select::NumberColumn;
use core::f64::consts::PI;

/// Degrees and minutes in one number begin at this: `4807.038` is 48 degrees and 7.038 minutes.
const MINUTES_FROM: f64 = 100.0;

impl NumberColumn {
    /// The value of a cell in SI units, where it is no plain decimal; `None` when it cannot be read.
    pub(super) fn si(&self, cell: &str) -> Option<f64> {
        if let Some(plain) = number(cell) {
            return Some(plain * self.factor);
        }
        if matches!(self.role, Role::Latitude | Role::Longitude) {
            let sides = if self.role == Role::Latitude { ['n', 's'] } else { ['e', 'w'] };
            return degrees(cell, sides).map(|deg| deg * PI / 180.0);
        }
        let cell = cell.trim();
        let digits = cell.len()
            - cell.trim_start_matches(|sign: char| sign.is_ascii_digit() || "+-.,".contains(sign)).len();
        let (value, unit) = cell.split_at_checked(digits)?;
        Some(number(value)? * factor(self.role.dimension(), unit.trim())?)
    }
}

/// `48.1173 N`, `N 48 7.038`, `48°07'02.3"N`, `-48:07:02.3`: degrees, then minutes, then seconds, and the letter of the side.
fn degrees(cell: &str, [positive, negative]: [char; 2]) -> Option<f64> {
    let lower = cell.trim().to_lowercase();
    let letters: Vec<char> = lower.chars().filter(char::is_ascii_alphabetic).collect();
    let side = match letters[..] {
        [] => 1.0,
        [letter] if letter == positive => 1.0,
        [letter] if letter == negative => -1.0,
        _ => return None,
    };
    let minus = lower.starts_with('-');
    // A minus and a letter contradict each other or say the same twice: nobody knows.
    if (minus && !letters.is_empty()) || lower.matches('-').count() > usize::from(minus) {
        return None;
    }
    let is_part = |sign: char| sign.is_ascii_digit() || sign == '.' || sign == ',';
    let parts: Vec<&str> = lower.split(|sign| !is_part(sign)).filter(|part| !part.is_empty()).collect();
    let parts: Vec<f64> = parts.into_iter().map(number).collect::<Option<_>>()?;
    let (whole, small) = parts.split_first()?;
    let below = |value: f64| (0.0..60.0).contains(&value);
    let sum = match *small {
        [] => *whole,
        [minutes] if below(minutes) && whole.fract() == 0.0 => whole + minutes / 60.0,
        [minutes, seconds]
            if below(minutes) && below(seconds) && whole.fract() == 0.0 && minutes.fract() == 0.0 =>
        {
            whole + minutes / 60.0 + seconds / 3600.0
        }
        _ => return None,
    };
    Some(if minus { -sum } else { side * sum })
}

/// How the positions of a file are written, where it is not as degrees with their sign.
#[derive(Clone, Debug, Default)]
pub(super) struct Positions {
    /// Columns of the letters of the sides: of latitudes, of longitudes.
    sides: [Option<usize>; 2],
    /// As the first position showed.
    written: Option<Written>,
}

/// How degrees are written.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
enum Written {
    Degrees,
    /// Degrees and minutes in one number; whether latitudes, longitudes may be below a degree.
    Minutes([bool; 2]),
}

impl Positions {
    /// With the letters of the sides in these columns: of latitudes, of longitudes.
    pub(super) fn with_sides(sides: [Option<usize>; 2]) -> Self {
        Self { sides, written: None }
    }

    /// Whether nothing is to be done to positions.
    pub(super) fn are_plain(&self) -> bool {
        self.written == Some(Written::Degrees) && self.sides == [None, None]
    }

    /// Latitude and longitude (rad) from the numbers of their cells, taken as degrees. The first position that is none on a globe
    /// but makes sense as degrees and minutes tells how all are written; one that is written otherwise is `None`.
    pub(super) fn read(&mut self, record: Cells<'_>, read: [Option<f64>; 2]) -> [Option<f64>; 2] {
        let [Some(latitude), Some(longitude)] = read.map(|si| si.map(|si| si.to_degrees())) else {
            return read;
        };
        let nowhere = latitude == 0.0 && longitude == 0.0;
        let degrees = [latitude, longitude];
        if self.written.is_none() && !nowhere {
            self.written = Some(Written::new(degrees));
        }
        let turned = |index: usize| match self.written {
            Some(Written::Minutes(small)) => of_minutes(degrees[index], small[index]),
            _ => Some(degrees[index]),
        };
        let sided = |value: f64, side: Option<usize>, letters: [&str; 2]| match side {
            None => Some(value),
            Some(index) => match record.get(index).map(|cell| cell.trim().to_ascii_lowercase()) {
                Some(letter) if letter == letters[0] => Some(value),
                Some(letter) if letter == letters[1] => Some(-value.abs()),
                // Letters that are left out where there is no fix say nothing.
                _ => None,
            },
        };
        [
            turned(0).and_then(|value| sided(value, self.sides[0], ["n", "s"])),
            turned(1).and_then(|value| sided(value, self.sides[1], ["e", "w"])),
        ]
        .map(|degrees| degrees.map(f64::to_radians))
    }
}

impl Written {
    /// As the first position shows: beyond the globe as degrees, but a place as degrees and minutes.
    fn new(position: [f64; 2]) -> Self {
        let limits = [bounds::LATITUDE_DEG, bounds::LONGITUDE_DEG];
        let beyond = (0..2).any(|index| position[index].abs() > limits[index]);
        let small = position.map(|value| value.abs() < MINUTES_FROM);
        let makes_sense = (0..2).all(|index| of_minutes(position[index], small[index]).is_some());
        if beyond && makes_sense { Self::Minutes(small) } else { Self::Degrees }
    }
}

/// `ddmm.mmm` as degrees; below a degree only where that may be.
fn of_minutes(value: f64, may_be_small: bool) -> Option<f64> {
    let (degrees, minutes) = ((value.abs() / 100.0).trunc(), value.abs() % 100.0);
    let sound = minutes < 60.0 && degrees <= bounds::LONGITUDE_DEG;
    (sound && (may_be_small || value.abs() >= MINUTES_FROM))
        .then(|| (degrees + minutes / 60.0).copysign(value))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn positions_in_one_cell() {
        let check = |cell: &str, expected: Option<f64>| {
            let found = degrees(cell, ['n', 's']);
            let close = found.zip(expected).is_none_or(|(found, expected)| (found - expected).abs() < 1e-9);
            assert!(found.is_some() == expected.is_some() && close, "{cell}: {found:?}");
        };
        // 48° 7' 2.28" = 48 + 7/60 + 2.28/3600 = 48.117 300.
        for cell in
            ["48.1173N", "N 48.1173", "48° 07.038' N", "48°07'02.28\"N", "48 07 02.28 n", "48:07:02.28"]
        {
            check(cell, Some(48.1173));
        }
        check("48,1173 S", Some(-48.1173));
        check("-48:07:02.28", Some(-48.1173));
        check("48º07′02.28″S", Some(-48.1173));
        for cell in ["-48.1 S", "48.1 E", "48°67'02\"N", "48.5°07'N", "N/A", "--", "", "48 7 2 1", "1e300N"]
        {
            check(cell, None);
        }
    }

    #[test]
    fn degrees_and_minutes_in_one_number() {
        assert_eq!(of_minutes(-30.0, true), Some(-0.5));
        assert_eq!(Written::new([5130.0, -7.5]), Written::Minutes([false, true]));
        for position in [[51.5, -0.125], [51.5, 230.0], [5175.0, 7.5], [5130.0, 75.0]] {
            assert_eq!(Written::new(position), Written::Degrees, "{position:?}");
        }
        assert!((of_minutes(4807.038, false).unwrap() - 48.1173).abs() < 1e-12);
        assert!((of_minutes(-1131.0, false).unwrap() + 11.516_666_666_7).abs() < 1e-9);
        for value in [48.1, 4861.0, 99.9] {
            assert_eq!(of_minutes(value, false), None, "{value}");
        }
    }
}

//! Unit words as they stand in column names and options, to factors into SI units.
//!
//! Factors: NIST SP 811, appendix B.8 (all exact).

use metrology::quantity::{Angle, Length, Quantity, Speed};

/// What a column can measure.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(crate) enum Dimension {
    Time,
    Angle,
    Length,
    Speed,
    Plain,
}

impl Dimension {
    /// Examples for messages.
    pub(crate) fn examples(self) -> &'static str {
        match self {
            Self::Time => "s, ms",
            Self::Angle => "deg, rad",
            Self::Length => "m, ft",
            Self::Speed => "km/h, mph, m/s, knots",
            Self::Plain => "none",
        }
    }
}

/// Seconds, metres, radians or m/s in one of the unit; `None` when the word is no unit of that dimension.
pub(crate) fn factor(dimension: Dimension, word: &str) -> Option<f64> {
    let plain: String = word
        .chars()
        .filter(|sign| sign.is_alphanumeric() || *sign == '\u{b0}')
        .flat_map(char::to_lowercase)
        .collect();
    match dimension {
        Dimension::Time => time_factor(&plain),
        Dimension::Angle => match plain.as_str() {
            "e7" | "dege7" => Some(Angle::from_deg(1e-7).si()),
            "deg" | "degree" | "degrees" | "\u{b0}" | "decimaldegrees" => Some(Angle::from_deg(1.0).si()),
            "rad" | "radians" => Some(1.0),
            _ => None,
        },
        Dimension::Length => match plain.as_str() {
            "m" | "meter" | "meters" | "metre" | "metres" => Some(1.0),
            "ft" | "feet" | "foot" => Some(Length::from_ft(1.0).si()),
            "km" => Some(Length::from_km(1.0).si()),
            "mi" | "mile" | "miles" => Some(Length::from_mi(1.0).si()),
            _ => None,
        },
        Dimension::Speed => speed_factor(&plain),
        Dimension::Plain => None,
    }
}

fn time_factor(plain: &str) -> Option<f64> {
    match plain {
        "s" | "sec" | "secs" | "second" | "seconds" => Some(1.0),
        "ms" | "msec" | "millis" | "millisecond" | "milliseconds" => Some(1e-3),
        "us" | "\u{b5}s" | "\u{3bc}s" | "usec" | "micros" | "microseconds" => Some(1e-6),
        "ns" | "nsec" | "nanos" | "nanoseconds" => Some(1e-9),
        "min" | "minutes" => Some(60.0),
        "day" | "days" => Some(86_400.0),
        _ => None,
    }
}

fn speed_factor(plain: &str) -> Option<f64> {
    match plain {
        "kmh" | "kph" | "kmph" | "kmhr" | "kmperh" | "kmperhour" | "kmh1" | "kilometersperhour"
        | "kilometresperhour" => Some(Speed::from_km_per_h(1.0).si()),
        "mph" | "mih" | "miperh" | "miph" | "milesh" | "milesperhour" => Some(Speed::from_mi_per_h(1.0).si()),
        "ms" | "mps" | "mpers" | "ms1" | "meterspersecond" | "metrespersecond" => Some(1.0),
        "kn" | "kt" | "kts" | "knot" | "knots" => Some(Speed::from_knots(1.0).si()),
        "fps" | "fts" | "ftpers" => Some(0.3048),
        _ => None,
    }
}

/// A number as people write it: a decimal comma, or a separator of thousands of the other kind, is understood.
/// A lone comma is a decimal comma. `None` when it is no finite number.
pub(crate) fn number(cell: &str) -> Option<f64> {
    let cell = cell.trim_ascii();
    let plain = super::bounds::number(cell);
    if plain.is_some() {
        return plain;
    }
    let comma = cell.rfind(',')?;
    match cell.rfind('.') {
        Some(point) if point > comma => super::bounds::number(cell.replace(',', "")),
        Some(_) => super::bounds::number(cell.replace('.', "").replace(',', ".")),
        None => super::bounds::number(cell.replace(',', ".")),
    }
}

/// Digits after the decimal mark; `None` for a number written with an exponent.
pub(crate) fn decimals(cell: &str) -> Option<i32> {
    let cell = cell.trim_ascii().as_bytes();
    if memchr::memchr2(b'e', b'E', cell).is_some() {
        return None;
    }
    let digits =
        |mark: usize| cell[mark + 1..].iter().take_while(|sign| sign.is_ascii_digit()).count() as i32;
    Some(memchr::memrchr2(b'.', b',', cell).map_or(0, digits))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unit_words() {
        let check = |dimension, word: &str, expected: Option<f64>| {
            assert_eq!(factor(dimension, word), expected, "{dimension:?} {word}");
        };
        for word in ["km/h", "kmh", "KPH", "km_per_h", "km h-1", "Km/Hr"] {
            check(Dimension::Speed, word, Some(1.0 / 3.6));
        }
        for word in ["mph", "MPH", "mi/h", "mi_per_h"] {
            check(Dimension::Speed, word, Some(0.44704)); // NIST SP 811, B.8: exact
        }
        for word in ["m/s", "m_s", "mps", "m_per_s", "m s-1", "ms"] {
            check(Dimension::Speed, word, Some(1.0));
        }
        check(Dimension::Speed, "rpm", None);
        check(Dimension::Time, "ms", Some(1e-3));
        check(Dimension::Time, "m/s", Some(1e-3)); // callers ask for one dimension only
        check(Dimension::Length, "ft", Some(0.3048));
        check(Dimension::Plain, "m", None);
    }

    #[test]
    fn numbers() {
        let check = |cell: &str, expected| assert_eq!(number(cell), expected, "{cell}");
        check("12.5", Some(12.5));
        check(" 12,5 ", Some(12.5));
        check("1,234.5", Some(1234.5));
        check("1.234,5", Some(1234.5));
        check("1,234,567", None);
        check("-3e2", Some(-300.0));
        for cell in ["", "nan", "inf", "1e999", "12 km", "0x10"] {
            check(cell, None);
        }
        assert_eq!(
            (decimals("12.50"), decimals("7"), decimals("1e-3"), decimals("3,5")),
            (Some(2), Some(0), None, Some(1))
        );
    }
}

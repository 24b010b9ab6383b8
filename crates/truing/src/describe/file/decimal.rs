//! Exact decimals as typed.

use core::str::FromStr;
use rust_decimal::Decimal;

/// Largest magnitude taken. With at most [`MOST_PLACES`] places, sums and products of two stay exact or rounded,
/// and never overflow the 28 digits of the type.
const LARGEST: i64 = 1_000_000_000_000;

/// Most decimal places taken.
const MOST_PLACES: u32 = 9;

/// Why a text is not a decimal.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum NotDecimal {
    /// It is written with a comma.
    Comma,
    /// It is beyond what is taken.
    TooLong,
    /// It is no number.
    NoNumber,
}

impl NotDecimal {
    /// What to do about it.
    pub fn hint(self) -> &'static str {
        match self {
            Self::Comma => "Write the decimal with a point, as in 8.20",
            Self::TooLong => "At most twelve digits before the point and nine after it",
            Self::NoNumber => "Write digits with a point, as in 8.20",
        }
    }
}

/// Reads digits with at most one point and a sign, keeping trailing zeros (8.20 has two places).
pub fn decimal(text: &str) -> Result<Decimal, NotDecimal> {
    let text = text.trim();
    let digits = text.strip_prefix(['+', '-']).unwrap_or(text);
    if digits.contains(',') && digits.bytes().all(|b| b.is_ascii_digit() || b == b',' || b == b'.') {
        return Err(NotDecimal::Comma);
    }
    let points = digits.bytes().filter(|b| *b == b'.').count();
    let only_digits = digits.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    if digits.is_empty() || points > 1 || !only_digits || digits == "." {
        return Err(NotDecimal::NoNumber);
    }
    let value = Decimal::from_str_exact(text.trim_start_matches('+')).map_err(|_| NotDecimal::TooLong)?;
    if value.abs() > Decimal::from(LARGEST) || value.scale() > MOST_PLACES {
        return Err(NotDecimal::TooLong);
    }
    Ok(value)
}

/// The nearest binary number, for arithmetic that is not exact anyway.
pub fn to_f64(value: Decimal) -> f64 {
    // The text of a decimal is always a number; the standard library rounds it correctly.
    f64::from_str(&value.to_string()).unwrap_or(f64::NAN)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_exactly_what_is_written() {
        for (text, expected) in [
            ("8.20", Ok((820, 2))),
            ("-0.5", Ok((-5, 1))),
            ("+7", Ok((7, 0))),
            (" 1001 ", Ok((1001, 0))),
            ("8,20", Err(NotDecimal::Comma)),
            ("8.2e1", Err(NotDecimal::NoNumber)),
            ("", Err(NotDecimal::NoNumber)),
            (".", Err(NotDecimal::NoNumber)),
            ("1.2.3", Err(NotDecimal::NoNumber)),
            ("1.0000000001", Err(NotDecimal::TooLong)),
            ("99999999999999999999999999999999", Err(NotDecimal::TooLong)),
        ] {
            assert_eq!(decimal(text).map(|d| (d.mantissa(), d.scale())), expected, "{text}");
        }
    }
}

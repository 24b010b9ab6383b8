//! Which numbers can be what they say they are. Cleaning is not done here: only what no log can mean is refused.

use crate::problem::Problem;

/// Largest latitude either way.
pub(crate) const LATITUDE_DEG: f64 = 90.0;
/// Largest longitude either way. GPX ends at 180; some loggers count to 360 eastwards.
pub(crate) const LONGITUDE_DEG: f64 = 360.0;
/// Above this no wheeled vehicle goes; receivers keep the same limit (515 m/s by export rules), from memory.
const FASTEST_M_PER_S: f64 = 500.0;
/// Deepest and highest height any receiver reports on or near the earth.
const HEIGHTS_M: core::ops::RangeInclusive<f64> = -12_000.0..=100_000.0;
/// Receivers report 99.99 for "no fix"; what is above this is no dilution of precision.
const LARGEST_HDOP: f64 = 1000.0;

/// Fixes, samples or readings that are kept of one log: a whole day at a hundred a second. A small packed file can hold
/// thousands of times as many, which no memory does.
pub(crate) const MOST_KEPT: usize = 8_640_000;

/// Puts a value behind the others where there are fewer than `most` of them; whether it was kept.
pub(crate) fn keep_within<T>(most: usize, list: &mut Vec<T>, value: T) -> bool {
    let kept = list.len() < most;
    if kept {
        list.push(value);
    }
    kept
}

/// What is said of a log with so many fixes, samples or readings, where they are too many.
pub(crate) fn too_many(source: &str, count: usize) -> Option<Problem> {
    let problem = Problem::warning(source, format!("at most {MOST_KEPT} readings"), count.to_string());
    let hint = "what came after that many was left out; give the part of the log with the drive";
    (count > MOST_KEPT).then(|| problem.hint(hint))
}

/// A finite number.
pub(crate) fn number(text: impl AsRef<[u8]>) -> Option<f64> {
    let text = text.as_ref();
    plain_decimal(text).or_else(|| fast_float2::parse::<f64, _>(text).ok().filter(|value| value.is_finite()))
}

/// Most digits of a plain decimal: they fit 64 bits.
const LONGEST_PLAIN: usize = 19;
/// Whole numbers below this are exact in a double (IEEE 754: 53 bits).
const EXACT_BELOW: u64 = 1 << 53;
/// Powers of ten, all of them exact in a double (those up to 22 are).
const TENS: [f64; LONGEST_PLAIN + 1] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18,
    1e19,
];

/// `-12.345`, as nearly every log writes its numbers. Digits and power of ten are exact and one division is rounded once, so
/// the value is the same as the library's, which also reads everything else.
pub(crate) fn plain_decimal(text: &[u8]) -> Option<f64> {
    plain_decimal_at(text).filter(|(_, _, rest)| rest.is_empty()).map(|(value, _, _)| value)
}

/// The same at the start of a text, with the count of its decimals and what follows.
#[inline(always)]
pub(crate) fn plain_decimal_at(text: &[u8]) -> Option<(f64, usize, &[u8])> {
    let unsigned = text.strip_prefix(b"-").unwrap_or(text);
    let (whole, rest) = digits(0, unsigned);
    let whole_digits = unsigned.len() - rest.len();
    let (value, decimals, rest) = with_fraction(whole, whole_digits, rest)?;
    let value = if unsigned.len() < text.len() { -value } else { value };
    (whole_digits > 0).then_some((value, decimals, rest))
}

/// `hhmmss.ss` or `dddmm.mmm`: what stands before the last two digits in front of the point, and the number that these begin.
/// Also how many digits stand in front of the point.
pub(crate) fn last_two_and_fraction(text: &[u8]) -> Option<(u64, f64, usize)> {
    let (whole, rest) = digits(0, text);
    let count = text.len() - rest.len();
    let (value, _, rest) = with_fraction(whole % 100, count, rest)?;
    (count >= 2 && rest.is_empty()).then_some((whole / 100, value, count))
}

/// The number whose digits before the point are `whole`, so many of them, and the rest of whose text this begins; the count
/// of its decimals, and what follows.
#[inline(always)]
fn with_fraction(whole: u64, whole_digits: usize, rest: &[u8]) -> Option<(f64, usize, &[u8])> {
    let (count, decimals, rest) = match rest {
        [b'.', fraction @ ..] => {
            let (count, rest) = digits(whole, fraction);
            (count, fraction.len() - rest.len(), rest)
        }
        _ => (whole, 0, rest),
    };
    // More digits may have run over.
    (whole_digits + decimals <= LONGEST_PLAIN && count < EXACT_BELOW)
        .then(|| (count as f64 / TENS[decimals], decimals, rest))
}

/// The digits at the start of a text, put behind those already there; and what follows them. What has more than
/// [`LONGEST_PLAIN`] of them comes to no number that means anything.
#[inline(always)]
fn digits(mut count: u64, mut text: &[u8]) -> (u64, &[u8]) {
    while let Some((four, rest)) = text.split_first_chunk()
        && let Some(four) = four_digits(*four)
    {
        count = count.wrapping_mul(10_000).wrapping_add(four);
        text = rest;
    }
    while let [sign @ b'0'..=b'9', rest @ ..] = text {
        count = count.wrapping_mul(10).wrapping_add(u64::from(sign - b'0'));
        text = rest;
    }
    (count, text)
}

/// Four digits at once: neighbours are brought together twice, all in one word.
fn four_digits(signs: [u8; 4]) -> Option<u64> {
    const ZEROS: u32 = u32::from_ne_bytes(*b"0000");
    let word = u32::from_le_bytes(signs);
    // Below zero a byte borrows its highest bit, above nine it gets it by the addition.
    let beyond = word.wrapping_add(0x4646_4646) | word.wrapping_sub(ZEROS);
    if beyond & 0x8080_8080 != 0 {
        return None;
    }
    let pairs = word - ZEROS;
    let pairs = (pairs * 10 + (pairs >> 8)) & 0x00FF_00FF;
    Some(u64::from((pairs * 100 + (pairs >> 16)) & 0xFFFF))
}

pub(crate) fn is_speed(m_per_s: f64) -> bool {
    (0.0..=FASTEST_M_PER_S).contains(&m_per_s)
}

pub(crate) fn is_elevation(m: f64) -> bool {
    HEIGHTS_M.contains(&m)
}

pub(crate) fn is_course(deg: f64) -> bool {
    (0.0..=360.0).contains(&deg)
}

pub(crate) fn is_hdop(value: f64) -> bool {
    (0.0..=LARGEST_HDOP).contains(&value)
}

pub(crate) fn speed_m_per_s(text: &str) -> Option<f64> {
    number(text).filter(|&value| is_speed(value))
}

pub(crate) fn elevation_m(text: &str) -> Option<f64> {
    number(text).filter(|&value| is_elevation(value))
}

pub(crate) fn course_deg(text: &str) -> Option<f64> {
    number(text).filter(|&value| is_course(value))
}

pub(crate) fn hdop(text: &str) -> Option<f64> {
    number(text).filter(|&value| is_hdop(value))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_is_kept_has_a_limit() {
        let mut kept = Vec::new();
        assert_eq!((0..5).filter(|value| keep_within(3, &mut kept, *value)).count(), 3);
        assert_eq!(kept, [0, 1, 2]);
        assert_eq!(too_many("log", MOST_KEPT), None);
        assert!(too_many("log", MOST_KEPT + 1).is_some_and(|problem| problem.found == "8640001"));
    }

    proptest! {
        /// The library as oracle.
        #[test]
        fn numbers_are_those_of_the_library(text in "-?[0-9]{0,12}(\\.[0-9]{0,12})?(e-?[0-9]{1,2}|[-. ]|)") {
            let library = fast_float2::parse::<f64, _>(&text).ok().filter(|value| value.is_finite());
            prop_assert_eq!(number(&text).map(f64::to_bits), library.map(f64::to_bits), "{}", text);
        }

        /// Whatever a double is written as is read as the same double.
        #[test]
        fn every_double_comes_back(value in any::<f64>().prop_filter("finite", |value| value.is_finite()), decimals in 0usize..18) {
            prop_assert_eq!(number(format!("{value}")), Some(value));
            let cut = format!("{value:.decimals$}");
            prop_assert_eq!(number(&cut), cut.parse().ok());
        }
    }
}

//! Numbers in words: rounded to what their uncertainty allows, here and nowhere earlier.
//!
//! Rule: two significant digits of the standard uncertainty, and the value to the same place (JCGM 100:2008, 7.2.6).

pub mod adjusters;
pub mod came;
pub mod cautions;
pub mod dial;
pub mod doing;
pub mod drive;
pub mod evidence;
pub mod labels;
pub mod measurements;
pub mod measuring;
pub mod missing;
pub mod price;
pub mod proof;
pub mod pulses;
pub mod reasons;
pub mod setting;
pub mod value;
pub mod ways;

use crate::describe::fault::Fault;
use crate::describe::hold_back::{Activity, held_back};
use metrology::measured::Measured;
use metrology::quantity::Ratio;

/// Most decimals shown, whatever the uncertainty.
const MOST_DECIMALS: i32 = 12;

/// `803.9 ± 7.8`: a value and its standard uncertainty.
///
/// ```
/// use truing::report::words::value_and_uncertainty;
/// assert_eq!(value_and_uncertainty(803.9, 7.8123), "803.9 ± 7.8");
/// // H.1 of the GUM gives 50.000 838 mm with 32 nm
/// assert_eq!(value_and_uncertainty(50.000_838, 0.000_031_7), "50.000838 ± 0.000032");
/// assert_eq!(value_and_uncertainty(16093.44, 123.0), "16090 ± 120");
/// ```
pub fn value_and_uncertainty(value: f64, standard_uncertainty: f64) -> String {
    let place = last_place(standard_uncertainty);
    format!("{} ± {}", to_place(value, place), to_place(standard_uncertainty, place))
}

/// The value alone, rounded to the place of its uncertainty.
pub fn value_rounded(value: f64, standard_uncertainty: f64) -> String {
    to_place(value, last_place(standard_uncertainty))
}

/// An interval, both ends rounded to the place of the standard uncertainty: `788.6 to 819.2`.
pub fn interval(low: f64, high: f64, standard_uncertainty: f64) -> String {
    let place = last_place(standard_uncertainty);
    format!("{} to {}", to_place(low, place), to_place(high, place))
}

/// A number with its sign, which zero has none of: `+0.24`, `-5.03`, `0.00`.
///
/// ```
/// use truing::report::words::signed;
/// assert_eq!([signed(0.24, 1), signed(-5.03, 2), signed(-0.004, 2)], ["+0.2", "-5.03", "0.00"]);
/// ```
pub fn signed(number: f64, decimals: usize) -> String {
    let text = format!("{number:+.decimals$}");
    match text.strip_prefix(['+', '-']) {
        Some(rest) if rest.chars().all(|c| c == '0' || c == '.') => rest.into(),
        _ => text,
    }
}

/// A number with its sign, in the digits that its standard uncertainty leaves: `-4.23`, `+1`.
///
/// ```
/// use truing::report::words::signed_rounded;
/// assert_eq!([signed_rounded(-4.2349, 0.17), signed_rounded(3.14, 1.8), signed_rounded(12.3, 14.0)], ["-4.23", "+3.1", "+12"]);
/// assert_eq!(signed_rounded(0.123456, 0.0), "+0.1235", "what is exact is shown to a millionth at most");
/// ```
pub fn signed_rounded(number: f64, standard_uncertainty: f64) -> String {
    let place = last_place(standard_uncertainty).clamp(-4, 0);
    signed(number, usize::try_from(-place).unwrap_or(0))
}

/// A ratio in per cent with one decimal: `3.1 %`.
pub fn percent(ratio: Ratio) -> String {
    format!("{} %", to_place(ratio.percent(), -1))
}

/// A probability in per cent with one decimal, never as certain: `97.3 %`, `more than 99.9 %`.
pub fn probability(probability: f64) -> String {
    match 100.0 * probability {
        percent if percent > 99.9 => "more than 99.9 %".into(),
        percent if percent < 0.1 => "less than 0.1 %".into(),
        percent => format!("{percent:.1} %"),
    }
}

/// A chance in whole per cent where it is not small, never as none or as certain: `37 %`, `0.4 %`, `less than 0.1 %`.
pub fn chance(chance: Ratio) -> String {
    match chance.percent() {
        percent if percent < 0.1 => "less than 0.1 %".into(),
        percent if percent < 9.95 => format!("{percent:.1} %"),
        percent if percent > 99.5 => "more than 99 %".into(),
        percent => format!("{percent:.0} %"),
    }
}

/// Half of a 95 % interval that a relative standard uncertainty makes, as every answer says it: `0.46 % (95 %)`.
pub fn give_or_take(relative_standard_uncertainty: Ratio) -> String {
    format!("{} (95 %)", half(relative_standard_uncertainty * 1.96))
}

/// Half of a 95 % interval, or how far its farther end lies from the truth: `0.46 %`.
pub fn half(share: Ratio) -> String {
    let half = share.percent();
    format!("{half:.0$} %", decimals_of_half(half))
}

/// `1 write`, `5 writes`, `no entry`, `2 entries`, `3 presses`.
///
/// ```
/// use truing::report::words::counted;
/// let all = [counted(1_u32, "write"), counted(5_u32, "write"), counted(0_u32, "entry"), counted(2_u32, "entry")];
/// assert_eq!(all, ["1 write", "5 writes", "no entry", "2 entries"]);
/// assert_eq!(counted(3_u32, "press"), "3 presses");
/// ```
pub fn counted(number: impl Into<u64>, what: &str) -> String {
    match (number.into(), what.strip_suffix('y')) {
        (0, _) => format!("no {what}"),
        (1, _) => format!("1 {what}"),
        (many, Some(stem)) => format!("{many} {stem}ies"),
        (many, None) if what.ends_with('s') => format!("{many} {what}es"),
        (many, None) => format!("{many} {what}s"),
    }
}

/// A text with a capital at its start.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

/// Decimals of half an interval in per cent: two digits of it.
fn decimals_of_half(half: f64) -> usize {
    match half {
        half if half < 0.095 => 3,
        half if half < 1.0 => 2,
        _ => 1,
    }
}

/// "reads 4.10 % slow, give or take 0.18 % (95 %)": a reading ratio in the words used everywhere.
pub fn reads(ratio: &Measured<Ratio>) -> String {
    reads_between(ratio.value.plain(), ratio.low_95.plain(), ratio.high_95.plain())
}

/// `reads 4.1 % slow`: a ratio without its uncertainty; far off, as a multiple.
pub fn how_it_reads(ratio: Ratio) -> String {
    let percent = 100.0 * (ratio.plain() - 1.0);
    if signed(percent, 1) == signed(0.0, 1) {
        return "reads true".into();
    }
    match (ratio.plain() > 3.0, percent < 0.0) {
        (true, _) => format!("reads {:.0} times the truth", ratio.plain()),
        (false, true) => format!("reads {:.1} % slow", percent.abs()),
        (false, false) => format!("reads {percent:.1} % fast"),
    }
}

/// `5.0 % slow`, `true within 0.5 %`: a ratio and the ends of its interval, in as many digits as one remembers.
///
/// ```
/// use truing::report::words::in_short;
/// assert_eq!(in_short(0.969, 0.965, 0.973), "3.1 % slow");
/// assert_eq!(in_short(1.001, 0.997, 1.005), "true within 0.5 %");
/// ```
pub fn in_short(ratio: f64, low_95: f64, high_95: f64) -> String {
    let percent = 100.0 * (ratio - 1.0);
    let half = 50.0 * (high_95 - low_95);
    if percent.abs() < half {
        return format!("true within {:.1} %", percent.abs() + half);
    }
    format!("{:.1} % {}", percent.abs(), if percent < 0.0 { "slow" } else { "fast" })
}

/// `a, b or c`.
pub fn listed_or(names: &[&str]) -> String {
    match names {
        [all @ .., last] if !all.is_empty() => format!("{} or {last}", all.join(", ")),
        _ => names.concat(),
    }
}

/// What stands behind a conclusion that nobody computed.
pub fn owners_word_mark(is_owners_word: bool) -> &'static str {
    if is_owners_word { " (the owner's word)" } else { "" }
}

/// The same of the ratio and the ends of its interval.
pub fn reads_between(ratio: f64, low_95: f64, high_95: f64) -> String {
    let percent = 100.0 * (ratio - 1.0);
    let half = 50.0 * (high_95 - low_95);
    let word = if percent < 0.0 { "slow" } else { "fast" };
    let decimals = decimals_of_half(half);
    if signed(percent, decimals) == signed(0.0, decimals) {
        return format!("reads true, give or take {half:.decimals$} % (95 %)");
    }
    format!("reads {:.decimals$} % {word}, give or take {half:.decimals$} % (95 %)", percent.abs())
}

/// The open faults that hold a drive back.
pub fn held_back_by(faults: &[Fault]) -> Vec<String> {
    held_back(faults, Activity::Drive).into_iter().map(fault).collect()
}

/// What a fault touches, with the owner's note.
pub fn fault(fault: &Fault) -> String {
    match fault.note.as_str() {
        "" => fault.touches.to_string(),
        note => format!("{} ({note})", fault.touches),
    }
}

/// Power of ten of the last digit worth showing.
fn last_place(standard_uncertainty: f64) -> i32 {
    if !standard_uncertainty.is_finite() || standard_uncertainty == 0.0 {
        return -MOST_DECIMALS;
    }
    let place_of = |u: f64| u.abs().log10().floor() as i32 - 1;
    let first = place_of(standard_uncertainty);
    // 9.96 rounds to 10.0, which has one digit too many
    let rounded = (standard_uncertainty.abs() / 10f64.powi(first)).round() * 10f64.powi(first);
    place_of(rounded * (1.0 + f64::EPSILON)).max(first).max(-MOST_DECIMALS)
}

fn to_place(value: f64, place: i32) -> String {
    if !value.is_finite() {
        return "unknown".into();
    }
    if place >= 0 {
        let unit = 10f64.powi(place);
        return without_minus_zero(format!("{:.0}", (value / unit).round() * unit));
    }
    let decimals = usize::try_from(-place).unwrap_or(0);
    let text = format!("{value:.decimals$}");
    let is_exact_display = -place == MOST_DECIMALS;
    let trimmed = if is_exact_display { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    without_minus_zero(trimmed.into())
}

fn without_minus_zero(text: String) -> String {
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| c == '0' || c == '.') => rest.into(),
        _ => text,
    }
}

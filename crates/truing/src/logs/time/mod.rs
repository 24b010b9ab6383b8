//! Points in time as logs write them.
//!
//! ISO 8601 (with `T` or a space, `Z` or an offset, a point or a comma before the fraction), the same with slashes,
//! day first with points (`24.05.2019 11:50:21`), months by their English names ([`named`]), and bare times of day; each
//! with 24 hours or with AM and PM. Dates with slashes and the year last are read where one number is no month
//! (`5/24/2019`); where day and month could be exchanged (`05/06/2019`) somebody has to say the order: guessing would move
//! a drive by months.

mod named;

use jiff::{Timestamp, civil, tz::TimeZone};

/// A calendar time in seconds since 1970-01-01T00:00:00Z.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(crate) struct CalendarTime {
    pub(crate) unix_s: f64,
    /// Whether the text said its zone; without one it was taken as UTC.
    pub(crate) zone_said: bool,
}

/// What stands first in a date with the year last.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum DateOrder {
    /// 24/05/2019.
    DayFirst,
    /// 05/24/2019.
    MonthFirst,
}

/// Reads a date with a time.
pub(crate) fn calendar_time(text: &str) -> Option<CalendarTime> {
    calendar_time_in(text, None)
}

/// The same where somebody said the order of day and month.
pub(crate) fn calendar_time_in(text: &str, order: Option<DateOrder>) -> Option<CalendarTime> {
    let text = text.trim();
    if let Some(time) = fixed_layout(text.as_bytes()) {
        return Some(time);
    }
    if text.len() < 10 || !text.bytes().any(|byte| byte == b':' || byte == b'T') {
        return None;
    }
    if let Some((clock, half)) = half_of_day(text) {
        let time = with_24_hours(clock, order)?;
        return Some(CalendarTime { unix_s: time.unix_s + half.added_s(clock)?, ..time });
    }
    with_24_hours(text, order)
}

fn with_24_hours(text: &str, order: Option<DateOrder>) -> Option<CalendarTime> {
    if let Some(time) = standard_time(text) {
        return Some(time);
    }
    let rewritten = year_last(text, order).or_else(|| named::year_first(text));
    let (standard, leap_s) = standard_form(rewritten.as_deref().unwrap_or(text))?;
    let time = standard_time(&standard)?;
    Some(CalendarTime { unix_s: time.unix_s + leap_s, ..time })
}

/// `2019-05-24T11:50:21.25Z`, as nearly every log writes it: every sign at its place, from 1970 on. Anything else is left to
/// the library, which gives the same for these ten times slower.
fn fixed_layout(text: &[u8]) -> Option<CalendarTime> {
    let (whole, rest) = text.split_at_checked(19)?;
    let [_, _, _, _, b'-', _, _, b'-', _, _, b'T' | b' ', _, _, b':', _, _, b':', _, _] = whole else {
        return None;
    };
    let number = |from: usize, to: usize| {
        whole[from..to].iter().try_fold(0, |sum, sign| Some(10 * sum + digit(*sign)?))
    };
    let (year, month, day) = (number(0, 4)?, number(5, 7)?, number(8, 10)?);
    let (hour, minute, second) = (number(11, 13)?, number(14, 16)?, number(17, 19)?);
    let (fraction, zone_said) = match rest {
        [fraction @ .., b'Z'] => (fraction, true),
        fraction => (fraction, false),
    };
    let nanoseconds = match fraction {
        [] => 0,
        [b'.', digits @ ..] if (1..=9).contains(&digits.len()) => {
            let sum = digits.iter().try_fold(0, |sum, sign| Some(10 * sum + digit(*sign)?))?;
            sum * 10_i64.pow(9 - digits.len() as u32)
        }
        _ => return None,
    };
    let sound = (1970..9999).contains(&year) && (1..=12).contains(&month) && day >= 1;
    if !sound || day > month_days(year, month) || hour > 23 || minute > 59 || second > 59 {
        return None;
    }
    let seconds = days_since_1970(year, month, day) * 86_400 + hour * 3600 + minute * 60 + second;
    Some(CalendarTime { unix_s: seconds as f64 + nanoseconds as f64 * 1e-9, zone_said })
}

fn digit(sign: u8) -> Option<i64> {
    sign.is_ascii_digit().then(|| i64::from(sign - b'0'))
}

/// Days in a month of the Gregorian calendar.
pub(crate) fn month_days(year: i64, month: i64) -> i64 {
    match month {
        2 if year % 4 == 0 && (year % 100 != 0 || year % 400 == 0) => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

/// Days since 1970-01-01 in the Gregorian calendar; the year is taken to begin in March, so that the leap day is its last.
pub(crate) fn days_since_1970(year: i64, month: i64, day: i64) -> i64 {
    let (year, month) = if month > 2 { (year, month - 3) } else { (year - 1, month + 9) };
    let days_of_months = (153 * month + 2) / 5;
    // 1970-01-01 is day 719 468 from 0000-03-01.
    365 * year + year / 4 - year / 100 + year / 400 + days_of_months + day - 1 - 719_468
}

fn standard_time(text: &str) -> Option<CalendarTime> {
    // A leap second is folded by the library; `standard_form` keeps it.
    if text.contains(":60") {
        return None;
    }
    if let Ok(time) = text.parse::<Timestamp>() {
        return Some(CalendarTime { unix_s: unix_s(time), zone_said: true });
    }
    let civil: civil::DateTime = text.parse().ok()?;
    let time = TimeZone::UTC.to_timestamp(civil).ok()?;
    Some(CalendarTime { unix_s: unix_s(time), zone_said: false })
}

fn unix_s(time: Timestamp) -> f64 {
    time.as_second() as f64 + f64::from(time.subsec_nanosecond()) * 1e-9
}

/// Half of a day of twelve hours.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
enum Half {
    Morning,
    Afternoon,
}

impl Half {
    /// What it adds to a clock that was read as one of 24 hours; nothing when its hour is none of twelve.
    fn added_s(self, text: &str) -> Option<f64> {
        const HALF_DAY_S: f64 = 43_200.0;
        let before = &text[..text.find(':')?];
        let digits = before.len() - before.trim_end_matches(|sign: char| sign.is_ascii_digit()).len();
        let hour: u8 = before[before.len() - digits..].parse().ok()?;
        match (self, hour) {
            (_, 0 | 13..) => None,
            (Self::Morning, 12) => Some(-HALF_DAY_S),
            (Self::Afternoon, 1..=11) => Some(HALF_DAY_S),
            _ => Some(0.0),
        }
    }
}

/// What stands before `AM`, `PM`, `a.m.` or `p.m.` at the end, and which of them it is.
fn half_of_day(text: &str) -> Option<(&str, Half)> {
    const MARKS: [(&str, Half); 4] =
        [("am", Half::Morning), ("a.m.", Half::Morning), ("pm", Half::Afternoon), ("p.m.", Half::Afternoon)];
    let fits = |(mark, half): &(&str, Half)| {
        let (clock, end) = text.split_at_checked(text.len().checked_sub(mark.len())?)?;
        let clock = clock.trim_end();
        (end.eq_ignore_ascii_case(mark) && clock.ends_with(|sign: char| sign.is_ascii_digit()))
            .then_some((clock, *half))
    };
    MARKS.iter().find_map(fits)
}

/// Rewrites `5/24/2019 11:02:03` with the year first.
fn year_last(text: &str, order: Option<DateOrder>) -> Option<String> {
    let (date, time) = text.split_once([' ', 'T', ','])?;
    let mut parts = date.split(['/', '-']);
    let (first, second, year) = (parts.next()?, parts.next()?, parts.next()?);
    let is_short = |part: &str| part.len() <= 2 && part.bytes().all(|sign| sign.is_ascii_digit());
    if year.len() != 4 || parts.next().is_some() || !is_short(first) || !is_short(second) {
        return None;
    }
    let (first, second): (u8, u8) = (first.parse().ok()?, second.parse().ok()?);
    let (day, month) = match order {
        Some(DateOrder::DayFirst) => (first, second),
        Some(DateOrder::MonthFirst) => (second, first),
        None if first > 12 || first == second => (first, second),
        None if second > 12 => (second, first),
        None => return None,
    };
    Some(format!("{year}-{month:02}-{day:02} {}", time.trim()))
}

/// Rewrites other notations to the standard one; seconds to add for a leap second.
fn standard_form(text: &str) -> Option<(String, f64)> {
    let (date, rest) = text.split_at_checked(10)?;
    let part =
        |from: usize, to: usize| date.get(from..to).filter(|part| part.bytes().all(|b| b.is_ascii_digit()));
    let date = match (date.as_bytes()[2], date.as_bytes()[4], date.as_bytes()[5], date.as_bytes()[7]) {
        (_, b'-' | b'/' | b'.', _, b'-' | b'/' | b'.') => [part(0, 4)?, part(5, 7)?, part(8, 10)?],
        (b'.', _, b'.', _) => [part(6, 10)?, part(3, 5)?, part(0, 2)?],
        _ => return None,
    }
    .join("-");
    let rest = rest.trim_start_matches(['T', 't', ' ', ',']).trim_end();
    let in_utc = rest.strip_suffix("UTC").or_else(|| rest.strip_suffix("GMT"));
    let rest = in_utc.map_or_else(|| rest.to_owned(), |time| format!("{}Z", time.trim_end()));
    let rest = if rest.as_bytes().get(1) == Some(&b':') { format!("0{rest}") } else { rest };
    let leap_s = if rest.get(5..8) == Some(":60") { 1.0 } else { 0.0 };
    let rest = if leap_s > 0.0 { rest.replacen(":60", ":59", 1) } else { rest };
    // Another ":60" would be minutes or an offset, and is none of ours.
    (!rest.contains(":60")).then(|| (format!("{date}T{rest}"), leap_s))
}

/// Reads `HH:MM:SS` with or without a fraction; hours may pass 24 where a log counts on, and are twelve beside AM and PM.
/// Seconds since midnight.
pub(crate) fn time_of_day_s(text: &str) -> Option<f64> {
    match half_of_day(text.trim()) {
        Some((clock, half)) => Some(hours_minutes_seconds(clock)? + half.added_s(clock)?),
        None => hours_minutes_seconds(text.trim()),
    }
}

fn hours_minutes_seconds(text: &str) -> Option<f64> {
    let mut parts = text.split(':');
    let (hours, minutes, seconds) = (parts.next()?, parts.next()?, parts.next()?);
    if parts.next().is_some()
        || hours.len() > 3
        || minutes.len() != 2
        || !seconds.starts_with(|c: char| c.is_ascii_digit())
    {
        return None;
    }
    let (hours, minutes): (u16, u8) = (hours.parse().ok()?, minutes.parse().ok()?);
    let seconds: f64 = fast_float2::parse(seconds.replace(',', ".")).ok()?;
    (minutes < 60 && (0.0..61.0).contains(&seconds))
        .then(|| f64::from(hours) * 3600.0 + f64::from(minutes) * 60.0 + seconds)
}

#[cfg(test)]
mod tests;

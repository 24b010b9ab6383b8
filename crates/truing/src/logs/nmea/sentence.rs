//! One sentence: its checksum, its kind, its fields.

use super::super::bounds::{self, number};
use super::super::signs::{hex, places};
use super::super::time::{days_since_1970, month_days};
use metrology::quantity::{Angle, Length, Speed};

/// Most fields that are looked at: GSA has 18, with its name 19.
const FIELDS: usize = 24;
/// Years of two digits from here on are of the last century; satellite receivers are not older (from memory).
const FIRST_YEAR_OF_TWO_DIGITS: i64 = 80;
/// Longest whole number that is read, in digits; degrees, hours and years are shorter.
const LONGEST_WHOLE: usize = 9;

/// By what means a fix was made.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(super) enum Means {
    Satellites,
    /// Estimated, typed in, or simulated.
    Other,
    /// No fix.
    None,
}

/// The kinds of sentence that are read here.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    Rmc,
    Vtg,
    Gga,
    Gll,
    Gsa,
    Zda,
}

/// A sentence whose checksum fits. Its fields are read when they are asked for: most moments are given by several sentences,
/// and what one has said is not asked of the next. What it leaves empty or has no field for is `None`.
#[derive(Debug, PartialEq)]
pub(super) struct Sentence<'a> {
    pub(super) kind: Kind,
    pub(super) with_checksum: bool,
    fields: Fields<'a>,
}

#[derive(Copy, Clone, Debug, PartialEq)]
pub(super) struct Position {
    pub(super) latitude: Angle,
    pub(super) longitude: Angle,
}

#[derive(Copy, Clone, Debug, Default, PartialEq)]
pub(super) struct Motion {
    pub(super) speed: Option<Speed>,
    pub(super) course: Option<Angle>,
}

/// A day, counted from 1970-01-01.
pub(super) type Date = i64;

/// Why there is no sentence.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(super) enum Refusal {
    NotOurs,
    Damaged,
}

/// Where the fields of a sentence begin; beyond the last one, as if a comma stood behind the sentence. Kept by who asks:
/// moved about after it was just written it would cost as much as finding the fields.
pub(super) type Starts = [u16; FIELDS + 1];

/// Reads what stands after a `$`, in less than 64 KiB.
pub(super) fn sentence<'a>(text: &'a [u8], starts: &'a mut Starts) -> Result<Sentence<'a>, Refusal> {
    let body = match text {
        // The star stands before the last two signs; only where it does not is it looked for.
        [body @ .., b'*', high, low] => {
            verified(body, [*high, *low])?;
            body
        }
        _ => match text.iter().position(|sign| *sign == b'*') {
            Some(star) => {
                verified(&text[..star], *text[star + 1..].first_chunk().ok_or(Refusal::Damaged)?)?;
                &text[..star]
            }
            None => text,
        },
    };
    let with_checksum = body.len() < text.len();
    let fields = Fields::new(body, starts);
    let name = fields.get(0);
    // Two letters of the talker and three of the kind; those of makers begin with P.
    if name.len() != 5 || name[0] == b'P' {
        return Err(Refusal::NotOurs);
    }
    let kind = match &name[2..] {
        b"RMC" => Kind::Rmc,
        b"VTG" => Kind::Vtg,
        b"GGA" => Kind::Gga,
        b"GLL" => Kind::Gll,
        b"GSA" => Kind::Gsa,
        b"ZDA" => Kind::Zda,
        _ => return Err(Refusal::NotOurs),
    };
    Ok(Sentence { kind, with_checksum, fields })
}

impl Sentence<'_> {
    /// The time of day as it is written; empty where there is none.
    pub(super) fn time_text(&self) -> &[u8] {
        match self.kind {
            Kind::Rmc | Kind::Gga | Kind::Zda => self.fields.get(1),
            Kind::Gll => self.fields.get(5),
            Kind::Vtg | Kind::Gsa => b"",
        }
    }

    pub(super) fn means(&self) -> Means {
        let field = |place| self.fields.get(place);
        match self.kind {
            Kind::Rmc if field(2) != b"A" => Means::None,
            Kind::Rmc => means_by_mode(field(12)),
            Kind::Vtg => means_by_mode(field(9)),
            // Early ones end before the status.
            Kind::Gll if !matches!(field(6), b"A" | b"") => Means::None,
            Kind::Gll => means_by_mode(field(7)),
            Kind::Gga => match field(6) {
                b"" | b"0" => Means::None,
                b"6" | b"7" | b"8" => Means::Other,
                _ => Means::Satellites,
            },
            Kind::Gsa | Kind::Zda => Means::Satellites,
        }
    }

    pub(super) fn position(&self) -> Option<Position> {
        match self.kind {
            Kind::Rmc => self.fields.position(3),
            Kind::Gga => self.fields.position(2),
            Kind::Gll => self.fields.position(1),
            _ => None,
        }
    }

    pub(super) fn motion(&self) -> Motion {
        let fields = &self.fields;
        let (speed, course) = match self.kind {
            Kind::Rmc => (fields.number(7).map(Speed::from_knots), fields.course(8)),
            Kind::Vtg => {
                let knots = fields.with_unit(5, b"N").map(Speed::from_knots);
                let speed = knots.or_else(|| fields.with_unit(7, b"K").map(Speed::from_km_per_h));
                (speed, fields.course(1).filter(|_| fields.get(2) == b"T"))
            }
            _ => (None, None),
        };
        Motion { speed: speed.filter(|speed| bounds::is_speed(speed.m_per_s())), course }
    }

    pub(super) fn date(&self) -> Option<Date> {
        let field = |place| self.fields.get(place);
        match self.kind {
            Kind::Rmc => short_date(field(9)),
            Kind::Zda => {
                let year = whole(field(4)).filter(|year| (1980..=9999).contains(year))?;
                date(field(2), field(3), year)
            }
            _ => None,
        }
    }

    pub(super) fn hdop(&self) -> Option<f64> {
        match self.kind {
            Kind::Gga => self.fields.hdop(8),
            Kind::Gsa => self.fields.hdop(16).filter(|_| self.fields.get(2) != b"1"),
            _ => None,
        }
    }

    pub(super) fn elevation(&self) -> Option<Length> {
        let height = || self.fields.with_unit(9, b"M").filter(|&height| bounds::is_elevation(height));
        (self.kind == Kind::Gga).then(height).flatten().map(Length::from_m)
    }
}

/// Whether what stands before the star agrees with the digits behind it.
fn verified(body: &[u8], digits: [u8; 2]) -> Result<(), Refusal> {
    let told = hex(digits[0]).zip(hex(digits[1])).map(|(high, low)| high << 4 | low);
    if told == Some(checksum(body)) { Ok(()) } else { Err(Refusal::Damaged) }
}

/// The exclusive or of all bytes, eight at a time.
fn checksum(bytes: &[u8]) -> u8 {
    let (words, rest) = bytes.as_chunks::<8>();
    let words = words.iter().fold(0, |sum, word| sum ^ u64::from_ne_bytes(*word));
    words.to_ne_bytes().iter().chain(rest).fold(0, |sum, byte| sum ^ byte)
}

#[derive(Debug, PartialEq)]
struct Fields<'a> {
    /// What stands before the star of the checksum.
    body: &'a [u8],
    starts: &'a Starts,
}

impl<'a> Fields<'a> {
    fn new(body: &'a [u8], starts: &'a mut Starts) -> Self {
        let mut count = 0;
        starts[0] = 0;
        places(body, [b','], |place| {
            if count < FIELDS {
                count += 1;
                starts[count] = place as u16 + 1;
            }
        });
        starts[count + 1..].fill(body.len() as u16 + 1);
        Self { body, starts }
    }

    /// A field by its place after the name; empty where the sentence has ended before.
    fn get(&self, place: usize) -> &'a [u8] {
        let (start, next) = (usize::from(self.starts[place]), usize::from(self.starts[place + 1]));
        self.body.get(start..next.wrapping_sub(1)).unwrap_or_default()
    }

    fn number(&self, place: usize) -> Option<f64> {
        number(self.get(place))
    }

    /// A number followed by the letter of its unit.
    fn with_unit(&self, place: usize, letter: &[u8]) -> Option<f64> {
        self.number(place).filter(|_| self.get(place + 1) == letter)
    }

    fn position(&self, place: usize) -> Option<Position> {
        let latitude_deg = degrees(self.get(place), self.get(place + 1), b"N", b"S")?;
        let longitude_deg = degrees(self.get(place + 2), self.get(place + 3), b"E", b"W")?;
        let possible =
            latitude_deg.abs() <= bounds::LATITUDE_DEG && longitude_deg.abs() <= bounds::LONGITUDE_DEG;
        let (latitude, longitude) = (Angle::from_deg(latitude_deg), Angle::from_deg(longitude_deg));
        possible.then_some(Position { latitude, longitude })
    }

    fn course(&self, place: usize) -> Option<Angle> {
        self.number(place).filter(|&course| bounds::is_course(course)).map(Angle::from_deg)
    }

    fn hdop(&self, place: usize) -> Option<f64> {
        self.number(place).filter(|&hdop| bounds::is_hdop(hdop))
    }
}

/// Digits and nothing else, as many as fit.
fn whole(field: &[u8]) -> Option<i64> {
    let add = |sum: i64, &digit: &u8| digit.is_ascii_digit().then(|| 10 * sum + i64::from(digit - b'0'));
    (1..=LONGEST_WHOLE).contains(&field.len()).then(|| field.iter().try_fold(0, add)).flatten()
}

/// `ddmm.mmm` and its side to degrees: the two digits before the point are whole minutes.
fn degrees(field: &[u8], side: &[u8], positive: &[u8], negative: &[u8]) -> Option<f64> {
    let (degrees, minutes, _) = bounds::last_two_and_fraction(field)?;
    if minutes >= 60.0 {
        return None;
    }
    let degrees = degrees as f64 + minutes / 60.0;
    match side {
        _ if side == positive => Some(degrees),
        _ if side == negative => Some(-degrees),
        _ => None,
    }
}

/// `hhmmss.ss` to seconds since midnight; a leap second is second 60.
pub(super) fn time_of_day_s(field: &[u8]) -> Option<f64> {
    let (hours_and_minutes, seconds, digits) = bounds::last_two_and_fraction(field)?;
    let (hours, minutes) = (hours_and_minutes / 100, hours_and_minutes % 100);
    let exists = digits == 6 && hours < 24 && minutes < 60 && seconds < 61.0;
    exists.then(|| (hours * 3600 + minutes * 60) as f64 + seconds)
}

fn date(day: &[u8], month: &[u8], year: i64) -> Option<Date> {
    let (month, day) = (whole(month)?, whole(day)?);
    let exists = (1..=12).contains(&month) && (1..=month_days(year, month)).contains(&day);
    exists.then(|| days_since_1970(year, month, day))
}

/// `ddmmyy`.
fn short_date(field: &[u8]) -> Option<Date> {
    if field.len() != 6 {
        return None;
    }
    let year = whole(&field[4..])?;
    date(&field[..2], &field[2..4], if year >= FIRST_YEAR_OF_TWO_DIGITS { 1900 } else { 2000 } + year)
}

/// The letter for the means of a fix, in sentences of version 2.3 and later; earlier ones leave it out.
fn means_by_mode(mode: &[u8]) -> Means {
    match mode {
        b"N" => Means::None,
        b"E" | b"M" | b"S" => Means::Other,
        _ => Means::Satellites,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn checksums() {
        // Worked out as the exclusive or of all signs between $ and *.
        for (body, told) in [
            ("GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,", "47"),
            ("GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W", "6A"),
            ("GPVTG,054.7,T,034.4,M,005.5,N,010.2,K", "48"),
            ("GPGSA,A,3,04,05,,09,12,,,24,,,,,2.5,1.3,2.1", "39"),
            ("GPZDA,201530.00,04,07,2002,00,00", "60"),
        ] {
            let text = format!("{body}*{told}");
            let with_checksum = |text: &str| {
                sentence(text.as_bytes(), &mut Starts::default()).map(|sentence| sentence.with_checksum)
            };
            assert_eq!(with_checksum(&text), Ok(true), "{text}");
            assert_eq!(with_checksum(&format!("{body}*{:02x}", 0x99)), Err(Refusal::Damaged));
            assert_eq!(with_checksum(body), Ok(false), "{body}");
        }
    }

    #[test]
    fn positions() {
        let check = |field: &str, side: &str, expected: Option<f64>| {
            let found = degrees(field.as_bytes(), side.as_bytes(), b"E", b"W");
            assert_eq!(
                found.map(|deg| (deg * 1e9).round()),
                expected.map(|deg: f64| (deg * 1e9).round()),
                "{field}"
            );
        };
        check("01131.000", "E", Some(11.516_666_666_7));
        check("01131.000", "W", Some(-11.516_666_666_7));
        check("4807.038", "E", Some(48.1173));
        check("0007.5", "E", Some(0.125));
        check("07", "E", Some(7.0 / 60.0));
        for (field, side) in
            [("", "E"), ("7", "E"), ("4860.0", "E"), ("4807.038", ""), ("4807.038", "N"), ("-807.0", "E")]
        {
            check(field, side, None);
        }
    }

    #[test]
    fn times_and_dates() {
        let check = |field: &str, expected| assert_eq!(time_of_day_s(field.as_bytes()), expected, "{field}");
        check("123519", Some(45_319.0));
        check("123519.25", Some(45_319.25));
        check("235960", Some(86_400.0));
        for field in ["", "1235", "246000", "126000", "12351x", "1a3519", "235961"] {
            check(field, None);
        }
        // Days by `date -u -d ... +%s`, over 86400.
        assert_eq!(short_date(b"310317"), Some(17_256));
        assert_eq!(short_date(b"230394"), Some(8_847));
        for field in ["", "310217", "3103", "3103 7", "000017"] {
            assert_eq!(short_date(field.as_bytes()), None, "{field}");
        }
    }
}

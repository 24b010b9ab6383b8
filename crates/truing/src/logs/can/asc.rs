//! Frames in ASC text: `0.012345 1  18FEF100x  Rx  d 8 FF 00 64 FF FF FF FF FF`.
//!
//! The header says the base of the digits, whether times are absolute or spans, and the date. Source: no formal description is
//! public; the shape as several open readers agree.

use super::super::bounds;
use super::super::time::calendar_time;
use super::dialect::{whole, word};
use super::frame::{Frame, LARGEST_ID, Refusal, When, Writing, hex_identifier};

/// What the header said so far.
#[derive(Debug, Default)]
pub(super) struct Asc {
    decimal: bool,
    spans: bool,
    /// Seconds of the start since 1970, where its date was said.
    start_s: f64,
    dated: bool,
    last_s: f64,
    /// A date was read that does not say its zone.
    pub(super) zone_missing: bool,
}

impl Asc {
    /// Whether a line is the header of such a log, or a frame in it.
    pub(super) fn is_shown_by(line: &[u8]) -> bool {
        let mut rest = line;
        let first = word(&mut rest).unwrap_or_default();
        match first {
            b"base" => matches!(word(&mut rest), Some(b"hex" | b"dec")),
            b"date" => {
                let mut asc = Self::default();
                asc.date(rest);
                asc.dated
            }
            _ => Self::default().line(line).is_ok(),
        }
    }

    /// What a line is.
    pub(super) fn line<'a>(&mut self, line: &'a [u8]) -> Result<Frame<'a>, Refusal> {
        let mut rest = line;
        let first = word(&mut rest).ok_or(Refusal::NoFrame)?;
        match first {
            b"base" => self.base(line),
            b"date" => self.date(rest),
            _ if first.first().is_some_and(u8::is_ascii_digit) => return self.frame(first, rest),
            _ => {}
        }
        Err(Refusal::NoFrame)
    }

    fn base(&mut self, line: &[u8]) {
        let has = |word: &[u8]| memchr::memmem::find(line, word).is_some();
        self.decimal = has(b"dec");
        self.spans = has(b"relative");
    }

    /// `date Fri May 24 11:50:21.500 am 2019`: the half of the day stands before the year.
    fn date(&mut self, rest: &[u8]) {
        let text = String::from_utf8_lossy(rest);
        let is_half = |word: &&str| word.eq_ignore_ascii_case("am") || word.eq_ignore_ascii_case("pm");
        let (halves, others): (Vec<&str>, Vec<&str>) = text.split_whitespace().partition(is_half);
        let text = others.iter().chain(&halves).copied().collect::<Vec<_>>().join(" ");
        if let Some(time) = calendar_time(&text).filter(|_| !self.dated) {
            (self.start_s, self.dated, self.zone_missing) = (time.unix_s, true, !time.zone_said);
        }
    }

    fn frame<'a>(&mut self, time: &[u8], mut rest: &'a [u8]) -> Result<Frame<'a>, Refusal> {
        let time_s =
            bounds::number(time).filter(|time| (0.0..1e11).contains(time)).ok_or(Refusal::NoFrame)?;
        // Spans count from whatever was the line before.
        let time_s = if self.spans { self.last_s + time_s } else { time_s };
        self.last_s = time_s;
        let mut next = || word(&mut rest).ok_or(Refusal::NoFrame);
        let mut interface = next()?;
        let is_fd = interface == b"CANFD";
        let mut direction = None;
        if is_fd {
            interface = next()?;
            direction = Some(next()?);
        }
        let id = next()?;
        if !interface.iter().all(u8::is_ascii_digit) {
            return Err(Refusal::NoFrame);
        }
        let direction = match direction {
            Some(direction) => direction,
            None => next()?,
        };
        if !matches!(direction, b"Rx" | b"Tx" | b"TxRq") {
            return Err(Refusal::NoFrame);
        }
        let (id, extended) = self.identifier(id).ok_or(Refusal::NoFrame)?;
        let length = if is_fd { fd_length(&mut rest)? } else { self.length(&mut rest)? };
        let when = When::Seconds(self.start_s + time_s);
        let writing = Writing::Parted { decimal: self.decimal };
        Ok(Frame { when, interface, id, extended, data: rest, length: Some(length), writing })
    }

    /// With an `x` behind it, it is an extended one.
    fn identifier(&self, text: &[u8]) -> Option<(u32, bool)> {
        let digits = text.strip_suffix(b"x").or_else(|| text.strip_suffix(b"X"));
        let id = match (self.decimal, digits.unwrap_or(text)) {
            (false, digits) => hex_identifier(digits)?,
            (true, digits) => u32::try_from(whole(digits)?).ok().filter(|id| *id <= LARGEST_ID)?,
        };
        Some((id, digits.is_some()))
    }

    /// `d 8`; remote frames have an `r`.
    fn length(&self, rest: &mut &[u8]) -> Result<usize, Refusal> {
        match word(rest) {
            Some(b"d") => {
                let length = word(rest).and_then(whole).ok_or(Refusal::Damaged)?;
                // Codes above eight stand for eight bytes in frames of this kind.
                if length <= 15 { Ok(length.min(8)) } else { Err(Refusal::Damaged) }
            }
            Some(b"r" | b"R") => Err(Refusal::NoFrame),
            _ => Err(Refusal::Damaged),
        }
    }
}

/// `1 0 d 32`: two flags, a code of length, the length; a name may stand before them.
fn fd_length(rest: &mut &[u8]) -> Result<usize, Refusal> {
    let is_flag = |word: &[u8]| matches!(word, b"0" | b"1");
    let mut next = || word(rest).ok_or(Refusal::Damaged);
    let first = next()?;
    if !is_flag(first) {
        next()?;
    }
    let (_, _) = (next()?, next()?);
    whole(next()?).filter(|length| *length <= 64).ok_or(Refusal::Damaged)
}

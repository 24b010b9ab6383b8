//! One frame, and how a line of candump text becomes one; the data are only decoded when somebody wants them.

use super::super::bounds;
use super::super::signs::hex;
use super::super::time::{CalendarTime, calendar_time};

/// Most data of a frame (CAN FD, ISO 11898-1).
const MOST_BYTES: usize = 64;
/// Set in the identifier of what is no frame but a report of an error (from memory of the kernel's header).
const ERROR_FLAG: u32 = 0x2000_0000;
pub(super) const LARGEST_ID: u32 = 0x1FFF_FFFF;

/// A frame with data.
#[derive(Copy, Clone, Debug)]
pub(super) struct Frame<'a> {
    pub(super) when: When<'a>,
    pub(super) interface: &'a [u8],
    pub(super) id: u32,
    pub(super) extended: bool,
    pub(super) data: &'a [u8],
    /// The count the line gives, where it gives one.
    pub(super) length: Option<usize>,
    pub(super) writing: Writing,
}

/// The time of a frame as its log has it.
#[derive(Copy, Clone, Debug)]
pub(super) enum When<'a> {
    Text(&'a [u8]),
    Seconds(f64),
    None,
}

/// How the data of a frame are written.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(super) enum Writing {
    /// Two digits for each byte, with blanks between or without.
    Pairs,
    /// Bytes parted by other signs, or pairs of digits; in this base.
    Parted { decimal: bool },
}

/// When a frame was seen.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(super) enum Stamp {
    Seconds(f64),
    Calendar(CalendarTime),
    Unreadable,
    None,
}

/// Why a line is no frame with data.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(super) enum Refusal {
    /// A remark, a remote frame, an error report.
    NoFrame,
    Damaged,
}

/// The bytes of a frame.
#[derive(Copy, Clone, Debug)]
pub(super) struct Data {
    bytes: [u8; MOST_BYTES],
    length: usize,
}

impl Data {
    pub(super) fn bytes(&self) -> &[u8] {
        &self.bytes[..self.length]
    }
}

impl<'a> Frame<'a> {
    /// Reads a line of candump text without its end, where nothing else is done with so many lines.
    #[inline(always)]
    pub(super) fn new(line: &'a [u8]) -> Result<Self, Refusal> {
        let line = line.trim_ascii();
        let (stamp, rest) = match line.strip_prefix(b"(") {
            Some(inside) => {
                let end = memchr::memchr(b')', inside).ok_or(Refusal::Damaged)?;
                (Some(&inside[..end]), inside[end + 1..].trim_ascii_start())
            }
            None => (None, line),
        };
        // A line without a time is only taken for a frame when it looks like one all the way.
        let damaged = if stamp.is_some() { Refusal::Damaged } else { Refusal::NoFrame };
        // A few bytes each: a plain look is quicker than a search that has to be set up.
        let space = rest.iter().position(|&byte| byte == b' ').ok_or(damaged)?;
        let (interface, rest) = (&rest[..space], rest[space..].trim_ascii_start());
        let frame = match rest.iter().position(|&byte| matches!(byte, b'#' | b'[')) {
            Some(at) if rest[at] == b'#' => log_shape(&rest[..at], &rest[at + 1..]),
            Some(at) => console_shape(&rest[..at], &rest[at + 1..]),
            None => Err(damaged),
        };
        match frame {
            Ok((id, extended, data, length)) => {
                let when = stamp.map_or(When::None, When::Text);
                Ok(Frame { when, interface, id, extended, data, length, writing: Writing::Pairs })
            }
            Err(Refusal::Damaged) => Err(damaged),
            Err(Refusal::NoFrame) => Err(Refusal::NoFrame),
        }
    }

    /// When it was seen, as far as the line says.
    pub(super) fn stamp(&self) -> Stamp {
        let text = match self.when {
            When::Text(text) => text,
            When::Seconds(seconds) => return Stamp::Seconds(seconds),
            When::None => return Stamp::None,
        };
        if let Some(seconds) = bounds::number(text).filter(|seconds| (0.0..1e11).contains(seconds)) {
            return Stamp::Seconds(seconds);
        }
        core::str::from_utf8(text).ok().and_then(calendar_time).map_or(Stamp::Unreadable, Stamp::Calendar)
    }

    /// Its bytes; `None` when they cannot be read.
    pub(super) fn data(&self) -> Option<Data> {
        if let Writing::Parted { decimal } = self.writing {
            return parted(self.data, self.length, decimal);
        }
        let mut data = Data { bytes: [0; MOST_BYTES], length: 0 };
        let mut digits = self.data.iter().filter(|&&byte| byte != b' ').peekable();
        while self.length.is_none_or(|length| data.length < length) && digits.peek().is_some() {
            let (high, low) = (hex(*digits.next()?)?, hex(*digits.next()?)?);
            *data.bytes.get_mut(data.length)? = high << 4 | low;
            data.length += 1;
        }
        self.length.is_none_or(|length| data.length == length).then_some(data)
    }
}

/// Bytes parted by whatever is no digit; `None` when there are too few of them, or one is none.
fn parted(text: &[u8], length: Option<usize>, decimal: bool) -> Option<Data> {
    let mut data = Data { bytes: [0; MOST_BYTES], length: 0 };
    let words = text.split(|sign| !sign.is_ascii_alphanumeric()).filter(|word| !word.is_empty());
    for word in words {
        if length.is_some_and(|length| data.length >= length) {
            break;
        }
        let word = word.strip_prefix(b"0x").or_else(|| word.strip_prefix(b"0X")).unwrap_or(word);
        if decimal {
            let value = core::str::from_utf8(word).ok()?.parse().ok()?;
            *data.bytes.get_mut(data.length)? = value;
            data.length += 1;
            continue;
        }
        // A byte below sixteen may stand with one digit, but only by itself.
        let padded = [b"0", word].concat();
        let digits = if word.len() == 1 { &padded } else { word };
        let (pairs, rest) = digits.as_chunks::<2>();
        for [high, low] in pairs {
            *data.bytes.get_mut(data.length)? = hex(*high)? << 4 | hex(*low)?;
            data.length += 1;
        }
        if !rest.is_empty() {
            return None;
        }
    }
    let whole = length.is_none_or(|length| data.length >= length);
    data.length = length.map_or(data.length, |length| data.length.min(length));
    whole.then_some(data)
}

/// An identifier of up to eight hexadecimal digits.
pub(super) fn hex_identifier(text: &[u8]) -> Option<u32> {
    let text = text.strip_prefix(b"0x").or_else(|| text.strip_prefix(b"0X")).unwrap_or(text);
    let add = |id: u32, &digit: &u8| Some(id << 4 | u32::from(hex(digit)?));
    let id = text.iter().try_fold(0, add).filter(|_| (1..=8).contains(&text.len()))?;
    (id <= LARGEST_ID).then_some(id)
}

type Parts<'a> = (u32, bool, &'a [u8], Option<usize>);

/// `110#00112233`, `110##100112233`, `110#R4`.
fn log_shape<'a>(id: &[u8], rest: &'a [u8]) -> Result<Parts<'a>, Refusal> {
    let (id, extended) = identifier(id)?;
    let end = memchr::memchr(b' ', rest).unwrap_or(rest.len());
    match &rest[..end] {
        [b'R' | b'r', ..] => Err(Refusal::NoFrame),
        [b'#', _, data @ ..] => Ok((id, extended, data, None)),
        [b'#'] => Err(Refusal::Damaged),
        data => Ok((id, extended, data, None)),
    }
}

/// `110   [4]  00 11 22 33`, with a direction before the identifier where the log has one.
fn console_shape<'a>(before: &[u8], rest: &'a [u8]) -> Result<Parts<'a>, Refusal> {
    let words = before.trim_ascii_end();
    let id = words.rsplit(|&byte| byte == b' ').next().unwrap_or_default();
    let (id, extended) = identifier(id)?;
    let end = memchr::memchr(b']', rest).ok_or(Refusal::Damaged)?;
    let length: usize =
        core::str::from_utf8(&rest[..end]).ok().and_then(|text| text.parse().ok()).ok_or(Refusal::Damaged)?;
    let data = rest[end + 1..].trim_ascii_start();
    if data.starts_with(b"remote") {
        return Err(Refusal::NoFrame);
    }
    Ok((id, extended, data, Some(length)))
}

/// Three digits are a standard identifier, eight an extended one.
fn identifier(text: &[u8]) -> Result<(u32, bool), Refusal> {
    let extended = match text.len() {
        3 => false,
        8 => true,
        _ => return Err(Refusal::Damaged),
    };
    let add = |id: u32, &digit: &u8| Some(id << 4 | u32::from(hex(digit)?));
    let id = text.iter().try_fold(0, add).ok_or(Refusal::Damaged)?;
    match id {
        _ if extended && id & ERROR_FLAG != 0 => Err(Refusal::NoFrame),
        _ if id <= LARGEST_ID => Ok((id, extended)),
        _ => Err(Refusal::Damaged),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Time (s), identifier, extended, data.
    fn check(line: &str, expected: (f64, u32, bool, &[u8])) {
        let frame = Frame::new(line.as_bytes()).unwrap_or_else(|refusal| panic!("{line}: {refusal:?}"));
        let seconds = match frame.stamp() {
            Stamp::Seconds(seconds) => seconds,
            Stamp::Calendar(time) => time.unix_s,
            other => panic!("{line}: {other:?}"),
        };
        let data = frame.data().unwrap_or_else(|| panic!("{line}: no data"));
        assert_eq!(
            (frame.interface, frame.id, frame.extended),
            (b"can0".as_slice(), expected.1, expected.2),
            "{line}"
        );
        assert_eq!((seconds, data.bytes()), (expected.0, expected.3), "{line}");
    }

    fn check_refused(line: &str, expected: Refusal) {
        assert_eq!(Frame::new(line.as_bytes()).err(), Some(expected), "{line}");
    }

    #[test]
    fn shapes() {
        let four = [0x00, 0x11, 0x22, 0x33];
        check("(1735270496.916858) can0 110#00112233", (1_735_270_496.916_858, 0x110, false, &four));
        check("(1735270496.916858) can0 110#00112233 R", (1_735_270_496.916_858, 0x110, false, &four));
        check("(0.5) can0 00000110#00112233", (0.5, 0x110, true, &four));
        check("(0.5) can0 18FEF100#", (0.5, 0x18FE_F100, true, &[]));
        check("(0.5) can0 110##100112233", (0.5, 0x110, false, &four));
        check(" (000.500000)  can0  110   [4]  00 11 22 33", (0.5, 0x110, false, &four));
        check(" (000.500000)  can0  110   [4]  00 11 22 33   '..\"3'", (0.5, 0x110, false, &four));
        check(" (0.5)  can0  RX - -  18FEF100  [04]  00 11 22 33", (0.5, 0x18FE_F100, true, &four));
        check(
            "(2019-05-24 11:50:21.500000) can0  110   [4]  00 11 22 33",
            (1_558_698_621.5, 0x110, false, &four),
        );
    }

    #[test]
    fn what_is_no_frame() {
        for line in
            ["# a remark", "", "(1.0) can0 110#R", "(1.0) can0 110#R4", "(1.0) can0 110  [4]  remote request"]
        {
            check_refused(line, Refusal::NoFrame);
        }
        check_refused("(1.0) can0 20000080#0011223344556677", Refusal::NoFrame);
        for line in ["(1.0", "(1.0) can0", "(1.0) can0 11#00", "(1.0) can0 11G#00", "(1.0) can0 40000000#00"]
        {
            check_refused(line, Refusal::Damaged);
        }
        let too_long = format!("(1) c 110##0{}", "00".repeat(65));
        for line in ["(1.0) can0 110#0", "(1.0) can0 110#0G", "(1.0) can0 110 [4] 00 11", &too_long] {
            assert!(Frame::new(line.as_bytes()).is_ok_and(|frame| frame.data().is_none()), "{line}");
        }
        assert_eq!(Frame::new(b"can0  110   [1]  00").map(|frame| frame.stamp()).ok(), Some(Stamp::None));
    }
}

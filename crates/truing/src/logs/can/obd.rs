//! Answers of OBD-II (SAE J1979, service 01) out of ISO-TP frames (ISO 15765-2).

/// What an answer said.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(super) enum Answer {
    /// Whole km/h.
    Speed(u8),
    /// Tenths of a kilometre.
    Odometer(u32),
}

/// First byte of an answer of service 01.
const CURRENT_DATA: u8 = 0x41;
/// Longest answer followed: six parameters of four bytes and more.
const LONGEST_BYTES: usize = 64;
/// Answers being put together at the same time; each control unit sends one at a time.
const MOST_TRANSFERS: usize = 32;

/// Whether a control unit answers in frames of this identifier.
pub(super) fn answers_in(id: u32, extended: bool) -> bool {
    if extended { id & 0xFFFF_FF00 == 0x18DA_F100 } else { (0x7E8..=0x7EF).contains(&id) }
}

/// An answer of several frames, as far as it came.
#[derive(Debug)]
struct Transfer {
    sender: (u32, usize),
    line: usize,
    time_s: f64,
    length: usize,
    bytes: Vec<u8>,
    next: u8,
}

/// A whole answer, with line and time of its first frame.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Whole {
    pub(super) line: usize,
    pub(super) time_s: f64,
    pub(super) bytes: Vec<u8>,
}

/// Puts answers of several frames together.
#[derive(Debug, Default)]
pub(super) struct Transport {
    transfers: Vec<Transfer>,
}

/// What a frame came to.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Progress {
    Whole(Whole),
    /// The rest is to come, or it is none of ours.
    Waiting,
    /// A frame is missing.
    Broken,
    TooShort,
}

impl Transport {
    /// Takes a frame of `sender` (identifier and interface).
    pub(super) fn take(&mut self, sender: (u32, usize), line: usize, time_s: f64, data: &[u8]) -> Progress {
        let Some(&first) = data.first() else { return Progress::TooShort };
        match first >> 4 {
            0 => match data.get(1..1 + usize::from(first & 0xF)) {
                Some(bytes) => Progress::Whole(Whole { line, time_s, bytes: bytes.to_vec() }),
                None => Progress::TooShort,
            },
            1 => self.begin(sender, line, time_s, data),
            2 => self.go_on(sender, first & 0xF, &data[1..]),
            _ => Progress::Waiting,
        }
    }

    fn begin(&mut self, sender: (u32, usize), line: usize, time_s: f64, data: &[u8]) -> Progress {
        self.transfers.retain(|transfer| transfer.sender != sender);
        let &[high, low, ref bytes @ ..] = data else { return Progress::TooShort };
        let length = usize::from(high & 0xF) << 8 | usize::from(low);
        let ours = bytes.first() == Some(&CURRENT_DATA) && length <= LONGEST_BYTES && length > bytes.len();
        if ours && self.transfers.len() < MOST_TRANSFERS {
            self.transfers.push(Transfer { sender, line, time_s, length, bytes: bytes.to_vec(), next: 1 });
        }
        Progress::Waiting
    }

    fn go_on(&mut self, sender: (u32, usize), number: u8, bytes: &[u8]) -> Progress {
        let Some(at) = self.transfers.iter().position(|transfer| transfer.sender == sender) else {
            return Progress::Waiting;
        };
        let transfer = &mut self.transfers[at];
        if transfer.next != number {
            self.transfers.swap_remove(at);
            return Progress::Broken;
        }
        transfer.next = (number + 1) & 0xF;
        transfer.bytes.extend_from_slice(bytes);
        if transfer.bytes.len() < transfer.length {
            return Progress::Waiting;
        }
        let mut done = self.transfers.swap_remove(at);
        done.bytes.truncate(done.length);
        Progress::Whole(Whole { line: done.line, time_s: done.time_s, bytes: done.bytes })
    }
}

/// Hands on speed and odometer out of an answer; false when it ends too early.
pub(super) fn answers(bytes: &[u8], mut on_answer: impl FnMut(Answer)) -> bool {
    let Some((&CURRENT_DATA, mut rest)) = bytes.split_first() else { return true };
    while let Some((&parameter, values)) = rest.split_first() {
        // Behind a parameter of unknown length nothing can be told apart.
        let Some(length) = length_bytes(parameter) else { return true };
        let Some((value, next)) = values.split_at_checked(length) else { return false };
        match *value {
            [speed] if parameter == 0x0D => on_answer(Answer::Speed(speed)),
            [a, b, c, d] if parameter == 0xA6 => {
                on_answer(Answer::Odometer(u32::from_be_bytes([a, b, c, d])))
            }
            _ => {}
        }
        rest = next;
    }
    true
}

/// Bytes of a parameter, for those asked for together with the speed (SAE J1979, from memory).
fn length_bytes(parameter: u8) -> Option<usize> {
    match parameter {
        0x04..=0x09 | 0x0A | 0x0B | 0x0D..=0x0F | 0x11..=0x13 | 0x1C..=0x1E | 0x2C..=0x2F | 0x30 | 0x33 => {
            Some(1)
        }
        0x45..=0x4C | 0x51 | 0x52 | 0x5A..=0x5C | 0x61 | 0x62 => Some(1),
        0x02 | 0x03 | 0x0C | 0x10 | 0x14..=0x1B | 0x1F | 0x21..=0x23 | 0x31 | 0x32 | 0x3C..=0x3F => Some(2),
        0x42..=0x44 | 0x4D | 0x4E | 0x53 | 0x54 | 0x59 | 0x5D | 0x5E | 0x63 => Some(2),
        0x00
        | 0x01
        | 0x20
        | 0x24..=0x2B
        | 0x34..=0x3B
        | 0x40
        | 0x41
        | 0x4F
        | 0x50
        | 0x60
        | 0x80
        | 0xA0
        | 0xA6 => Some(4),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(frames: &[&[u8]], expected: &[Answer]) {
        let (mut transport, mut found) = (Transport::default(), Vec::new());
        for frame in frames {
            if let Progress::Whole(whole) = transport.take((0x7E8, 0), 1, 0.0, frame) {
                answers(&whole.bytes, |answer| found.push(answer));
            }
        }
        assert_eq!(found, expected, "{frames:02X?}");
    }

    #[test]
    fn single_and_many_frames() {
        check(&[&[0x03, 0x41, 0x0D, 0x50]], &[Answer::Speed(80)]);
        // 123 456.7 km.
        check(&[&[0x06, 0x41, 0xA6, 0x00, 0x12, 0xD6, 0x87]], &[Answer::Odometer(1_234_567)]);
        let first = [0x10, 0x08, 0x41, 0x0D, 0x50, 0xA6, 0x00, 0x12];
        let both = [Answer::Speed(80), Answer::Odometer(1_234_567)];
        check(&[&first, &[0x21, 0xD6, 0x87, 0xAA, 0xAA]], &both);
        check(&[&first, &[0x22, 0xD6, 0x87]], &[]);
        check(&[&[0x21, 0xD6, 0x87]], &[]);
        check(&[&[0x05, 0x41, 0x0C, 0x1A, 0xF8, 0x0D], &[0x03, 0x41, 0x0D, 0x51]], &[Answer::Speed(81)]);
        check(&[&[0x06, 0x41, 0x0C, 0x1A, 0xF8, 0x0D, 0x33]], &[Answer::Speed(51)]);
        // An answer of another service, a refusal, a parameter of unknown length before ours.
        check(&[&[0x03, 0x49, 0x0D, 0x50], &[0x03, 0x7F, 0x01, 0x12], &[0x04, 0x41, 0xEE, 0x0D, 0x50]], &[]);
    }
}

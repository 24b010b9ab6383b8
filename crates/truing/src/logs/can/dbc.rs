//! A signal out of a DBC file. The `can-dbc` crate reads the file; nothing of it is seen outside this module.

use super::bits::Place;
use super::signal::{CanSignal, unit};
use crate::logs::units::Dimension;
use crate::problem::{Field, Problem, Wording};
use can_dbc::{ByteOrder, Dbc, Message, MessageId, MultiplexIndicator, Signal, ValueType};

/// Names told in a message at most.
const NAMES_TOLD: usize = 12;
/// Larger files are no DBC; the grammar's memory grows with them.
pub const LARGEST_BYTES: usize = 16 << 20;
/// Sender of identifiers in DBC files for J1939 that stand for any sender (SAE J1939-81: the null address).
const ANY_SENDER: u32 = 0xFE;
/// Windows code page 1252 where it differs from Latin-1, from 0x80 on; unassigned bytes stay (Unicode's CP1252 table).
const CODE_PAGE_1252: [char; 32] = [
    '\u{20AC}', '\u{81}', '\u{201A}', '\u{192}', '\u{201E}', '\u{2026}', '\u{2020}', '\u{2021}', '\u{2C6}',
    '\u{2030}', '\u{160}', '\u{2039}', '\u{152}', '\u{8D}', '\u{17D}', '\u{8F}', '\u{90}', '\u{2018}',
    '\u{2019}', '\u{201C}', '\u{201D}', '\u{2022}', '\u{2013}', '\u{2014}', '\u{2DC}', '\u{2122}', '\u{161}',
    '\u{203A}', '\u{153}', '\u{9D}', '\u{17E}', '\u{178}',
];

/// The signal called `name` (or `MESSAGE.SIGNAL`) in the DBC file with these bytes, called `source` in problems. Without
/// a name the one signal with a unit of speed is taken; with several of them the answer is a problem that names them.
pub fn signal(source: &str, bytes: &[u8], name: Option<&str>) -> Result<CanSignal, Problem> {
    if bytes.len() > LARGEST_BYTES {
        return Err(Problem::error(source, "a DBC file", format!("{} bytes", bytes.len())));
    }
    let text = text(bytes);
    let dbc = Dbc::try_from(text.as_str()).map_err(|error| {
        let found: String = error.to_string().split_whitespace().collect::<Vec<_>>().join(" ");
        Problem::error(source, "a DBC file", found).hint("is this the right file?")
    })?;
    let all =
        dbc.messages.iter().flat_map(|message| message.signals.iter().map(move |signal| (message, signal)));
    let fitting: Vec<(&Message, &Signal)> = match name {
        Some(name) => all.filter(|(message, signal)| is_called(message, signal, name)).collect(),
        None => all.filter(|(_, signal)| is_speed(signal)).collect(),
    };
    match fitting.as_slice() {
        [(message, signal)] => signal_of(source, message, signal),
        [] => Err(none_fits(source, &dbc, name)),
        several => Err(Problem::error(source, "one signal", names(several.iter().copied()))
            .hint(Wording::from("say which: ").field(Field::Signal.such_as("MESSAGE.SIGNAL")))),
    }
}

/// Whether a file that begins so describes signals.
pub fn begins_like_one(head: &[u8]) -> bool {
    let has = |word: &[u8]| memchr::memmem::find(head, word).is_some();
    has(b"BO_ ") && has(b"SG_ ")
}

fn text(bytes: &[u8]) -> String {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    core::str::from_utf8(bytes).map(str::to_owned).unwrap_or_else(|_| {
        let sign = |&byte: &u8| match byte {
            0x80..=0x9F => CODE_PAGE_1252[usize::from(byte - 0x80)],
            _ => char::from(byte),
        };
        bytes.iter().map(sign).collect()
    })
}

fn is_called(message: &Message, signal: &Signal, name: &str) -> bool {
    signal.name == name || name.split_once('.') == Some((message.name.as_str(), signal.name.as_str()))
}

fn is_speed(signal: &Signal) -> bool {
    unit(&signal.unit).is_some_and(|(dimension, _)| dimension == Dimension::Speed)
}

fn names<'a>(signals: impl Iterator<Item = (&'a Message, &'a Signal)>) -> String {
    let all: Vec<String> =
        signals.map(|(message, signal)| format!("{}.{}", message.name, signal.name)).collect();
    let more = all.len().saturating_sub(NAMES_TOLD);
    let told = all[..all.len() - more].join(", ");
    if more > 0 { format!("{told} and {more} more") } else { told }
}

fn none_fits(source: &str, dbc: &Dbc, name: Option<&str>) -> Problem {
    let all =
        dbc.messages.iter().flat_map(|message| message.signals.iter().map(move |signal| (message, signal)));
    match name {
        Some(name) => Problem::error(source, format!("a signal \"{name}\""), "none of that name").hint(
            format!("with a unit of speed there are: {}", names(all.filter(|(_, signal)| is_speed(signal)))),
        ),
        None => Problem::error(source, "a signal with a unit of speed", names(all)).hint(
            Wording::from("say which with ")
                .field(Field::Signal)
                .text(", or describe it with ")
                .field(Field::CanSignal)
                .text(" and its unit"),
        ),
    }
}

fn signal_of(source: &str, message: &Message, signal: &Signal) -> Result<CanSignal, Problem> {
    let bad =
        |expected: &str, found: String| Problem::error(source, expected, found).in_part(signal.name.clone());
    let (dimension, size) = unit(&signal.unit).ok_or_else(|| {
        bad("a unit of speed or length", format!("\"{}\"", signal.unit))
            .hint(Wording::from("describe the signal with ").field(Field::CanSignal).text(" and its unit"))
    })?;
    let place =
        place(signal).ok_or_else(|| bad("1 to 64 bits below bit 512", format!("{} bits", signal.size)))?;
    if signal.factor == 0.0 || !signal.factor.is_finite() || !signal.offset.is_finite() {
        return Err(bad("a factor other than 0", signal.factor.to_string()));
    }
    let (id, extended) = match message.id {
        MessageId::Standard(id) => (u32::from(id), false),
        MessageId::Extended(id) => (id, true),
    };
    Ok(CanSignal {
        label: format!("{}.{}", message.name, signal.name),
        id,
        extended,
        any_sender: extended && id & 0xFF == ANY_SENDER,
        place,
        signed: signal.value_type == ValueType::Signed,
        factor: signal.factor,
        offset: signal.offset,
        dimension,
        unit: size,
        only_where: only_where(message, signal),
    })
}

fn place(signal: &Signal) -> Option<Place> {
    let (start, length) = (usize::try_from(signal.start_bit).ok()?, usize::try_from(signal.size).ok()?);
    let big_endian = signal.byte_order == ByteOrder::BigEndian;
    ((1..=64).contains(&length) && start < 512).then_some(Place { start, length, big_endian })
}

/// A multiplexed signal only stands in frames whose switch has its value.
fn only_where(message: &Message, signal: &Signal) -> Option<(Place, u64)> {
    let (MultiplexIndicator::MultiplexedSignal(value)
    | MultiplexIndicator::MultiplexorAndMultiplexedSignal(value)) = signal.multiplexer_indicator
    else {
        return None;
    };
    let is_switch = |signal: &&Signal| signal.multiplexer_indicator == MultiplexIndicator::Multiplexor;
    message.signals.iter().find(is_switch).and_then(place).map(|place| (place, value))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logs::can::signal::Said;
    use proptest::prelude::*;

    const TEXT: &str = "VERSION \"\"\n\nBS_:\n\nBU_: A\n\nBO_ 1565 WHEELS: 8 A\n SG_ FRONT_LEFT : 7|16@0+ (0.02,-40) [0|250] \"km/h\" A\n SG_ TURN : 0|8@1- (1,0) [0|0] \"deg\" A\n\nBO_ 2566844926 CCVS: 8 A\n SG_ MODE M : 0|4@1+ (1,0) [0|0] \"\" A\n SG_ WHEEL_SPEED m3 : 8|16@1+ (0.00390625,0) [0|250] \"km/h\" A\n";

    #[test]
    fn signals_by_name() {
        let front = signal("bus.dbc", TEXT.as_bytes(), Some("FRONT_LEFT")).unwrap();
        let typed = CanSignal::parse("id=0x61D start=7 length=16 order=big factor=0.02 offset=-40 unit=km/h")
            .unwrap();
        assert_eq!(CanSignal { label: typed.label.clone(), ..front }, typed);
        let wheel = signal("bus.dbc", TEXT.as_bytes(), Some("CCVS.WHEEL_SPEED")).unwrap();
        assert_eq!((wheel.id, wheel.extended, wheel.any_sender), (0x18FE_F1FE, true, true));
        assert_eq!(wheel.said(&[0xF3, 0x00, 0x64]), Said::Value(100.0 / 3.6));
        assert_eq!(wheel.said(&[0xF2, 0x00, 0x64]), Said::Elsewhere);
    }

    #[test]
    fn refusals() {
        let check = |bytes: &[u8], name: Option<&str>, expected: &str| {
            let told = signal("bus.dbc", bytes, name).unwrap_err().to_string();
            assert!(told.contains(expected), "{told}");
        };
        check(TEXT.as_bytes(), None, "found WHEELS.FRONT_LEFT, CCVS.WHEEL_SPEED. say which");
        check(TEXT.as_bytes(), Some("NONE"), "with a unit of speed there are: WHEELS.FRONT_LEFT");
        check(TEXT.as_bytes(), Some("TURN"), "a unit of speed or length; found \"deg\"");
        check(b"time,speed\n", None, "expected a DBC file");
    }

    #[test]
    fn old_code_pages() {
        let bytes = [
            b"VERSION \"\"\nBU_: A\nBO_ 1 M: 8 A\n SG_ S : 0|8@1+ (1,0) [0|0] \"km/h\" A\nCM_ \"".as_slice(),
            b"\x80 \xB0\";\n",
        ]
        .concat();
        assert!(signal("bus.dbc", &bytes, None).is_ok());
        assert_eq!(text(b"\x80\xB0\x9F"), "\u{20AC}\u{B0}\u{178}");
    }

    proptest! {
        #[test]
        fn any_bytes_are_survived(bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
            let _ = signal("bus.dbc", &bytes, None);
        }

        #[test]
        fn damaged_text_is_survived(at in 0usize..TEXT.len(), byte in any::<u8>()) {
            let mut bytes = TEXT.as_bytes().to_vec();
            bytes[at] = byte;
            let read = signal("bus.dbc", &bytes, Some("FRONT_LEFT"));
            prop_assert!(read.is_ok() || read.is_err_and(|problem| !problem.found.is_empty()));
        }
    }
}

//! A signal of a vehicle's own, as its owner describes it.

use super::super::units::{Dimension, factor};
use super::bits::Place;
use super::frame::Frame;
use crate::problem::Problem;

const LARGEST_STANDARD_ID: u32 = 0x7FF;
const LARGEST_ID: u32 = 0x1FFF_FFFF;
const EXAMPLE: &str =
    "write for example: id=0x61D byte=4 length=14 order=little factor=0.025 offset=-12.5 unit=km/h";
const KEYS: [&str; 10] =
    ["id", "extended", "start", "byte", "length", "order", "signed", "factor", "offset", "unit"];

/// One number in one kind of frame: a speed or a distance.
#[derive(Clone, Debug, PartialEq)]
pub struct CanSignal {
    pub(super) label: String,
    pub(super) id: u32,
    pub(super) extended: bool,
    /// Any sender and priority of the same J1939 parameter group.
    pub(super) any_sender: bool,
    pub(super) place: Place,
    pub(super) signed: bool,
    pub(super) factor: f64,
    pub(super) offset: f64,
    pub(super) dimension: Dimension,
    /// SI units in one of the unit.
    pub(super) unit: f64,
    /// Only in frames where this number has this value.
    pub(super) only_where: Option<(Place, u64)>,
}

/// What a frame says of a signal.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(super) enum Said {
    /// In SI units.
    Value(f64),
    NotAvailable,
    TooShort,
    Elsewhere,
}

impl CanSignal {
    /// Reads `id=0x61D start=32 length=14 order=little factor=0.025 offset=-12.5 unit=km/h`.
    ///
    /// `start` counts as DBC files do: bit 8 is the lowest bit of the second byte; it is the lowest bit of the number
    /// with `order=little` and the highest with `order=big`. `byte` says the first byte instead, counted from 0. An
    /// `id` above 0x7FF is an extended one; `extended=yes` says it of a smaller one. `signed=yes`, `factor` and
    /// `offset` may be left out. The unit is one of speed or of length.
    pub fn parse(text: &str) -> Result<Self, Problem> {
        let words = Words::new(text)?;
        let id = words.whole("id")?.ok_or_else(|| refused("id", "an identifier such as id=0x61D", "none"))?;
        if id > u64::from(LARGEST_ID) {
            return Err(refused("id", "an identifier up to 0x1FFFFFFF", &format!("{id:#x}")));
        }
        let id = id as u32;
        let big_endian = words
            .either("order", "big", "little")?
            .ok_or_else(|| refused("order", "order=big or order=little", "neither"))?;
        let (dimension, unit) = words.unit()?;
        Ok(CanSignal {
            label: format!("the signal in {id:#05X}"),
            id,
            extended: id > LARGEST_STANDARD_ID || words.either("extended", "yes", "no")?.unwrap_or(false),
            any_sender: false,
            place: words.place(big_endian)?,
            signed: words.either("signed", "yes", "no")?.unwrap_or(false),
            factor: words.number("factor")?.unwrap_or(1.0),
            offset: words.number("offset")?.unwrap_or(0.0),
            dimension,
            unit,
            only_where: None,
        })
    }

    /// Whether it can stand in this frame.
    pub(super) fn is_in(&self, frame: &Frame<'_>) -> bool {
        const GROUP: u32 = 0x03FF_FF00;
        let difference = self.id ^ frame.id;
        self.extended == frame.extended && (difference == 0 || self.any_sender && difference & GROUP == 0)
    }

    /// Its value in a frame's data.
    pub(super) fn said(&self, data: &[u8]) -> Said {
        if let Some((place, value)) = self.only_where {
            match place.raw(data) {
                None => return Said::TooShort,
                Some(found) if found != value => return Said::Elsewhere,
                Some(_) => {}
            }
        }
        match self.place.raw(data) {
            None => Said::TooShort,
            // One bit set in a flag says nothing about a speed; bytes with all bits set do.
            Some(raw) if !self.signed && self.place.length >= 8 && raw == self.place.all_ones() => {
                Said::NotAvailable
            }
            Some(raw) => {
                let raw = if self.signed { self.place.signed(raw) as f64 } else { raw as f64 };
                let value = raw * self.factor + self.offset;
                // Zero in decimal may miss zero in binary by its last digit.
                let is_zero = value.abs() < 0.5 * self.factor.abs();
                Said::Value(if is_zero { 0.0 } else { value * self.unit })
            }
        }
    }

    /// The step of its values in SI units.
    pub(super) fn step(&self) -> f64 {
        (self.factor * self.unit).abs()
    }
}

fn refused(key: &str, expected: &str, found: &str) -> Problem {
    Problem::error("CAN signal", expected, found).in_part(key).hint(EXAMPLE)
}

/// The words of a description, by key.
struct Words<'a>(Vec<(&'a str, &'a str)>);

impl<'a> Words<'a> {
    fn new(text: &'a str) -> Result<Self, Problem> {
        let mut words = Vec::new();
        for word in text.split([' ', ',', '\t']).filter(|word| !word.is_empty()) {
            let pair = word.split_once('=').ok_or_else(|| refused(word, "key=value", "no equals sign"))?;
            if !KEYS.contains(&pair.0) {
                return Err(refused(word, &format!("one of the keys {}", KEYS.join(", ")), pair.0));
            }
            words.push(pair);
        }
        Ok(Words(words))
    }

    fn get(&self, key: &str) -> Option<&'a str> {
        self.0.iter().find(|(known, _)| *known == key).map(|(_, value)| *value)
    }

    fn whole(&self, key: &str) -> Result<Option<u64>, Problem> {
        let Some(text) = self.get(key) else { return Ok(None) };
        let digits = text.strip_prefix("0x").or_else(|| text.strip_prefix("0X"));
        let value = digits.map_or_else(|| text.parse(), |digits| u64::from_str_radix(digits, 16));
        value.map(Some).map_err(|_| refused(key, "a whole number, such as 1565 or 0x61D", text))
    }

    fn number(&self, key: &str) -> Result<Option<f64>, Problem> {
        let Some(text) = self.get(key) else { return Ok(None) };
        let value = super::super::bounds::number(text).filter(|value| key != "factor" || *value != 0.0);
        value.map(Some).ok_or_else(|| refused(key, "a number", text))
    }

    fn either(&self, key: &str, yes: &str, no: &str) -> Result<Option<bool>, Problem> {
        match self.get(key) {
            None => Ok(None),
            Some(text) if text == yes => Ok(Some(true)),
            Some(text) if text == no => Ok(Some(false)),
            Some(text) => Err(refused(key, &format!("{key}={yes} or {key}={no}"), text)),
        }
    }

    fn unit(&self) -> Result<(Dimension, f64), Problem> {
        let word = self.get("unit").unwrap_or_default();
        unit(word).ok_or_else(|| {
            refused(
                "unit",
                "a unit of speed or length: km/h, mph, m/s, knots, m, km, mi",
                &format!("\"{word}\""),
            )
        })
    }

    fn place(&self, big_endian: bool) -> Result<Place, Problem> {
        let length = self.whole("length")?.filter(|length| (1..=64).contains(length));
        let length = length
            .ok_or_else(|| refused("length", "a length from 1 to 64 bits", "none or another"))?
            as usize;
        let highest = if big_endian { 7 } else { 0 };
        let start = match (self.whole("start")?, self.whole("byte")?) {
            (Some(start), None) => start,
            (None, Some(byte)) => byte.saturating_mul(8).saturating_add(highest),
            _ => return Err(refused("start", "either start or byte", "both or neither")),
        };
        // A frame has 64 bytes at most (CAN FD).
        let start = usize::try_from(start).ok().filter(|start| *start < 512);
        start
            .map(|start| Place { start, length, big_endian })
            .ok_or_else(|| refused("start", "a bit below 512", "a later one"))
    }
}

/// The dimension and size of a unit of speed or length.
pub(super) fn unit(word: &str) -> Option<(Dimension, f64)> {
    [Dimension::Speed, Dimension::Length]
        .into_iter()
        .find_map(|dimension| factor(dimension, word).map(|size| (dimension, size)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn descriptions() {
        let signal =
            CanSignal::parse("id=0x61D byte=0 length=16 order=big factor=0.02 offset=-40 unit=km/h").unwrap();
        assert_eq!(
            signal,
            CanSignal::parse("id=1565, start=7, length=16, order=big, factor=0.02, offset=-40, unit=km/h")
                .unwrap()
        );
        assert_eq!(signal.said(&[0x07, 0xD0]), Said::Value(0.0), "0x07D0 is 2000");
        let Said::Value(speed) = signal.said(&[0x0D, 0xA3]) else { panic!("no value") };
        // 0x0DA3 is 3491: 69.82 - 40 = 29.82 km/h.
        assert!((speed * 3.6 - 29.82).abs() < 1e-9, "{speed}");
        assert_eq!((signal.said(&[0xFF, 0xFF]), signal.said(&[0x0D])), (Said::NotAvailable, Said::TooShort));
        let odometer =
            CanSignal::parse("id=0x18FEC1EE start=0 length=32 order=little factor=5 unit=m").unwrap();
        // 24 691 357 counts of 5 m, worked out by hand.
        assert_eq!(odometer.said(&[0x9D, 0xC2, 0x78, 0x01]), Said::Value(123_456_785.0));
        assert_eq!((odometer.extended, odometer.dimension), (true, Dimension::Length));
        let signed =
            CanSignal::parse("id=1 extended=yes byte=1 length=8 order=little signed=yes unit=m/s").unwrap();
        assert_eq!((signed.said(&[0, 0xFE]), signed.extended), (Said::Value(-2.0), true));
    }

    #[test]
    fn refusals() {
        let check = |text: &str, expected: &str| {
            let told = CanSignal::parse(text).unwrap_err().to_string();
            assert!(told.contains(expected), "{text}: {told}");
        };
        check("", "an identifier such as id=0x61D");
        check("id=zz", "a whole number");
        check("id=0x20000000", "up to 0x1FFFFFFF");
        check("id", "no equals sign");
        check("name=1", "one of the keys");
        check("id=1", "order=big or order=little");
        check("id=1 order=up", "order=big or order=little; found up");
        check("id=1 order=big", "a unit of speed or length");
        check("id=1 order=big unit=furlongs", "\"furlongs\"");
        check("id=1 order=big unit=m", "a length from 1 to 64 bits");
        check("id=1 order=big unit=m length=8", "either start or byte");
        check("id=1 order=big unit=m length=8 start=7 byte=0", "either start or byte");
        check("id=1 order=big unit=m length=8 byte=64", "a bit below 512");
        check("id=1 order=big unit=m length=8 byte=1 factor=0", "a number");
    }
}

//! A ratio of two whole numbers as it is typed: teeth over teeth, turns over turns.

use metrology::quantity::Ratio;
use rust_decimal::Decimal;

/// `numerator / denominator`, both at least 1, kept as typed and never reduced.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub struct Fraction {
    numerator: u32,
    denominator: u32,
}

impl Fraction {
    /// One over one.
    pub const ONE: Self = Self { numerator: 1, denominator: 1 };

    /// A fraction, unless one of its parts is 0.
    pub fn new(numerator: u32, denominator: u32) -> Option<Self> {
        (numerator > 0 && denominator > 0).then_some(Self { numerator, denominator })
    }

    /// Reads `41/11`; spaces are forgiven, anything else gives nothing.
    pub fn parse(text: &str) -> Option<Self> {
        let (numerator, denominator) = text.split_once('/')?;
        Self::new(whole(numerator)?, whole(denominator)?)
    }

    /// The fraction that is exactly this decimal, where its parts are small enough.
    pub fn from_decimal(value: Decimal) -> Option<Self> {
        let value = value.normalize();
        let denominator = 10_u32.checked_pow(value.scale())?;
        Self::new(u32::try_from(value.mantissa()).ok()?, denominator)
    }

    /// The number above.
    pub fn numerator(self) -> u32 {
        self.numerator
    }

    /// The number below.
    pub fn denominator(self) -> u32 {
        self.denominator
    }

    /// Its value.
    pub fn ratio(self) -> Ratio {
        Ratio::from_plain(f64::from(self.numerator) / f64::from(self.denominator))
    }

    /// Whether two fractions have the same value: 8/20 and 2/5 have.
    pub fn same_value(self, other: Self) -> bool {
        u64::from(self.numerator) * u64::from(other.denominator)
            == u64::from(other.numerator) * u64::from(self.denominator)
    }
}

impl core::fmt::Display for Fraction {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "{}/{}", self.numerator, self.denominator)
    }
}

fn whole(text: &str) -> Option<u32> {
    let text = text.trim();
    text.bytes().all(|byte| byte.is_ascii_digit()).then(|| text.parse().ok()).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_what_people_write() {
        for (text, expected) in [
            ("41/11", Some((41, 11))),
            (" 41 / 11 ", Some((41, 11))),
            ("0/11", None),
            ("41/0", None),
            ("41", None),
            ("-41/11", None),
            ("+41/11", None),
            ("4.1/11", None),
            ("99999999999/1", None),
            ("1/2/3", None),
        ] {
            let read = Fraction::parse(text).map(|f| (f.numerator(), f.denominator()));
            assert_eq!(read, expected, "{text}");
        }
    }

    #[test]
    fn compares_by_value_on_request() {
        let (a, b) = (Fraction::new(8, 20).unwrap(), Fraction::new(2, 5).unwrap());
        assert!(a.same_value(b) && a != b);
        assert_eq!(Fraction::from_decimal(Decimal::new(1067, 3)), Fraction::new(1067, 1000));
        assert_eq!(Fraction::from_decimal(Decimal::new(-1, 0)), None);
    }
}

//! Axle ratios: tooth pairs, or decimals that stand for the tooth pairs they are rounded from.

use crate::describe::file::decimal::to_f64;
use crate::describe::file::fraction::Fraction;
use metrology::quantity::Ratio;
use rust_decimal::Decimal;

/// Teeth of the ring gear of a truck axle. From memory; no source.
const RING_TEETH: core::ops::RangeInclusive<u32> = 30..=60;

/// Teeth of its pinion. From memory; no source.
const PINION_TEETH: core::ops::RangeInclusive<u32> = 7..=20;

/// Places to which axle ratios are quoted: 4.1 is short for 4.10. Common practice, no source.
const QUOTED_PLACES: u32 = 2;

/// Turns of the propeller shaft per turn of the wheels.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum AxleRatio {
    /// Ring gear teeth over pinion teeth: exact.
    Teeth(Fraction),
    /// A rounded decimal as it was typed.
    Decimal(Decimal),
}

impl AxleRatio {
    /// The value as typed.
    pub fn ratio(&self) -> Ratio {
        match self {
            Self::Teeth(teeth) => teeth.ratio(),
            Self::Decimal(value) => Ratio::from_plain(to_f64(*value)),
        }
    }

    /// The tooth pairs it can mean: itself, or those that round to the decimal. Empty when none does.
    pub fn tooth_pairs(&self) -> Vec<Fraction> {
        match self {
            Self::Teeth(teeth) => vec![*teeth],
            Self::Decimal(value) => tooth_pairs(*value),
        }
    }

    /// Whether two notations can mean the same axle: same value, or a pair that rounds to the decimal.
    pub fn agrees_with(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Teeth(a), Self::Teeth(b)) => a.same_value(*b),
            (Self::Teeth(teeth), Self::Decimal(value)) | (Self::Decimal(value), Self::Teeth(teeth)) => {
                rounds_to(*teeth, *value)
            }
            (Self::Decimal(a), Self::Decimal(b)) => a == b,
        }
    }
}

impl core::fmt::Display for AxleRatio {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::Teeth(teeth) => teeth.fmt(f),
            Self::Decimal(value) => value.fmt(f),
        }
    }
}

/// The plausible pairs of ring and pinion teeth whose quotient rounds to `value`; of pairs with the same quotient
/// the one with the fewest teeth stands for all.
pub fn tooth_pairs(value: Decimal) -> Vec<Fraction> {
    let mut pairs: Vec<Fraction> = Vec::new();
    for pinion in PINION_TEETH {
        let around = RING_TEETH.filter_map(|ring| Fraction::new(ring, pinion));
        for pair in around.filter(|pair| rounds_to(*pair, value)) {
            if pairs.iter().all(|known| !known.same_value(pair)) {
                pairs.push(pair);
            }
        }
    }
    pairs
}

/// Whether ring / pinion lies within half a unit of the last place of `value`, the ends included.
fn rounds_to(teeth: Fraction, value: Decimal) -> bool {
    let pinion = Decimal::from(teeth.denominator());
    let half = Decimal::new(5, value.scale().max(QUOTED_PLACES) + 1);
    let off = value.checked_mul(pinion).and_then(|turns| turns.checked_sub(Decimal::from(teeth.numerator())));
    off.is_some_and(|off| off.abs() <= half * pinion)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::describe::file::decimal::decimal;

    #[test]
    fn lists_the_pairs_that_round_to_a_decimal() {
        // Every quotient worked by hand: 41/11 = 3.7273, 56/15 = 3.7333, 39/11 = 3.5455, 41/10 = 4.1,
        // 43/14 = 3.0714, 46/15 = 3.0667, 43/12 = 3.5833.
        for (value, expected) in [
            ("3.73", vec!["41/11", "56/15"]),
            ("3.7273", vec!["41/11"]),
            ("3.55", vec!["39/11"]),
            ("4.10", vec!["41/10"]),
            ("4.1", vec!["41/10"]),
            ("3.07", vec!["43/14", "46/15"]),
            ("9.99", vec![]),
        ] {
            let found: Vec<String> =
                tooth_pairs(decimal(value).unwrap()).iter().map(Fraction::to_string).collect();
            assert_eq!(found, expected, "{value}");
        }
    }

    /// The exact comparison agrees with rounding the binary quotient, away from ties.
    #[test]
    fn agrees_with_rounding_in_binary() {
        for hundredths in 150..=860_i64 {
            let value = Decimal::new(hundredths, 2);
            for ring in RING_TEETH {
                for pinion in PINION_TEETH {
                    let hundred = 100.0 * f64::from(ring) / f64::from(pinion);
                    let tie = (hundred - hundred.floor() - 0.5).abs() < 1e-9;
                    let expected = hundred.round() == hundredths as f64;
                    let pair = Fraction::new(ring, pinion).unwrap();
                    assert!(tie || rounds_to(pair, value) == expected, "{pair} {value}");
                }
            }
        }
    }

    #[test]
    fn tells_whether_two_notations_agree() {
        let teeth = |text| AxleRatio::Teeth(Fraction::parse(text).unwrap());
        let number = |text| AxleRatio::Decimal(decimal(text).unwrap());
        for (a, b, expected) in [
            (teeth("41/11"), number("3.73"), true),
            (teeth("41/11"), number("3.55"), false),
            (teeth("82/22"), teeth("41/11"), true),
            (number("3.730"), number("3.73"), true),
        ] {
            assert_eq!(a.agrees_with(&b), expected, "{a} {b}");
            assert_eq!(b.agrees_with(&a), expected, "{b} {a}");
        }
    }
}

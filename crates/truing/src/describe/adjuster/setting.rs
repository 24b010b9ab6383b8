//! What an adjuster is, was or shall be set to.

use crate::describe::chain::axle::AxleRatio;
use crate::describe::file::decimal::decimal;
use crate::describe::file::fraction::Fraction;
use crate::describe::file::kinds::declared;
use rust_decimal::Decimal;

/// A setting of any kind of adjuster, exact.
#[derive(Clone, Debug, PartialEq)]
pub enum Setting {
    /// A stored constant, pulses per length, or teeth.
    Number(Decimal),
    /// Drive over driven teeth, or output over input.
    Pair(Fraction),
    /// What a module was told.
    Declared(DeclaredSetting),
    /// Anything else by its name: a tire size.
    Named(String),
}

/// A tire and an axle as a module is told them; neither need be true.
#[derive(Clone, Debug, PartialEq)]
pub struct DeclaredSetting {
    /// Revolutions per mile of the declared tire.
    pub revs_per_mile: Decimal,
    /// Declared axle ratio, where the module wants one.
    pub axle_ratio: Option<AxleRatio>,
}

impl Setting {
    /// Reads a setting as it stands in a vehicle file: `8.20`, `8/20`, `700 x 3.55`; anything else is a name.
    pub fn parse(text: &str) -> Self {
        let number = decimal(text).ok().map(Self::Number);
        let pair = || Fraction::parse(text).map(Self::Pair);
        let both = || declared(text).map(Self::Declared);
        number.or_else(pair).or_else(both).unwrap_or_else(|| Self::Named(text.trim().to_string()))
    }

    /// Whether both have the same effect: 8.2 is 8.20, 8/20 is 2/5.
    pub fn same_as(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Pair(a), Self::Pair(b)) => a.same_value(*b),
            (Self::Declared(a), Self::Declared(b)) => a.same_as(b),
            (Self::Number(a), Self::Declared(b)) | (Self::Declared(b), Self::Number(a)) => {
                b.axle_ratio.is_none() && b.revs_per_mile == *a
            }
            _ => self == other,
        }
    }
}

impl DeclaredSetting {
    /// Whether both tell the module the same.
    pub fn same_as(&self, other: &Self) -> bool {
        let axles = match (&self.axle_ratio, &other.axle_ratio) {
            (Some(a), Some(b)) => a.agrees_with(b),
            (None, None) => true,
            _ => false,
        };
        self.revs_per_mile == other.revs_per_mile && axles
    }
}

impl core::fmt::Display for DeclaredSetting {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match &self.axle_ratio {
            Some(axle) => write!(f, "{} x {axle}", self.revs_per_mile),
            None => self.revs_per_mile.fmt(f),
        }
    }
}

impl core::fmt::Display for Setting {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::Number(value) => value.fmt(f),
            Self::Pair(pair) => pair.fmt(f),
            Self::Declared(declared) => declared.fmt(f),
            Self::Named(name) => name.fmt(f),
        }
    }
}

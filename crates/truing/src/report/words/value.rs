//! A value with its uncertainty as every answer prints it.

use metrology::measured::Measured;
use schemars::JsonSchema;
use serde::Serialize;

/// Value, standard uncertainty and 95 % interval in the unit that its key names; never rounded.
#[derive(Copy, Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct V {
    /// Best value.
    pub value: f64,
    /// Standard uncertainty.
    pub standard_uncertainty: f64,
    /// Lower end of the 95 % interval.
    pub low_95: f64,
    /// Upper end of the 95 % interval.
    pub high_95: f64,
}

impl V {
    /// A measured quantity, read in the unit that `unit` reads.
    ///
    /// ```
    /// use metrology::{measured::Measured, quantity::Length};
    /// use truing::report::words::value::V;
    /// let v = V::new(&Measured::exact(Length::from_m(2.0)), |length| length.mm());
    /// assert_eq!(v.value, 2000.0);
    /// ```
    pub fn new<Q: Copy>(measured: &Measured<Q>, unit: impl Fn(Q) -> f64) -> Self {
        Self {
            value: unit(measured.value),
            standard_uncertainty: unit(measured.standard_uncertainty),
            low_95: unit(measured.low_95),
            high_95: unit(measured.high_95),
        }
    }

    /// The same in another unit.
    #[must_use]
    pub fn to(&self, unit: impl Fn(f64) -> f64) -> Self {
        let [value, standard_uncertainty, low_95, high_95] =
            [self.value, self.standard_uncertainty, self.low_95, self.high_95].map(unit);
        Self { value, standard_uncertainty, low_95, high_95 }
    }

    /// The same of what may be unknown.
    pub fn maybe<Q: Copy>(measured: Option<&Measured<Q>>, unit: impl Fn(Q) -> f64) -> Option<Self> {
        measured.map(|measured| Self::new(measured, unit))
    }
}

//! What an adjuster can be set to, and what each setting makes of the reading ratio.

use crate::describe::adjuster::{Adjuster, AdjusterKind, ConstantUnit};
use crate::describe::decimal::to_f64;
use crate::describe::setting::Setting;
use crate::describe::vehicle::Vehicle;
use crate::problem::Problem;
use metrology::quantity::PerLength;
use rust_decimal::Decimal;

/// Where a reading ratio can be counted from.
#[derive(Copy, Clone, Debug, PartialEq)]
pub enum Base {
    /// ln of the ratio with the present value, and ln of that value: for a constant, R falls as the value rises.
    Present { ln_ratio: f64, ln_value: f64 },
    /// ln of the true counts per mile and of the counts per mile that one unit of the value stands for.
    Counts { ln_counts: f64, ln_per_unit: f64 },
}

impl Base {
    /// ln of the reading ratio with another value stored.
    pub fn ln_ratio_at(self, value: f64) -> f64 {
        match self {
            Self::Present { ln_ratio, ln_value } => ln_ratio + ln_value - value.ln(),
            Self::Counts { ln_counts, ln_per_unit } => ln_counts - ln_per_unit - value.ln(),
        }
    }

    /// The value, off any grid, with which the reading ratio would be one.
    pub fn exact_value(self) -> f64 {
        match self {
            Self::Present { ln_ratio, ln_value } => (ln_ratio + ln_value).exp(),
            Self::Counts { ln_counts, ln_per_unit } => (ln_counts - ln_per_unit).exp(),
        }
    }
}

/// An adjuster whose settings are numbers in even steps; a stored constant divides, so R falls as it rises.
#[derive(Clone, Debug, PartialEq)]
pub struct Steps<'v> {
    /// The adjuster.
    pub adjuster: &'v Adjuster,
    first: Decimal,
    step: Decimal,
    /// How many settings there are.
    pub count: u64,
    /// What is stored now.
    pub present: Option<Decimal>,
    /// Counts per mile that one unit stands for, where known.
    pub per_unit: Option<PerLength>,
}

impl<'v> Steps<'v> {
    /// The first adjuster of a vehicle, as even steps.
    pub fn of(vehicle: &'v Vehicle, source: &str) -> Result<Steps<'v>, Problem> {
        let Some(adjuster) = vehicle.adjusters.first() else {
            return Err(Problem::error(source, "an [adjuster]: what can be set on this vehicle", "none")
                .hint("add an [adjuster] section with its kind"));
        };
        match &adjuster.kind {
            AdjusterKind::SteppedConstant(it) => Ok(Steps {
                adjuster,
                first: it.grid.min(),
                step: it.grid.step(),
                count: it.grid.len(),
                present: it.present,
                per_unit: it.counts_per_mile_per_unit.map(|counts| PerLength::from_per_mi(to_f64(counts))),
            }),
            AdjusterKind::FreeConstant(it) => Ok(Steps {
                adjuster,
                first: it.min.into(),
                step: Decimal::ONE,
                count: u64::from(it.max - it.min) + 1,
                present: it.present.map(Decimal::from),
                per_unit: Some(match it.unit {
                    ConstantUnit::PulsesPerMile => PerLength::from_per_mi(1.0),
                    ConstantUnit::PulsesPerKm => PerLength::from_per_km(1.0),
                }),
            }),
            _ => Err(Problem::error(source, "an adjuster that stores a constant", format!("`{}`", adjuster.called()))
                .at_line(adjuster.line)
                .hint("this kind is read and measured with, but a choice for it is not built yet; the ratio itself stands in `measure vehicle`")),
        }
    }

    /// The value at an index.
    pub fn value(&self, index: u64) -> Decimal {
        self.first + self.step * Decimal::from(index)
    }

    /// The index of a value on the grid.
    pub fn index_of(&self, value: Decimal) -> Option<u64> {
        let steps = (value - self.first).checked_div(self.step)?;
        let index = u64::try_from(steps).ok()?;
        (steps.fract().is_zero() && index < self.count).then_some(index)
    }

    /// The index whose value is nearest to `value` in ratio, kept on the grid.
    pub fn nearest(&self, value: f64) -> u64 {
        let place = ((value - to_f64(self.first)) / to_f64(self.step)).clamp(0.0, (self.count - 1) as f64);
        let low = place.floor() as u64;
        let high = (low + 1).min(self.count - 1);
        let off = |index: u64| (to_f64(self.value(index)) / value).ln().abs();
        if off(high) < off(low) { high } else { low }
    }

    /// What a setting is called.
    pub fn setting(&self, index: u64) -> Setting {
        Setting::Number(self.value(index))
    }
}

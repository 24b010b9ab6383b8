//! The values a stored constant can take: from a least to a greatest in equal steps, exact decimals throughout.

use crate::describe::file::decimal::to_f64;
use metrology::quantity::Ratio;
use rust_decimal::Decimal;

/// Most values on a grid; a million presses is no adjuster.
const MOST_VALUES: u64 = 1_000_000;

/// Why three numbers are no grid.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum NotAGrid {
    /// The least is not below the greatest.
    EmptyRange,
    /// The step is zero or negative.
    StepNotPositive,
    /// The step does not divide the range.
    StepDoesNotDivide,
    /// More than a million values.
    TooMany,
}

/// Equally spaced exact decimals, both ends included.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub struct Grid {
    min: Decimal,
    max: Decimal,
    step: Decimal,
    len: u64,
}

impl Grid {
    /// A grid from `min` to `max`, both included.
    pub fn new(min: Decimal, max: Decimal, step: Decimal) -> Result<Self, NotAGrid> {
        if step <= Decimal::ZERO {
            return Err(NotAGrid::StepNotPositive);
        }
        if min >= max {
            return Err(NotAGrid::EmptyRange);
        }
        let range = max.checked_sub(min).ok_or(NotAGrid::TooMany)?;
        let steps = range.checked_div(step).ok_or(NotAGrid::TooMany)?;
        if range.checked_rem(step) != Some(Decimal::ZERO) {
            return Err(NotAGrid::StepDoesNotDivide);
        }
        let len = u64::try_from(steps).unwrap_or(u64::MAX).saturating_add(1);
        if len > MOST_VALUES { Err(NotAGrid::TooMany) } else { Ok(Self { min, max, step, len }) }
    }

    /// The least value.
    pub fn min(&self) -> Decimal {
        self.min
    }

    /// The greatest value.
    pub fn max(&self) -> Decimal {
        self.max
    }

    /// The step between neighbours.
    pub fn step(&self) -> Decimal {
        self.step
    }

    /// How many values there are, at least 2.
    #[expect(clippy::len_without_is_empty, reason = "a grid is never empty")]
    pub fn len(&self) -> u64 {
        self.len
    }

    /// The value at a place counted from 0 at the least.
    pub fn value(&self, index: u64) -> Option<Decimal> {
        let value = self.min.checked_add(self.step.checked_mul(Decimal::from(index))?)?;
        (index < self.len).then_some(value)
    }

    /// All values, the least first.
    pub fn values(&self) -> impl Iterator<Item = Decimal> + '_ {
        (0..self.len).filter_map(|index| self.value(index))
    }

    /// The place of a value, where it is on the grid.
    pub fn index_of(&self, value: Decimal) -> Option<u64> {
        if value < self.min || value > self.max {
            return None;
        }
        let above = value.checked_sub(self.min)?;
        let on_grid = above.checked_rem(self.step)? == Decimal::ZERO;
        on_grid.then(|| above.checked_div(self.step).and_then(|steps| u64::try_from(steps).ok()))?
    }

    /// The value nearest to a wanted one on the plain scale, an end when it lies outside; ties go down.
    /// A wanted value that is no number gives the least.
    pub fn nearest(&self, wanted: Ratio) -> Decimal {
        let wanted = wanted.plain();
        let place = ((wanted - to_f64(self.min)) / to_f64(self.step)).floor();
        let last = self.len - 1;
        let below = if place >= 0.0 { (place as u64).min(last) } else { 0 };
        // One place of slack on either side absorbs the rounding of the division.
        let around = below.saturating_sub(1)..=(below + 2).min(last);
        let mut best = (f64::INFINITY, self.min);
        for value in around.filter_map(|index| self.value(index)) {
            let off = (to_f64(value) - wanted).abs();
            if off < best.0 {
                best = (off, value);
            }
        }
        best.1
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::describe::file::decimal::decimal;
    use proptest::prelude::*;

    fn grid(min: &str, max: &str, step: &str) -> Result<Grid, NotAGrid> {
        Grid::new(decimal(min).unwrap(), decimal(max).unwrap(), decimal(step).unwrap())
    }

    #[test]
    fn refuses_what_is_no_grid() {
        for (min, max, step, expected) in [
            ("4.00", "12.00", "0.02", Ok(401)),
            ("0.1", "0.3", "0.1", Ok(3)),
            ("4", "4", "1", Err(NotAGrid::EmptyRange)),
            ("5", "4", "1", Err(NotAGrid::EmptyRange)),
            ("4", "5", "0", Err(NotAGrid::StepNotPositive)),
            ("4", "5", "-0.5", Err(NotAGrid::StepNotPositive)),
            ("4", "5", "0.3", Err(NotAGrid::StepDoesNotDivide)),
            ("0", "1000000", "0.1", Err(NotAGrid::TooMany)),
        ] {
            assert_eq!(grid(min, max, step).map(|g| g.len()), expected, "{min} {max} {step}");
        }
    }

    #[test]
    fn finds_places_and_neighbours() {
        let grid = grid("4.00", "12.00", "0.02").unwrap();
        for (value, place) in
            [("4.00", Some(0)), ("8.2", Some(210)), ("12", Some(400)), ("8.21", None), ("3.98", None)]
        {
            assert_eq!(grid.index_of(decimal(value).unwrap()), place, "{value}");
        }
        for (wanted, nearest) in [
            (8.199, "8.20"),
            (8.209, "8.20"),
            (8.2101, "8.22"),
            (-3.0, "4.00"),
            (99.0, "12.00"),
            (f64::NAN, "4.00"),
        ] {
            assert_eq!(grid.nearest(Ratio::from_plain(wanted)).to_string(), nearest, "{wanted}");
        }
    }

    proptest! {
        /// Every value is found again at its place, and the nearest is what a search over all values gives.
        #[test]
        fn agrees_with_a_walk_over_all(min in -500_i64..500, steps in 1_u32..300, step in 1_i64..40, wanted in -60.0..60.0) {
            let step = Decimal::new(step, 2);
            let min = Decimal::new(min, 2);
            let grid = Grid::new(min, min + step * Decimal::from(steps), step).unwrap();
            prop_assert_eq!(grid.values().count() as u64, grid.len());
            for (index, value) in grid.values().enumerate() {
                prop_assert_eq!(grid.index_of(value), Some(index as u64));
            }
            let off = |value: Decimal| f64::abs(to_f64(value) - wanted);
            let best = grid.values().map(off).fold(f64::INFINITY, f64::min);
            prop_assert_eq!(off(grid.nearest(Ratio::from_plain(wanted))), best);
        }
    }
}

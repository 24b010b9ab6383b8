//! Whether an adjuster can be set so, and what is said where it cannot.

use super::Switch;
use crate::describe::adjuster::grid::Grid;
use crate::describe::adjuster::setting::Setting;
use crate::describe::adjuster::{Adjuster, AdjusterKind, PulseRange};
use crate::describe::file::decimal::to_f64;
use crate::describe::file::fraction::Fraction;
use crate::problem::Problem;
use metrology::quantity::Ratio;
use metrology::ratio::{subset_for, sums_around};
use rust_decimal::Decimal;

/// Refuses a target that the adjuster does not offer.
pub(super) fn check(source: &str, adjuster: &Adjuster, target: &Setting) -> Result<(), Problem> {
    match offered(adjuster, target) {
        Ok(()) => Ok(()),
        Err((expected, hint)) => {
            let problem = Problem::error(source, expected, target.to_string());
            Err(if hint.is_empty() { problem } else { problem.hint(hint) })
        }
    }
}

/// What was expected, and a hint.
type Refusal = (String, String);

fn offered(adjuster: &Adjuster, target: &Setting) -> Result<(), Refusal> {
    let among = |is_one: bool, expected: String| match is_one {
        true => Ok(()),
        false => Err((expected, String::new())),
    };
    match (&adjuster.kind, target) {
        (AdjusterKind::SteppedConstant(it), Setting::Number(value)) => on_grid(&it.grid, *value),
        (AdjusterKind::FreeConstant(it), Setting::Number(value)) => among(
            value.fract().is_zero() && *value >= it.min.into() && *value <= it.max.into(),
            format!("a whole number from {} to {}", it.min, it.max),
        ),
        (AdjusterKind::GearPair(it), Setting::Pair(pair)) => {
            let pairs = it.pairs();
            among(pairs.contains(pair), format!("a pair that meshes: {}", list(&pairs)))
        }
        (AdjusterKind::PulseRatio(it), Setting::Pair(pair)) => match &it.range {
            PulseRange::Free { numerator_max: n, denominator_max: d } => among(
                pair.numerator() <= *n && pair.denominator() <= *d,
                format!("a fraction up to {n} over up to {d}"),
            ),
            PulseRange::Switches { denominator, .. } => {
                among(switches(adjuster, pair).is_some(), format!("a sum of the weights over {denominator}"))
            }
        },
        (AdjusterKind::CableAdapter(it), Setting::Pair(pair)) => {
            let is_one = it.ratios.iter().any(|ratio| ratio.same_value(*pair));
            among(is_one, format!("one of the adapters: {}", list(&it.ratios)))
        }
        (AdjusterKind::ToneRing(it), Setting::Number(teeth)) => {
            let is_one = it.teeth.iter().any(|known| Decimal::from(*known) == *teeth);
            among(is_one, format!("one of the rings: {}", list(&it.teeth)))
        }
        (AdjusterKind::DeclaredTireAxle(it), Setting::Declared(told)) => {
            on_grid(&it.revs_per_mile, told.revs_per_mile)?;
            let is_one = match &told.axle_ratio {
                Some(axle) => it.axle_ratios.iter().any(|known| known.agrees_with(axle)),
                None => it.axle_ratios.is_empty(),
            };
            among(is_one, format!("revs per mile x one of the axles {}", list(&it.axle_ratios)))
        }
        (AdjusterKind::DeclaredTireAxle(it), Setting::Number(revs)) if it.axle_ratios.is_empty() => {
            on_grid(&it.revs_per_mile, *revs)
        }
        (AdjusterKind::Tires(sizes), _) => {
            among(sizes.contains(&target.to_string()), format!("one of the sizes: {}", list(sizes)))
        }
        _ => Err((
            format!("a setting of the {}", adjuster.spoken()),
            "write it as `present` is written".into(),
        )),
    }
}

fn on_grid(grid: &Grid, value: Decimal) -> Result<(), Refusal> {
    match grid.index_of(value) {
        Some(_) => Ok(()),
        None => Err((
            format!("a value on the grid {} to {}", grid.min(), grid.max()),
            format!("the nearest is {}", grid.nearest(Ratio::from_plain(to_f64(value)))),
        )),
    }
}

fn list<T: core::fmt::Display>(all: &[T]) -> String {
    all.iter().map(T::to_string).collect::<Vec<_>>().join(", ")
}

/// The switches for a ratio, in the order of the file; none where it cannot be switched or has no switches.
pub(super) fn switches(adjuster: &Adjuster, pair: &Fraction) -> Option<Vec<Switch>> {
    let AdjusterKind::PulseRatio(it) = &adjuster.kind else { return None };
    let PulseRange::Switches { weights, denominator } = &it.range else { return None };
    let scaled = u64::from(pair.numerator()) * u64::from(*denominator);
    let sum =
        scaled.is_multiple_of(pair.denominator().into()).then(|| scaled / u64::from(pair.denominator()))?;
    if !sums_around(weights, sum as f64, 1)?.contains(&sum) {
        return None;
    }
    let on = subset_for(weights, sum)?;
    Some(weights.iter().zip(on).map(|(weight, is_on)| Switch { weight: *weight, is_on }).collect())
}

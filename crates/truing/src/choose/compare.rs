//! Which of these tires: what each would make of the reading while everything else stays.

use super::tires::{Revs, mounted, of_size};
use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::VehicleEstimate;
use crate::problem::Problem;
use metrology::measured::Measured;
use metrology::quantity::{METRES_PER_MILE, PerLength, Ratio};

/// A tire and what it would do.
#[derive(Clone, Debug, PartialEq)]
pub struct TireCompared {
    /// The size as it was typed, or what the tires on it are called.
    pub size: String,
    /// Whether it is on now.
    pub is_mounted: bool,
    /// Its revolutions per mile; measured for the tires on it where they were, else by its size.
    pub revs: Option<Measured<PerLength>>,
    /// Indicated over true with it and the present setting; `None` where that is not known for the tires on it.
    pub ratio: Option<Measured<Ratio>>,
}

/// The tires on it, then each of the sizes that is not on it.
///
/// # Errors
/// A size that cannot be read.
pub fn compare_tires(
    source: &str,
    vehicle: &Vehicle,
    estimate: &VehicleEstimate,
    sizes: &[String],
) -> Result<Vec<TireCompared>, Problem> {
    let now = mounted(vehicle, estimate);
    let set = vehicle.mounted();
    let called = set.and_then(|set| set.size.clone().or(set.name.clone()));
    let called = called.unwrap_or_else(|| "the tires on it now".into());
    let reads = match vehicle.usage.make_true {
        crate::describe::usage::MakeTrue::Distance => estimate.over_all.distance_ratio,
        crate::describe::usage::MakeTrue::Needle => {
            estimate.over_all.needle_ratio.or(estimate.over_all.distance_ratio)
        }
    };
    let mut compared = vec![TireCompared {
        size: called.clone(),
        is_mounted: true,
        revs: estimate.over_all.revs.or(now.map(measured)),
        ratio: reads,
    }];
    for size in sizes.iter().filter(|size| **size != called) {
        let other =
            of_size(vehicle, size, None).map_err(|problem| Problem { source: source.into(), ..problem })?;
        let ratio = reads.zip(now).map(|(reads, now)| with(&reads, now, other));
        compared.push(TireCompared {
            size: size.clone(),
            is_mounted: false,
            revs: Some(measured(other)),
            ratio,
        });
    }
    Ok(compared)
}

fn measured(revs: Revs) -> Measured<PerLength> {
    Measured::from_log(revs.ln_per_mi - METRES_PER_MILE.ln(), revs.u, f64::INFINITY)
}

/// The count, and with it the reading, goes with the turns per mile. Reading and turns of the tires on it come from the
/// same evidence, so adding their uncertainties errs on the wide side.
fn with(reads: &Measured<Ratio>, now: Revs, other: Revs) -> Measured<Ratio> {
    let ln = reads.value.plain().ln() + other.ln_per_mi - now.ln_per_mi;
    let u = reads.relative_uncertainty().plain().hypot(now.u).hypot(other.u);
    Measured::from_log(ln, u, f64::INFINITY)
}

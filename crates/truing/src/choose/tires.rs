//! What tires on the owner's list would make of the reading, and of how many turns per mile the present setting needs.

use super::offers::{Offer, Pick};
use crate::describe::setting::Setting;
use crate::describe::tire::TireSize;
use crate::describe::tire::circumference::{RollingConditions, ln_revs_per_mile_prior};
use crate::describe::tire_set::TireSet;
use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::VehicleEstimate;
use crate::problem::Problem;
use metrology::quantity::Length;

/// What a data sheet's figure for the revolutions per mile is off by (relative, one standard uncertainty; judgement: the
/// figure is for a new tire, and makers differ in how they come by it).
const PUBLISHED_U: f64 = 0.01;

/// ln of the revolutions per mile with its standard uncertainty.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(super) struct Revs {
    pub ln_per_mi: f64,
    pub u: f64,
}

/// Of a size, with so much tread worn off.
pub(super) fn of_size(size: &str, tread_lost: Option<Length>) -> Result<Revs, Problem> {
    let tire = TireSize::parse(size)?;
    let prior =
        ln_revs_per_mile_prior(&tire, &RollingConditions { tread_lost, ..RollingConditions::default() })?;
    Ok(Revs { ln_per_mi: prior.ln, u: prior.standard_uncertainty })
}

/// Of a set: the data sheet where it speaks, else the size.
pub(super) fn of_set(set: &TireSet) -> Option<Revs> {
    let published = set.published_revs.map(|revs| Revs { ln_per_mi: revs.per_mi().ln(), u: PUBLISHED_U });
    published.or_else(|| of_size(set.size.as_deref()?, None).ok())
}

/// Of the tires on the truck: measured where they were, else as of any set.
pub(super) fn mounted(vehicle: &Vehicle, estimate: &VehicleEstimate) -> Option<Revs> {
    let measured = estimate
        .over_all
        .revs
        .map(|revs| Revs { ln_per_mi: revs.value.per_mi().ln(), u: revs.relative_uncertainty().plain() });
    measured.or_else(|| of_set(vehicle.mounted()?))
}

/// The sizes on the list beside the tires on the truck. None while nothing is known of the latter.
pub(super) fn offer(
    source: &str,
    vehicle: &Vehicle,
    estimate: &VehicleEstimate,
    sizes: &[String],
) -> Result<Option<Offer>, Problem> {
    let Some(now) = mounted(vehicle, estimate) else { return Ok(None) };
    let on = vehicle.mounted().and_then(|set| set.size.clone().or(set.name.clone()));
    let on = Pick::exact(Setting::Named(on.unwrap_or_else(|| "the tires on it now".into())), 0.0);
    let mut picks = vec![on.clone()];
    for size in sizes {
        let revs = of_size(size, None).map_err(|problem| Problem { source: source.into(), ..problem })?;
        let setting = Setting::Named(size.clone());
        if setting != on.setting {
            // The measured ratio holds for the tires on it; both figures for the turns are as uncertain as they are.
            let u_effect = f64::hypot(revs.u, now.u);
            picks.push(Pick { u_effect, ..Pick::exact(setting, revs.ln_per_mi - now.ln_per_mi) });
        }
    }
    Ok(Some(Offer::listed(picks, Some(on))))
}

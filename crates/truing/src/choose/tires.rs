//! What tires on the owner's list would make of the reading, and of how many turns per mile the present setting needs.

use super::offers::{Offer, Pick};
use crate::describe::adjuster::setting::Setting;
use crate::describe::tire::TireSize;
use crate::describe::tire::ahead::Ahead;
use crate::describe::tire::circumference::{RollingConditions, ln_revs_per_mile_prior};
use crate::describe::tire::set::TireSet;
use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::{VehicleEstimate, followed_slip};
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

/// Of a size, with so much tread worn off, on the wheels that the sensor follows: where these are driven, they slip.
pub(super) fn of_size(vehicle: &Vehicle, size: &str, tread_lost: Option<Length>) -> Result<Revs, Problem> {
    let tire = TireSize::parse(size)?;
    let prior =
        ln_revs_per_mile_prior(&tire, &RollingConditions { tread_lost, ..RollingConditions::default() })?;
    Ok(Revs { ln_per_mi: prior.ln + followed_slip(vehicle).plain(), u: prior.standard_uncertainty })
}

/// Of a set: the data sheet where it speaks, else the size.
pub(super) fn of_set(vehicle: &Vehicle, set: &TireSet) -> Option<Revs> {
    let published = set.published_revs.map(|revs| Revs { ln_per_mi: revs.per_mi().ln(), u: PUBLISHED_U });
    published.or_else(|| of_size(vehicle, set.size.as_deref()?, None).ok())
}

/// Of the tires on the truck: measured where they were, else as of any set.
pub(super) fn mounted(vehicle: &Vehicle, estimate: &VehicleEstimate) -> Option<Revs> {
    let measured = estimate
        .over_all
        .revs
        .map(|revs| Revs { ln_per_mi: revs.value.per_mi().ln(), u: revs.relative_uncertainty().plain() });
    measured.or_else(|| of_set(vehicle, vehicle.mounted()?))
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
        let revs =
            of_size(vehicle, size, None).map_err(|problem| Problem { source: source.into(), ..problem })?;
        let setting = Setting::Named(size.clone());
        if setting != on.setting {
            // The measured ratio holds for the tires on it; both figures for the turns are as uncertain as they are.
            let u_effect = f64::hypot(revs.u, now.u);
            picks.push(Pick { u_effect, ..Pick::exact(setting, revs.ln_per_mi - now.ln_per_mi) });
        }
    }
    Ok(Some(Offer::listed(picks, Some(on))))
}

/// What the tires of a stretch add to ln R beside those on the truck now, for each part of it.
pub(super) fn over(vehicle: &Vehicle, stretch: &Ahead, now: Revs, parts: usize) -> Result<Vec<f64>, Problem> {
    let set = vehicle.tires.iter().find(|set| set.name.as_deref() == Some(stretch.tires.as_str()));
    let is_on = match set {
        Some(set) => vehicle.mounted().is_some_and(|on| std::ptr::eq(on, set)),
        None => vehicle.mounted().and_then(|on| on.size.as_deref()) == Some(stretch.tires.as_str()),
    };
    let set = if is_on { vehicle.mounted() } else { set };
    let size = set.map_or(Some(stretch.tires.as_str()), |set| set.size.as_deref());
    let shift = match (is_on, set) {
        (true, _) => 0.0,
        (false, Some(set)) => of_set(vehicle, set).ok_or_else(|| unknown(stretch))?.ln_per_mi - now.ln_per_mi,
        (false, None) => of_size(vehicle, &stretch.tires, None)?.ln_per_mi - now.ln_per_mi,
    };
    let Some(end) = &stretch.tread_at_end else { return Ok(vec![shift]) };
    let fresh = set.and_then(|set| set.tread_depth_new.as_ref());
    let today = set.and_then(|set| set.tread_depth.as_ref()).or(fresh);
    let (Some(today), Some(size)) = (today, size) else {
        return Err(Problem::error(
            "",
            "the depth of the tread as it is or was new, and the size",
            "neither",
        )
        .in_part("[[plan]] tread_at_end")
        .hint("add `tread_depth` or `tread_depth_new`, and `size`, to the set of tires"));
    };
    let new = fresh.unwrap_or(today).value;
    let worn = |depth: Length| Ok::<f64, Problem>(of_size(vehicle, size, Some(new - depth))?.ln_per_mi);
    let at_first = worn(today.value)?;
    let depth = |k: usize| {
        let share = (k as f64 + 0.5) / parts as f64;
        today.value + (end.value - today.value) * share
    };
    (0..parts).map(|k| Ok(shift + worn(depth(k))? - at_first)).collect()
}

fn unknown(stretch: &Ahead) -> Problem {
    Problem::error(
        "",
        "a size or published revolutions per mile for the tires planned",
        format!("`{}`", stretch.tires),
    )
    .in_part("[[plan]] tires")
    .hint("add them to the set of tires")
}

//! The settings in reach of a vehicle, over all its adjusters at once, and what each makes of ln R.

use super::offers::{self, Offer, Pick};
use super::tires;
use crate::describe::adjuster::{Adjuster, AdjusterKind, ConstantUnit, PerUnit, PulseRange};
use crate::describe::chain::Link;
use crate::describe::chain::reader::{Branch, Reader, Role};
use crate::describe::usage::MakeTrue;
use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::VehicleEstimate;
use crate::problem::Problem;
use metrology::quantity::PerLength;
use metrology::ratio::MOST_WEIGHTS;

/// Settings asked for on either side of a wanted one.
const EACH_SIDE: usize = 8;
/// Most settings of all adjusters but the largest that are gone through one by one.
const MOST_LISTED: u64 = 100_000;

/// An adjuster with what it offers.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct AdjusterOffers<'v> {
    pub adjuster: &'v Adjuster,
    pub offer: Offer,
}

/// A setting of every adjuster at once.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Candidate {
    /// One pick for each part, in their order.
    pub picks: Vec<Pick>,
    /// What they add to ln R together.
    pub ln_effect: f64,
    /// Standard uncertainty of that.
    pub u_effect: f64,
    /// The parts that are set otherwise than now.
    pub changed: Vec<usize>,
}

impl Candidate {
    /// The declared axle over the true one, as a logarithm.
    pub(super) fn misled_by(&self) -> f64 {
        self.picks.iter().map(|pick| pick.misled_by).sum()
    }
}

/// The parts of a vehicle that bear on what is to be true.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Parts<'v> {
    pub all: Vec<AdjusterOffers<'v>>,
    /// No part has a write to spend: they are shown as if they had.
    pub is_spent: bool,
}

/// The reader that is to be true.
pub(super) fn made_true(vehicle: &Vehicle) -> Option<&Reader> {
    let role = match vehicle.usage.make_true {
        MakeTrue::Distance => Role::Odometer,
        MakeTrue::Needle => Role::Dial,
    };
    vehicle.readers.iter().find(|reader| reader.roles.contains(&role))
}

/// Whether an adjuster changes what a reader shows.
pub(super) fn bears_on(adjuster: &Adjuster, reader: Option<&Reader>) -> bool {
    let Some(reader) = reader else { return true };
    let behind = matches!(adjuster.kind, AdjusterKind::PulseRatio(_) | AdjusterKind::CableAdapter(_));
    let has_its_own_mile = adjuster.kind.decides_a_mile() && reader.takes.is_some();
    let branches_off_before = behind && reader.after == Some(Branch::Sensor);
    !has_its_own_mile && !branches_off_before
}

impl<'v> Parts<'v> {
    /// The adjusters that bear on what is to be true; those without a write to spend beyond the reserve stay as they are.
    pub(super) fn new(
        source: &str,
        vehicle: &'v Vehicle,
        estimate: &VehicleEstimate,
        reserve: u32,
    ) -> Result<Parts<'v>, Problem> {
        if vehicle.adjusters.is_empty() {
            return Err(Problem::error(source, "an [adjuster]: what can be set on this vehicle", "none")
                .hint("add an [adjuster] section with its kind"));
        }
        let reader = made_true(vehicle);
        let mut all = Vec::new();
        let mut mile_is_decided = false;
        for adjuster in vehicle.adjusters.iter().filter(|adjuster| bears_on(adjuster, reader)) {
            // A reader takes its mile from one adjuster, the first that decides one.
            if adjuster.kind.decides_a_mile() && std::mem::replace(&mut mile_is_decided, true) {
                continue;
            }
            let offer = match &adjuster.kind {
                AdjusterKind::Tires(sizes) => tires::offer(source, vehicle, estimate, sizes)?,
                _ => Offer::new(adjuster, vehicle),
            };
            all.extend(offer.map(|offer| AdjusterOffers { adjuster, offer }));
        }
        if all.is_empty() {
            let of = reader.map_or("the reading", |reader| &reader.name);
            return Err(Problem::error(source, format!("an adjuster that bears on {of}"), "none that does")
                .hint("see which link the reader branches off, and `make_true` in [use]; a tire list needs the size on the truck"));
        }
        let parts = Parts::that_can_move(all, reserve);
        parts.check_size(source)?;
        Ok(parts)
    }

    fn that_can_move(all: Vec<AdjusterOffers<'v>>, reserve: u32) -> Parts<'v> {
        let has_none = |part: &AdjusterOffers| part.adjuster.writes_left.is_some_and(|left| left <= reserve);
        let is_spent = all.iter().all(has_none);
        let hold = |mut part: AdjusterOffers<'v>| {
            if has_none(&part)
                && !is_spent
                && let Some(present) = part.offer.present.clone()
            {
                part.offer = Offer::listed(vec![present.clone()], Some(present));
            }
            part
        };
        Parts { all: all.into_iter().map(hold).collect(), is_spent }
    }

    fn check_size(&self, source: &str) -> Result<(), Problem> {
        let too_large = |part: &&AdjusterOffers| match &part.adjuster.kind {
            AdjusterKind::PulseRatio(it) => {
                matches!(&it.range, PulseRange::Switches { weights, .. } if weights.len() > MOST_WEIGHTS)
            }
            _ => false,
        };
        let lens: Vec<u64> = self.all.iter().map(|part| part.offer.len()).collect();
        let largest = (0..lens.len()).max_by_key(|at| lens[*at]);
        let beside = lens.iter().enumerate().filter(|(at, _)| Some(*at) != largest);
        // Without the largest: a product that saturates and is then divided by it would look small.
        let others = beside.fold(1_u64, |all, (_, len)| all.saturating_mul(*len));
        if let Some(part) = self.all.iter().find(too_large) {
            return Err(Problem::error(source, format!("at most {MOST_WEIGHTS} switches"), "more")
                .at_line(part.adjuster.line));
        }
        if others > MOST_LISTED {
            return Err(Problem::error(
                source,
                "adjusters that can be gone through together",
                match others {
                    u64::MAX => format!("more than {others} settings beside the largest"),
                    _ => format!("{others} settings beside the largest"),
                },
            )
            .hint(
                "leave out the adjuster that shall stay as it is; what it is set to belongs to [chain] then",
            ));
        }
        Ok(())
    }

    /// What is set now, where it is known of every part.
    pub(super) fn present(&self) -> Option<Candidate> {
        let picks = self.all.iter().map(|part| part.offer.present.clone()).collect::<Option<Vec<_>>>()?;
        Some(self.candidate(picks))
    }

    pub(super) fn candidate(&self, picks: Vec<Pick>) -> Candidate {
        let is_other = |at: &usize| {
            let now = self.all[*at].offer.present.as_ref();
            now.is_none_or(|now| !now.setting.same_as(&picks[*at].setting))
        };
        Candidate {
            ln_effect: picks.iter().map(|pick| pick.ln_effect).sum(),
            u_effect: picks.iter().map(|pick| pick.u_effect).fold(0.0, f64::hypot),
            changed: (0..picks.len()).filter(is_other).collect(),
            picks,
        }
    }

    /// The candidates nearest to a wanted effect: with each part alone changed, and with all of them.
    pub(super) fn around(&self, wanted: f64) -> Vec<Candidate> {
        let mut found = self.with_all(wanted);
        if let Some(present) = self.present().filter(|_| self.all.len() > 1) {
            for (at, part) in self.all.iter().enumerate() {
                let others = present.ln_effect - present.picks[at].ln_effect;
                found.extend(part.offer.around(wanted - others, EACH_SIDE).into_iter().map(|pick| {
                    let mut picks = present.picks.clone();
                    picks[at] = pick;
                    self.candidate(picks)
                }));
            }
        }
        found
    }

    /// Every combination of all parts but the largest, each with the nearest settings of that one.
    fn with_all(&self, wanted: f64) -> Vec<Candidate> {
        let largest = (0..self.all.len()).max_by_key(|at| self.all[*at].offer.len()).unwrap_or(0);
        let mut combinations: Vec<Vec<Pick>> = vec![Vec::new()];
        for (at, part) in self.all.iter().enumerate() {
            let picks = if at == largest { None } else { Some(part.offer.all()) };
            let Some(picks) = picks else { continue };
            combinations = combinations
                .into_iter()
                .flat_map(|before| {
                    picks.iter().map(move |pick| [&before[..], std::slice::from_ref(pick)].concat())
                })
                .collect();
        }
        let mut found: Vec<(f64, Vec<Pick>)> = Vec::new();
        for others in combinations {
            let so_far: f64 = others.iter().map(|pick| pick.ln_effect).sum();
            for pick in self.all[largest].offer.around(wanted - so_far, EACH_SIDE) {
                let effect = so_far + pick.ln_effect;
                let mut picks = others.clone();
                picks.insert(largest, pick);
                found.push((effect, picks));
            }
            if found.len() > 4096 {
                found = offers::nearest(found, wanted, EACH_SIDE, |one| one.0);
            }
        }
        let kept = offers::nearest(found, wanted, EACH_SIDE, |one| one.0);
        kept.into_iter().map(|(_, picks)| self.candidate(picks)).collect()
    }

    /// ln of R with every effect at zero: from the ratio as it reads now, else from the counts and what a unit stands for.
    pub(super) fn base(
        &self,
        vehicle: &Vehicle,
        ln_ratio: Option<f64>,
        estimate: &VehicleEstimate,
    ) -> Option<f64> {
        if let (Some(present), Some(ln_ratio)) = (self.present(), ln_ratio) {
            return Some(ln_ratio - present.ln_effect);
        }
        let known = &estimate.over_all;
        let part = self.all.iter().find(|part| part.adjuster.kind.decides_a_mile())?;
        let multiplied = self.all.iter().filter(|other| !other.adjuster.kind.decides_a_mile());
        let now = multiplied
            .map(|part| part.offer.present.as_ref().map(|pick| pick.ln_effect))
            .sum::<Option<f64>>()?;
        let per_mile = match &part.adjuster.kind {
            AdjusterKind::DeclaredTireAxle(_) => {
                let sees_axle = vehicle.chain.links().contains(&Link::Axle);
                let axle = match sees_axle {
                    true => vehicle.chain.axle_ratio.single()?.ratio().plain().ln(),
                    false => 0.0,
                };
                known.revs?.value.per_mi().ln() + axle
            }
            _ => known.counts?.value.per_mi().ln() - per_unit(part.adjuster)?.per_mi().ln(),
        };
        Some(per_mile - now)
    }
}

/// Counts per mile that one unit of a constant stands for, where known.
pub(super) fn per_unit(adjuster: &Adjuster) -> Option<PerLength> {
    match &adjuster.kind {
        AdjusterKind::SteppedConstant(it) => it.per_unit.map(PerUnit::per_length),
        AdjusterKind::FreeConstant(it) => Some(match it.unit {
            ConstantUnit::PulsesPerMile => PerLength::from_per_mi(1.0),
            ConstantUnit::PulsesPerKm => PerLength::from_per_km(1.0),
        }),
        _ => None,
    }
}

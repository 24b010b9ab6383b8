//! What one adjuster offers: settings, each with what it adds to ln R.
//!
//! Whatever is set multiplies R, so every kind of adjuster is the same thing here: a set of ln effects, of which those
//! nearest to a wanted one can be asked for. A set is a union of runs; long runs are searched and never listed.

use crate::describe::adjuster::setting::{DeclaredSetting, Setting};
use crate::describe::adjuster::{Adjuster, AdjusterKind, Button, PulseRange, SteppedConstant};
use crate::describe::chain::axle::AxleRatio;
use crate::describe::file::decimal::to_f64;
use crate::describe::file::fraction::Fraction;
use crate::describe::vehicle::Vehicle;
use metrology::ratio;
use rust_decimal::Decimal;

/// One setting of one adjuster.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Pick {
    pub setting: Setting,
    /// What it adds to ln R, counted from a setting of one (or, for tires, from those on the truck).
    pub ln_effect: f64,
    /// Standard uncertainty of that, where the setting itself is not exact: tires.
    pub u_effect: f64,
    /// ln of the declared axle over the true one, where they are known to differ.
    pub misled_by: f64,
}

impl Pick {
    pub(super) fn exact(setting: Setting, ln_effect: f64) -> Self {
        Self { setting, ln_effect, u_effect: 0.0, misled_by: 0.0 }
    }

    /// The number of the setting on its own axis, for drawing.
    pub(super) fn value(&self) -> f64 {
        match &self.setting {
            Setting::Number(value) => to_f64(*value),
            Setting::Pair(pair) => pair.ratio().plain(),
            Setting::Declared(it) => {
                to_f64(it.revs_per_mile) * it.axle_ratio.as_ref().map_or(1.0, |axle| axle.ratio().plain())
            }
            Setting::Named(_) => self.ln_effect.exp(),
        }
    }
}

/// A run of settings in order.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Run {
    /// Numbers in even steps that divide; for a declared pair, with the axle that is declared beside them.
    Even { first: Decimal, step: Decimal, count: u64, axle: Option<DeclaredAxle> },
    /// Every fraction up to these, which multiplies.
    Fractions { numerator_max: u32, denominator_max: u32 },
    /// Sums of switch weights over a number, which multiply.
    Sums { weights: Vec<u32>, denominator: u32 },
    /// Few enough to list.
    Listed(Vec<Pick>),
}

/// An axle that a module can be told.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct DeclaredAxle {
    axle: AxleRatio,
    /// What declaring it adds to ln R: nothing where the sensor sits after the axle.
    ln_effect: f64,
    misled_by: f64,
}

/// All that one adjuster offers.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Offer {
    runs: Vec<Run>,
    /// What is set now, where that is said.
    pub present: Option<Pick>,
}

impl Offer {
    /// Settings by few enough hands to list.
    pub(super) fn listed(picks: Vec<Pick>, present: Option<Pick>) -> Self {
        Self { runs: vec![Run::Listed(picks)], present }
    }

    /// What an adjuster offers; none for tires, whose effect hangs on what is known of them.
    pub(super) fn new(adjuster: &Adjuster, vehicle: &Vehicle) -> Option<Self> {
        let runs = runs(adjuster, vehicle)?;
        let present = adjuster.present().and_then(|setting| pick(adjuster, vehicle, &setting));
        Some(Self { runs, present })
    }

    /// How many settings there are, repetitions of one value included.
    pub(super) fn len(&self) -> u64 {
        self.runs.iter().map(Run::len).fold(0, u64::saturating_add)
    }

    /// The settings nearest to a wanted effect, up to `each_side` on either side of it and ascending in effect.
    pub(super) fn around(&self, wanted: f64, each_side: usize) -> Vec<Pick> {
        let all: Vec<Pick> = self.runs.iter().flat_map(|run| run.around(wanted, each_side)).collect();
        nearest(all, wanted, each_side, |pick| pick.ln_effect)
    }

    /// The least and the greatest effect.
    pub(super) fn ends(&self) -> (f64, f64) {
        let far = [-12.0, 12.0].map(|wanted| self.around(wanted, 1));
        let effects = far.iter().flatten().map(|pick| pick.ln_effect);
        effects.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), ln| (low.min(ln), high.max(ln)))
    }

    /// Every setting; for small sets.
    pub(super) fn all(&self) -> Vec<Pick> {
        let everything = usize::try_from(self.len()).unwrap_or(usize::MAX);
        self.around(0.0, everything)
    }
}

/// Those on either side of a place that lie nearest to it, ascending.
pub(super) fn nearest<T>(
    mut all: Vec<T>,
    wanted: f64,
    each_side: usize,
    place: impl Fn(&T) -> f64,
) -> Vec<T> {
    all.sort_by(|a, b| place(a).total_cmp(&place(b)));
    let above = all.partition_point(|one| place(one) <= wanted);
    all.truncate(above.saturating_add(each_side));
    all.drain(..above.saturating_sub(each_side));
    all
}

impl Run {
    fn len(&self) -> u64 {
        match self {
            Self::Even { count, .. } => *count,
            Self::Fractions { numerator_max, denominator_max } => {
                u64::from(*numerator_max) * u64::from(*denominator_max)
            }
            Self::Sums { weights, .. } => 1_u64.checked_shl(weights.len() as u32).unwrap_or(u64::MAX),
            Self::Listed(picks) => picks.len() as u64,
        }
    }

    fn around(&self, wanted: f64, each_side: usize) -> Vec<Pick> {
        match self {
            Self::Listed(picks) => picks.clone(),
            Self::Even { first, step, count, axle } => {
                let told = axle.as_ref().map_or(0.0, |axle| axle.ln_effect);
                // ln effect = told - ln value
                let place = ((told - wanted).exp() - to_f64(*first)) / to_f64(*step);
                let middle = place.clamp(0.0, (*count - 1) as f64) as u64;
                let reach = (each_side as u64).saturating_add(1);
                let range = middle.saturating_sub(reach)..=middle.saturating_add(reach).min(count - 1);
                range.map(|index| even(*first + *step * Decimal::from(index), axle.as_ref())).collect()
            }
            Self::Fractions { numerator_max, denominator_max } => {
                ratio::around(wanted.exp(), *numerator_max, *denominator_max, each_side)
                    .into_iter()
                    .filter_map(|(n, d)| Fraction::new(n, d).map(multiplying))
                    .collect()
            }
            Self::Sums { weights, denominator } => {
                let target = wanted.exp() * f64::from(*denominator);
                let sums = ratio::sums_around(weights, target, each_side).unwrap_or_default();
                let pair = |sum: u64| Fraction::new(u32::try_from(sum).ok()?, *denominator).map(multiplying);
                sums.into_iter().filter_map(pair).collect()
            }
        }
    }
}

fn even(value: Decimal, axle: Option<&DeclaredAxle>) -> Pick {
    let Some(axle) = axle else {
        return Pick::exact(Setting::Number(value), -to_f64(value).ln());
    };
    let told = DeclaredSetting { revs_per_mile: value, axle_ratio: Some(axle.axle.clone()) };
    Pick {
        misled_by: axle.misled_by,
        ..Pick::exact(Setting::Declared(told), axle.ln_effect - to_f64(value).ln())
    }
}

fn multiplying(pair: Fraction) -> Pick {
    Pick::exact(Setting::Pair(pair), pair.ratio().plain().ln())
}

fn ring(teeth: u32) -> Pick {
    Pick::exact(Setting::Number(teeth.into()), f64::from(teeth).ln())
}

/// The first value that the buttons lead to from what is stored, and how many there are: without both buttons and without a
/// passage from end to end, only those on one side.
pub(super) fn in_reach(it: &SteppedConstant) -> (Decimal, u64) {
    let all = (it.grid.min(), it.grid.len());
    let (up, down) = (it.buttons.contains(&Button::Up), it.buttons.contains(&Button::Down));
    let Some((present, place)) = it.present.and_then(|value| Some((value, it.grid.index_of(value)?))) else {
        return all;
    };
    match (it.wraps || up == down, up) {
        (true, _) => all,
        (false, true) => (present, it.grid.len() - place),
        (false, false) => (it.grid.min(), place + 1),
    }
}

fn runs(adjuster: &Adjuster, vehicle: &Vehicle) -> Option<Vec<Run>> {
    let plain = |first, step, count| vec![Run::Even { first, step, count, axle: None }];
    Some(match &adjuster.kind {
        AdjusterKind::SteppedConstant(it) => {
            let (first, count) = in_reach(it);
            plain(first, it.grid.step(), count)
        }
        AdjusterKind::FreeConstant(it) => plain(it.min.into(), Decimal::ONE, u64::from(it.max - it.min) + 1),
        AdjusterKind::GearPair(it) => vec![Run::Listed(it.pairs().into_iter().map(multiplying).collect())],
        AdjusterKind::PulseRatio(it) => vec![match &it.range {
            PulseRange::Free { numerator_max, denominator_max } => {
                Run::Fractions { numerator_max: *numerator_max, denominator_max: *denominator_max }
            }
            PulseRange::Switches { weights, denominator } => {
                Run::Sums { weights: weights.clone(), denominator: *denominator }
            }
        }],
        AdjusterKind::DeclaredTireAxle(it) => {
            let grid = |axle| Run::Even {
                first: it.revs_per_mile.min(),
                step: it.revs_per_mile.step(),
                count: it.revs_per_mile.len(),
                axle,
            };
            let axles = it.axle_ratios.iter().map(|axle| grid(Some(declared(axle, vehicle))));
            let runs: Vec<Run> = axles.collect();
            if runs.is_empty() { vec![grid(None)] } else { runs }
        }
        AdjusterKind::CableAdapter(it) => {
            vec![Run::Listed(it.ratios.iter().copied().map(multiplying).collect())]
        }
        AdjusterKind::ToneRing(it) => vec![Run::Listed(it.teeth.iter().copied().map(ring).collect())],
        AdjusterKind::Tires(_) => return None,
    })
}

fn declared(axle: &AxleRatio, vehicle: &Vehicle) -> DeclaredAxle {
    let ln = axle.ratio().plain().ln();
    let sees_axle = vehicle.chain.links().contains(&crate::describe::chain::Link::Axle);
    let misled_by = match vehicle.chain.axle_ratio.single() {
        Some(fitted) if !fitted.agrees_with(axle) => ln - fitted.ratio().plain().ln(),
        _ => 0.0,
    };
    DeclaredAxle { axle: axle.clone(), ln_effect: if sees_axle { -ln } else { 0.0 }, misled_by }
}

/// A setting of an adjuster with its effect; none where the setting is of another kind.
pub(super) fn pick(adjuster: &Adjuster, vehicle: &Vehicle, setting: &Setting) -> Option<Pick> {
    Some(match (&adjuster.kind, setting) {
        (AdjusterKind::ToneRing(_), Setting::Number(teeth)) => {
            Pick::exact(setting.clone(), to_f64(*teeth).ln())
        }
        (AdjusterKind::Tires(_), _) => return None,
        (_, Setting::Number(value)) => even(*value, None),
        (_, Setting::Pair(pair)) => multiplying(*pair),
        (_, Setting::Declared(it)) => match &it.axle_ratio {
            Some(axle) => even(it.revs_per_mile, Some(&declared(axle, vehicle))),
            None => even(it.revs_per_mile, None),
        },
        (_, Setting::Named(_)) => return None,
    })
}

//! What is believed of the reading, laid over the settings in reach.

use super::options::{Candidate, Parts};
use super::worth::weighed;
use super::{Scored, readers};
use crate::describe::adjuster::AdjusterKind;
use crate::describe::chain::Link;
use crate::describe::thresholds::Thresholds;
use crate::describe::usage::MakeTrue;
use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::VehicleEstimate;
use crate::rules::{ReadingModel, Rule, What, chance_of_breaking};
use metrology::measured::{Measured, normal_cdf};
use metrology::quantity::{Quantity, Ratio};

/// Steps in which the mean ln R is tried outward for one that keeps a rule, and how far: no band is narrower or farther.
const RULE_STEP: f64 = 0.0005;
const RULE_STEPS: u32 = 600;
/// Halvings of such a step: down to a millionth of it.
const RULE_HALVINGS: u32 = 20;
/// How far, in u, and at how many places to either side the settings are looked for that may yet become the best.
const FARTHEST_U: f64 = 5.0;
const REACH_PLACES: i32 = 100;
/// An axle declared within this of the true one (ln) is the true one in another notation.
const SAME_AXLE: f64 = 0.002;

/// The belief about the quantity that is to be true, with the judge of the rule beside it.
pub(super) struct Study<'v> {
    pub vehicle: &'v Vehicle,
    pub parts: Parts<'v>,
    /// ln of what is to be true, with every effect at zero.
    pub base: f64,
    /// Standard uncertainty of it.
    pub u: f64,
    dof: f64,
    /// How far the ends of its 95 % interval lie from it, in ln: over several hypotheses not alike to both sides.
    ends: (f64, f64),
    pub rule: Rule,
    /// What the rule judges, beside what is made true: shift of the mean and its own uncertainty.
    judged_shift: f64,
    pub judged_u: f64,
    /// The settings looked at, ascending in their effect, what is set now among them where it is known.
    pub candidates: Vec<Candidate>,
    /// What it is decided by.
    pub thresholds: Thresholds,
    /// Writes to keep.
    reserve: u32,
}

/// How steeply a chance of breaking a rule beyond what is permitted is paid for: each hundredth as much as a write must bring
/// (judgement). There is no cliff: a setting that breaks it a little more often may be taken where it is much truer.
const PRICE_PER_CHANCE: f64 = 100.0;

impl<'v> Study<'v> {
    /// None where the ratio cannot be known.
    pub(super) fn new(
        vehicle: &'v Vehicle,
        estimate: &VehicleEstimate,
        parts: Parts<'v>,
        rule: Rule,
        reserve: u32,
    ) -> Option<Study<'v>> {
        let (distance, needle) = (estimate.over_all.distance_ratio, estimate.over_all.needle_ratio);
        let wanted = match vehicle.usage.make_true {
            MakeTrue::Distance => distance,
            MakeTrue::Needle => needle,
        };
        let base = parts.base(vehicle, wanted.map(|ratio| ratio.value.plain().ln()), estimate)?;
        let instead = || estimate.over_all.counts.or(estimate.over_all.revs).as_ref().map(relative);
        let (u, dof, ends) = wanted.as_ref().map(relative).or_else(instead)?;
        let judged = if rule.what == What::Dial { needle.or(distance) } else { distance.or(needle) };
        let (judged_shift, judged_u) = match (judged, wanted) {
            (Some(judged), Some(wanted)) => {
                ((judged.value.plain() / wanted.value.plain()).ln(), judged.relative_uncertainty().plain())
            }
            _ => (0.0, u),
        };
        let mut study = Study {
            vehicle,
            parts,
            base,
            u,
            dof,
            ends,
            rule,
            judged_shift,
            judged_u,
            candidates: Vec::new(),
            thresholds: vehicle.usage.thresholds,
            reserve,
        };
        study.candidates = study.gather();
        (!study.candidates.is_empty()).then_some(study)
    }

    fn gather(&self) -> Vec<Candidate> {
        let targets = std::iter::once(0.0).chain(self.rule_edges());
        let mut all: Vec<Candidate> = targets.flat_map(|mean| self.parts.around(mean - self.base)).collect();
        all.extend(self.parts.present());
        all.sort_by(|a, b| a.ln_effect.total_cmp(&b.ln_effect).then(a.changed.len().cmp(&b.changed.len())));
        let mut kept: Vec<Candidate> = Vec::new();
        for one in all {
            let known = |other: &&Candidate| {
                other.picks.iter().zip(&one.picks).all(|(a, b)| a.setting.same_as(&b.setting))
            };
            // What is the same has the same effect, up to rounding.
            let near = kept.iter().rev().take_while(|other| one.ln_effect - other.ln_effect < 1e-12);
            if near.into_iter().find(known).is_none() {
                kept.push(one);
            }
        }
        kept
    }

    /// How far from the truth the rule begins to be kept with another uncertainty of what it judges.
    pub(super) fn edge_with(&self, judged_u: f64) -> Option<f64> {
        let other = Study {
            judged_u,
            candidates: Vec::new(),
            rule: self.rule.clone(),
            parts: self.parts.clone(),
            ..*self
        };
        other.rule_edges().into_iter().map(f64::abs).min_by(f64::total_cmp)
    }

    /// Where the rule begins to be kept to either side of the truth; empty where the truth itself keeps it.
    fn rule_edges(&self) -> Vec<f64> {
        let keeps = |mean: f64| self.breaking(mean, 0.0).is_none_or(|chance| self.permits(chance));
        if keeps(0.0) {
            return Vec::new();
        }
        let edge = |sign: f64| {
            let at = |k: u32| sign * RULE_STEP * f64::from(k);
            let first = (1..=RULE_STEPS).find(|k| keeps(at(*k)))?;
            let (mut out, mut within) = (at(first - 1), at(first));
            for _ in 0..RULE_HALVINGS {
                let middle = 0.5 * (out + within);
                if keeps(middle) { within = middle } else { out = middle }
            }
            Some(within)
        };
        [1.0, -1.0].into_iter().filter_map(edge).collect()
    }

    /// Whether the sensor sees the turns of the propeller shaft.
    pub(super) fn sees_axle(&self) -> bool {
        self.vehicle.chain.links().contains(&Link::Axle)
    }

    /// The mean ln R to aim at: zero, or the edge of the rule on the side of the best.
    pub(super) fn aim(&self, best_mean: f64) -> f64 {
        let edges = self.rule_edges().into_iter();
        edges.min_by(|a, b| (a - best_mean).abs().total_cmp(&(b - best_mean).abs())).unwrap_or(0.0)
    }

    /// ln R with the present settings, where these are known.
    pub(super) fn mean_now(&self) -> Option<f64> {
        self.parts.present().map(|present| self.base + present.ln_effect)
    }

    pub(super) fn mean_at(&self, index: usize) -> f64 {
        self.base + self.candidates[index].ln_effect
    }

    fn u_at(&self, index: usize) -> f64 {
        f64::hypot(self.u, self.candidates[index].u_effect)
    }

    pub(super) fn breaking(&self, mean: f64, u_effect: f64) -> Option<f64> {
        if !self.rule.constrains_choice {
            return None;
        }
        // The number of degrees of freedom moves these chances by far less than the threshold matters.
        let u = f64::hypot(self.judged_u, u_effect);
        let model = ReadingModel::of_ratio(mean + self.judged_shift, u, f64::INFINITY);
        Some(chance_of_breaking(&self.rule, &model, self.vehicle.usage.top_speed).plain())
    }

    pub(super) fn rms_at(&self, index: usize) -> f64 {
        f64::hypot(self.mean_at(index), self.u_at(index))
    }

    fn breaking_at(&self, index: usize) -> Option<f64> {
        self.breaking(self.mean_at(index), self.candidates[index].u_effect)
    }

    pub(super) fn scored(&self, index: usize) -> Scored {
        self.scored_as(&self.candidates[index])
    }

    /// What a setting makes of the reading.
    pub(super) fn scored_as(&self, candidate: &Candidate) -> Scored {
        let (mean, u) = (self.base + candidate.ln_effect, f64::hypot(self.u, candidate.u_effect));
        let is_present = self.parts.present().is_some() && candidate.changed.is_empty();
        let of = |at: &usize| {
            let adjuster = self.parts.all[*at].adjuster;
            let place = self.vehicle.adjusters.iter().position(|one| std::ptr::eq(one, adjuster));
            (place.unwrap_or(0), candidate.picks[*at].setting.clone())
        };
        let counts = |at: &&usize| self.parts.all[**at].adjuster.writes_left.is_some();
        let misled_by = candidate.misled_by();
        Scored {
            label: self.label(candidate),
            value: candidate.picks.first().map_or(1.0, |pick| pick.value()),
            expected_ratio: self.ratio_at(mean, u),
            rms: Ratio::from_plain(f64::hypot(mean, u)),
            chance_of_breaking: self.breaking(mean, candidate.u_effect).map(Ratio::from_plain),
            is_present,
            settings: candidate.changed.iter().map(of).collect(),
            writes: candidate.changed.iter().filter(counts).count(),
            readers: readers::changes(self.vehicle, &self.parts, candidate),
            misled_by: (misled_by.abs() > SAME_AXLE).then(|| Ratio::from_plain(misled_by.exp())),
        }
    }

    /// The belief moved to another mean, its ends spread as `u` is.
    fn ratio_at(&self, mean: f64, u: f64) -> Measured<Ratio> {
        let spread = if self.u > 0.0 { u / self.u } else { 1.0 };
        let at = |end: f64| Ratio::from_plain((mean + spread * end).exp());
        let (low_95, high_95) = (at(self.ends.0), at(self.ends.1));
        Measured { low_95, high_95, ..Measured::from_log(mean, u, self.dof) }
    }

    /// One setting by itself; several with the names of what is set.
    fn label(&self, candidate: &Candidate) -> String {
        if let [only] = candidate.picks.as_slice() {
            return only.setting.to_string();
        }
        let named = self.parts.all.iter().zip(&candidate.picks);
        let named: Vec<String> =
            named.map(|(part, pick)| format!("{} {}", part.adjuster.spoken(), pick.setting)).collect();
        named.join(", ")
    }

    /// The expected error with the slow side counting more; and what a write must bring beside that for each adjuster set
    /// beside the first, for an axle declared falsely, and for the last write where something that costs none can be set:
    /// none of these is done for less.
    fn cost(&self, index: usize) -> f64 {
        let candidate = &self.candidates[index];
        let beside = candidate.changed.len().saturating_sub(1);
        let misleads = !candidate.changed.is_empty() && candidate.misled_by().abs() > SAME_AXLE;
        let dear = beside + usize::from(misleads) + usize::from(self.spends_the_last(candidate));
        let error = f64::hypot(weighed(self.mean_at(index), &self.thresholds), self.u_at(index));
        error + self.thresholds.worth_a_write.plain() * dear as f64
    }

    /// Whether it takes the last write that may be spent while another adjuster costs none.
    fn spends_the_last(&self, candidate: &Candidate) -> bool {
        let last = |at: &usize| {
            let left = self.parts.all[*at].adjuster.writes_left;
            left.is_some_and(|left| left == self.reserve.saturating_add(1))
        };
        candidate.changed.iter().any(last) && self.parts.all.iter().any(|part| part.adjuster.is_free())
    }

    /// What a chance of breaking the rule beyond what is permitted costs.
    fn risk_price(&self, index: usize) -> f64 {
        let beyond = self
            .breaking_at(index)
            .map_or(0.0, |chance| (chance - self.thresholds.chance_of_breaking.plain()).max(0.0));
        PRICE_PER_CHANCE * self.thresholds.worth_a_write.plain() * beyond
    }

    pub(super) fn permits(&self, chance: f64) -> bool {
        chance <= self.thresholds.chance_of_breaking.plain()
    }

    fn keeps(&self, index: usize) -> bool {
        self.breaking_at(index).is_none_or(|chance| self.permits(chance))
    }

    /// The least of a cost; of equals, what changes fewer adjusters.
    fn least(&self, among: impl Fn(usize) -> bool, cost: impl Fn(usize) -> f64) -> Option<usize> {
        let changed = |index: usize| self.candidates[index].changed.len();
        let those = (0..self.candidates.len()).filter(|index| among(*index));
        those.min_by(|a, b| cost(*a).total_cmp(&cost(*b)).then(changed(*a).cmp(&changed(*b))))
    }

    /// The truest setting, what it takes and what it risks counted; and whether the rule can be kept by any.
    pub(super) fn best(&self) -> (usize, bool) {
        let can_be_kept = (0..self.candidates.len()).any(|index| self.keeps(index));
        let price = |index: usize| if can_be_kept { self.risk_price(index) } else { 0.0 };
        let best = self.least(|_| true, |index| self.cost(index) + price(index));
        (best.unwrap_or(0), can_be_kept)
    }

    /// The best of those that keep the rule.
    pub(super) fn best_kept(&self) -> Option<usize> {
        self.least(|index| self.keeps(index), |index| self.cost(index))
    }

    /// The setting with the least expected error of those reached by the same means, whichever side it lies on.
    pub(super) fn truest_beside(&self, index: usize) -> usize {
        let family = self.family(index);
        family.into_iter().min_by(|a, b| self.rms_at(*a).total_cmp(&self.rms_at(*b))).unwrap_or(index)
    }

    /// The best setting of each adjuster by itself.
    pub(super) fn best_alone(&self) -> Vec<usize> {
        let alone = |part: usize| {
            let only = move |candidate: &Candidate| candidate.changed == [part];
            self.least(|index| only(&self.candidates[index]), |index| self.cost(index))
        };
        (0..self.parts.all.len()).filter_map(alone).collect()
    }

    /// The settings reached by the same means as another one, ascending; itself among them.
    pub(super) fn family(&self, index: usize) -> Vec<usize> {
        let one = &self.candidates[index];
        let alike = |other: &Candidate| {
            let by_the_same = match one.changed.is_empty() {
                true => other.changed.len() <= 1,
                false => other.changed.iter().all(|part| one.changed.contains(part)),
            };
            by_the_same && (other.misled_by() - one.misled_by()).abs() < SAME_AXLE
        };
        (0..self.candidates.len()).filter(|at| *at == index || alike(&self.candidates[*at])).collect()
    }

    /// ln R to the next setting below and above, where there is one.
    fn gaps(&self, index: usize) -> (Option<f64>, Option<f64>) {
        let family = self.family(index);
        let at = family.iter().position(|one| *one == index).unwrap_or(0);
        let gap =
            |other: Option<&usize>| other.map(|other| (self.mean_at(*other) - self.mean_at(index)).abs());
        (gap(at.checked_sub(1).and_then(|below| family.get(below))), gap(family.get(at + 1)))
    }

    /// Mean ln R of every setting that a measurement may make the best, reached by the same means; ascending.
    pub(super) fn reach(&self, best: usize) -> Vec<f64> {
        let aim = self.aim(self.mean_at(best));
        let mut means: Vec<f64> = self.family(best).into_iter().map(|index| self.mean_at(index)).collect();
        // A measurement moves the mean by a few u; with several parts those near the best stand for all.
        if let [part] = self.parts.all.as_slice() {
            let misled_by = self.candidates[best].misled_by();
            let steps = (-REACH_PLACES..=REACH_PLACES)
                .map(|k| FARTHEST_U * self.u * f64::from(k) / f64::from(REACH_PLACES));
            let picks = steps.flat_map(|wanted| part.offer.around(aim + wanted - self.base, 1));
            let alike = picks.filter(|pick| (pick.misled_by - misled_by).abs() < SAME_AXLE);
            means.extend(alike.map(|pick| self.base + pick.ln_effect));
        }
        means.sort_by(f64::total_cmp);
        means.dedup();
        means
    }

    /// Probability that the truth lies nearer to this setting than to any other of its family.
    pub(super) fn probability_nearest(&self, index: usize) -> f64 {
        let mean = self.mean_at(index);
        let (below, above) = self.gaps(index);
        // The truth is where ln R with this setting is zero; the setting below would make it higher.
        let cdf = |x: f64| normal_cdf((x - mean) / self.u.max(1e-12));
        let half = |gap: Option<f64>| gap.map_or(f64::INFINITY, |gap| 0.5 * gap);
        cdf(half(below)) - cdf(-half(above))
    }

    pub(super) fn present_index(&self) -> Option<usize> {
        self.parts.present()?;
        self.candidates.iter().position(|candidate| candidate.changed.is_empty())
    }

    /// Fewest writes left of what a setting changes; none where no write is counted.
    pub(super) fn writes_left(&self, index: usize) -> Option<u32> {
        let changed = &self.candidates[index].changed;
        let left = |at: &usize| self.parts.all[*at].adjuster.writes_left;
        match changed.is_empty() {
            true => self.parts.all.iter().filter_map(|part| part.adjuster.writes_left).min(),
            false => changed.iter().filter_map(left).min(),
        }
    }

    /// A free constant whose writes are not counted can be stored again at no price.
    pub(super) fn writes_are_free(&self, index: usize) -> bool {
        let free = |at: usize| {
            let adjuster = self.parts.all[at].adjuster;
            adjuster.writes_left.is_none() && matches!(adjuster.kind, AdjusterKind::FreeConstant(_))
        };
        let changed = &self.candidates[index].changed;
        match changed.is_empty() {
            true => (0..self.parts.all.len()).all(free),
            false => changed.iter().all(|at| free(*at)),
        }
    }
}

/// Relative uncertainty, degrees of freedom, and how far the ends of the 95 % interval lie, in ln.
fn relative<Q: Quantity>(measured: &Measured<Q>) -> (f64, f64, (f64, f64)) {
    let end = |end: Q| (end.si() / measured.value.si()).ln();
    (measured.relative_uncertainty().plain(), measured.dof, (end(measured.low_95), end(measured.high_95)))
}

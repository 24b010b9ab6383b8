//! The miles to come: which setting to hold over which tires with the writes that are left.
//!
//! Over a run of miles the loss of a setting is a parabola in its ln effect, so the best setting of a run is one of the two
//! beside the run's weighted mean. With the neighbours of every run's mean the set of settings is therefore complete, however
//! large the adjuster's own set is, and the dynamic programme over it is exact.

use super::options::Candidate;
use super::reason::Reason;
use super::reason::json::{metres, plain};
use super::study::Study;
use super::{Scored, tires};
use crate::describe::adjuster::AdjusterKind;
use crate::describe::tire::ahead::Ahead;
use crate::measure::fusion::VehicleEstimate;
use crate::problem::Problem;
use metrology::plan::{Plan, Span, compromise, plan};
use metrology::quantity::{Length, Ratio};
use schemars::JsonSchema;
use serde::Serialize;

/// Parts into which a stretch is cut over which the tread wears.
const PARTS_OF_WEAR: usize = 4;

/// One stretch with the setting to hold.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Held {
    /// The tires.
    pub tires: String,
    /// How far, in metres.
    #[serde(rename = "distance_m", serialize_with = "metres")]
    #[schemars(with = "f64")]
    pub distance: Length,
    /// What is to be set over it.
    pub label: String,
    /// Indicated over true with it.
    #[serde(serialize_with = "plain")]
    #[schemars(with = "f64")]
    pub expected_ratio: Ratio,
}

/// The plan for the miles to come. Every RMS is that of the mean ln R over all of them; what is uncertain today comes beside it.
#[derive(Clone, Debug, PartialEq)]
pub struct Outlook {
    /// What to hold over each stretch.
    pub held: Vec<Held>,
    /// Changes of the setting in it.
    pub writes: usize,
    /// Its RMS.
    pub rms: Ratio,
    /// RMS by the number of changes allowed, from none to all there are.
    pub rms_by_writes: Vec<Ratio>,
    /// The one setting for all of it, and its RMS.
    pub compromise: (String, Ratio),
    /// RMS when nothing is set until the tires or the axle change, with the same writes from then on.
    pub waiting: Option<Ratio>,
    /// Changes made in that case.
    pub waiting_writes: usize,
    /// What to set first; none where what is set now stays.
    pub first: Option<Scored>,
}

impl Outlook {
    /// What there is to say of the road to come.
    pub(super) fn reasons(&self) -> Vec<Reason> {
        let (setting, rms) = self.compromise.clone();
        let mut all = vec![
            Reason::RoadToCome { held: self.held.clone(), writes: self.writes, rms: self.rms },
            Reason::OneForAll { setting, rms },
        ];
        let writes_saved = self.writes.saturating_sub(self.waiting_writes);
        all.extend(self.waiting.map(|rms| Reason::Waiting { writes_saved, rms }));
        all
    }
}

/// Where each part of the way belongs and what it wants.
struct Way {
    /// For each span, the stretch of the file.
    stretch: Vec<usize>,
    spans: Vec<Span>,
}

/// Plans the miles to come; none without a plan in the file, or where nothing is known of the tires or of what is set now.
pub(super) fn outlook(
    source: &str,
    study: &Study,
    estimate: &VehicleEstimate,
    reserve: u32,
) -> Result<Option<Outlook>, Problem> {
    let ahead = &study.vehicle.ahead;
    let movable =
        study.parts.all.iter().position(|part| !matches!(part.adjuster.kind, AdjusterKind::Tires(_)));
    let (Some(part), Some(present), false) = (movable, study.parts.present(), ahead.is_empty()) else {
        return Ok(None);
    };
    let Some(way) = way(source, study, estimate)? else { return Ok(None) };
    let candidates = candidates(study, &present, part, &way.spans);
    let effects: Vec<f64> = candidates.iter().map(|candidate| candidate.ln_effect).collect();
    let start = candidates.iter().position(|candidate| candidate.changed.is_empty());
    let writes = study.parts.all[part].adjuster.writes_left;
    let writes = writes.map_or(way.spans.len(), |left| left.saturating_sub(reserve) as usize);
    let Some(best) = plan(&way.spans, &effects, start, writes) else { return Ok(None) };
    let all: f64 = way.spans.iter().map(|span| span.weight).sum();
    let rms = |loss: f64| Ratio::from_plain((loss / all).sqrt());
    let by_writes = (0..=writes.min(best.changes)).filter_map(|k| plan(&way.spans, &effects, start, k));
    let rms_by_writes = by_writes.map(|plan| rms(plan.loss)).collect();
    let single = compromise(&way.spans, &effects).unwrap_or((0, f64::INFINITY));
    let waiting = waiting(&way, ahead, &effects, start, writes);
    let first = &candidates[best.options[0]];
    Ok(Some(Outlook {
        held: held(study, ahead, &way, &candidates, &best),
        writes: best.changes,
        rms: rms(best.loss),
        rms_by_writes,
        compromise: (study.scored_as(&candidates[single.0]).label, rms(single.1)),
        waiting: waiting.as_ref().map(|waiting| rms(waiting.loss)),
        waiting_writes: waiting.map_or(0, |waiting| waiting.changes),
        first: (!first.changed.is_empty()).then(|| study.scored_as(first)),
    }))
}

/// The spans with the effect each wants.
fn way(source: &str, study: &Study, estimate: &VehicleEstimate) -> Result<Option<Way>, Problem> {
    let Some(now) = tires::mounted(study.vehicle, estimate) else { return Ok(None) };
    let fitted = study.vehicle.chain.axle_ratio.single().map(|axle| axle.ratio().plain().ln());
    let mut way = Way { stretch: Vec::new(), spans: Vec::new() };
    for (index, stretch) in study.vehicle.ahead.iter().enumerate() {
        let mut shift = 0.0;
        if let (Some(axle), Some(fitted), true) = (&stretch.axle_ratio, fitted, study.sees_axle()) {
            shift += axle.ratio().plain().ln() - fitted;
        }
        let parts = tires::over(study.vehicle, stretch, now, PARTS_OF_WEAR)
            .map_err(|problem| Problem { source: source.into(), ..problem.at_line(stretch.line) })?;
        for part in &parts {
            let weight = stretch.distance.mi() / parts.len() as f64;
            way.stretch.push(index);
            way.spans.push(Span { weight, wanted: -(study.base + shift + part) });
        }
    }
    Ok(Some(way))
}

/// What is set now, and the neighbours of the mean of every run of spans.
fn candidates(study: &Study, present: &Candidate, part: usize, spans: &[Span]) -> Vec<Candidate> {
    let others = present.ln_effect - present.picks[part].ln_effect;
    let mut all = vec![present.clone()];
    for from in 0..spans.len() {
        let (mut weight, mut sum) = (0.0, 0.0);
        for span in &spans[from..] {
            weight += span.weight;
            sum += span.weight * span.wanted;
            for pick in study.parts.all[part].offer.around(sum / weight - others, 1) {
                let mut picks = present.picks.clone();
                picks[part] = pick;
                all.push(study.parts.candidate(picks));
            }
        }
    }
    all.retain(|candidate| candidate.changed.is_empty() || candidate.misled_by().abs() < 1e-9);
    all.sort_by(|a, b| a.ln_effect.total_cmp(&b.ln_effect).then(a.changed.len().cmp(&b.changed.len())));
    all.dedup_by(|later, kept| later.picks == kept.picks);
    all
}

/// The best plan that begins by leaving everything until the first change of tires or axle.
fn waiting(way: &Way, ahead: &[Ahead], effects: &[f64], start: Option<usize>, writes: usize) -> Option<Plan> {
    let is_as_now =
        |index: usize| ahead[index].tires == ahead[0].tires && ahead[index].axle_ratio == ahead[0].axle_ratio;
    let until = way.stretch.iter().position(|index| !is_as_now(*index))?;
    let now = effects[start?];
    let left: f64 = way.spans[..until].iter().map(|span| span.weight * (now - span.wanted).powi(2)).sum();
    let then = plan(&way.spans[until..], effects, start, writes)?;
    Some(Plan { loss: then.loss + left, ..then })
}

fn held(study: &Study, ahead: &[Ahead], way: &Way, candidates: &[Candidate], plan: &Plan) -> Vec<Held> {
    let mut all: Vec<Held> = Vec::new();
    let mut last = None;
    for ((span, index), option) in way.spans.iter().zip(&way.stretch).zip(&plan.options) {
        let distance = Length::from_mi(span.weight);
        if last == Some((*index, *option))
            && let Some(before) = all.last_mut()
        {
            before.distance = before.distance + distance;
            continue;
        }
        last = Some((*index, *option));
        all.push(Held {
            tires: ahead[*index].tires.clone(),
            distance,
            label: study.scored_as(&candidates[*option]).label,
            expected_ratio: Ratio::from_plain((candidates[*option].ln_effect - span.wanted).exp()),
        });
    }
    all
}

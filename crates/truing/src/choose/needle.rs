//! A rule about the dial is not bought with the odometer's truth while the needle is only believed to be true.

use super::decide::Case;
use super::reason::Reason;
use super::study::Study;
use super::worth::Brings;
use super::{MeasurementKind, Prospect, Scored, Suggested};
use crate::describe::usage::MakeTrue;
use crate::measure::fusion::NEEDLE_U;
use crate::rules::What;
use metrology::quantity::Ratio;

/// The needle counts as believed only where this share of the prior's variance is left.
const STILL_PRIOR: f64 = 0.8;
/// An odometer that is off by less than this share for the rule pays nothing for it.
const PAYS_NOTHING: f64 = 0.001;
/// What called-out speeds leave of the needle's own gain, relative, one standard uncertainty: six readings and a fit with an
/// offset (judgement, as among the measurements).
const CALLED_U: f64 = 0.007;

/// The needle is to be measured before a setting is biased for the dial.
pub(super) struct NeedleFirst {
    /// How far the setting would be biased.
    bias: f64,
    /// By how much less once the needle is measured and found as believed.
    spared: f64,
}

/// Whether the rule would be bought on the needle's prior alone.
pub(super) fn first(study: &Study, best: &Scored, keeps_rule: bool) -> Option<NeedleFirst> {
    let by_dial = study.rule.constrains_choice && study.rule.what != What::Odometer;
    if !by_dial || !keeps_rule || study.vehicle.usage.make_true != MakeTrue::Distance {
        return None;
    }
    let gain = (study.judged_u.powi(2) - study.u.powi(2)).max(0.0);
    let bias = best.expected_ratio.value.plain().ln().abs();
    if gain < STILL_PRIOR * NEEDLE_U.powi(2) || bias < PAYS_NOTHING {
        return None;
    }
    let after = f64::hypot(study.u, CALLED_U);
    Some(NeedleFirst { bias, spared: (bias - study.edge_with(after).unwrap_or(0.0)).max(0.0) })
}

impl NeedleFirst {
    pub(super) fn reason(&self, case: &Case) -> Reason {
        Reason::RestsOnNeedle {
            rule: case.study.rule.id.to_string(),
            setting: case.best.label.clone(),
            bias: Ratio::from_plain(self.bias),
            standard_uncertainty: Ratio::from_plain(NEEDLE_U),
        }
    }

    /// Called-out speeds, where nothing holds them back.
    pub(super) fn suggested(&self, prospects: &[Prospect]) -> Option<Suggested> {
        let called = |it: &&Prospect| {
            it.measurement.kind == MeasurementKind::CalledSpeeds && it.held_back_by.is_empty()
        };
        let called = prospects.iter().find(called)?;
        Some(Suggested {
            measurement: called.measurement.clone(),
            leaves: Ratio::from_plain(CALLED_U),
            changes_decision: called.changes_decision,
            brings: Brings::TellsNeedle { by: Ratio::from_plain(self.spared) },
        })
    }
}

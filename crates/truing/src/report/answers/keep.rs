//! What of an answer goes into the record: entries ready to be added.

use crate::describe::adjuster::{Adjuster, AdjusterKind};
use crate::record::{ADJUSTER, CHANGES_SIGNAL, EventKind, Fields};
use crate::report::answers::choice::ChoiceReport;
use crate::report::answers::proof::ProofReport;
use crate::report::words::value::V;
use crate::rules::Verdict;

/// Kind and fields of an entry.
pub type Kept = (EventKind, Fields);

fn fields(pairs: impl IntoIterator<Item = (&'static str, Option<String>)>) -> Fields {
    let given = pairs.into_iter().filter_map(|(name, value)| Some((name.to_string(), value?)));
    given.filter(|(_, value)| !value.trim().is_empty()).collect()
}

/// With the digits that its uncertainty deserves, and one to spare.
fn ratio(v: &V) -> String {
    format!("{:.6} +/- {:.6}", v.value, v.standard_uncertainty)
}

impl ChoiceReport {
    /// The estimate it rests on, from which true distance is told, and the advice itself.
    pub fn kept(&self) -> Vec<Kept> {
        let estimate = self.present.as_ref().map(|present| {
            let what = Some("reading ratio".to_string());
            let setting = Some(present.label.clone());
            let reading = Some(ratio(&present.expected_ratio));
            (EventKind::Estimate, fields([("what", what), ("reading_ratio", reading), ("setting", setting)]))
        });
        let best = self.best.as_ref();
        let choice = fields([
            ("advice", Some(self.advice.word().to_string())),
            ("value", best.map(|best| best.label.clone())),
            ("expected_ratio", best.map(|best| ratio(&best.expected_ratio))),
            ("rule", Some(self.rule.clone())),
        ]);
        estimate.into_iter().chain([(EventKind::Choice, choice)]).collect()
    }
}

impl ProofReport {
    /// The verdict, with the names of the files it rests on and their hashes, and nothing of what stands in them.
    pub fn kept(&self, rests_on: &[(&'static str, String)]) -> Kept {
        let verdict = match self.verdict {
            Verdict::Conforms => "conforms",
            Verdict::DoesNotConform => "does-not-conform",
            Verdict::Undecided => "undecided",
        };
        let mut kept = fields([
            ("rule", Some(self.rule.clone())),
            ("verdict", Some(verdict.to_string())),
            ("probability", Some(format!("{:.4}", self.probability))),
        ]);
        kept.extend(rests_on.iter().map(|(name, value)| (name.to_string(), value.clone())));
        (EventKind::Proof, kept)
    }
}

/// The fields of a write that was made on an adjuster.
pub fn write(
    adjuster: &Adjuster,
    from: &str,
    to: &str,
    odometer: Option<&str>,
    text: Option<&str>,
) -> Fields {
    let acts = matches!(
        adjuster.kind,
        AdjusterKind::ToneRing(_)
            | AdjusterKind::PulseRatio(_)
            | AdjusterKind::CableAdapter(_)
            | AdjusterKind::GearPair(_)
    );
    fields([
        ("from", Some(from.to_string())),
        ("to", Some(to.to_string())),
        (ADJUSTER, adjuster.name.clone()),
        (CHANGES_SIGNAL.0, acts.then(|| CHANGES_SIGNAL.1.to_string())),
        ("writes_left_before", adjuster.writes_left.map(|left| left.to_string())),
        ("writes_left_after", adjuster.writes_left.map(|left| left.saturating_sub(1).to_string())),
        ("odometer", odometer.map(str::to_string)),
        ("text", text.map(str::to_string)),
    ])
}

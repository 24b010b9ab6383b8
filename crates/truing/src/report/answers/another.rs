//! A value that is not the advised one: what the truck would read with it.

use crate::choose::{Choice, Target, reading_with};
use crate::describe::adjuster::setting::Setting;
use crate::describe::vehicle::Vehicle;
use crate::problem::{Field, Problem, Wording};
use crate::report::words::reads;
use crate::report::words::value::V;
use crate::set::{Change, Job};
use metrology::measured::Measured;
use metrology::quantity::Ratio;
use schemars::JsonSchema;
use serde::Serialize;

/// A value that reads worse than today by more than this (in ln R) is stored only when that is said again (judgement).
pub const WORSE: f64 = 0.005;

/// Another value than the advised one.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct AnotherReport {
    /// The advised value; null where the advice is to store nothing, or where there is none.
    pub advised: Option<String>,
    /// Indicated over true with the value asked for, where it is known.
    pub expected_ratio: Option<V>,
    /// It reads worse than now, by more than half a percentage point.
    pub is_worse: bool,
    /// The same in a sentence.
    pub text: String,
}

impl AnotherReport {
    /// Of a way to a value that was asked for; none where that is the advised one.
    pub fn new(vehicle: &Vehicle, choice: Option<&Choice>, job: &Job) -> Option<Self> {
        let [Change { adjuster, to, .. }] = job.changes.as_slice() else { return None };
        let setting = Setting::parse(to);
        let place = vehicle.adjusters.iter().position(|one| one.called() == adjuster)?;
        let best = choice.and_then(|choice| match choice.target() {
            Target::Store(best) => Some(best),
            Target::NothingToDo { .. } => None,
        });
        if best
            .is_some_and(|best| best.settings.iter().any(|(at, one)| *at == place && one.same_as(&setting)))
        {
            return None;
        }
        let then =
            choice.and_then(|choice| reading_with(vehicle, choice, &vehicle.adjusters[place], &setting));
        let now = choice.and_then(|choice| Some(choice.present.as_ref()?.expected_ratio));
        let off = |ratio: &Measured<Ratio>| ratio.value.plain().ln().abs();
        let is_worse = then.zip(now).is_some_and(|(then, now)| off(&then) - off(&now) > WORSE);
        let advised = best.map(|best| best.label.clone());
        let advice = match (&advised, choice) {
            (Some(best), _) => format!("{to} is not the advised value, which is {best}."),
            (None, Some(_)) => format!("{to} is not advised: the advice is to store nothing now."),
            (None, None) => format!("Nothing is advised yet for this truck, {to} neither."),
        };
        let reading = match (&then, &now) {
            (Some(then), Some(now)) => {
                format!(
                    "With {to} the truck {}. Today it {}.",
                    reads(then).replacen("reads", "would read", 1),
                    reads(now)
                )
            }
            _ => format!("What the truck would read with {to} is not known."),
        };
        let worse = if is_worse { " That is worse than now." } else { "" };
        let text = format!("{advice} {reading}{worse}");
        Some(Self { advised, expected_ratio: then.map(|ratio| V::new(&ratio, Ratio::plain)), is_worse, text })
    }

    /// Refuses a value that reads worse than now, unless that was said again.
    pub fn refused(&self, source: &str) -> Option<Problem> {
        self.is_worse.then(|| {
            Problem::error(source, "a value that reads no worse than now", self.text.trim_end_matches('.'))
                .hint(Wording::from("If it is meant all the same, say so with ").field(Field::EvenIfWorse))
        })
    }
}

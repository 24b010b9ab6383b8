//! The sentence of each reason of a choice.

pub mod check;
mod reach;
mod reading;
mod road;
mod rule;
mod slow;
mod writes;

use crate::choose::Reason;
use crate::describe::usage::MakeTrue;
use crate::describe::vehicle::Vehicle;
use crate::report::words::doing::Doing;
use crate::report::words::{capital, evidence};
use crate::units::Units;

const MAY_HAVE_NO_LOG: &str = "If the truck has no log of its own speed, say so in the vehicle file, under use, and the next best measurement is named.";
const READING_UNKNOWN: &str = "How far off the truck reads is not known yet, so no setting can be advised.";

/// A reason in its sentence.
pub fn sentence(vehicle: &Vehicle, reason: &Reason, units: Units) -> String {
    let text = capital(&words(vehicle, reason, units));
    if text.is_empty() || text.ends_with(['.', '?']) { text } else { text + "." }
}

/// What is to be made true.
fn what(vehicle: &Vehicle) -> &'static str {
    match vehicle.usage.make_true {
        MakeTrue::Distance => "odometer",
        MakeTrue::Needle => "needle",
    }
}

fn words(vehicle: &Vehicle, reason: &Reason, units: Units) -> String {
    use Reason as R;
    let by = Doing::on(vehicle);
    match reason {
        R::NotBySetting { drive, error } => reading::not_by_setting(drive, *error),
        R::Unknowable { finding } => evidence::unknowable(vehicle, finding),
        R::Alarm { finding } => evidence::alarm(vehicle, finding),
        R::Conflict { finding } => evidence::conflict(vehicle, finding),
        R::Check { check } => check::sentence(vehicle, check, units),
        R::NothingBeforeChecked { checks, otherwise } => check::nothing_before(by, *checks, *otherwise),
        R::DialReadsSlow { dial } => slow::now(dial, units),
        R::DialWouldReadSlow { setting, dial } => slow::then(setting, dial, units),
        R::MayBeWorse { setting, chance } => writes::may_be_worse(by, setting, *chance),
        R::NotSlowPreferred { setting, instead_of, difference } => {
            slow::preferred(setting, instead_of, *difference)
        }
        R::RangeEndsShort { setting, leaves, helps } => reach::ends_short(setting, *leaves, helps),
        R::NotReachable { nearest, button, setting } => reach::barred(&nearest.to_string(), *button, setting),
        R::StillHelps { helps } => reach::still_helps(helps),
        R::MayHaveNoLog => MAY_HAVE_NO_LOG.into(),
        R::ReadingUnknown => READING_UNKNOWN.into(),
        R::Reading { now, exactly_true, .. } => {
            reading::now((vehicle, units), what(vehicle), now.as_ref(), exactly_true)
        }
        R::StoredIsBest { setting } => writes::stored_is_best(by, setting),
        R::StoredMayChange { setting, chance_of_write } => writes::may_change(by, setting, *chance_of_write),
        R::NoWriteToSpend { writes_left, reserve } => writes::none_to_spend(*writes_left, *reserve),
        R::WriteUndecided => "Whether a write pays cannot be told yet.".into(),
        R::SecondWriteLikely { setting, standard_uncertainty, chance_of_second_write } => {
            writes::second_likely(by, setting, *standard_uncertainty, *chance_of_second_write)
        }
        R::WorthAWrite { setting, errors, writes_left_after } => {
            writes::worth(by, what(vehicle), setting, errors, *writes_left_after)
        }
        R::NotWorthAWrite { setting, gain, errors, .. } => {
            writes::not_worth(by, what(vehicle), setting, *gain, errors)
        }
        R::MeasureFirst { measurement, takes, leaves, brings, .. } => {
            writes::measure_first((*measurement, *takes), *leaves, *brings)
        }
        R::MeasureToKnow { measurement, takes } => writes::measure_to_know(*measurement, *takes),
        R::HeldBack { measurements, faults } => writes::held_back(measurements, faults),
        R::AxleMisdeclared { setting, declared_over_fitted } => {
            reading::misdeclared(setting, *declared_over_fitted)
        }
        R::ReaderUnchanged { .. } | R::ReaderChanges { .. } => reading::of_reader(reason, units),
        R::WriteForRule { .. }
        | R::RestsOnNeedle { .. }
        | R::RiskTaken { .. }
        | R::RiskBesideError { .. }
        | R::RuleKept { .. }
        | R::RuleNotKept { .. }
        | R::BiasedForRule { .. } => rule::sentence(by, what(vehicle), reason),
        R::WriteServesLater
        | R::ServesRoadBest { .. }
        | R::RoadToCome { .. }
        | R::OneForAll { .. }
        | R::Waiting { .. } => road::sentence(reason, units),
    }
}

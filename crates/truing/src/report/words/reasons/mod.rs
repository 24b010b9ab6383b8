//! The sentence of each reason of a choice.

mod reading;
mod road;
mod rule;
mod writes;

use crate::choose::Reason;
use crate::describe::vehicle::Vehicle;
use crate::report::words::evidence;
use crate::units::Units;

/// A reason in its sentence.
pub fn sentence(vehicle: &Vehicle, reason: &Reason, units: Units) -> String {
    use Reason as R;
    match reason {
        R::NotBySetting { drive, error } => reading::not_by_setting(drive, *error),
        R::Unknowable { finding } => evidence::unknowable(vehicle, finding),
        R::Alarm { finding } => evidence::alarm(vehicle, finding),
        R::Conflict { finding } => evidence::conflict(vehicle, finding),
        R::ReadingUnknown => {
            "How far off the truck reads is not known yet, so no setting can be advised.".into()
        }
        R::Reading { make_true, now, exactly_true } => reading::now(*make_true, now.as_ref(), exactly_true),
        R::StoredIsBest { setting } => writes::stored_is_best(setting),
        R::StoredMayChange { setting, chance_of_write } => writes::may_change(setting, *chance_of_write),
        R::NoWriteToSpend { writes_left, reserve } => writes::none_to_spend(*writes_left, *reserve),
        R::WriteUndecided => "Whether a write pays cannot be told yet.".into(),
        R::SecondWriteLikely { setting, standard_uncertainty, chance_of_second_write } => {
            writes::second_likely(setting, *standard_uncertainty, *chance_of_second_write)
        }
        R::WorthAWrite { setting, error_now, error_then, writes_left_after } => {
            writes::worth(setting, (*error_now, *error_then), *writes_left_after)
        }
        R::NotWorthAWrite { setting, gain, least_gain } => writes::not_worth(setting, *gain, *least_gain),
        R::MeasureFirst { measurement, takes, leaves, changes_decision } => {
            writes::measure_first((*measurement, *takes), *leaves, *changes_decision)
        }
        R::MeasureToKnow { measurement, takes } => writes::measure_to_know(*measurement, *takes),
        R::HeldBack { measurement, faults } => writes::held_back(*measurement, faults),
        R::RuleKept { rule, title, setting, chance_of_breaking } => {
            rule::kept(rule, title, setting, *chance_of_breaking)
        }
        R::RuleNotKept { rule, setting, permitted_chance } => {
            rule::not_kept(rule, setting, *permitted_chance)
        }
        R::BiasedForRule { expected_ratio } => rule::biased(*expected_ratio),
        R::AxleMisdeclared { setting, declared_over_fitted } => {
            reading::misdeclared(setting, *declared_over_fitted)
        }
        R::WriteServesLater => "Over the road planned the write is better kept: leave it now.".into(),
        R::ServesRoadBest { setting } => {
            format!("With the writes left, {setting} serves the road planned best.")
        }
        R::ReaderUnchanged { reader, setting } => reading::reader_unchanged(reader, setting),
        R::ReaderChanges { reader, setting, times, shifts } => {
            reading::reader_changes(reader, setting, *times, shifts.then_some(units))
        }
        R::RoadToCome { held, writes, rms } => road::to_come(held, *writes, *rms, units),
        R::OneForAll { setting, rms } => road::one_for_all(setting, *rms),
        R::Waiting { writes_saved, rms } => road::waiting(*writes_saved, *rms),
    }
}

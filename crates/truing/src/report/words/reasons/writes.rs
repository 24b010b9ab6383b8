//! Whether to write, to leave, or to measure first.

use crate::choose::{Brings, Errors, MeasurementKind};
use crate::describe::fault::Fault;
use crate::report::words::doing::Doing;
use crate::report::words::{capital, chance, counted, fault, give_or_take, half, measurements};
use metrology::quantity::{Duration, Ratio};

pub(super) fn stored_is_best(doing: Doing, setting: &str) -> String {
    let state = capital(&doing.state(setting, "already"));
    format!("{state} and no other setting is expected to be truer: leave it.")
}

pub(super) fn may_change(doing: Doing, setting: &str, chance_of_write: Ratio) -> String {
    format!(
        "{} and is the best of the settings as far as is known, but that may change: with {} probability a measurement would advise another.",
        capital(&doing.state(setting, "")),
        chance(chance_of_write)
    )
}

pub(super) fn none_to_spend(left: u32, reserve: u32) -> String {
    let writes = counted(left, "write");
    let kept = if reserve == 1 { "1 is".to_string() } else { format!("{reserve} are") };
    match (left, reserve) {
        (0, _) => "The module has no write left: leave it.".into(),
        (_, 0) => format!("The module has {writes} left: leave it."),
        _ => format!("The module has {writes} left, and {kept} to be kept: leave it."),
    }
}

pub(super) fn second_likely(
    doing: Doing,
    setting: &str,
    standard_uncertainty: Ratio,
    chance_of_second: Ratio,
) -> String {
    let again = match doing {
        Doing::Store | Doing::Declare => "a second write",
        _ => "a second change",
    };
    format!(
        "{} now would leave the reading unsure by {}; with {} probability that costs {again}.",
        doing.act(setting),
        give_or_take(standard_uncertainty),
        chance(chance_of_second)
    )
}

pub(super) fn worth(
    doing: Doing,
    what: &str,
    setting: &str,
    errors: &Errors,
    left_after: Option<u32>,
) -> String {
    let gain = match errors.within_95_now {
        Some(_) => format!(
            "{} brings the {what} within {} of the truth (95 %): worth {}.",
            doing.act(setting),
            half(errors.within_95_then),
            doing.price()
        ),
        None => format!("What is set now is not known; {setting} is the setting the measurements call for."),
    };
    match left_after {
        Some(left) => format!("{gain} After it the module has {} left.", counted(left, "write")),
        None => gain,
    }
}

pub(super) fn not_worth(doing: Doing, what: &str, setting: &str, gain: Ratio, errors: &Errors) -> String {
    let (act, price) = (doing.act(setting), doing.price());
    let then = half(errors.within_95_then);
    match errors.within_95_now.map(half).filter(|now| gain > Ratio::default() && *now != then) {
        Some(now) => format!(
            "{act} would bring the {what} within {then} of the truth (95 %), and it is within {now} as it is: not worth {price}."
        ),
        None => format!("{act} would not bring the {what} nearer to the truth: not worth {price}."),
    }
}

pub(super) fn measure_first(
    (measurement, takes): (MeasurementKind, Duration),
    leaves: Ratio,
    brings: Brings,
) -> String {
    let why = match brings {
        Brings::TurnsDecision { chance } => {
            format!("with {} probability it turns write into leave or the reverse", self::chance(chance))
        }
        Brings::SavesSecondWrite { chance } => {
            format!("a second write is then less likely by {}", self::chance(chance))
        }
        Brings::GuardsAgainstWorse { chance } => format!(
            "without it the write leaves the truck worse than it is with {} probability",
            self::chance(chance)
        ),
        Brings::LowersError { by } => format!(
            "the last digits may move: what is stored then comes nearer by {:.2} percentage points",
            by.percent()
        ),
        Brings::TellsNeedle { by } => format!(
            "it tells what the needle adds, and the odometer can stay {:.1} percentage points nearer to the truth",
            by.percent()
        ),
        _ => "nothing can be decided without it".into(),
    };
    format!(
        "Measure first: {} ({:.0} minutes) would leave the reading unsure by {}; {why}.",
        measurements::what(measurement),
        takes.min(),
        give_or_take(leaves)
    )
}

pub(super) fn may_be_worse(doing: Doing, setting: &str, chance_of_worse: Ratio) -> String {
    format!(
        "{} pays on average, but leaves the truck worse than it is with {} probability.",
        doing.act(setting),
        chance(chance_of_worse)
    )
}

pub(super) fn measure_to_know(measurement: MeasurementKind, takes: Duration) -> String {
    format!("Measure first: {}, {:.0} minutes.", measurements::what(measurement), takes.min())
}

pub(super) fn held_back(measurements: &[MeasurementKind], faults: &[Fault]) -> String {
    let open = if faults.len() == 1 { "open fault is" } else { "open faults are" };
    let faults: Vec<String> = faults.iter().map(fault).collect();
    let measurements: Vec<&str> = measurements.iter().map(|kind| measurements::what(*kind)).collect();
    format!("Held back until the {open} repaired - {}: {}.", faults.join(", "), measurements.join("; "))
}

//! Whether to write, to leave, or to measure first.

use crate::choose::{Brings, MeasurementKind};
use crate::describe::fault::Fault;
use crate::report::words::{fault, measurements::what};
use metrology::quantity::{Duration, Ratio};

pub(super) fn stored_is_best(setting: &str) -> String {
    format!("{setting} is stored already and no other setting is expected to be truer: leave it.")
}

pub(super) fn may_change(setting: &str, chance_of_write: Ratio) -> String {
    format!(
        "{setting} is stored and is the best of the settings as far as is known, but that may change: with {:.0} % probability a measurement would advise a write.",
        chance_of_write.percent()
    )
}

pub(super) fn none_to_spend(left: u32, reserve: u32) -> String {
    let writes = if left == 1 { "1 write" } else { &format!("{left} writes") };
    match reserve {
        0 => format!("The module has {writes} left: leave it."),
        _ => format!("The module has {writes} left, and {reserve} are to be kept: leave it."),
    }
}

pub(super) fn second_likely(setting: &str, standard_uncertainty: Ratio, chance: Ratio) -> String {
    format!(
        "Storing {setting} now would leave what is stored uncertain by {:.2} % (one standard uncertainty); with {:.0} % probability that costs a second write.",
        standard_uncertainty.percent(),
        chance.percent()
    )
}

pub(super) fn worth(setting: &str, (now, then): (Option<Ratio>, Ratio), left_after: Option<u32>) -> String {
    let gain = match now {
        Some(now) => format!(
            "Storing {setting} lowers the expected error from {:.2} % to {:.2} %: worth a write.",
            now.percent(),
            then.percent()
        ),
        None => {
            format!("What is stored now is not known; {setting} is the setting the measurements call for.")
        }
    };
    match left_after {
        Some(left) => format!("{gain} After it the module has {left} left."),
        None => gain,
    }
}

pub(super) fn not_worth(setting: &str, gain: Ratio, least_gain: Ratio) -> String {
    if gain <= Ratio::default() {
        return format!("Storing {setting} would not lower the expected error: not worth a write.");
    }
    format!(
        "Storing {setting} would lower the expected error by only {:.2} percentage points (less than {:.1}): not worth a write.",
        gain.percent(),
        least_gain.percent()
    )
}

pub(super) fn measure_first(
    (measurement, takes): (MeasurementKind, Duration),
    leaves: Ratio,
    brings: Brings,
) -> String {
    let why = match brings {
        Brings::TurnsDecision { chance } => {
            format!("with {:.0} % probability it turns write into leave or the reverse", chance.percent())
        }
        Brings::SavesSecondWrite { chance } => {
            format!("a second write is then less likely by {:.0} %", chance.percent())
        }
        Brings::GuardsAgainstWorse { chance } => format!(
            "without it the write leaves the truck worse than it is with {:.0} % probability",
            chance.percent()
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
        "Measure first: {} ({:.0} minutes) would leave an uncertainty of {:.2} %; {why}.",
        what(measurement),
        takes.min(),
        leaves.percent()
    )
}

pub(super) fn may_be_worse(setting: &str, chance: Ratio) -> String {
    format!(
        "Storing {setting} pays on average, but leaves the truck worse than it is with {:.0} % probability.",
        chance.percent()
    )
}

pub(super) fn measure_to_know(measurement: MeasurementKind, takes: Duration) -> String {
    format!("Measure first: {}, {:.0} minutes.", what(measurement), takes.min())
}

pub(super) fn held_back(measurement: MeasurementKind, faults: &[Fault]) -> String {
    let faults: Vec<String> = faults.iter().map(fault).collect();
    format!("Held back until the open fault is repaired - {}: {}.", faults.join(", "), what(measurement))
}

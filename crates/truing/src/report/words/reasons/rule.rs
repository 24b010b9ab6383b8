//! Whether a rule is kept.

use crate::choose::{Errors, Reason, Risk};
use crate::report::words::doing::Doing;
use crate::report::words::{chance, counted, half};
use metrology::quantity::Ratio;

/// The sentence of a reason that has to do with a rule.
pub(super) fn sentence(doing: Doing, what: &str, reason: &Reason) -> String {
    use Reason as R;
    match reason {
        R::WriteForRule { setting, chance_now, chance_then, errors, writes_left_after } => {
            let chances = (*chance_now, *chance_then);
            write_for((doing, what), setting, chances, errors, *writes_left_after)
        }
        R::RestsOnNeedle { rule, setting, bias, standard_uncertainty } => {
            rests_on_needle(rule, setting, *bias, *standard_uncertainty)
        }
        R::RiskTaken { setting, kept_by, costs } => risk_taken(setting, kept_by, *costs),
        R::RiskBesideError { options } => risks(options),
        R::RuleKept { rule, title, setting, chance_of_breaking } => {
            kept(rule, title, setting, *chance_of_breaking)
        }
        R::RuleNotKept { rule, setting, permitted_chance } => not_kept(rule, setting, *permitted_chance),
        R::BiasedForRule { expected_ratio } => biased(*expected_ratio),
        // Every other kind has its sentence elsewhere.
        _ => String::new(),
    }
}

pub(super) fn kept(rule: &str, title: &str, setting: &str, chance: Ratio) -> String {
    let title = if title.is_empty() { String::new() } else { format!(" ({title})") };
    format!(
        "The rule {rule}{title}: chance of breaking it with {setting}: {}. Local law decides.",
        self::chance(chance)
    )
}

pub(super) fn not_kept(rule: &str, setting: &str, permitted_chance: Ratio) -> String {
    format!(
        "No setting in reach keeps the rule {rule} with a chance of breaking it below {:.0} %; {setting} is the truest.",
        permitted_chance.percent()
    )
}

pub(super) fn biased(expected_ratio: Ratio) -> String {
    format!(
        "For the rule the setting is biased: the odometer then counts about {:.0} for every 1000 driven.",
        1000.0 * expected_ratio.plain()
    )
}

pub(super) fn write_for(
    (doing, what): (Doing, &str),
    setting: &str,
    (chance_now, chance_then): (Ratio, Ratio),
    errors: &Errors,
    left_after: Option<u32>,
) -> String {
    let then = half(errors.within_95_then);
    let now = errors.within_95_now.map_or(String::new(), |now| format!(", and is within {} now", half(now)));
    let price = match errors.error_now.is_some_and(|now| errors.error_then > now) {
        true => "The price is truth: the",
        false => "The",
    };
    let left = left_after
        .map_or(String::new(), |left| format!(" After it the module has {} left.", counted(left, "write")));
    format!(
        "{} is for the rule: the chance of breaking it falls from {} to {}. {price} {what} is within {then} of the truth then (95 %){now}.{left}",
        doing.act(setting),
        chance(chance_now),
        chance(chance_then)
    )
}

pub(super) fn rests_on_needle(rule: &str, setting: &str, bias: Ratio, u: Ratio) -> String {
    format!(
        "For the rule {rule} the odometer would be put off by {:.1} % with {setting}, only because the needle is not measured (believed to {:.1} %): measure the needle first, with called-out speeds.",
        bias.percent(),
        u.percent()
    )
}

pub(super) fn risk_taken(setting: &str, kept_by: &str, costs: Ratio) -> String {
    format!(
        "That is a little more than permitted: {kept_by} keeps the rule, but is {:.2} percentage points farther from the truth than {setting}.",
        costs.percent()
    )
}

pub(super) fn risks(options: &[Risk]) -> String {
    let each = |risk: &Risk| {
        format!("{}: within {}, risk {}", risk.setting, half(risk.within_95), chance(risk.chance_of_breaking))
    };
    let all: Vec<String> = options.iter().map(each).collect();
    format!("How near to the truth each comes (95 %), and its risk of breaking the rule: {}.", all.join("; "))
}
